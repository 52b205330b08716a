//! Safety and isolation: cautions, what the site holds, the checks that people's safety hangs on, and RF
//! that came before its gate.

use crate::acceptance::report::items;
use crate::acceptance::report::said::when_and_who;
use crate::acceptance::report::sources::Sources;
use crate::acceptance::report::topics::Topic;
use crate::paper::{Column, Document, Level, Table, Words};

pub(super) fn chapter(report: &mut Document, sources: &Sources<'_>) {
    report.caution(
        "Local codes, site rules and licensed practitioners come first. This report is not a permit to \
         climb, to energise or to radiate, and not a design or a certificate.",
    );
    report.caution(
        "RF burns, and reduced power may still be too much: RF off and locked off by the one who holds \
         the key before anyone climbs or touches line or antenna, and neighbouring transmitters \
         looked after too. Stop at first thunder. Work on mains supplies, grounding and structures \
         belongs to licensed practitioners. Grounds stay connected in the season of storms.",
    );
    items::told(report, sources, Topic::Safety);
    let record = &sources.dossier.record;
    let mut early =
        Table::new(vec![Column::text("RF out of sequence", 1.0), Column::text("Reason", 2.0)]);
    for (fact, reading) in record.readings() {
        if let Some(why) = &reading.out_of_sequence {
            early.row([
                Words::from(format!("installed reading, {}", when_and_who(record, fact))),
                Words::from(why),
            ]);
        }
    }
    report.heading(Level::Part, "RF before its gate");
    if early.rows.is_empty() {
        report.paragraph("No installed reading is recorded as taken out of sequence.");
    } else {
        report.table(early);
    }
    if !record.site.notes.is_empty() {
        report.heading(Level::Section, "Notes of the site: access, hazards, emergency numbers");
        report.paragraph(&record.site.notes);
    }
}
