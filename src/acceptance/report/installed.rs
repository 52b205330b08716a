//! Installed: stand against installed, and the readings.

use crate::acceptance::report::items;
use crate::acceptance::report::said::{cell, or_not_measured, struck, two_by_two, when_and_who};
use crate::acceptance::report::sources::Sources;
use crate::acceptance::report::stand::{reflected, with_what};
use crate::acceptance::report::topics::Topic;
use crate::figure::comparison_plot;
use crate::jobs::dossier::Dossier;
use crate::jobs::findings::{ComparisonFinding, Known, ReadingFinding};
use crate::jobs::model::{Body, Fact, Record};
use crate::jobs::pictures;
use crate::measurements::model::Reading;
use crate::paper::{COLUMN_PIXELS, Column, Document, Level, Row, Table, Words};
use crate::rf::comparison::CHECKS_CAUTION;

pub(super) fn chapter(report: &mut Document, sources: &Sources<'_>) {
    let dossier = sources.dossier;
    report.heading(Level::Section, "Stand against installed");
    match &dossier.findings.comparison {
        Some(comparison) => compared(report, dossier, comparison),
        None => report.paragraph(
            "No installed reading is on the record: the installed SWR is not measured, and nothing \
             can be compared.",
        ),
    }
    readings(report, dossier);
    items::told(report, sources, Topic::Installed);
}

fn compared(report: &mut Document, dossier: &Dossier, comparison: &ComparisonFinding) {
    let plot = pictures::comparison_plot(dossier, None);
    report.keep_together(|report| {
        report.figure(
            &comparison_plot::draw(&plot, COLUMN_PIXELS),
            Some("Each bar is what meter, range and directivity allow."),
        );
        report.paragraph(
            Words::new()
                .strong(&comparison.headline)
                .plain(" ")
                .plain(&comparison.explanation)
                .plain(" ")
                .plain(&comparison.at_antenna),
        );
    });
    if !comparison.checks.is_empty() {
        report.caution(CHECKS_CAUTION);
        for check in &comparison.checks {
            report.item(check);
        }
    }
    let record = &dossier.record;
    match record.explanation(comparison.reading) {
        Some((fact, explanation)) => report.facts([
            ("Cause found", explanation.cause.clone()),
            ("What was checked", explanation.checked.clone()),
            ("Explained", when_and_who(record, fact)),
        ]),
        None if comparison.wants_explanation => {
            report.facts([("Explanation", "asked for, and not given yet")]);
        }
        None => {}
    }
}

fn readings(report: &mut Document, dossier: &Dossier) {
    let record = &dossier.record;
    let all: Vec<(&Fact, &Reading)> = record
        .facts
        .iter()
        .filter_map(|fact| match &fact.body {
            Body::Reading(reading) => Some((fact, reading)),
            _ => None,
        })
        .collect();
    if all.is_empty() {
        report.heading(Level::Section, "Readings");
        report.paragraph("Installed SWR, power and radiated power are not measured.");
        return;
    }
    if let (Some((fact, reading)), Some(finding)) =
        (record.installed(), dossier.findings.installed(record))
    {
        report.heading(Level::Section, "The reading that counts, measured last");
        report.table(two_by_two(reading_facts(record, fact, reading, finding)));
        report.facts(reading_remarks(reading, finding));
    }
    if all.len() == 1 {
        return;
    }
    report.heading(Level::Section, "All readings");
    let mut table = Table::new(vec![
        Column::figures("Forward,\nW"),
        Column::figures("Reflected,\nW"),
        Column::text("SWR at the meter", 1.0),
        Column::text("SWR at the antenna input", 1.2),
        Column::text("When, by whom, with what; remarks", 2.4),
    ]);
    for (fact, reading) in all {
        table.rows.push(reading_row(dossier, fact, reading));
    }
    report.table(table);
}

fn shown(known: Option<&Known>) -> String {
    or_not_measured(known.map(Known::shown))
}

/// The figure at the antenna input, or why it is withheld.
fn at_antenna(finding: &ReadingFinding) -> String {
    finding.withheld.clone().unwrap_or_else(|| shown(finding.at_antenna.as_ref()))
}

fn yes_no(answer: bool) -> &'static str {
    if answer { "yes" } else { "no" }
}

fn reading_facts(
    record: &Record,
    fact: &Fact,
    reading: &Reading,
    finding: &ReadingFinding,
) -> Vec<(&'static str, String)> {
    let [least, most] = &finding.loss_interval_db;
    let forward = finding.forward_interval_w.as_ref();
    let allowed = forward.map(|[low, high]| format!(" ({:.0} to {:.0} W)", low.0, high.0));
    vec![
        ("Measured", when_and_who(record, fact)),
        ("Place", pictures::point_name(record)),
        ("Frequency", reading.frequency.to_string()),
        ("Forward power", format!("{}{}", reading.powers.forward, allowed.unwrap_or_default())),
        ("Reflected power", format!("{} W", reflected(&reading.powers))),
        ("With", with_what(record, fact, &reading.powers)),
        ("Power set", or_not_measured(reading.power_set.as_ref())),
        ("Power the transmitter said it made", or_not_measured(reading.power_made.as_ref())),
        ("Folding back", yes_no(reading.fold_back).to_owned()),
        ("Also read with the own transmitter off", or_not_measured(reading.others_off.map(yes_no))),
        ("Weather at the antenna", reading.weather.shown().to_owned()),
        ("Air temperature", or_not_measured(reading.temperature.as_ref())),
        ("SWR at the meter", shown(finding.at_meter.as_ref())),
        (
            "Loss up to the antenna input",
            format!("{:.2} dB ({:.2} to {:.2} dB)", finding.loss_db.0, least.0, most.0),
        ),
        ("SWR at the antenna input", at_antenna(finding)),
        (
            "Power that reaches the antenna",
            or_not_measured(finding.at_antenna_w.map(|watts| format!("{:.0} W", watts.0))),
        ),
        ("ERP", or_not_measured(finding.erp_w.map(|watts| format!("{:.0} W", watts.0)))),
        (
            "RF chain at the time",
            record.chain_of(fact).map_or_else(
                || "not recorded".to_owned(),
                |chain| format!("revision {}", chain.revision),
            ),
        ),
    ]
}

/// What is odd about the reading, and its note.
fn reading_remarks(reading: &Reading, finding: &ReadingFinding) -> Vec<(&'static str, String)> {
    let remarks = [("Remarks", finding.marks.join("; ")), ("Note", reading.note.clone())];
    remarks.into_iter().filter(|(_, said)| !said.is_empty()).collect()
}

fn reading_row(dossier: &Dossier, fact: &Fact, reading: &Reading) -> Row {
    let record = &dossier.record;
    let why = struck(record, fact);
    let is_struck = why.is_some();
    let finding = dossier.findings.readings.iter().find(|finding| finding.fact == fact.uuid);
    let (meter, antenna) = match finding {
        Some(finding) => (shown(finding.at_meter.as_ref()), at_antenna(finding)),
        None => ("struck".to_owned(), "struck".to_owned()),
    };
    let mut said = vec![when_and_who(record, fact), with_what(record, fact, &reading.powers)];
    said.push(format!("on {}, {}", reading.frequency, reading.weather.shown()));
    said.extend(finding.map(|finding| finding.marks.clone()).unwrap_or_default());
    if !reading.note.is_empty() {
        said.push(reading.note.clone());
    }
    let mut remarks = cell(&said.join("; "), is_struck);
    if let Some(why) = why {
        remarks = remarks.plain("\n").strong(&why);
    }
    Row {
        cells: vec![
            cell(reading.powers.forward.text(), is_struck),
            cell(&reflected(&reading.powers), is_struck),
            cell(&meter, false),
            cell(&antenna, false),
            remarks,
        ],
        struck: false,
    }
}
