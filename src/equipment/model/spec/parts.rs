//! What stands between transmitter and antenna besides cables.

use serde::{Deserialize, Serialize};

use crate::equipment::model::spec::{Declared, at_most, stated};
use crate::rf::quantity::{LossDb, Percent, Swr, Typed, Volts, Watts};

/// The source of the power.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Transmitter {
    /// The most it may make.
    pub rated_power: Typed<Watts>,
}

/// A coupler in the line, where an instrument reads: the measuring point is its output.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DirectionalMeter {
    /// From its input to its output.
    pub loss: Typed<LossDb>,
}

/// A gas tube across the line.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct GasTubeArrester {
    /// Nominal static spark-over.
    pub sparkover: Typed<Volts>,
    /// The spark-over's tolerance to either side.
    pub tolerance: Typed<Percent>,
    /// The maker's RF rating; `None` where none is stated.
    pub rated_power: Option<Typed<Watts>>,
    /// Loss of the body with its connectors.
    pub loss: Typed<LossDb>,
    /// The highest SWR it adds by itself.
    pub worst_swr: Typed<Swr>,
}

/// Connectors and adapters at one place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Connectors {
    /// How many joints.
    pub count: u8,
    /// All of them together.
    pub loss: Typed<LossDb>,
    /// The highest SWR that they add together.
    pub worst_swr: Typed<Swr>,
}

impl Transmitter {
    /// See [`Spec::declared`](crate::equipment::model::Spec::declared).
    pub(super) fn declared(&self) -> Declared {
        vec![("rated power", self.rated_power.to_string())]
    }
}

impl DirectionalMeter {
    /// See [`Spec::declared`](crate::equipment::model::Spec::declared).
    pub(super) fn declared(&self) -> Declared {
        vec![("loss", self.loss.to_string())]
    }
}

impl GasTubeArrester {
    /// See [`Spec::declared`](crate::equipment::model::Spec::declared).
    pub(super) fn declared(&self) -> Declared {
        vec![
            ("spark-over", format!("{} ±\u{a0}{}", self.sparkover, self.tolerance)),
            ("RF rating", stated(self.rated_power.as_ref())),
            ("loss", self.loss.to_string()),
            ("SWR by itself", at_most(&self.worst_swr)),
        ]
    }
}

impl Connectors {
    /// See [`Spec::declared`](crate::equipment::model::Spec::declared).
    pub(super) fn declared(&self) -> Declared {
        vec![
            ("joints", self.count.to_string()),
            ("loss together", self.loss.to_string()),
            ("SWR together", at_most(&self.worst_swr)),
        ]
    }
}
