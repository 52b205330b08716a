//! What every part in the line declares of itself, whatever it is for.

use serde::{Deserialize, Serialize};

use crate::equipment::model::spec::{Declared, at_most, stated};
use crate::rf::quantity::{LossDb, Percent, Swr, Typed, Volts, Watts};
use crate::words::words;

words! {
    /// What a direct-current test sees when it comes to a part in the line.
    DcPath {
        /// The inner conductor goes through and is not joined to the outer one.
        Through = "through" / "what comes after it",
        /// Inner and outer are joined in it: the test ends here.
        Short = "short" / "a short, in the part itself",
        /// The inner conductor is interrupted: nothing behind it is seen.
        Open = "open" / "open: the part blocks DC",
    }
}

/// What a part in the line stands with a perfect match; nothing where nothing is stated.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Rated {
    /// Average power of all carriers together.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rated_power: Option<Typed<Watts>>,
    /// Peak voltage of all carriers together.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rated_peak: Option<Typed<Volts>>,
}

impl Rated {
    pub(super) fn declare(&self, rows: &mut Declared) {
        rows.push(("RF rating", stated(self.rated_power.as_ref())));
        if let Some(peak) = &self.rated_peak {
            rows.push(("peak voltage rating", peak.to_string()));
        }
    }
}

/// A part in the line: its loss, what it reflects, what it stands.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct InLine {
    /// From its input to its output.
    pub loss: Typed<LossDb>,
    /// How far the loss may lie to either side, per cent of it; `None` where none is stated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub loss_tolerance: Option<Typed<Percent>>,
    /// The highest SWR it has by itself.
    pub worst_swr: Typed<Swr>,
    /// What it stands.
    #[serde(flatten)]
    pub rated: Rated,
}

impl InLine {
    pub(super) fn declare(&self, rows: &mut Declared) {
        rows.push(("loss", with_tolerance(&self.loss, self.loss_tolerance.as_ref())));
        rows.push(("SWR by itself", at_most(&self.worst_swr)));
        self.rated.declare(rows);
    }
}

/// "0.1 dB ± 20 %", or the loss alone.
pub(super) fn with_tolerance(loss: &Typed<LossDb>, tolerance: Option<&Typed<Percent>>) -> String {
    tolerance.map_or_else(|| loss.to_string(), |tolerance| format!("{loss} ±\u{a0}{tolerance}"))
}
