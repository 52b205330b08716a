//! A cable with its length and losses.

use serde::{Deserialize, Serialize};

use crate::equipment::model::spec::{Declared, at_most};
use crate::rf::line::LossModel;
use crate::rf::quantity::{LossDb, Metres, Percent, Swr, Typed, VelocityFactor};

/// The word in [`Line::cable`] for a cable whose constants are its own, not those of the table.
pub const OWN_CABLE: &str = "own";

/// A cable with its length and loss model: conductor loss × √f + dielectric loss × f per 100 m, f in
/// MHz, at 20 °C.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Line {
    /// The key in the table of generic types, or [`OWN_CABLE`].
    pub cable: String,
    /// Its length.
    pub length: Typed<Metres>,
    /// Conductor loss at 1 MHz, per 100 m.
    pub conductor_loss: Typed<LossDb>,
    /// Dielectric loss at 1 MHz, per 100 m.
    pub dielectric_loss: Typed<LossDb>,
    /// How far the loss may lie from the model.
    pub tolerance: Typed<Percent>,
    /// Speed on the line relative to that of light.
    pub velocity_factor: Typed<VelocityFactor>,
    /// The highest SWR of the line itself with its end connectors, into its own impedance.
    pub worst_swr: Typed<Swr>,
    /// Where the constants are from.
    pub source: String,
}

impl Line {
    /// The loss model that the declared constants make.
    #[must_use]
    pub fn model(&self) -> LossModel {
        LossModel::of(self.conductor_loss.value(), self.dielectric_loss.value())
    }

    /// See [`Spec::declared`](crate::equipment::model::Spec::declared).
    pub(super) fn declared(&self) -> Declared {
        vec![
            ("length", self.length.to_string()),
            (
                "loss per 100 m",
                format!(
                    "{} × √f + {} × f dB, f in MHz, ±\u{a0}{}\u{a0}%",
                    self.conductor_loss.text(),
                    self.dielectric_loss.text(),
                    self.tolerance.text()
                ),
            ),
            ("velocity factor", self.velocity_factor.to_string()),
            ("SWR by itself", at_most(&self.worst_swr)),
            ("source", self.source.clone()),
        ]
    }
}
