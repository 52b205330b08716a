//! What is left to do, what a manager permitted, and what somebody else has to put right.

use crate::acceptance::report::said::{state, when_and_who};
use crate::acceptance::report::sources::Sources;
use crate::jobs::model::Answer;
use crate::paper::{Column, Document, Level, Table, Words};

pub(super) fn chapter(report: &mut Document, sources: &Sources<'_>) {
    report.heading(Level::Section, "Concessions, and checks left to do");
    let table = left(sources);
    if table.rows.is_empty() {
        report.paragraph("Nothing is under concession and nothing is deferred.");
    } else {
        report.table(table);
    }
}

/// What a manager permits, and what somebody still has to do.
fn left(sources: &Sources<'_>) -> Table {
    let dossier = sources.dossier;
    let record = &dossier.record;
    let mut table = Table::new(vec![
        Column::text("Check", 1.6),
        Column::fit("State"),
        Column::text("Owner, by when", 1.0),
        Column::text("Reason or condition; who said so", 2.0),
    ]);
    for item in &dossier.findings.items {
        let found = match item.answer {
            Some(Answer::UnderConcession) => record.conceded(&item.id),
            Some(Answer::Deferred) => record.answered(&item.id),
            _ => None,
        };
        let Some((fact, answered)) = found else { continue };
        let owner = if answered.owner.is_empty() { "no owner named" } else { &answered.owner };
        let due = answered.due_on.map_or_else(|| "no day named".to_owned(), |due| due.shown());
        table.row([
            Words::from(&item.text),
            Words::from(&state(item.answer)),
            format!("{owner}, {due}").into(),
            Words::from(&answered.note).plain("\n").soft(&when_and_who(record, fact)),
        ]);
    }
    table
}
