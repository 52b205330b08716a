//! What is declared of an antenna: what every kind has (plate, element, second setting), each kind, and
//! the view that leaves the kind open.

mod kinds;
mod view;

pub use kinds::{
    BaseMatch, FactoryTuned, FiveEighths, FoldedDipole, GroundPlane, HalfWaveDipole, MultiBay,
};
pub use view::{Antenna, AntennaSpec, SecondRange};

use serde::{Deserialize, Serialize};

use crate::equipment::model::spec::{Declared, stated};
use crate::rf::quantity::{Degrees, GainDbd, Metres, Millimetres, Quantity, Turns, Typed, Watts};
use crate::sites::model::Polarization;
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
    /// What stands between a dipole's own resistance and the line's 50 Ω: about 72 Ω of a straight one,
    /// and again behind the 4:1 balun of a folded one.
    Matching {
        /// A matching section: the antenna can come to 1.0.
        Section = "section" / "matching section to 50 Ω",
        /// Nothing: a dipole has a floor of about 1.42 on 50 Ω.
        None = "none" / "none (straight dipole)",
    }
}

words! {
    /// A second setting that an antenna may have beside its length.
    Second {
        /// How far the radials hang below the horizontal.
        Droop = "droop" / "droop",
        /// Turns of a coil at the base that are in circuit.
        Coil = "coil" / "coil",
        /// Where a tap stands, from the grounded end.
        Tap = "tap" / "tap",
        /// Where the straps of a folded dipole stand, from its middle.
        Strap = "strap" / "strap",
    }
}

impl Second {
    /// The unit in which it is set.
    #[must_use]
    pub fn unit(self) -> &'static str {
        match self {
            Self::Droop => Degrees::UNIT,
            Self::Coil => Turns::UNIT,
            Self::Tap | Self::Strap => Millimetres::UNIT,
        }
    }
}

words! {
    /// What one bay of an array is.
    BayKind {
        /// A vertical half-wave dipole.
        VerticalDipole = "vertical-dipole" / "vertical dipole",
        /// Circular polarization: a ring, a helix, crossed or slanted dipoles.
        Circular = "circular" / "circular radiator",
        /// Anything else; no gain is computed for it.
        Other = "other" / "another radiator",
    }
}

words! {
    /// What an antenna that comes tuned from its maker looks like.
    FactoryShape {
        /// Dipoles before a screen.
        Panel = "panel" / "panel",
        /// A dipole that cannot be set.
        Dipole = "dipole" / "dipole",
        /// A ring, a helix, crossed or slanted dipoles.
        Circular = "circular" / "circular radiator",
        /// Rods in a row with a main direction.
        Directional = "directional" / "directional array of rods",
        /// Anything else.
        Other = "other" / "another shape",
    }
}

/// What every antenna declares, by its plate, its data sheet and its place on the structure.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Plate {
    /// Gain at the antenna input in the direction of the most, with what a harness of its own takes: as
    /// the maker states it for the polarization that counts, or as the pattern gives it.
    pub gain: Typed<GainDbd>,
    /// What a DC test sees.
    pub dc_state: DcState,
    /// The most power it may take; `None` where none is stated.
    pub rated_power: Option<Typed<Watts>>,
    /// Height of its centre above ground, as designed.
    pub height: Typed<Metres>,
    /// Distance of the element from the structure, where it stands beside it.
    pub spacing: Option<Typed<Metres>>,
    /// In which plane it radiates; `None` where nobody has said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub polarization: Option<Polarization>,
}

impl Plate {
    fn declared(&self) -> Declared {
        let mut declared = vec![
            ("gain", self.gain.to_string()),
            ("DC test sees", self.dc_state.shown().to_owned()),
            ("rated power", stated(self.rated_power.as_ref())),
            ("height of centre", self.height.to_string()),
            (
                "from the structure",
                self.spacing.as_ref().map_or("not beside it".to_owned(), ToString::to_string),
            ),
        ];
        declared.extend(self.polarization.map(|plane| ("polarization", plane.shown().to_owned())));
        declared
    }
}

/// An element whose length is set: each half of a dipole, or the radiator over radials.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Element {
    /// How its length is set.
    pub setting: Setting,
    /// Diameter of its rod or tube.
    pub element_diameter: Typed<Millimetres>,
    /// The shortest setting: of each half from the middle of the feed gap to the tip, of a radiator from
    /// the feed point to the tip.
    pub shortest: Typed<Millimetres>,
    /// The longest setting.
    pub longest: Typed<Millimetres>,
}

impl Element {
    /// - `what`: "each half", "radiator"
    fn declared(&self, what: &'static str) -> Declared {
        vec![
            ("length is", self.setting.shown().to_owned()),
            (what, format!("{} to {}", self.shortest.text(), self.longest)),
            ("element diameter", self.element_diameter.to_string()),
        ]
    }
}

/// The radials beneath a radiator.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Radials {
    /// How many.
    pub radials: u8,
    /// The length of each, from the feed point.
    pub radial_length: Typed<Millimetres>,
}

impl Radials {
    fn declared(&self) -> Declared {
        vec![("radials", format!("{} of {}", self.radials, self.radial_length))]
    }
}

/// The ends between which something can be set; alike where it is fixed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(bound = "")]
pub struct SetBetween<Q: Quantity> {
    /// The least.
    pub least: Typed<Q>,
    /// The greatest.
    pub most: Typed<Q>,
}

impl<Q: Quantity> SetBetween<Q> {
    /// Whether it cannot be changed.
    #[must_use]
    pub fn is_fixed(&self) -> bool {
        self.least.value().value() >= self.most.value().value()
    }

    /// Whether a value lies between the ends.
    #[must_use]
    pub fn holds(&self, value: Q) -> bool {
        let (least, most) = (self.least.value().value(), self.most.value().value());
        (least..=most).contains(&value.value())
    }

    /// `0 to 60°`, or `45°, fixed`
    #[must_use]
    pub fn shown(&self) -> String {
        if self.is_fixed() {
            format!("{}, fixed", self.least)
        } else {
            format!("{} to {}", self.least.text(), self.most)
        }
    }
}
