//! Releases, declarations and decisions in the order in which they were given, lapsed ones too.

use crate::acceptance::report::said::name_and_firm;
use crate::figure::{Mark, State};
use crate::jobs::dossier::Dossier;
use crate::jobs::findings::Progress;
use crate::jobs::model::{Body, Fact, Release};
use crate::paper::{Column, Document, Level, Table, Words};

pub(super) fn fill(report: &mut Document, dossier: &Dossier) {
    let record = &dossier.record;
    report.heading(Level::Chapter, "Releases, declaration and decision");
    let mut table = Table::new(vec![
        Column::text("What", 1.3),
        Column::text("By, when", 1.4),
        Column::text("Manner, note or read-back", 2.0),
        Column::text("State", 0.9),
    ]);
    for fact in record.live() {
        let (what, note) = match &fact.body {
            Body::Release(release) => {
                (format!("Gate “{}” released", release.stage.gate()), release_said(release))
            }
            Body::Declaration(declaration) => {
                ("Declared complete".to_owned(), declaration.statement.clone())
            }
            Body::Return(remarks) => ("Returned".to_owned(), remarks.clone()),
            Body::Acceptance(remarks) if remarks.is_empty() => {
                ("Accepted".to_owned(), "no remarks".to_owned())
            }
            Body::Acceptance(remarks) => ("Accepted".to_owned(), remarks.clone()),
            _ => continue,
        };
        let by = name_and_firm(record, fact.by);
        table.row([
            Words::from(what),
            Words::from(by).plain("\n").soft(&fact.measured.shown()),
            Words::from(note),
            Words::from(&stands(dossier, fact)),
        ]);
    }
    if table.rows.is_empty() {
        report.paragraph("No gate is released, and the job is not declared complete.");
    } else {
        report.table(table);
        report.small(
            "A release or declaration holds for what stood beneath it. When a fact beneath it changes \
             it lapses, and has to be given again.",
        );
    }
}

fn release_said(release: &Release) -> String {
    let note = if release.read_back.is_empty() { "no note" } else { &release.read_back };
    format!("{}; {note}", release.manner.shown())
}

fn stands(dossier: &Dossier, fact: &Fact) -> State {
    let holds = |holds| {
        if holds { State::new(Mark::Tick, "holds") } else { State::new(Mark::Ring, "lapsed") }
    };
    let findings = &dossier.findings;
    match &fact.body {
        Body::Release(_) => holds(
            findings.stages.iter().any(|gate| gate.is_open() && gate.released == Some(fact.uuid)),
        ),
        Body::Declaration(_) => {
            let last = dossier.record.declaration();
            let current = last.is_some_and(|(last, _)| last.uuid == fact.uuid);
            let counts = matches!(findings.progress, Progress::Declared | Progress::Accepted);
            holds(current && counts)
        }
        Body::Return(_) => State::new(Mark::Ring, "returned"),
        _ => State::new(Mark::Tick, "accepted"),
    }
}
