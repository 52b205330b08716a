//! What is declared of one part, by its kind.

mod antenna;
mod line;
mod parts;

pub use antenna::{DcState, HalfWaveDipole, Matching, Setting};
pub use line::{Line, OWN_CABLE};
pub use parts::{Connectors, DirectionalMeter, GasTubeArrester, Transmitter};

use serde::{Deserialize, Serialize};

use crate::rf::quantity::{Swr, Typed, Watts};

/// Names and finished values with units, in the order of a data sheet.
pub(super) type Declared = Vec<(&'static str, String)>;

/// What is declared of one part. Every loss and SWR is the part's own, on 50 Ω.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Spec {
    /// The source of the power.
    Transmitter(Transmitter),
    /// A coupler in the line, where an instrument reads: the measuring point is its output.
    DirectionalMeter(DirectionalMeter),
    /// A gas tube across the line.
    GasTubeArrester(GasTubeArrester),
    /// A short flexible cable.
    Jumper(Line),
    /// The line up the structure.
    FeedLine(Line),
    /// Connectors and adapters at one place.
    Connectors(Connectors),
    /// A half-wave dipole, fed in the middle.
    HalfWaveDipole(HalfWaveDipole),
}

impl Spec {
    /// The kind in the database.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Transmitter(_) => "transmitter",
            Self::DirectionalMeter(_) => "directional-meter",
            Self::GasTubeArrester(_) => "gas-tube-arrester",
            Self::Jumper(_) => "jumper",
            Self::FeedLine(_) => "feed-line",
            Self::Connectors(_) => "connectors",
            Self::HalfWaveDipole(_) => "half-wave-dipole",
        }
    }

    /// The words a page shows for the kind.
    #[must_use]
    pub fn kind_shown(&self) -> &'static str {
        match self {
            Self::Transmitter(_) => "transmitter",
            Self::DirectionalMeter(_) => "directional meter",
            Self::GasTubeArrester(_) => "arrester, gas tube",
            Self::Jumper(_) => "jumper",
            Self::FeedLine(_) => "feed line",
            Self::Connectors(_) => "connectors",
            Self::HalfWaveDipole(_) => "half-wave dipole",
        }
    }

    /// What is declared, as names and finished values with units, in the order of a data sheet: for
    /// tables, and to find what a revision changed.
    #[must_use]
    pub fn declared(&self) -> Declared {
        match self {
            Self::Transmitter(spec) => spec.declared(),
            Self::DirectionalMeter(spec) => spec.declared(),
            Self::GasTubeArrester(spec) => spec.declared(),
            Self::Jumper(line) | Self::FeedLine(line) => line.declared(),
            Self::Connectors(spec) => spec.declared(),
            Self::HalfWaveDipole(spec) => spec.declared(),
        }
    }
}

fn stated(power: Option<&Typed<Watts>>) -> String {
    power.map_or("not stated".to_owned(), ToString::to_string)
}

fn at_most(swr: &Typed<Swr>) -> String {
    format!("at most {swr}")
}
