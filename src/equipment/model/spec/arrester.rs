//! What leads a surge to ground: gas tube, shorted stub, filter.

use serde::{Deserialize, Serialize};

use crate::equipment::model::spec::in_line::{DcPath, InLine, with_tolerance};
use crate::equipment::model::spec::{Declared, at_most, stated};
use crate::rf::quantity::{LossDb, Percent, Swr, Typed, Volts, Watts};

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
    /// How far the loss may lie to either side, per cent of it; `None` where none is stated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub loss_tolerance: Option<Typed<Percent>>,
    /// The highest SWR it adds by itself.
    pub worst_swr: Typed<Swr>,
}

/// A shorted stub of a quarter wave across the line: a short at DC by itself, without spark-over.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StubArrester {
    /// Loss, what it reflects at the carrier, what it stands.
    #[serde(flatten)]
    pub own: InLine,
}

/// A filter that lets the carrier pass and leads what is below to ground, without spark-over.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FilterArrester {
    /// Loss, what it reflects, what it stands.
    #[serde(flatten)]
    pub own: InLine,
    /// What a DC test sees from the antenna's side.
    pub dc: DcPath,
}

impl GasTubeArrester {
    pub(super) fn declared(&self) -> Declared {
        vec![
            ("spark-over", format!("{} ±\u{a0}{}", self.sparkover, self.tolerance)),
            ("RF rating", stated(self.rated_power.as_ref())),
            ("loss", with_tolerance(&self.loss, self.loss_tolerance.as_ref())),
            ("SWR by itself", at_most(&self.worst_swr)),
        ]
    }
}

impl StubArrester {
    pub(super) fn declared(&self) -> Declared {
        let mut rows = Declared::new();
        self.own.declare(&mut rows);
        rows.push(("DC test sees", DcPath::Short.shown().to_owned()));
        rows
    }
}

impl FilterArrester {
    pub(super) fn declared(&self) -> Declared {
        let mut rows = Declared::new();
        self.own.declare(&mut rows);
        rows.push(("DC test sees", self.dc.shown().to_owned()));
        rows
    }
}
