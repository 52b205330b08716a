//! One item of a checklist, its limit and what a person types for it.

use serde::{Deserialize, Serialize};

use crate::profiles::model::{Answering, Condition, Hold, JobKind, Stage, Unit};
use crate::rf::quantity::{KilohertzOff, Metres, Milliohms, Ohms, Quantity, Typed, TypedError};

/// What a person typed for a value item: the number in the item's unit beside the text.
#[derive(Debug, Clone, PartialEq)]
pub struct TypedValue {
    /// The number in the item's unit.
    pub number: f64,
    /// The text as typed with the unit: `4.1 Ω`.
    pub typed: String,
}

impl Unit {
    /// Reads a number in this unit.
    ///
    /// # Errors
    /// [`TypedError`], which prints as the message for the field.
    pub fn parse(self, text: &str) -> Result<TypedValue, TypedError> {
        fn of<Q: Quantity>(text: &str) -> Result<TypedValue, TypedError> {
            let typed = Typed::<Q>::parse(text)?;
            Ok(TypedValue { number: typed.value().value(), typed: typed.to_string() })
        }
        match self {
            Self::Metre => of::<Metres>(text),
            Self::Ohm => of::<Ohms>(text),
            Self::Milliohm => of::<Milliohms>(text),
            Self::Kilohertz => of::<KilohertzOff>(text),
        }
    }
}

/// What a value must satisfy.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Limit {
    /// At most so much, in the item's unit.
    AtMost(Plain),
    /// At most so much to either side of nothing, in the item's unit.
    Within(Plain),
    /// Within so many metres of the authorised antenna height.
    NearAuthorisedHeightM(Plain),
}

/// A limit's number, kept as the profile writes it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Plain {
    text: String,
    number: f64,
}

impl Plain {
    /// The number.
    #[must_use]
    pub fn number(&self) -> f64 {
        self.number
    }

    /// As written.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }
}

impl TryFrom<String> for Plain {
    type Error = String;

    fn try_from(text: String) -> Result<Self, String> {
        match text.parse::<f64>() {
            Ok(number) if number.is_finite() => Ok(Self { text, number }),
            _ => Err(format!("“{text}” is not a number")),
        }
    }
}

impl From<Plain> for String {
    fn from(plain: Plain) -> Self {
        plain.text
    }
}

/// One item of a checklist.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Item {
    /// Its stable id.
    pub id: String,
    /// The stage it belongs to.
    pub stage: Stage,
    /// The question.
    pub text: String,
    /// What to look at and how.
    pub help: String,
    /// Who answers it.
    pub answer: Answering,
    /// The unit of a value.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<Unit>,
    /// What the value must satisfy.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub limit: Option<Limit>,
    /// When it applies.
    #[serde(default = "always")]
    pub when: Condition,
    /// Whether people's safety hangs on it: no concession, no deferral.
    #[serde(default)]
    pub safety: bool,
    /// Whether a person may answer "not applicable" with a reason; whoever releases the gate confirms it.
    #[serde(default)]
    pub not_applicable: bool,
    /// Whether "not measurable here: method used instead" is an answer.
    #[serde(default)]
    pub method: bool,
    /// Whether a manager may grant a concession.
    #[serde(default)]
    pub concession: bool,
    /// Whether it may be deferred to an owner and a date.
    #[serde(default)]
    pub deferrable: bool,
    /// The kinds of job that have the item; none named means all of them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub kinds: Vec<JobKind>,
    /// The kinds of job in which a person may answer "not applicable", where [`Self::not_applicable`] does not
    /// say so of all.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub not_applicable_kinds: Vec<JobKind>,
    /// Who releases it before anything that comes after it; `None` where nobody has to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hold: Option<Hold>,
    /// The item that must be settled before this one is passed; of a lock, the item by which it was set.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub after: Option<String>,
    /// Whether a photo is asked for. With a hold nothing is released without one, or without the method that
    /// was used instead.
    #[serde(default, skip_serializing_if = "is_false")]
    pub photo: bool,
    /// Whether it is done up there: a second climb is the cost of forgetting it.
    #[serde(default, skip_serializing_if = "is_false")]
    pub before_climber_comes_down: bool,
    /// Whether a check on the same day against a known load or a second meter stands in for a calibration
    /// that ran out.
    #[serde(default, skip_serializing_if = "is_false")]
    pub same_day_check: bool,
    /// Where question and limit are from.
    pub source: String,
}

impl Item {
    /// Whether jobs of this kind have it.
    #[must_use]
    pub fn is_for(&self, kind: JobKind) -> bool {
        self.kinds.is_empty() || self.kinds.contains(&kind)
    }

    /// Whether a person may answer "not applicable" in a job of this kind.
    #[must_use]
    pub fn may_not_apply(&self, kind: JobKind) -> bool {
        self.not_applicable || self.not_applicable_kinds.contains(&kind)
    }
}

fn is_false(flag: &bool) -> bool {
    !flag
}

fn always() -> Condition {
    Condition::Always
}
