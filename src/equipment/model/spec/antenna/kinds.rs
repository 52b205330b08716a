//! The kinds of antenna with what only each of them declares.

use serde::{Deserialize, Serialize};

use crate::equipment::model::spec::antenna::{
    BayKind, Element, FactoryShape, Matching, Plate, Radials, SetBetween,
};
use crate::equipment::model::spec::{Declared, at_most};
use crate::rf::quantity::{Degrees, LossDb, Metres, Millimetres, Swr, Turns, Typed};

/// A half-wave dipole, fed in the middle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HalfWaveDipole {
    /// Its halves.
    #[serde(flatten)]
    pub element: Element,
    /// What matches it to the line.
    pub matching: Matching,
    /// What every antenna declares.
    #[serde(flatten)]
    pub plate: Plate,
}

/// A folded dipole: two parallel conductors joined at the tips, one of them fed in the middle through a
/// 4:1 balun.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FoldedDipole {
    /// Its halves.
    #[serde(flatten)]
    pub element: Element,
    /// Distance between the axes of its two conductors.
    pub conductor_spacing: Typed<Millimetres>,
    /// What matches it to the line behind its balun.
    pub matching: Matching,
    /// Where its straps can stand, from the middle; `None` where it has none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub strap: Option<SetBetween<Millimetres>>,
    /// What every antenna declares.
    #[serde(flatten)]
    pub plate: Plate,
}

/// A quarter-wave radiator over radials.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct GroundPlane {
    /// Its radiator.
    #[serde(flatten)]
    pub element: Element,
    /// Its radials.
    #[serde(flatten)]
    pub radials: Radials,
    /// How far the radials hang below the horizontal.
    pub droop: SetBetween<Degrees>,
    /// What every antenna declares.
    #[serde(flatten)]
    pub plate: Plate,
}

/// What matches a five-eighths-wave radiator, which has no resonant length.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum BaseMatch {
    /// A coil at the base, by its turns in circuit.
    Coil(SetBetween<Turns>),
    /// A tap, by its distance from the grounded end.
    Tap(SetBetween<Millimetres>),
}

/// A five-eighths-wave radiator over radials: its length is chosen for the pattern.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FiveEighths {
    /// Its radiator.
    #[serde(flatten)]
    pub element: Element,
    /// Its radials.
    #[serde(flatten)]
    pub radials: Radials,
    /// What matches it.
    pub matched_by: BaseMatch,
    /// What every antenna declares.
    #[serde(flatten)]
    pub plate: Plate,
}

/// Bays above each other, fed alike through a harness.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct MultiBay {
    /// What each bay is.
    pub bay: BayKind,
    /// How many.
    pub bays: u8,
    /// From centre to centre.
    pub bay_spacing: Typed<Metres>,
    /// Loss of divider and harness, from the antenna input to a bay.
    pub harness_loss: Typed<LossDb>,
    /// The halves of each bay where they are set on the stand, all alike; `None` where the maker has set
    /// them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub element: Option<Element>,
    /// What every antenna declares.
    #[serde(flatten)]
    pub plate: Plate,
}

/// An antenna that the maker has tuned, a panel among them: nothing is set on a stand, and the maker's
/// test sheet says what it reflects.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FactoryTuned {
    /// What it looks like.
    pub shape: FactoryShape,
    /// How many above each other.
    pub bays: u8,
    /// From its lowest metal to its highest, all bays together.
    pub extent: Typed<Metres>,
    /// The highest SWR that the maker states over its band; `None` where none is stated.
    pub stated_swr: Option<Typed<Swr>>,
    /// What every antenna declares.
    #[serde(flatten)]
    pub plate: Plate,
}

impl HalfWaveDipole {
    /// See [`Spec::declared`](crate::equipment::model::Spec::declared).
    pub(in crate::equipment::model::spec) fn declared(&self) -> Declared {
        let mut declared = self.element.declared("each half");
        declared.push(("match", self.matching.shown().to_owned()));
        declared.extend(self.plate.declared());
        declared
    }
}

impl FoldedDipole {
    /// See [`Spec::declared`](crate::equipment::model::Spec::declared).
    pub(in crate::equipment::model::spec) fn declared(&self) -> Declared {
        let mut declared = self.element.declared("each half");
        let matching = match self.matching {
            Matching::Section => self.matching.shown(),
            Matching::None => "none (72 Ω behind its balun)",
        };
        let straps = self.strap.as_ref().map_or("none".to_owned(), SetBetween::shown);
        declared.extend([
            ("between conductors", self.conductor_spacing.to_string()),
            ("match", matching.to_owned()),
            ("straps, from the middle", straps),
        ]);
        declared.extend(self.plate.declared());
        declared
    }
}

impl GroundPlane {
    /// See [`Spec::declared`](crate::equipment::model::Spec::declared).
    pub(in crate::equipment::model::spec) fn declared(&self) -> Declared {
        let mut declared = self.element.declared("radiator");
        declared.extend(self.radials.declared());
        declared.push(("droop of the radials", self.droop.shown()));
        declared.extend(self.plate.declared());
        declared
    }
}

impl FiveEighths {
    /// See [`Spec::declared`](crate::equipment::model::Spec::declared).
    pub(in crate::equipment::model::spec) fn declared(&self) -> Declared {
        let mut declared = self.element.declared("radiator");
        declared.extend(self.radials.declared());
        declared.push(match &self.matched_by {
            BaseMatch::Coil(range) => ("matched by a coil", range.shown()),
            BaseMatch::Tap(range) => ("matched by a tap", range.shown()),
        });
        declared.extend(self.plate.declared());
        declared
    }
}

impl MultiBay {
    /// See [`Spec::declared`](crate::equipment::model::Spec::declared).
    pub(in crate::equipment::model::spec) fn declared(&self) -> Declared {
        let mut declared = vec![
            ("bays", format!("{}, {}", self.bays, self.bay.shown())),
            ("between bays", self.bay_spacing.to_string()),
            ("harness loss", self.harness_loss.to_string()),
        ];
        match &self.element {
            Some(element) => declared.extend(element.declared("each half of a bay")),
            None => declared.push(("length is", "set by the maker".to_owned())),
        }
        declared.extend(self.plate.declared());
        declared
    }
}

impl FactoryTuned {
    /// See [`Spec::declared`](crate::equipment::model::Spec::declared).
    pub(in crate::equipment::model::spec) fn declared(&self) -> Declared {
        let mut declared = vec![
            ("shape", self.shape.shown().to_owned()),
            ("bays", self.bays.to_string()),
            ("height of the antenna itself", self.extent.to_string()),
            ("SWR stated", self.stated_swr.as_ref().map_or("not stated".to_owned(), at_most)),
        ];
        declared.extend(self.plate.declared());
        declared
    }
}
