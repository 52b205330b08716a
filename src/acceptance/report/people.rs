//! Who worked on the job and with which instruments.

use uuid::Uuid;

use crate::acceptance::report::items;
use crate::acceptance::report::sources::Sources;
use crate::acceptance::report::topics::Topic;
use crate::clock::Date;
use crate::jobs::model::{Body, Fact, Record};
use crate::paper::{Column, Document, Level, Table, Words};
use crate::rf::quantity::Typed;

pub(super) fn chapter(report: &mut Document, sources: &Sources<'_>) {
    let record = &sources.dossier.record;
    report.heading(Level::Section, "People");
    let mut table = Table::new(vec![
        Column::text("Name", 1.0),
        Column::text("Firm", 1.0),
        Column::fit("Role"),
        Column::text("On this job", 2.0),
    ]);
    for named in &record.people {
        let did = what_they_did(record, named.uuid);
        table.row([&named.name, &named.firm, &named.role, &did]);
    }
    report.table(table);
    report.heading(Level::Section, "Instruments and their certificates");
    if record.instruments.is_empty() {
        report.paragraph("No measurement with an instrument is on the record.");
    } else {
        report.table(instruments(record));
    }
    items::told(report, sources, Topic::Instruments);
}

fn kind(body: &Body) -> Option<[&'static str; 2]> {
    Some(match body {
        Body::StandSetup(_) => ["stand set-up", "stand set-ups"],
        Body::Trial(_) => ["trial", "trials"],
        Body::ChosenSetting(_) => ["choice of the setting", "choices of the setting"],
        Body::Reading(_) => ["installed reading", "installed readings"],
        Body::Answer(_) => ["answer to a check", "answers to checks"],
        Body::Explanation(_) => ["explanation", "explanations"],
        Body::Photo(_) => ["photo", "photos"],
        Body::Snag(_) => ["snag raised", "snags raised"],
        Body::SnagClosed(_) => ["snag closed", "snags closed"],
        Body::AsBuilt(_) => ["entry of what was built", "entries of what was built"],
        Body::ExposureSurvey(_) => ["exposure survey", "exposure surveys"],
        Body::Release(_) => ["release", "releases"],
        Body::HoldRelease(_) => ["release of a held check", "releases of held checks"],
        Body::SameDayCheck(_) => ["same-day check of a meter", "same-day checks of meters"],
        Body::Withdrawal => ["withdrawal", "withdrawals"],
        Body::Independence(_) => ["setting of the release class", "settings of the release class"],
        Body::Declaration(_) => ["declaration", "declarations"],
        Body::Return(_) => ["return", "returns"],
        Body::Acceptance(_) => return None,
    })
}

fn what_they_did(record: &Record, person: Uuid) -> String {
    let mut counts: Vec<([&'static str; 2], usize)> = Vec::new();
    let mut did = Vec::new();
    if record.job.opened_by == Some(person) {
        did.push("opened the job".to_owned());
    }
    for fact in record.facts.iter().filter(|fact| fact.by == Some(person)) {
        let Some(words) = kind(&fact.body) else { continue };
        match counts.iter_mut().find(|(known, _)| *known == words) {
            Some((_, count)) => *count += 1,
            None => counts.push((words, 1)),
        }
    }
    did.extend(
        counts
            .into_iter()
            .map(|([one, many], count)| format!("{count} {}", if count == 1 { one } else { many })),
    );
    if record.acceptance().is_some_and(|(fact, _)| fact.by == Some(person)) {
        did.push("accepted the job".to_owned());
    }
    if did.is_empty() { "nothing on the record".to_owned() } else { did.join(", ") }
}

/// The mark of a fact's instrument in the list of instruments: `I1`.
pub(super) fn instrument_mark(record: &Record, fact: &Fact) -> String {
    let at = fact.calibration.and_then(|pinned| {
        record.instruments.iter().position(|one| one.calibration.uuid == pinned)
    });
    at.map_or_else(|| "no instrument named".to_owned(), |index| format!("I{}", index + 1))
}

fn instruments(record: &Record) -> Table {
    let mut table = Table::new(vec![
        Column::fit(""),
        Column::text("Instrument", 1.5),
        Column::text("Certificate", 1.2),
        Column::text("Calibrated,\ndue", 0.8),
        Column::text("Accuracy, of\nfull scale", 0.8),
        Column::text("Directivity", 0.7),
        Column::text("Ranges,\nW", 0.8),
    ]);
    let day = |date: Option<Date>| date.map_or_else(|| "not stated".to_owned(), Date::shown);
    for (index, instrument) in record.instruments.iter().enumerate() {
        let statement = &instrument.calibration.statement;
        let certificate =
            if statement.certificate.is_empty() { "none stated" } else { &statement.certificate };
        let ranges: Vec<&str> = statement.ranges.iter().map(Typed::text).collect();
        let directivity = statement.directivity.as_ref().map(ToString::to_string);
        table.row([
            Words::from(format!("I{}", index + 1)),
            Words::from(&instrument.name)
                .plain("\n")
                .soft(&format!("serial number {}; {}", instrument.serial, instrument.firm)),
            Words::from(certificate),
            Words::from(format!("{}\n{}", day(statement.calibrated_on), day(statement.due_on))),
            Words::from(statement.accuracy.to_string()),
            Words::from(directivity.unwrap_or_else(|| "not stated".to_owned())),
            Words::from(ranges.join("; ")),
        ]);
    }
    table
}
