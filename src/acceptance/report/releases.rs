//! Releases, declarations and decisions in the order in which they were given, lapsed ones too, and the
//! lines to sign on paper.

use crate::acceptance::report::said::name_and_firm;
use crate::acceptance::report::sources::Sources;
use crate::figure::{Mark, State};
use crate::jobs::dossier::Dossier;
use crate::jobs::findings::Progress;
use crate::jobs::model::{Body, Fact, Release};
use crate::paper::{Column, Document, Level, Table, Words};

pub(super) fn chapter(report: &mut Document, sources: &Sources<'_>) {
    let dossier = sources.dossier;
    report.heading(Level::Section, "Releases, declaration and decision");
    releases(report, dossier);
    report.heading(Level::Section, "Signatures on paper");
    report.signatures(to_sign(sources), &["For the contractor", "For the station", "Witness"]);
}

/// What whoever signs on paper signs.
fn to_sign(sources: &Sources<'_>) -> String {
    let digest = sources.digest.map(|digest| {
        let begins: String = digest.iter().take(6).map(|byte| format!("{byte:02x}")).collect();
        format!(" Its dossier’s SHA-256 begins with {begins}.")
    });
    format!(
        "Signed is report {}: its pages carry this number.{} A signature on paper stands beside those of the \
         record and replaces none.",
        sources.dossier.number(),
        digest.unwrap_or_default()
    )
}

fn releases(report: &mut Document, dossier: &Dossier) {
    let record = &dossier.record;
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
