//! What a profile says: stages, items, limits. It knows no job.

mod rules;

pub use rules::{BuiltLimits, BuiltRule, ExposureLimits, ExposureRule};

use serde::{Deserialize, Serialize};

use crate::clock::Date;
use crate::people::model::Role;
use crate::rf::quantity::{
    Metres, Milliohms, Ohms, Percent, Quantity, Swr, Typed, TypedError, Watts,
};
use crate::words::words;

words! {
    /// A part of a job. The six stages are fixed; a profile says which items belong to each.
    #[derive(PartialOrd, Ord, Hash)]
    Stage {
        /// Authority and safety.
        Authority = "authority" / "authority and safety",
        /// The test stand.
        Stand = "stand" / "stand",
        /// On the mast.
        Mast = "mast" / "on the mast",
        /// Cold tests.
        ColdTests = "cold-tests" / "cold tests",
        /// RF on.
        RfOn = "rf-on" / "RF on",
        /// Hand-over.
        HandOver = "hand-over" / "hand-over",
    }
}

impl Stage {
    /// What the gate at the end of the stage opens to.
    #[must_use]
    pub fn gate(self) -> &'static str {
        match self {
            Self::Authority => "may start",
            Self::Stand => "fit to lift",
            Self::Mast => "mechanically complete",
            Self::ColdTests => "ready for RF",
            Self::RfOn => "ready for service",
            Self::HandOver => "accepted",
        }
    }

    /// The stage before it.
    #[must_use]
    pub fn before(self) -> Option<Self> {
        Self::ALL.iter().copied().take_while(|stage| *stage != self).last()
    }
}

words! {
    /// Who or what answers an item.
    Answering {
        /// A person, by a tick.
        Tick = "tick" / "answered by a person",
        /// A person, by a value with its unit.
        Value = "value" / "a measured value",
        /// A stand set-up is on the record.
        StandSetup = "stand-setup" / "derived",
        /// The meters of the stand readings were in calibration.
        CalibrationStand = "calibration-stand" / "derived",
        /// The chosen setting against the antenna's limit.
        StandSwr = "stand-swr" / "derived",
        /// The arrester's voltage rule.
        ArresterVoltage = "arrester-voltage" / "derived",
        /// RF on the installed antenna only after its gate.
        RfSequence = "rf-sequence" / "derived",
        /// The installed reading against the limit at the meter.
        InstalledSwr = "installed-swr" / "derived",
        /// Stand against installed.
        ChangeExplained = "change-explained" / "derived",
        /// Power against the authorised.
        Power = "power" / "derived",
        /// No fold-back.
        FoldBack = "fold-back" / "derived",
        /// The meter of the installed reading was in calibration.
        CalibrationInstalled = "calibration-installed" / "derived",
        /// Authorised, designed and built agree, or each difference is settled.
        AsBuilt = "as-built" / "derived",
        /// Exclusion distances for the final set-up.
        Exposure = "exposure" / "derived",
    }
}

impl Answering {
    /// Whether the server answers it and nobody can tick it.
    #[must_use]
    pub fn is_derived(self) -> bool {
        !matches!(self, Self::Tick | Self::Value)
    }
}

words! {
    /// When an item applies; where it does not, that follows from facts and needs no second person.
    Condition {
        /// Always.
        Always = "always" / "always",
        /// The chain has an arrester.
        ArresterFitted = "arrester-fitted" / "where an arrester is fitted",
    }
}

words! {
    /// The unit of a value item.
    Unit {
        /// Metres.
        Metre = "m" / "m",
        /// Ohms.
        Ohm = "Ω" / "Ω",
        /// Milliohms.
        Milliohm = "mΩ" / "mΩ",
    }
}

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
        }
    }
}

/// What a value must satisfy.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Limit {
    /// At most so much, in the item's unit.
    AtMost(Plain),
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
    /// Whether a person may answer "not applicable" with a reason, confirmed by whoever releases.
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
    /// Where question and limit are from.
    pub source: String,
}

fn always() -> Condition {
    Condition::Always
}

/// The limits that derived items use.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Limits {
    /// At the antenna input, on the stand.
    pub stand_swr: LimitOf<Swr>,
    /// At the measuring point, installed.
    pub installed_swr: LimitOf<Swr>,
    /// Where the SWR limits are from.
    pub swr_source: String,
    /// Least share of the authorised power.
    pub power_least_percent: LimitOf<Percent>,
    /// Greatest share of the authorised power.
    pub power_most_percent: LimitOf<Percent>,
    /// At or below this authorised power only the ceiling holds.
    pub power_ceiling_only_w: LimitOf<Watts>,
    /// Where the power limits are from.
    pub power_source: String,
    /// Where the rule for a change is from.
    pub change_source: String,
    /// The least role that may accept on the point value what is not shown.
    pub not_shown_accepted_by: Acceptor,
    /// Where that rule is from.
    pub not_shown_source: String,
    /// Lowest spark-over against peak voltage.
    pub arrester_ratio: Plain,
    /// Where the ratio is from.
    pub arrester_source: String,
    /// Limits of exposure; `None` in an edition that says none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub exposure: Option<ExposureLimits>,
    /// Tolerances of what was built; `None` in an edition that says none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub as_built: Option<BuiltLimits>,
}

/// Who may accept a not-shown result on its point value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Acceptor {
    /// Nobody: a concession is needed.
    Nobody,
    /// An engineer or a manager.
    Engineer,
    /// A manager.
    Manager,
}

impl Acceptor {
    /// Whether the role is enough.
    #[must_use]
    pub fn includes(self, role: Role) -> bool {
        match self {
            Self::Nobody => false,
            Self::Engineer => matches!(role, Role::Engineer | Role::Manager),
            Self::Manager => role == Role::Manager,
        }
    }

    /// In words.
    #[must_use]
    pub fn shown(self) -> &'static str {
        match self {
            Self::Nobody => "nobody; it needs a manager's concession",
            Self::Engineer => "an engineer or a manager",
            Self::Manager => "a manager",
        }
    }
}

/// A limit that is a quantity, kept as the profile writes it.
#[derive(Debug, Clone, PartialEq)]
pub struct LimitOf<Q>(Typed<Q>);

impl<Q: Quantity> LimitOf<Q> {
    /// The quantity.
    #[must_use]
    pub fn value(&self) -> Q {
        self.0.value()
    }

    /// As written.
    #[must_use]
    pub fn text(&self) -> &str {
        self.0.text()
    }
}

impl<Q: Quantity> Serialize for LimitOf<Q> {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.0.text())
    }
}

impl<'de, Q: Quantity> Deserialize<'de> for LimitOf<Q> {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        Typed::parse(&text).map(Self).map_err(serde::de::Error::custom)
    }
}

/// A whole profile.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Profile {
    /// Its name among profiles.
    pub code: String,
    /// Its edition.
    pub edition: i64,
    /// Its title.
    pub title: String,
    /// The day from which it holds.
    pub effective: Date,
    /// The limits of derived items.
    pub limits: Limits,
    /// The items in the order of work.
    pub items: Vec<Item>,
}

impl Profile {
    /// Reads a profile's text and checks that it holds together.
    ///
    /// # Errors
    /// What is wrong, naming the item.
    pub fn parse(text: &str) -> Result<Self, String> {
        let profile: Self = toml::from_str(text).map_err(|error| error.to_string())?;
        let mut seen = std::collections::BTreeSet::new();
        for item in &profile.items {
            if !seen.insert(&item.id) {
                return Err(format!("item {} stands twice", item.id));
            }
            if (item.answer == Answering::Value) != item.unit.is_some() {
                return Err(format!("item {}: a value has a unit, and nothing else has", item.id));
            }
            if item.safety && (item.concession || item.deferrable) {
                return Err(format!("item {}: safety is not conceded or deferred", item.id));
            }
        }
        Ok(profile)
    }

    /// The item with this id.
    #[must_use]
    pub fn item(&self, id: &str) -> Option<&Item> {
        self.items.iter().find(|item| item.id == id)
    }

    /// The items of a stage, in order.
    pub fn stage(&self, stage: Stage) -> impl Iterator<Item = &Item> {
        self.items.iter().filter(move |item| item.stage == stage)
    }
}

#[cfg(test)]
mod tests {
    use super::{Profile, Stage};

    #[test]
    fn the_built_in_profile_holds_together_and_fills_every_stage() {
        let profile = Profile::parse(crate::profiles::LOW_POWER).unwrap();
        for stage in Stage::ALL {
            assert!(profile.stage(*stage).count() >= 2, "{stage:?}");
        }
        let json = serde_json::to_string(&profile).unwrap();
        assert_eq!(serde_json::from_str::<Profile>(&json).unwrap(), profile);
    }

    #[test]
    fn safety_cannot_be_conceded() {
        let text = crate::profiles::LOW_POWER.replace(
            "answer = \"tick\"\nsafety = true",
            "answer = \"tick\"\nsafety = true\nconcession = true",
        );
        assert!(Profile::parse(&text).unwrap_err().contains("not conceded"));
    }

    #[test]
    fn stages_follow_one_another() {
        assert_eq!(Stage::Authority.before(), None);
        assert_eq!(Stage::HandOver.before(), Some(Stage::RfOn));
    }
}
