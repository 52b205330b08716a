//! The answer to each item: a person's where a person answers, derived where the record can answer.

mod answered;
mod applies;
mod derived;
mod held;

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::clock::Date;
use crate::jobs::findings::installed::{ComparisonFinding, ReadingFinding};
use crate::jobs::findings::items::applies::Applies;
use crate::jobs::findings::stages::StageFinding;
use crate::jobs::findings::stand::StandFinding;
use crate::jobs::model::{Answer, Fact, How, Record};
use crate::profiles::model::{Answering, Item, Stage};
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
    /// Whether "not applicable" follows from facts, so that it needs no second person.
    #[serde(default, skip_serializing_if = "is_false")]
    pub from_facts: bool,
    /// How the answer was come by, where that is told beside it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub how: Option<How>,
    /// The hold on its answer, where there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hold: Option<HoldFinding>,
}

/// How the hold on an answer stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct HoldFinding {
    /// The answer that is held.
    pub answer: Uuid,
    /// Its release; `None` while it stops the work.
    pub released: Option<Uuid>,
}

impl ItemFinding {
    /// Whether a person said that it does not apply: whoever releases the gate confirms it.
    #[must_use]
    pub fn judged_beside(&self) -> bool {
        self.answer == Some(Answer::NotApplicable) && !self.from_facts
    }
}

fn is_false(flag: &bool) -> bool {
    !flag
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
    from_facts: bool,
    how: Option<How>,
    hold: Option<HoldFinding>,
}

impl Found {
    fn open(evidence: impl Into<String>) -> Self {
        Self { evidence: evidence.into(), ..Self::default() }
    }

    fn of(answer: Answer, evidence: impl Into<String>) -> Self {
        Self { answer: Some(answer), evidence: evidence.into(), ..Self::default() }
    }

    /// Not applicable, as facts say.
    fn without(why: impl Into<String>) -> Self {
        Self { from_facts: true, ..Self::of(Answer::NotApplicable, why) }
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

/// What all items look at.
struct Sources<'a> {
    record: &'a Record,
    stand: &'a StandFinding,
    readings: &'a [ReadingFinding],
    comparison: Option<&'a ComparisonFinding>,
    day: Date,
}

/// Every item that jobs of this kind have, in the profile's order.
///
/// - `day`: today at the site's clock, by which concessions expire
pub(super) fn find(
    record: &Record,
    stand: &StandFinding,
    readings: &[ReadingFinding],
    comparison: Option<&ComparisonFinding>,
    day: Date,
) -> Vec<ItemFinding> {
    let sources = Sources { record, stand, readings, comparison, day };
    let mut findings = Vec::new();
    for item in record.profile.items.iter().filter(|item| item.is_for(record.job.kind)) {
        let finding = sources.finding(item, &findings);
        findings.push(finding);
    }
    findings
}

impl Sources<'_> {
    fn finding(&self, item: &Item, before: &[ItemFinding]) -> ItemFinding {
        let mut found = match self.applies(item.when) {
            Applies::Yes => {
                let found = match item.answer {
                    Answering::Tick | Answering::Value => self.answered(item),
                    Answering::Snags => self.snags(before),
                    _ => self.derived(item),
                };
                let found = self.judged_beside(item, found);
                let found = self.held(item, found, before);
                self.conceded(item, found)
            }
            Applies::No(why, by) => Found::without(why).resting_on(by),
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
            from_facts: found.from_facts,
            how: found.how,
            hold: found.hold,
        }
    }
}

/// Says of each item that a person called not applicable who confirmed it, with the release of its gate.
pub(super) fn confirmed(record: &Record, items: &mut [ItemFinding], stages: &[StageFinding]) {
    for item in items.iter_mut().filter(|item| item.judged_beside()) {
        let gate = stages.iter().find(|gate| gate.stage == item.stage && gate.is_open());
        let release = gate.and_then(|gate| gate.released).and_then(|uuid| record.fact(uuid));
        let said = match release {
            Some(fact) => format!(
                "confirmed by {} with the release of {}",
                record.name(fact.by),
                fact.measured.shown()
            ),
            None => "to be confirmed by whoever releases the gate".to_owned(),
        };
        item.evidence = joined(std::mem::take(&mut item.evidence), &said);
    }
}
