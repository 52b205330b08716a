//! The test stand: how it stood, the trials, and the setting that the antenna keeps.

use crate::acceptance::report::items;
use crate::acceptance::report::people::instrument_mark;
use crate::acceptance::report::said::{
    NOT_MEASURED, cell, state, struck, two_by_two, when_and_who,
};
use crate::acceptance::report::sources::Sources;
use crate::acceptance::report::topics::Topic;
use crate::figure::trial_plot;
use crate::jobs::dossier::Dossier;
use crate::jobs::findings::TrialFinding;
use crate::jobs::model::{Body, Fact, NumberedTrial, Record};
use crate::jobs::pictures;
use crate::measurements::model::{PowerPair, StandSetup};
use crate::paper::{COLUMN_PIXELS, Column, Document, Level, Row, Table, Words};

pub(super) fn chapter(report: &mut Document, sources: &Sources<'_>) {
    told(report, sources.dossier);
    items::told(report, sources, Topic::Stand);
}

fn told(report: &mut Document, dossier: &Dossier) {
    let record = &dossier.record;
    report.heading(Level::Section, "The stand");
    if let Some((fact, setup)) = record.stand_setup() {
        report.table(two_by_two(setup_facts(record, fact, setup)));
        if !setup.note.is_empty() {
            report.facts([("Note", &setup.note)]);
        }
    } else {
        report.facts([("Set-up of the stand", NOT_MEASURED)]);
    }
    let lengths = &dossier.findings.stand.lengths;
    if !lengths.is_empty() {
        report.heading(Level::Part, "Length to begin with");
        report.facts(lengths.iter().map(|(name, value)| (name, value)));
    }
    report.heading(Level::Section, "Setting of the antenna");
    report.facts(settings_kept(dossier));
    if dossier.findings.stand.trials.is_empty() {
        report.paragraph(
            "No trial is on the record: the antenna’s SWR on the stand is not measured.",
        );
        return;
    }
    report.heading(Level::Section, "Trials");
    let plot = pictures::trial_plot(dossier, None, &|_| None);
    report.figure(
        &trial_plot::draw(&plot, COLUMN_PIXELS),
        Some(
            "Reflected share at the antenna input against the setting, with what the meter allows.",
        ),
    );
    report.table(trials(dossier));
    report.small(
        "SWR holds at the antenna input: the test jumper’s loss is taken out. In brackets what meter, \
         range and directivity allow.",
    );
}

fn setup_facts(record: &Record, fact: &Fact, setup: &StandSetup) -> [(&'static str, String); 6] {
    let supply = if setup.supply_protected {
        "protected by a residual-current device"
    } else {
        "no residual-current device"
    };
    [
        ("Height of the element’s centre", setup.height.to_string()),
        ("Nearest metal", setup.nearest_metal.to_string()),
        ("Orientation", setup.orientation.shown().to_owned()),
        ("Test jumper", format!("{}, {}", setup.jumper, setup.jumper_loss)),
        ("Supply", supply.to_owned()),
        ("Described", when_and_who(record, fact)),
    ]
}

/// Every choice of a setting; the last one holds.
fn settings_kept(dossier: &Dossier) -> Vec<(&'static str, Words)> {
    let record = &dossier.record;
    let holds = record.chosen();
    let mut facts: Vec<(&'static str, Words)> = record
        .live()
        .filter_map(|fact| {
            let Body::ChosenSetting(chosen) = &fact.body else { return None };
            let number = record.trials().iter().find(|one| one.fact.uuid == chosen.trial)?.number;
            let before = holds.as_ref().is_none_or(|(last, _)| last.uuid != fact.uuid);
            before.then(|| {
                let said = format!("that of trial {number}, {}", when_and_who(record, fact));
                ("Kept before", Words::from(said))
            })
        })
        .collect();
    let said = holds.map_or_else(
        || "none chosen".to_owned(),
        |(fact, NumberedTrial { number, trial, .. })| {
            let (upper, lower) = (&trial.upper, &trial.lower);
            format!(
                "{upper} above and {lower} below, as in trial {number}; chosen {}",
                when_and_who(record, fact)
            )
        },
    );
    facts.push(("Setting kept", Words::from(said)));
    if let Some(item) = dossier.findings.item("stand-swr") {
        let evidence = Words::from(&item.evidence).plain("   ").state(&state(item.answer));
        facts.push(("Its SWR at the antenna input", evidence));
    }
    facts
}

fn trials(dossier: &Dossier) -> Table {
    let record = &dossier.record;
    let mut table = Table::new(vec![
        Column::figures("Trial"),
        Column::figures("Upper,\nmm"),
        Column::figures("Lower,\nmm"),
        Column::figures("Forward,\nW"),
        Column::figures("Reflected,\nW"),
        Column::text("SWR at the\nantenna input", 1.0),
        Column::text("When, by whom, with what; remarks", 2.4),
    ]);
    for (numbered, finding) in record.trials().iter().zip(&dossier.findings.stand.trials) {
        table.rows.push(trial_row(dossier, numbered, finding));
    }
    table
}

fn trial_row(dossier: &Dossier, numbered: &NumberedTrial<'_>, finding: &TrialFinding) -> Row {
    let record = &dossier.record;
    let trial = numbered.trial;
    let is_struck = finding.struck;
    let plain = |text: &str| cell(text, is_struck);
    let swr = match (&finding.at_antenna, &finding.withheld) {
        (Some(known), _) => known.shown(),
        (None, Some(why)) => why.clone(),
        (None, None) => NOT_MEASURED.to_owned(),
    };
    let mut remarks = Words::new();
    if dossier.findings.stand.chosen == Some(finding.fact) {
        remarks = remarks.strong("Setting kept. ");
    }
    let mut said =
        vec![when_and_who(record, numbered.fact), with_what(record, numbered.fact, &trial.powers)];
    said.extend(finding.marks.iter().cloned());
    if !trial.note.is_empty() {
        said.push(trial.note.clone());
    }
    let said = said.join("; ");
    remarks = if is_struck { remarks.struck(&said) } else { remarks.plain(&said) };
    if let Some(why) = struck(record, numbered.fact) {
        remarks = remarks.plain("\n").strong(&why);
    }
    Row {
        cells: vec![
            plain(&numbered.number.to_string()),
            plain(trial.upper.text()),
            plain(trial.lower.text()),
            plain(trial.powers.forward.text()),
            plain(&reflected(&trial.powers)),
            plain(&swr),
            remarks,
        ],
        struck: false,
    }
}

/// The reflected power as read; "below 0.05" where the range shows no less.
pub(super) fn reflected(powers: &PowerPair) -> String {
    let text = powers.reflected.text();
    if powers.reflected_below { format!("below {text}") } else { text.to_owned() }
}

/// The instrument by its mark in the list of instruments, with the ranges used.
pub(super) fn with_what(record: &Record, fact: &Fact, powers: &PowerPair) -> String {
    format!(
        "{}, ranges {} and {}",
        instrument_mark(record, fact),
        powers.forward_range.text(),
        powers.reflected_range
    )
}
