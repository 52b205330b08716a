//! The answer to each item: a person's where a person answers, derived where the record can answer.

mod arrester;
mod derived;
mod site;

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::clock::Date;
use crate::jobs::findings::installed::{ComparisonFinding, ReadingFinding};
use crate::jobs::findings::stand::StandFinding;
use crate::jobs::model::{Answer, Answered, Fact, Record};
use crate::profiles::model::{Answering, Condition, Item, Limit, Stage};
use crate::rf::quantity::Quantity;
use crate::words::joined;

/// What is known of an item.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ItemFinding {
    /// The item's id.
    pub id: String,
    /// The stage it belongs to.
    pub stage: Stage,
    /// The question.
    pub text: String,
    /// The answer; `None` while it is open.
    pub answer: Option<Answer>,
    /// What the answer rests on, in words.
    pub evidence: String,
    /// Whether the server answers it.
    pub derived: bool,
    /// For "not shown": whether the point value by itself is within the limit.
    pub point_within: bool,
    /// The facts, revisions and calibrations beneath it, by name, sorted.
    pub rests_on: Vec<Uuid>,
    /// The persons whose facts stand beneath it.
    pub doers: Vec<Uuid>,
    /// The fact to correct: the person's answer, or the measurement beneath.
    pub fact: Option<Uuid>,
}

/// An answer on the way.
#[derive(Debug, Default)]
struct Found {
    answer: Option<Answer>,
    evidence: String,
    point_within: bool,
    rests_on: Vec<Uuid>,
    doers: Vec<Uuid>,
    fact: Option<Uuid>,
}

impl Found {
    fn open(evidence: impl Into<String>) -> Self {
        Self { evidence: evidence.into(), ..Self::default() }
    }

    fn of(answer: Answer, evidence: impl Into<String>) -> Self {
        Self { answer: Some(answer), evidence: evidence.into(), ..Self::default() }
    }

    /// The same, resting on a fact and on what it pins.
    fn on(mut self, fact: &Fact) -> Self {
        self.rests_on.push(fact.uuid);
        self.rests_on.extend(fact.calibration);
        self.doers.extend(fact.by);
        self.fact = self.fact.or(Some(fact.uuid));
        self
    }

    /// The same with what somebody noted.
    fn noted(self, note: &str) -> Self {
        Self { evidence: joined(self.evidence, note), ..self }
    }

    fn resting_on(mut self, revision: Option<Uuid>) -> Self {
        self.rests_on.extend(revision);
        self
    }
}

/// What all derived items look at.
struct Sources<'a> {
    record: &'a Record,
    stand: &'a StandFinding,
    readings: &'a [ReadingFinding],
    comparison: Option<&'a ComparisonFinding>,
}

pub(super) fn find(
    record: &Record,
    stand: &StandFinding,
    readings: &[ReadingFinding],
    comparison: Option<&ComparisonFinding>,
) -> Vec<ItemFinding> {
    let sources = Sources { record, stand, readings, comparison };
    record.profile.items.iter().map(|item| sources.finding(item)).collect()
}

impl Sources<'_> {
    fn finding(&self, item: &Item) -> ItemFinding {
        let mut found = if self.applies(item.when) {
            let found = match item.answer {
                Answering::Tick | Answering::Value => self.answered(item),
                derived => self.derived(derived),
            };
            self.conceded(item, found)
        } else {
            Found::of(Answer::NotApplicable, "no arrester in the chain")
                .resting_on(self.record.chain().map(|chain| chain.revision_uuid))
        };
        found.rests_on.sort();
        found.rests_on.dedup();
        found.doers.sort();
        found.doers.dedup();
        ItemFinding {
            id: item.id.clone(),
            stage: item.stage,
            text: item.text.clone(),
            answer: found.answer,
            evidence: found.evidence,
            derived: item.answer.is_derived(),
            point_within: found.point_within,
            rests_on: found.rests_on,
            doers: found.doers,
            fact: found.fact,
        }
    }

    fn applies(&self, condition: Condition) -> bool {
        match condition {
            Condition::Always => true,
            // Without a chain it is not known whether there is one: the item stays open.
            Condition::ArresterFitted => {
                self.record.chain().is_none_or(|chain| chain.arrester().is_some())
            }
        }
    }

    fn answered(&self, item: &Item) -> Found {
        let Some((fact, answered)) = self.record.answered(&item.id) else {
            return Found::open("not answered yet");
        };
        let by_value = answered.answer == Answer::Passed || answered.answer == Answer::Failed;
        if by_value && let Some(judged) = self.judged(item, answered) {
            return judged.noted(&answered.note).on(fact);
        }
        Found::of(answered.answer, words(answered)).on(fact)
    }

    /// A value against its limit, judged anew from the number each time; `None` without number or limit.
    fn judged(&self, item: &Item, answered: &Answered) -> Option<Found> {
        let (limit, number) = (item.limit.as_ref()?, answered.number?.0);
        let mut value = answered.value.clone().unwrap_or_default();
        if !answered.method.is_empty() {
            value = format!("{value} by {}", answered.method);
        }
        let (holds, against, revision) = match limit {
            Limit::AtMost(most) => {
                let unit = item.unit.map_or("", |unit| unit.shown());
                let against = format!("limit at most {} {unit}", most.text());
                (number <= most.number(), against, None)
            }
            Limit::NearAuthorisedHeightM(room) => {
                let Some(assignment) = self.record.assignment() else {
                    return Some(Found::open(value));
                };
                let height = &assignment.particulars.height;
                let apart = (number - height.value().value()).abs();
                (
                    // A millimetre of room: 30.5 + 1 is not exactly 31.5 in binary.
                    apart <= room.number() + 1e-3,
                    format!("authorised {height} ± {} m", room.text()),
                    Some(assignment.revision_uuid),
                )
            }
        };
        let answer = if holds { Answer::Passed } else { Answer::Failed };
        Some(Found::of(answer, format!("{value}, {against}")).resting_on(revision))
    }

    /// An item that did not pass stands under a concession, if a manager granted one for what is beneath it
    /// now: a permission for SWR 1.6 is none for a later 3.0.
    fn conceded(&self, item: &Item, found: Found) -> Found {
        let settled =
            matches!(found.answer, Some(Answer::Passed | Answer::NotApplicable | Answer::Deferred));
        let Some((fact, conceded)) = self.record.conceded(&item.id).filter(|_| !settled) else {
            return found;
        };
        if !self.record.knew(fact, &found.rests_on) {
            let lapsed =
                format!("the concession of {} was granted on other facts", fact.measured.shown());
            return found.noted(&lapsed);
        }
        let unanswered = found.answer.is_none() && !item.answer.is_derived();
        let before = if unanswered { String::new() } else { found.evidence };
        let evidence = joined(before, &words(conceded));
        Found { answer: Some(Answer::UnderConcession), evidence, ..found }.on(fact)
    }
}

/// A person's answer in words.
fn words(answered: &Answered) -> String {
    let measured = match (&answered.value, answered.method.is_empty()) {
        (Some(value), true) => value.clone(),
        (Some(value), false) => format!("{value}, by {}", answered.method),
        (None, false) => format!("not measurable here; method used instead: {}", answered.method),
        (None, true) => String::new(),
    };
    let day = answered.due_on.map(Date::shown).unwrap_or_default();
    let left = match (answered.owner.is_empty(), answered.due_on.is_some()) {
        (true, false) => String::new(),
        (true, true) if answered.answer == Answer::UnderConcession => format!("until {day}"),
        (true, true) => format!("by {day}"),
        (false, false) => format!("owner {}", answered.owner),
        (false, true) => format!("owner {}, by {day}", answered.owner),
    };
    joined(joined(measured, &answered.note), &left)
}
