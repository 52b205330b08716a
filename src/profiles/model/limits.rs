//! The limits that derived items use, and who may accept what is not shown.

use serde::{Deserialize, Serialize};

use crate::people::model::Role;
use crate::profiles::model::{BuiltLimits, ExposureLimits, Plain};
use crate::rf::quantity::{Metres, Percent, Quantity, Swr, Typed, Watts};

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
    /// Above this height of the structure somebody climbs, on whatever stands there; `None` in an edition that
    /// does not ask.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub climbing_above_m: Option<LimitOf<Metres>>,
    /// Where that bound is from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub climbing_source: Option<String>,
    /// Above this authorised ERP an assessment of exposure is asked for; `None` in an edition that does not ask.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub exposure_above_erp_w: Option<LimitOf<Watts>>,
    /// Where that bound is from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub exposure_source: Option<String>,
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
