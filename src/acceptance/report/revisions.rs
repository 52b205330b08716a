//! The end: editions, corrections and withdrawals, and what the report was made from.

use crate::acceptance::report::said::{name_and_firm, struck, when_and_who};
use crate::acceptance::report::sources::Sources;
use crate::jobs::dossier::Dossier;
use crate::jobs::model::Fact;
use crate::jobs::words;
use crate::paper::{Column, Document, Level, Row, Table, Words};

pub(super) fn chapter(report: &mut Document, sources: &Sources<'_>) {
    report.heading(Level::Section, "Editions");
    report.table(editions(sources.dossier));
    report.heading(Level::Section, "Corrections and withdrawals");
    let table = corrections(sources.dossier);
    if table.rows.is_empty() {
        report.paragraph("Nothing on this record was corrected or withdrawn.");
    } else {
        report.table(table);
    }
    report.keep_together(|report| {
        report.heading(Level::Section, "What this report was made from");
        report.facts(proof(sources));
    });
}

fn editions(dossier: &Dossier) -> Table {
    let record = &dossier.record;
    let mut table = Table::new(vec![
        Column::fit("Edition"),
        Column::text("Report", 1.0),
        Column::text("Issued", 2.0),
    ]);
    match (record.acceptance(), dossier.edition.as_str()) {
        (Some((fact, _)), edition) if !edition.is_empty() => table.row([
            edition.to_owned(),
            dossier.number(),
            format!(
                "at acceptance by {}, {}",
                name_and_firm(record, fact.by),
                fact.measured.shown()
            ),
        ]),
        _ => table.row([
            "none yet".to_owned(),
            dossier.number(),
            "a draft of a job in work".to_owned(),
        ]),
    }
    table
}

fn corrections(dossier: &Dossier) -> Table {
    let record = &dossier.record;
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
    table
}

fn row(dossier: &Dossier, fact: &Fact, why: &str) -> Row {
    let record = &dossier.record;
    let kind = Words::from(fact.body.shown()).plain("\n").soft(&when_and_who(record, fact));
    let said = Words::new().struck(&words::said(record, fact));
    Row { cells: vec![kind, said, Words::from(why)], struck: false }
}

fn proof(sources: &Sources<'_>) -> Vec<(&'static str, String)> {
    let dossier = sources.dossier;
    let (site, profile) = (&dossier.record.site, &dossier.record.profile);
    let mut facts = vec![
        (
            "Judged by",
            format!(
                "profile “{}”, edition {}, in force from {}",
                profile.title,
                profile.edition,
                profile.effective.shown()
            ),
        ),
        ("Report", dossier.number()),
        ("Record of the job", dossier.record.job.uuid.to_string()),
        ("Kept by the server", dossier.instance.to_string()),
    ];
    let zone = site.time_zone();
    match dossier.frozen_at {
        Some(at) => facts.push(("Frozen", zone.measured(at).shown())),
        None => facts.push(("Frozen", "not yet: a draft of a job in work".to_owned())),
    }
    if let Some(digest) = sources.digest {
        let hex: Vec<String> = digest
            .chunks(8)
            .map(|bytes| bytes.iter().map(|byte| format!("{byte:02x}")).collect())
            .collect();
        facts.push(("SHA-256 of the dossier", hex.join(" ")));
    }
    facts
}
