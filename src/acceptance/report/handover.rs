//! Hand-over: manuals, spares, keys and training.

use crate::acceptance::report::items;
use crate::acceptance::report::sources::Sources;
use crate::acceptance::report::topics::Topic;
use crate::paper::Document;

pub(super) fn chapter(report: &mut Document, sources: &Sources<'_>) {
    let table = items::table(sources, Topic::HandOver);
    if table.rows.is_empty() {
        report.paragraph("The list of checks asks nothing of papers, spares or training.");
    } else {
        report.table(table);
    }
}
