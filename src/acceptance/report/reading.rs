//! The second page: contents, and how the report is to be read.

use crate::acceptance::report::said::NOT_MEASURED;
use crate::figure::{Mark, State};
use crate::paper::{Document, Level, Words};
use crate::rf::comparison::NOT_SHOWN_BY_SWR;

pub(super) fn fill(report: &mut Document) {
    report.heading(Level::Part, "Contents");
    report.contents();
    report.keep_together(|report| {
        report.heading(Level::Part, "How to read this report");
        report.small(marks());
        report.small(
            "In brackets behind a figure stands what instrument, range, directivity, line and joints allow. \
             A reflection or an SWR holds at the place named with it. Words with a line through them were \
             corrected or withdrawn; who did it and why stands beside them and in the last chapter.",
        );
        report.heading(Level::Part, "What it does not show");
        report.small(NOT_SHOWN_BY_SWR);
        report.small(format!(
            "Radiated power is reckoned from forward power, declared losses and declared gain. Field \
             strength and pattern: {NOT_MEASURED}, unless a chapter says otherwise. A low SWR at the meter \
             is no proof of a good antenna: the line’s loss makes it look better than it is at the antenna."
        ));
        report.small(
            "The record proves that what was entered is unchanged since it was entered. It does not prove \
             that it was true. The results relate to the parts named here, at the times named here. This \
             report is not a permit to climb, to energise or to radiate, and not a design or a certificate.",
        );
    });
}

fn marks() -> Words {
    let all = [
        (Mark::Tick, "passed"),
        (Mark::Cross, "failed"),
        (Mark::Ring, "open, or not shown by what was measured"),
        (Mark::Dash, "not applicable"),
        (Mark::Diamond, "under concession"),
        (Mark::Flag, "deferred to an owner and a day"),
    ];
    all.iter().fold(Words::new(), |words, (mark, word)| {
        words.state(&State::new(*mark, *word)).plain("   ")
    })
}
