//! What people answered, judged anew each time, and what a manager conceded.

use crate::clock::Date;
use crate::jobs::findings::items::Found;
use crate::jobs::findings::items::Sources;
use crate::jobs::model::{Answer, Answered, How};
use crate::profiles::model::{Item, Limit};
use crate::rf::quantity::Quantity;
use crate::words::joined;

impl Sources<'_> {
    /// "Not applicable" by a person, for an item of which the record itself has nothing to say. What the record
    /// does say stands.
    pub(super) fn judged_beside(&self, item: &Item, found: Found) -> Found {
        if found.answer.is_some() || !item.answer.is_derived() {
            return found;
        }
        match self.record.answered(&item.id) {
            Some((fact, answered)) if answered.answer == Answer::NotApplicable => {
                Found::of(Answer::NotApplicable, words(answered)).on(fact)
            }
            _ => found,
        }
    }

    pub(super) fn answered(&self, item: &Item) -> Found {
        let Some((fact, answered)) = self.record.answered(&item.id) else {
            return Found::open("not answered yet");
        };
        let by_value = answered.answer == Answer::Passed || answered.answer == Answer::Failed;
        if by_value && let Some(judged) = self.judged(item, answered) {
            return judged.noted(&answered.note).on(fact);
        }
        let found = Found::of(answered.answer, words(answered)).on(fact);
        let instead = by_value && !answered.method.is_empty() && answered.number.is_none();
        Found { how: instead.then_some(How::MethodInstead), ..found }
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
            Limit::Within(most) => {
                let unit = item.unit.map_or("", |unit| unit.shown());
                let against = format!("limit ± {} {unit}", most.text());
                (number.abs() <= most.number(), against, None)
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
    pub(super) fn conceded(&self, item: &Item, found: Found) -> Found {
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
        if let Some(over) = conceded.due_on.filter(|until| *until < self.day) {
            let expired =
                format!("the concession of {} expired on {}", fact.measured.shown(), over.shown());
            return found.noted(&expired);
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
    let said = joined(measured, &answered.note);
    let condition = match answered.condition.as_str() {
        "" => String::new(),
        condition => format!("on condition: {condition}"),
    };
    joined(joined(said, &condition), &left)
}
