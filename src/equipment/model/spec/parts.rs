//! Transmitter, directional meter, connectors.

use serde::{Deserialize, Serialize};

use crate::equipment::model::spec::in_line::{Rated, with_tolerance};
use crate::equipment::model::spec::{Declared, at_most};
use crate::rf::quantity::{LossDb, Percent, Swr, Typed, Watts};

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
    /// How far the loss may lie to either side, per cent of it; `None` where none is stated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub loss_tolerance: Option<Typed<Percent>>,
    /// What it stands.
    #[serde(flatten)]
    pub rated: Rated,
}

/// Connectors and adapters at one place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Connectors {
    /// How many joints.
    pub count: u8,
    /// All of them together.
    pub loss: Typed<LossDb>,
    /// How far the loss may lie to either side, per cent of it; `None` where none is stated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub loss_tolerance: Option<Typed<Percent>>,
    /// The highest SWR that they add together.
    pub worst_swr: Typed<Swr>,
    /// What the weakest of them stands.
    #[serde(flatten)]
    pub rated: Rated,
}

impl Transmitter {
    pub(super) fn declared(&self) -> Declared {
        vec![("rated power", self.rated_power.to_string())]
    }
}

impl DirectionalMeter {
    pub(super) fn declared(&self) -> Declared {
        let mut rows = vec![("loss", with_tolerance(&self.loss, self.loss_tolerance.as_ref()))];
        self.rated.declare(&mut rows);
        rows
    }
}

impl Connectors {
    pub(super) fn declared(&self) -> Declared {
        let mut rows = vec![
            ("joints", self.count.to_string()),
            ("loss together", with_tolerance(&self.loss, self.loss_tolerance.as_ref())),
            ("SWR together", at_most(&self.worst_swr)),
        ];
        self.rated.declare(&mut rows);
        rows
    }
}
