//! The parts of an RF chain and what is declared of each.

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::clock::Utc;
use crate::rf::quantity::{
    GainDbd, LossDb, Metres, Millimetres, Percent, Swr, Typed, VelocityFactor, Volts, Watts,
};
use crate::words::words;

words! {
    /// What a direct-current test sees at an antenna's terminals.
    DcState {
        /// Inner and outer are joined: a DC-grounded antenna.
        Short = "short" / "short (DC-grounded)",
        /// They are not.
        Open = "open" / "open",
    }
}

words! {
    /// How an antenna's length is set.
    Setting {
        /// Telescopic or sliding ends: longer and shorter.
        Adjustable = "adjustable" / "adjustable",
        /// Metal comes off and does not go back on.
        CutToLength = "cut-to-length" / "cut to length",
    }
}

words! {
    /// What stands between a straight dipole's 72 Ω and the line's 50 Ω.
    Matching {
        /// A matching section: the antenna can come to 1.0.
        Section = "section" / "matching section to 50 Ω",
        /// Nothing: a straight dipole has a floor of about 1.42 on 50 Ω.
        None = "none" / "none (straight dipole)",
    }
}

/// What is declared of one part. Every loss and SWR is the part's own, on 50 Ω.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Spec {
    /// The source of the power.
    Transmitter {
        /// The most it may make.
        rated_power: Typed<Watts>,
    },
    /// A coupler in the line, where an instrument reads: the measuring point is its output.
    DirectionalMeter {
        /// From its input to its output.
        loss: Typed<LossDb>,
    },
    /// A gas tube across the line.
    GasTubeArrester {
        /// Nominal static spark-over.
        sparkover: Typed<Volts>,
        /// The spark-over's tolerance to either side.
        tolerance: Typed<Percent>,
        /// The maker's RF rating; `None` where none is stated.
        rated_power: Option<Typed<Watts>>,
        /// Loss of the body with its connectors.
        loss: Typed<LossDb>,
        /// The highest SWR it adds by itself.
        worst_swr: Typed<Swr>,
    },
    /// A short flexible cable.
    Jumper {
        /// The cable.
        #[serde(flatten)]
        line: Line,
    },
    /// The line up the structure.
    FeedLine {
        /// The cable.
        #[serde(flatten)]
        line: Line,
    },
    /// Connectors and adapters at one place.
    Connectors {
        /// How many joints.
        count: u8,
        /// All of them together.
        loss: Typed<LossDb>,
        /// The highest SWR that they add together.
        worst_swr: Typed<Swr>,
    },
    /// A half-wave dipole, fed in the middle.
    HalfWaveDipole {
        /// How its length is set.
        setting: Setting,
        /// Diameter of the element.
        element_diameter: Typed<Millimetres>,
        /// The shortest setting of each half, from the middle of the feed gap to the tip.
        shortest: Typed<Millimetres>,
        /// The longest setting of each half.
        longest: Typed<Millimetres>,
        /// What matches it to the line.
        matching: Matching,
        /// Gain in the direction of the most, as the maker states or the pattern gives.
        gain: Typed<GainDbd>,
        /// What a DC test sees.
        dc_state: DcState,
        /// The most power it may take; `None` where none is stated.
        rated_power: Option<Typed<Watts>>,
        /// Height of its centre above ground, as designed.
        height: Typed<Metres>,
        /// Distance of the element from the structure, where it stands beside it.
        spacing: Option<Typed<Metres>>,
    },
}

/// A cable with its length and loss model: conductor loss × √f + dielectric loss × f per 100 m, f in
/// MHz, at 20 °C.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Line {
    /// The key in the table of generic types, or `own` for own constants.
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

impl Spec {
    /// The kind in the database.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Transmitter { .. } => "transmitter",
            Self::DirectionalMeter { .. } => "directional-meter",
            Self::GasTubeArrester { .. } => "gas-tube-arrester",
            Self::Jumper { .. } => "jumper",
            Self::FeedLine { .. } => "feed-line",
            Self::Connectors { .. } => "connectors",
            Self::HalfWaveDipole { .. } => "half-wave-dipole",
        }
    }

    /// The words a page shows for the kind.
    #[must_use]
    pub fn kind_shown(&self) -> &'static str {
        match self {
            Self::Transmitter { .. } => "transmitter",
            Self::DirectionalMeter { .. } => "directional meter",
            Self::GasTubeArrester { .. } => "arrester, gas tube",
            Self::Jumper { .. } => "jumper",
            Self::FeedLine { .. } => "feed line",
            Self::Connectors { .. } => "connectors",
            Self::HalfWaveDipole { .. } => "half-wave dipole",
        }
    }
}

/// One part at its place in a chain.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ChainPart {
    /// Its place, from 1 at the transmitter.
    pub position: i64,
    /// The part's name outside: the same part in another revision or chain has the same.
    pub uuid: Uuid,
    /// Its designation: type name as on the plate, or what people call it.
    pub designation: String,
    /// Its serial number; empty where there is none.
    pub serial: String,
    /// What is declared of it.
    pub spec: Spec,
}

/// One revision of a chain: its parts in order from transmitter to antenna.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Chain {
    /// The row of the revision, which facts pin.
    #[serde(skip)]
    pub revision_id: i64,
    /// The row of the chain.
    #[serde(skip)]
    pub chain_id: i64,
    /// The chain's name outside.
    pub uuid: Uuid,
    /// The revision's name outside.
    pub revision_uuid: Uuid,
    /// The revision's number, from 1.
    pub revision: i64,
    /// Why the revision was made.
    pub note: String,
    /// When it was entered.
    pub entered_at: Utc,
    /// The parts, ascending in position.
    pub parts: Vec<ChainPart>,
}
