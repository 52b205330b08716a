//! The release of one item that stops the work, and the check of a meter on the day of its reading.

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::instruments::model::Statement;
use crate::jobs::model::{Body, Fact, Manner, Record};
use crate::rf::quantity::{Quantity, Typed, Watts};
use crate::words::words;

/// The release of one held item: it covers the answer that it names, and no later one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct HoldRelease {
    /// The item's id.
    pub item: String,
    /// The answer that was looked at.
    pub answer: Uuid,
    /// How it was released.
    pub manner: Manner,
    /// What was read back, by whom and how.
    pub read_back: String,
}

words! {
    /// What a meter was checked against.
    Against {
        /// A load whose reflection is stated.
        KnownLoad = "known-load" / "a known load",
        /// Another meter at the same place and power.
        SecondMeter = "second-meter" / "a second meter",
    }
}

/// A meter checked on the day of its readings, where its calibration has run out. What rests on it is
/// indicative: it holds on that day, and on no certificate.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SameDayCheck {
    /// What it was checked against.
    pub against: Against,
    /// Which load or meter: kind, serial number.
    pub reference: String,
    /// Full scale of the meter's range.
    pub range: Typed<Watts>,
    /// What the meter read.
    pub read: Typed<Watts>,
    /// What the second meter read, or what the load's stated return loss gives back.
    pub expected: Typed<Watts>,
    /// Anything else.
    pub note: String,
}

impl SameDayCheck {
    /// The most that meter and reference may differ: the meter's stated accuracy of its full scale, W.
    /// The reference's own error is not taken in: it can only be asked for.
    #[must_use]
    pub fn allowed_w(&self, statement: &Statement) -> f64 {
        statement.accuracy.value().value() / 100.0 * self.range.value().value()
    }

    /// Whether they agree within what the meter states of itself.
    #[must_use]
    pub fn agrees(&self, statement: &Statement) -> bool {
        let apart = (self.read.value().value() - self.expected.value().value()).abs();
        // A millionth of room for the binary of decimal figures.
        apart <= self.allowed_w(statement) * (1.0 + 1e-6)
    }
}

impl Record {
    /// The last release of a held item's answer.
    ///
    /// - `answer`: the fact that was released; an answer that follows it is held anew
    #[must_use]
    pub fn hold_release(&self, answer: Uuid) -> Option<(&Fact, &HoldRelease)> {
        self.live().rev().find_map(|fact| match &fact.body {
            Body::HoldRelease(release) if release.answer == answer => Some((fact, release)),
            _ => None,
        })
    }

    /// The checks of an instrument that hold, in the order of entry.
    ///
    /// - `instrument`: its name outside; a check holds of it whichever calibration it had
    pub fn same_day_checks(
        &self,
        instrument: Uuid,
    ) -> impl DoubleEndedIterator<Item = (&Fact, &SameDayCheck)> {
        self.live().filter_map(move |fact| match &fact.body {
            Body::SameDayCheck(check)
                if self.instrument_of(fact).is_some_and(|one| one.uuid == instrument) =>
            {
                Some((fact, check))
            }
            _ => None,
        })
    }

    /// The place of a fact in the order of entry: what was entered after another stands after it.
    #[must_use]
    pub fn place(&self, uuid: Uuid) -> Option<usize> {
        self.facts.iter().position(|fact| fact.uuid == uuid)
    }
}
