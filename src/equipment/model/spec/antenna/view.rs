//! An antenna of any kind, for whoever asks what all kinds can answer.

use crate::equipment::model::spec::antenna::{
    BaseMatch, Element, FactoryTuned, FiveEighths, FoldedDipole, GroundPlane, HalfWaveDipole,
    MultiBay, Plate, Radials, Second, SetBetween,
};
use crate::rf::element::wavelength;
use crate::rf::quantity::{Degrees, Megahertz, Metres, Millimetres, Quantity, Turns};

/// An antenna: what all have in common, and its kind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Antenna<'a> {
    /// What every antenna declares.
    pub plate: &'a Plate,
    /// Its kind, with what only that kind declares.
    pub kind: AntennaSpec<'a>,
}

/// The kinds of antenna.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum AntennaSpec<'a> {
    /// A half-wave dipole.
    HalfWaveDipole(&'a HalfWaveDipole),
    /// A folded dipole.
    FoldedDipole(&'a FoldedDipole),
    /// A quarter-wave ground plane.
    GroundPlane(&'a GroundPlane),
    /// A five-eighths-wave radiator over radials.
    FiveEighths(&'a FiveEighths),
    /// Bays above each other.
    MultiBay(&'a MultiBay),
    /// Tuned by its maker.
    FactoryTuned(&'a FactoryTuned),
}

/// The second setting with its range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SecondRange<'a> {
    /// Droop of the radials.
    Droop(&'a SetBetween<Degrees>),
    /// Turns of the coil in circuit.
    Coil(&'a SetBetween<Turns>),
    /// Place of the tap.
    Tap(&'a SetBetween<Millimetres>),
    /// Place of the straps.
    Strap(&'a SetBetween<Millimetres>),
}

impl SecondRange<'_> {
    /// Which setting it is.
    #[must_use]
    pub fn what(self) -> Second {
        match self {
            Self::Droop(_) => Second::Droop,
            Self::Coil(_) => Second::Coil,
            Self::Tap(_) => Second::Tap,
            Self::Strap(_) => Second::Strap,
        }
    }

    /// The range in words.
    #[must_use]
    pub fn shown(self) -> String {
        match self {
            Self::Droop(range) => range.shown(),
            Self::Coil(range) => range.shown(),
            Self::Tap(range) | Self::Strap(range) => range.shown(),
        }
    }
}

impl<'a> Antenna<'a> {
    /// The element whose length is set on the stand; `None` for an antenna that comes tuned.
    #[must_use]
    pub fn element(self) -> Option<&'a Element> {
        match self.kind {
            AntennaSpec::HalfWaveDipole(spec) => Some(&spec.element),
            AntennaSpec::FoldedDipole(spec) => Some(&spec.element),
            AntennaSpec::GroundPlane(spec) => Some(&spec.element),
            AntennaSpec::FiveEighths(spec) => Some(&spec.element),
            AntennaSpec::MultiBay(spec) => spec.element.as_ref(),
            AntennaSpec::FactoryTuned(_) => None,
        }
    }

    /// The radials, where it stands over some.
    #[must_use]
    pub fn radials(self) -> Option<&'a Radials> {
        match self.kind {
            AntennaSpec::GroundPlane(spec) => Some(&spec.radials),
            AntennaSpec::FiveEighths(spec) => Some(&spec.radials),
            _ => None,
        }
    }

    /// The second setting, where it has one that can be changed.
    #[must_use]
    pub fn second(self) -> Option<SecondRange<'a>> {
        match self.kind {
            AntennaSpec::GroundPlane(spec) => {
                Some(SecondRange::Droop(&spec.droop)).filter(|_| !spec.droop.is_fixed())
            }
            AntennaSpec::FiveEighths(spec) => Some(match &spec.matched_by {
                BaseMatch::Coil(range) => SecondRange::Coil(range),
                BaseMatch::Tap(range) => SecondRange::Tap(range),
            }),
            AntennaSpec::FoldedDipole(spec) => spec.strap.as_ref().map(SecondRange::Strap),
            _ => None,
        }
    }

    /// Whether it is tuned on a stand; otherwise the maker's test sheet is the reference.
    #[must_use]
    pub fn has_stand(self) -> bool {
        self.element().is_some()
    }

    /// How many bays stand above each other.
    #[must_use]
    pub fn bays(self) -> u8 {
        match self.kind {
            AntennaSpec::MultiBay(spec) => spec.bays,
            AntennaSpec::FactoryTuned(spec) => spec.bays,
            _ => 1,
        }
    }

    /// From its lowest metal to its highest, where a distance is reckoned by the size of the whole
    /// radiator. Of a kind that is set on a stand it follows from the wavelength.
    #[must_use]
    pub fn extent(self, frequency: Megahertz) -> Metres {
        let waves = |part: f64| part * wavelength(frequency).value();
        Metres::nearest(match self.kind {
            AntennaSpec::FiveEighths(_) => waves(0.625),
            AntennaSpec::MultiBay(spec) => {
                let gaps = f64::from(spec.bays.saturating_sub(1));
                gaps * spec.bay_spacing.value().value() + waves(0.5)
            }
            AntennaSpec::FactoryTuned(spec) => spec.extent.value().value(),
            _ => waves(0.5),
        })
    }
}
