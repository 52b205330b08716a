//! Pressurised lines: pressure, gas and the leak test.

use crate::acceptance::report::items;
use crate::acceptance::report::sources::Sources;
use crate::acceptance::report::topics::Topic;
use crate::paper::Document;

pub(super) fn chapter(report: &mut Document, sources: &Sources<'_>) {
    let table = items::table(sources, Topic::Pressure);
    if table.rows.is_empty() {
        report.paragraph(
            "No check of the list concerns a pressurised line. No leak test is on the record: not measured.",
        );
    } else {
        report.table(table);
    }
}
