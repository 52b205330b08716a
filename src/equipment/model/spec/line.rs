//! A cable with its length and losses.

use serde::{Deserialize, Serialize};

use crate::equipment::model::spec::in_line::Rated;
use crate::equipment::model::spec::{Declared, at_most};
use crate::rf::line::{CableType, LossModel};
use crate::rf::quantity::{
    Kilopascals, LossDb, Megahertz, Metres, Percent, Swr, Typed, VelocityFactor, Watts,
};

/// The word in [`Line::cable`] for a cable whose constants are its own, not those of the table.
pub const OWN_CABLE: &str = "own";

/// The pressure that a line with dry air or nitrogen in it is kept at, above that of the air outside.
/// Below the least, moisture comes in and no rating of the line holds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Pressure {
    /// What it may not fall below.
    pub least: Typed<Kilopascals>,
    /// What it may not rise above.
    pub greatest: Typed<Kilopascals>,
}

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
    /// What it stands by its own data sheet; a cable of the table has the table's average power otherwise.
    #[serde(flatten)]
    pub rated: Rated,
    /// The pressure it is kept at; `None` for a line without.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pressure: Option<Pressure>,
}

impl Line {
    /// The loss model that the declared constants make.
    #[must_use]
    pub fn model(&self) -> LossModel {
        LossModel::of(self.conductor_loss.value(), self.dielectric_loss.value())
    }

    /// The average power it stands at a frequency with a perfect match: by its own data sheet, else by the
    /// table of generic types.
    #[must_use]
    pub fn rated_at(&self, frequency: Megahertz) -> Option<Watts> {
        let of_table = || CableType::find(&self.cable)?.rated(frequency);
        self.rated.rated_power.as_ref().map(Typed::value).or_else(of_table)
    }

    /// See [`Spec::declared`](crate::equipment::model::Spec::declared).
    pub(super) fn declared(&self) -> Declared {
        let mut rows = vec![
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
        ];
        if let Some(power) = &self.rated.rated_power {
            rows.push(("RF rating", power.to_string()));
        }
        if let Some(peak) = &self.rated.rated_peak {
            rows.push(("peak voltage rating", peak.to_string()));
        }
        if let Some(pressure) = &self.pressure {
            let range = format!("{} to {}", pressure.least.text(), pressure.greatest);
            rows.push(("kept at a pressure of", range));
        }
        rows.push(("source", self.source.clone()));
        rows
    }
}
