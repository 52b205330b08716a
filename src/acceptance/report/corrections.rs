//! Corrections and withdrawals: what was struck, by whom, when and why.

use crate::acceptance::report::said::{struck, when_and_who};
use crate::jobs::dossier::Dossier;
use crate::jobs::model::Fact;
use crate::jobs::words;
use crate::paper::{Column, Document, Level, Row, Table, Words};

pub(super) fn fill(report: &mut Document, dossier: &Dossier) {
    let record = &dossier.record;
    report.heading(Level::Chapter, "Corrections and withdrawals");
    let mut table = Table::new(vec![
        Column::text("Entry", 1.0),
        Column::text("What it said", 1.6),
        Column::text("Struck", 1.6),
    ]);
    for fact in &record.facts {
        if let Some(why) = struck(record, fact) {
            table.rows.push(row(dossier, fact, &why));
        }
    }
    if table.rows.is_empty() {
        report.paragraph("Nothing on this record was corrected or withdrawn.");
    } else {
        report.table(table);
    }
}

fn row(dossier: &Dossier, fact: &Fact, why: &str) -> Row {
    let record = &dossier.record;
    let kind = Words::from(fact.body.shown()).plain("\n").soft(&when_and_who(record, fact));
    let said = Words::new().struck(&words::said(record, fact));
    Row { cells: vec![kind, said, Words::from(why)], struck: false }
}
