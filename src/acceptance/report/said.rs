//! Words that the sections of a report share: who and when, what is missing, what is struck.

use uuid::Uuid;

use crate::clock::Utc;
use crate::figure::State;
use crate::jobs::dossier::Dossier;
use crate::jobs::findings::ItemFinding;
use crate::jobs::model::{Answer, Body, Fact, JobClass, Manner, Record};
use crate::jobs::pictures;
use crate::paper::{Column, Table, Words};
use crate::profiles::model::Stage;

/// In place of a value that there is not: a report has no blank and no 0 for it.
pub(super) const NOT_MEASURED: &str = "not measured";

/// Entered so much later than measured or done is worth saying: people write things down in the same
/// hour (common practice, no source).
const LATER_SECONDS: i64 = 3600;

/// The value, or that it was not measured.
pub(super) fn or_not_measured(value: Option<impl ToString>) -> String {
    value.map_or_else(|| NOT_MEASURED.to_owned(), |value| value.to_string())
}

/// `Ines Alder, Ternfold Aerials`
pub(super) fn name_and_firm(record: &Record, person: Option<Uuid>) -> String {
    let found = person.and_then(|uuid| record.people.iter().find(|named| named.uuid == uuid));
    found.map_or_else(|| record.name(person), |named| format!("{}, {}", named.name, named.firm))
}

/// `12 Mar 2031 14:05 +01:00, Ines Alder`, and when it was entered where that was much later.
pub(super) fn when_and_who(record: &Record, fact: &Fact) -> String {
    let mut said = format!("{}, {}", fact.measured.shown(), record.name(fact.by));
    if fact.entered_at.seconds() - fact.measured.at.seconds() > LATER_SECONDS {
        let entered = record.site.time_zone().measured(fact.entered_at);
        said.push_str(&format!(", entered {}", entered.shown()));
    }
    said
}

/// An empty table of revisions.
pub(super) fn revision_table(what: &str) -> Table {
    Table::new(vec![Column::figures("Revision"), Column::fit("Entered"), Column::text(what, 1.0)])
}

/// When a revision was entered, at the site's clock.
pub(super) fn entered(record: &Record, at: Utc) -> String {
    record.site.time_zone().measured(at).shown()
}

/// Who struck the fact, when and why; `None` while it holds.
pub(super) fn struck(record: &Record, fact: &Fact) -> Option<String> {
    let by = *record.struck().get(&fact.uuid)?;
    let how = if by.body == Body::Withdrawal { "withdrawn" } else { "corrected" };
    let reason = by.reason.as_deref().unwrap_or("no reason given");
    Some(format!("{how} {}: {reason}", when_and_who(record, by)))
}

/// Short facts, two beside each other in a row.
pub(super) fn two_by_two<N: AsRef<str>, V: Into<Words>>(
    facts: impl IntoIterator<Item = (N, V)>,
) -> Table {
    let name = || Column::text("", 1.0);
    let mut table = Table::new(vec![name(), Column::text("", 1.3), name(), Column::text("", 1.3)]);
    table.headless = true;
    let mut cells: Vec<Words> = Vec::new();
    for (name, value) in facts {
        cells.extend([Words::new().soft(name.as_ref()), value.into()]);
        if cells.len() == 4 {
            table.row(std::mem::take(&mut cells));
        }
    }
    if !cells.is_empty() {
        table.row(cells);
    }
    table
}

/// A cell's words, with a line through them where a correction struck them.
pub(super) fn cell(text: &str, struck: bool) -> Words {
    if struck { Words::new().struck(text) } else { Words::from(text) }
}

/// The state of an item: mark and word.
pub(super) fn state(answer: Option<Answer>) -> State {
    State::new(pictures::mark(answer), pictures::word(answer))
}

/// The fact by which somebody let a not-shown item pass on its point value: the release of its stage,
/// or for the last stage the declaration; `None` for any other item.
#[must_use]
pub fn accepted_on_point<'r>(dossier: &'r Dossier, item: &ItemFinding) -> Option<&'r Fact> {
    if item.answer != Some(Answer::NotShown) || !item.point_within {
        return None;
    }
    let gate = dossier.findings.stages.iter().find(|gate| gate.stage == item.stage)?;
    if gate.is_open() {
        return dossier.record.fact(gate.released?);
    }
    let last = item.stage == Stage::HandOver;
    dossier.record.declaration().filter(|_| last).map(|(fact, _)| fact)
}

/// The value measured for an item.
pub(super) fn last_value(record: &Record, item: &str) -> Option<String> {
    record.answered(item)?.1.value.clone()
}

/// How independent the job's releases are, as a sentence for the first page, with every change of it.
#[must_use]
pub fn class_sentence(record: &Record) -> String {
    let mut said = match record.class() {
        JobClass::Independent => {
            "Independent release: a gate is released by someone who did no item of its stage."
        }
        JobClass::Remote => {
            "Remote release: gates are released by someone elsewhere, on the evidence on the record and with a read-back."
        }
        JobClass::SingleHanded => {
            "SINGLE-HANDED: the same person may do the work, release its gates and accept it. Nobody else need have looked at it."
        }
    }
    .to_owned();
    let own = record.facts.iter().filter(|fact| {
        matches!(&fact.body, Body::Release(release) if release.manner == Manner::SingleHanded)
    });
    match own.count() {
        0 => {}
        1 => said.push_str(" 1 release was given by the one who did the work."),
        own => said.push_str(&format!(" {own} releases were given by the one who did the work.")),
    }
    let mut before = None;
    for fact in record.live() {
        let Body::Independence(class) = fact.body else { continue };
        if let Some(before) = before.filter(|before| *before != class) {
            said.push_str(&format!(
                " Changed from {} to {}: {}.",
                JobClass::shown(before),
                class.shown(),
                when_and_who(record, fact)
            ));
        }
        before = Some(class);
    }
    let declared = record.declaration().and_then(|(fact, _)| fact.by);
    let accepted = record.acceptance().and_then(|(fact, _)| fact.by);
    if accepted.is_some() && accepted == declared {
        said.push_str(" It was accepted by the one who declared it complete.");
    }
    said
}
