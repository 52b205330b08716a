//! What is declared of one part, by its kind.

use serde::{Deserialize, Serialize};

use crate::rf::line::LossModel;
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

/// A half-wave dipole, fed in the middle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HalfWaveDipole {
    /// How its length is set.
    pub setting: Setting,
    /// Diameter of the element.
    pub element_diameter: Typed<Millimetres>,
    /// The shortest setting of each half, from the middle of the feed gap to the tip.
    pub shortest: Typed<Millimetres>,
    /// The longest setting of each half.
    pub longest: Typed<Millimetres>,
    /// What matches it to the line.
    pub matching: Matching,
    /// Gain in the direction of the most, as the maker states or the pattern gives.
    pub gain: Typed<GainDbd>,
    /// What a DC test sees.
    pub dc_state: DcState,
    /// The most power it may take; `None` where none is stated.
    pub rated_power: Option<Typed<Watts>>,
    /// Height of its centre above ground, as designed.
    pub height: Typed<Metres>,
    /// Distance of the element from the structure, where it stands beside it.
    pub spacing: Option<Typed<Metres>>,
}

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
    pub fn declared(&self) -> Vec<(&'static str, String)> {
        match self {
            Self::Transmitter(spec) => vec![("rated power", spec.rated_power.to_string())],
            Self::DirectionalMeter(spec) => vec![("loss", spec.loss.to_string())],
            Self::GasTubeArrester(spec) => vec![
                ("spark-over", format!("{} ±\u{a0}{}", spec.sparkover, spec.tolerance)),
                ("RF rating", stated(spec.rated_power.as_ref())),
                ("loss", spec.loss.to_string()),
                ("SWR by itself", at_most(&spec.worst_swr)),
            ],
            Self::Jumper(line) | Self::FeedLine(line) => line.declared(),
            Self::Connectors(spec) => vec![
                ("joints", spec.count.to_string()),
                ("loss together", spec.loss.to_string()),
                ("SWR together", at_most(&spec.worst_swr)),
            ],
            Self::HalfWaveDipole(spec) => spec.declared(),
        }
    }
}

impl Line {
    fn declared(&self) -> Vec<(&'static str, String)> {
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

impl HalfWaveDipole {
    fn declared(&self) -> Vec<(&'static str, String)> {
        vec![
            ("length is", self.setting.shown().to_owned()),
            ("each half", format!("{} to {}", self.shortest.text(), self.longest)),
            ("element diameter", self.element_diameter.to_string()),
            ("match", self.matching.shown().to_owned()),
            ("gain", self.gain.to_string()),
            ("DC test sees", self.dc_state.shown().to_owned()),
            ("rated power", stated(self.rated_power.as_ref())),
            ("height of centre", self.height.to_string()),
            (
                "from the structure",
                self.spacing.as_ref().map_or("not beside it".to_owned(), ToString::to_string),
            ),
        ]
    }
}

fn stated(power: Option<&Typed<Watts>>) -> String {
    power.map_or("not stated".to_owned(), ToString::to_string)
}

fn at_most(swr: &Typed<Swr>) -> String {
    format!("at most {swr}")
}
