//! What is declared of one part, by its kind.

mod antenna;
mod arrester;
mod in_line;
mod line;
mod network;
mod own;
mod parts;

pub use antenna::{
    Antenna, AntennaSpec, BaseMatch, BayKind, DcState, Element, FactoryShape, FactoryTuned,
    FiveEighths, FoldedDipole, GroundPlane, HalfWaveDipole, Matching, MultiBay, Plate, Radials,
    Second, SecondRange, SetBetween, Setting,
};
pub use arrester::{FilterArrester, GasTubeArrester, StubArrester};
pub use in_line::{DcPath, InLine, Rated};
pub use line::{Line, OWN_CABLE, Pressure};
pub use network::{
    Choke, ChokeKind, Combiner, CombinerInput, DummyLoad, Filter, MOST_INPUTS, Splitter, Switch,
};
pub use parts::{Connectors, DirectionalMeter, Transmitter};

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
    /// A switch between transmitters, and to a dummy load.
    ChangeoverSwitch(Switch),
    /// A load that a switch puts in the antenna's place.
    DummyLoad(DummyLoad),
    /// A filter in the line.
    Filter(Filter),
    /// Several carriers on one line.
    Combiner(Combiner),
    /// Equal power to several like branches.
    Splitter(Splitter),
    /// A choke or balun at the antenna.
    Choke(Choke),
    /// A shorted stub across the line.
    StubArrester(StubArrester),
    /// A filter that leads surges to ground.
    FilterArrester(FilterArrester),
    /// A half-wave dipole, fed in the middle.
    HalfWaveDipole(HalfWaveDipole),
    /// A folded dipole.
    FoldedDipole(FoldedDipole),
    /// A quarter-wave radiator over radials.
    GroundPlane(GroundPlane),
    /// A five-eighths-wave radiator over radials.
    FiveEighths(FiveEighths),
    /// Bays above each other, fed alike.
    MultiBay(MultiBay),
    /// An antenna that comes tuned from its maker.
    FactoryTuned(FactoryTuned),
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
            Self::ChangeoverSwitch(_) => "changeover-switch",
            Self::DummyLoad(_) => "dummy-load",
            Self::Filter(_) => "filter",
            Self::Combiner(_) => "combiner",
            Self::Splitter(_) => "splitter",
            Self::Choke(_) => "choke",
            Self::StubArrester(_) => "stub-arrester",
            Self::FilterArrester(_) => "filter-arrester",
            Self::HalfWaveDipole(_) => "half-wave-dipole",
            Self::FoldedDipole(_) => "folded-dipole",
            Self::GroundPlane(_) => "ground-plane",
            Self::FiveEighths(_) => "five-eighths",
            Self::MultiBay(_) => "multi-bay",
            Self::FactoryTuned(_) => "factory-tuned",
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
            Self::ChangeoverSwitch(_) => "changeover switch",
            Self::DummyLoad(_) => "dummy load",
            Self::Filter(_) => "filter",
            Self::Combiner(_) => "combiner",
            Self::Splitter(_) => "splitter",
            Self::Choke(choke) => choke.form.word(),
            Self::StubArrester(_) => "arrester, shorted stub",
            Self::FilterArrester(_) => "arrester, filter",
            Self::HalfWaveDipole(_) => "half-wave dipole",
            Self::FoldedDipole(_) => "folded dipole",
            Self::GroundPlane(_) => "quarter-wave ground plane",
            Self::FiveEighths(_) => "five-eighths-wave vertical",
            Self::MultiBay(_) => "multi-bay array",
            Self::FactoryTuned(_) => "factory-tuned antenna",
        }
    }

    /// The antenna, where the part is one.
    #[must_use]
    pub fn antenna(&self) -> Option<Antenna<'_>> {
        let (plate, kind) = match self {
            Self::HalfWaveDipole(spec) => (&spec.plate, AntennaSpec::HalfWaveDipole(spec)),
            Self::FoldedDipole(spec) => (&spec.plate, AntennaSpec::FoldedDipole(spec)),
            Self::GroundPlane(spec) => (&spec.plate, AntennaSpec::GroundPlane(spec)),
            Self::FiveEighths(spec) => (&spec.plate, AntennaSpec::FiveEighths(spec)),
            Self::MultiBay(spec) => (&spec.plate, AntennaSpec::MultiBay(spec)),
            Self::FactoryTuned(spec) => (&spec.plate, AntennaSpec::FactoryTuned(spec)),
            _ => return None,
        };
        Some(Antenna { plate, kind })
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
            Self::ChangeoverSwitch(spec) => spec.declared(),
            Self::DummyLoad(spec) => spec.declared(),
            Self::Filter(spec) => spec.declared(),
            Self::Combiner(spec) => spec.declared(),
            Self::Splitter(spec) => spec.declared(),
            Self::Choke(spec) => spec.declared(),
            Self::StubArrester(spec) => spec.declared(),
            Self::FilterArrester(spec) => spec.declared(),
            Self::HalfWaveDipole(spec) => spec.declared(),
            Self::FoldedDipole(spec) => spec.declared(),
            Self::GroundPlane(spec) => spec.declared(),
            Self::FiveEighths(spec) => spec.declared(),
            Self::MultiBay(spec) => spec.declared(),
            Self::FactoryTuned(spec) => spec.declared(),
        }
    }
}

fn stated(power: Option<&Typed<Watts>>) -> String {
    power.map_or("not stated".to_owned(), ToString::to_string)
}

fn at_most(swr: &Typed<Swr>) -> String {
    format!("at most {swr}")
}
