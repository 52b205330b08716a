//! What is to be put right on a job: the snags that were raised, and those that follow from the record by
//! themselves. A deferred answer is a class B snag with its owner and day; RF on the installed antenna out
//! of sequence is a class A snag until a manager grants a concession for it. They have no row of their own,
//! so that nobody can forget them and nobody can raise them twice.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::clock::Date;
use crate::equipment::model::ChainPart;
use crate::jobs::findings::items::ItemFinding;
use crate::jobs::model::{Answer, Answered, Body, Fact, Record, Snag, SnagClass, SnagClosed};
use crate::measurements::model::Reading;
use crate::profiles::model::Answering;
use crate::words::{joined, words};

words! {
    /// Where a snag comes from.
    SnagOrigin {
        /// Somebody raised it.
        Raised = "raised" / "raised",
        /// A check was deferred.
        Deferred = "deferred" / "deferred check",
        /// RF on the installed antenna before its gate.
        OutOfSequence = "out-of-sequence" / "RF out of sequence",
    }
}

/// A snag as it stands.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SnagFinding {
    /// The snag's own fact, or the answer or reading that it follows from.
    pub fact: Uuid,
    /// Where it comes from.
    pub origin: SnagOrigin,
    /// How much it weighs.
    pub class: SnagClass,
    /// What is wrong.
    pub text: String,
    /// Who puts it right; empty while nobody is named.
    pub owner: String,
    /// By which day.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub due_on: Option<Date>,
    /// The item it concerns, by id.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub item: Option<String>,
    /// The part it concerns, in words; empty for none.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub part: String,
    /// How it was closed; `None` while it is open.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub closed: Option<ClosingFinding>,
    /// The photos about it, in the order of entry.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub photos: Vec<Uuid>,
}

/// How a snag was closed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ClosingFinding {
    /// The fact that closed it.
    pub fact: Uuid,
    /// What was done, with its proof.
    pub what: String,
}

impl SnagFinding {
    /// Whether it is still to be put right.
    #[must_use]
    pub fn is_open(&self) -> bool {
        self.closed.is_none()
    }

    /// Whether acceptance waits for it.
    #[must_use]
    pub fn stops_acceptance(&self) -> bool {
        self.is_open() && self.class == SnagClass::A
    }

    /// Whether it is open, is to be put right by a day, and nobody or no day is named.
    #[must_use]
    pub fn is_unowned(&self) -> bool {
        let named = !self.owner.is_empty() && self.due_on.is_some();
        self.is_open() && self.class == SnagClass::B && !named
    }

    /// The mark and the word of its state.
    #[must_use]
    pub fn state(&self) -> (&'static str, String) {
        match (self.is_open(), self.is_unowned()) {
            (false, _) => ("tick", format!("closed, was {}", self.class.word())),
            (true, true) => (self.class.mark(), "B, owner or day missing".to_owned()),
            (true, false) => (self.class.mark(), self.class.short().to_owned()),
        }
    }

    /// Who puts it right and by when, in words; empty where neither is named.
    #[must_use]
    pub fn left_to(&self) -> String {
        let due = self.due_on.map(|due| format!("by {}", due.shown()));
        let owner = Some(self.owner.clone()).filter(|owner| !owner.is_empty());
        owner.into_iter().chain(due).collect::<Vec<_>>().join(", ")
    }
}

/// How many snags of each class are open: A, B, C.
#[must_use]
pub fn open_by_class(snags: &[SnagFinding]) -> [usize; 3] {
    let open = |class| snags.iter().filter(|snag| snag.is_open() && snag.class == class).count();
    [open(SnagClass::A), open(SnagClass::B), open(SnagClass::C)]
}

/// The open snags in words: "1 A, 2 B open"; empty where there is none.
#[must_use]
pub fn open_in_words(snags: &[SnagFinding]) -> String {
    let counts = open_by_class(snags).into_iter().zip(SnagClass::ALL);
    let said: Vec<String> = counts
        .filter(|(count, _)| *count > 0)
        .map(|(count, class)| format!("{count} {}", class.word()))
        .collect();
    if said.is_empty() { String::new() } else { format!("{} open", said.join(", ")) }
}

/// Every snag of the record: open before closed, the heavier class first, then in the order of entry.
///
/// - `items`: the findings of the items, for the concession of RF out of sequence
pub(super) fn find(record: &Record, items: &[ItemFinding]) -> Vec<SnagFinding> {
    let sequence = sequence_conceded(record, items);
    let sources = Sources { record, standing: record.standing(), sequence };
    let mut snags: Vec<SnagFinding> = record
        .facts
        .iter()
        .filter_map(|fact| match &fact.body {
            Body::Snag(snag) => sources.raised(fact, snag),
            Body::Answer(answered) if answered.answer == Answer::Deferred => {
                sources.deferred(fact, answered)
            }
            Body::Reading(reading) => sources.out_of_sequence(fact, reading),
            _ => None,
        })
        .collect();
    snags.sort_by_key(|snag| (!snag.is_open(), snag.class));
    snags
}

/// The concession that covers RF out of sequence, where one does.
fn sequence_conceded<'r>(record: &'r Record, items: &[ItemFinding]) -> Option<&'r Fact> {
    let mut all = record.profile.items.iter();
    let item = all.find(|item| item.answer == Answering::RfSequence)?;
    let found = items.iter().find(|found| found.id == item.id)?;
    let conceded = found.answer == Some(Answer::UnderConcession);
    record.conceded(&item.id).filter(|_| conceded).map(|(fact, _)| fact)
}

struct Sources<'r> {
    record: &'r Record,
    /// From each fact's name to the one that stands in its place.
    standing: BTreeMap<Uuid, Uuid>,
    sequence: Option<&'r Fact>,
}

impl Sources<'_> {
    fn stands_for(&self, named: Uuid, fact: &Fact) -> bool {
        self.standing.get(&named) == Some(&fact.uuid)
    }

    fn about(&self, fact: &Fact) -> Vec<Uuid> {
        let photos = self.record.photos();
        let about = photos
            .filter(|(_, photo)| photo.about.is_some_and(|named| self.stands_for(named, fact)));
        about.map(|(photo, _)| photo.uuid).collect()
    }

    fn raised(&self, fact: &Fact, snag: &Snag) -> Option<SnagFinding> {
        if !self.stands_for(fact.uuid, fact) {
            return None;
        }
        let closed = self.record.live().rev().find_map(|one| match &one.body {
            Body::SnagClosed(closed) if self.stands_for(closed.snag, fact) => {
                Some(ClosingFinding { fact: one.uuid, what: done(closed) })
            }
            _ => None,
        });
        let part = snag.part.and_then(|uuid| self.record.part(uuid));
        Some(SnagFinding {
            fact: fact.uuid,
            origin: SnagOrigin::Raised,
            class: snag.class,
            text: snag.text.clone(),
            owner: snag.owner.clone(),
            due_on: snag.due_on,
            item: snag.item.clone(),
            part: part.map(ChainPart::named).unwrap_or_default(),
            closed,
            photos: self.about(fact),
        })
    }

    /// A deferred check stays a snag after it was answered otherwise: a closed one. Put off to another day,
    /// the newer answer is the snag; withdrawn, it was none.
    fn deferred(&self, fact: &Fact, answered: &Answered) -> Option<SnagFinding> {
        let next = self.record.facts.iter().find(|later| later.supersedes == Some(fact.uuid));
        let closed = match next.map(|later| &later.body) {
            None => None,
            Some(Body::Answer(later)) if later.answer != Answer::Deferred => {
                let now = self.record.fact(*self.standing.get(&fact.uuid)?)?;
                Some(ClosingFinding { fact: now.uuid, what: said(self.record, now) })
            }
            Some(_) => return None,
        };
        let item = self.record.profile.item(&answered.item);
        let question = item.map_or(answered.item.as_str(), |item| item.text.as_str());
        Some(SnagFinding {
            fact: fact.uuid,
            origin: SnagOrigin::Deferred,
            class: SnagClass::B,
            text: joined(question.to_owned(), &answered.note),
            owner: answered.owner.clone(),
            due_on: answered.due_on,
            item: Some(answered.item.clone()),
            part: String::new(),
            closed,
            photos: self.about(fact),
        })
    }

    fn out_of_sequence(&self, fact: &Fact, reading: &Reading) -> Option<SnagFinding> {
        let reason = reading.out_of_sequence.as_ref()?;
        if !self.stands_for(fact.uuid, fact) {
            return None;
        }
        let mut items = self.record.profile.items.iter();
        let item = items.find(|item| item.answer == Answering::RfSequence);
        let closed = self.sequence.map(|concession| ClosingFinding {
            fact: concession.uuid,
            what: said(self.record, concession),
        });
        Some(SnagFinding {
            fact: fact.uuid,
            origin: SnagOrigin::OutOfSequence,
            class: SnagClass::A,
            text: format!(
                "RF on the installed antenna before the gate “ready for RF”, {}: {reason}",
                fact.measured.shown()
            ),
            owner: String::new(),
            due_on: None,
            item: item.map(|item| item.id.clone()),
            part: String::new(),
            closed,
            photos: self.about(fact),
        })
    }
}

fn done(closed: &SnagClosed) -> String {
    let by = Some(format!("by {}", closed.done_by)).filter(|_| !closed.done_by.is_empty());
    let proof = Some(format!("proof: {}", closed.proof)).filter(|_| !closed.proof.is_empty());
    let said = std::iter::once(closed.done.clone()).chain(by).chain(proof);
    said.collect::<Vec<_>>().join("; ")
}

/// What an answer says, without its question.
fn said(record: &Record, fact: &Fact) -> String {
    let Body::Answer(answered) = &fact.body else { return String::new() };
    let value = answered.value.as_deref().unwrap_or_default();
    let words = [answered.answer.shown(), value, &answered.note];
    let said: Vec<&str> = words.into_iter().filter(|part| !part.is_empty()).collect();
    format!("{}, {}", said.join("; "), record.name(fact.by))
}

#[cfg(test)]
mod tests;
