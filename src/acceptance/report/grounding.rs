//! Cold tests: grounding, bonding and the arrester, before RF.

use crate::acceptance::report::items;
use crate::acceptance::report::sources::Sources;
use crate::acceptance::report::topics::Topic;
use crate::paper::Document;

pub(super) fn chapter(report: &mut Document, sources: &Sources<'_>) {
    let table = items::table(sources, Topic::Grounding);
    if table.rows.is_empty() {
        report.paragraph(
            "The list of checks asks nothing of grounding, bonding or arrester: not measured.",
        );
    } else {
        report.table(table);
    }
    report.small(
        "The electrode system has the resistance, not the bar. A reading tied to the supply’s neutral or \
         taken in a loop is not the electrode’s. Layout and bonding matter more than the number, and the \
         season matters too.",
    );
}
