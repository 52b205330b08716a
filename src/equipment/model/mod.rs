//! The parts of an RF chain and what is declared of each; chains, their revisions and what changed
//! between two of them.

mod changes;
mod keys;
mod path;
mod spec;

pub use changes::{Change, changes};
pub use keys::{KINDS, free_key, keys, kind_of};
pub use path::{DcSeen, OtherCarrier};
pub use spec::{
    Antenna, AntennaSpec, BaseMatch, BayKind, Choke, ChokeKind, Combiner, CombinerInput,
    Connectors, DcPath, DcState, DirectionalMeter, DummyLoad, Element, FactoryShape, FactoryTuned,
    Filter, FilterArrester, FiveEighths, FoldedDipole, GasTubeArrester, GroundPlane,
    HalfWaveDipole, InLine, Line, MOST_INPUTS, Matching, MultiBay, OWN_CABLE, Plate, Pressure,
    Radials, Rated, Second, SecondRange, SetBetween, Setting, Spec, Splitter, StubArrester, Switch,
    Transmitter,
};

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::clock::Utc;

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

impl ChainPart {
    /// What it is and which one: "feed line, 1/2 in foam corrugated, serial 77".
    #[must_use]
    pub fn named(&self) -> String {
        named(&self.spec, &self.designation, &self.serial)
    }
}

fn named(spec: &Spec, designation: &str, serial: &str) -> String {
    let kind = spec.kind_shown();
    if serial.is_empty() {
        format!("{kind}, {designation}")
    } else {
        format!("{kind}, {designation}, serial {serial}")
    }
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
    /// The carriers that share its parts from a combiner on, as they are now; read for the newest revision
    /// alone.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub others: Vec<OtherCarrier>,
}

impl Chain {
    /// The transmitter: the first one, where a record holds several.
    #[must_use]
    pub fn transmitter(&self) -> Option<(&ChainPart, &Transmitter)> {
        self.first(|spec| if let Spec::Transmitter(spec) = spec { Some(spec) } else { None })
    }

    /// The first gas-tube arrester.
    #[must_use]
    pub fn arrester(&self) -> Option<(&ChainPart, &GasTubeArrester)> {
        self.first(|spec| if let Spec::GasTubeArrester(spec) = spec { Some(spec) } else { None })
    }

    /// The line up the structure: the first one, where there are several.
    #[must_use]
    pub fn feed_line(&self) -> Option<(&ChainPart, &Line)> {
        self.first(|spec| if let Spec::FeedLine(line) = spec { Some(line) } else { None })
    }

    /// The antenna.
    #[must_use]
    pub fn antenna(&self) -> Option<(&ChainPart, Antenna<'_>)> {
        self.parts.iter().find_map(|part| Some((part, part.spec.antenna()?)))
    }

    /// The directional meters in order from the transmitter.
    pub fn meters(&self) -> impl Iterator<Item = (&ChainPart, &DirectionalMeter)> {
        self.parts.iter().filter_map(|part| match &part.spec {
            Spec::DirectionalMeter(spec) => Some((part, spec)),
            _ => None,
        })
    }

    /// The part at a position.
    #[must_use]
    pub fn part(&self, position: i64) -> Option<&ChainPart> {
        self.parts.iter().find(|part| part.position == position)
    }

    fn first<'c, T>(
        &'c self,
        pick: impl Fn(&'c Spec) -> Option<&'c T>,
    ) -> Option<(&'c ChainPart, &'c T)> {
        self.parts.iter().find_map(|part| pick(&part.spec).map(|spec| (part, spec)))
    }
}

/// A revision with who made it and in which job.
#[derive(Debug, Clone, PartialEq)]
pub struct Revision {
    /// What it holds.
    pub chain: Chain,
    /// The name of the person who entered it; "operator" or "system" where no person did.
    pub by: String,
    /// The number of the job within which it was made, at its site.
    pub job: Option<i64>,
}

/// A part as a form names it: which part of the previous revision it is, the act finds out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PartDraft {
    /// See [`ChainPart::designation`].
    pub designation: String,
    /// See [`ChainPart::serial`].
    pub serial: String,
    /// See [`ChainPart::spec`].
    pub spec: Spec,
}

impl PartDraft {
    /// Whether this names the same piece of equipment: kind, designation and serial agree. What is
    /// declared of it may differ: a data sheet is read again, the piece stays.
    #[must_use]
    pub fn is_same_piece(&self, part: &ChainPart) -> bool {
        self.designation == part.designation
            && self.serial == part.serial
            && self.spec.kind() == part.spec.kind()
    }

    /// What it is and which one.
    #[must_use]
    pub fn named(&self) -> String {
        named(&self.spec, &self.designation, &self.serial)
    }
}

/// A revision as a form asks for it: parts in order from the transmitter.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ChainDraft {
    /// The number of the revision that the form was filled from; 0 for a first one.
    pub base: i64,
    /// Why it is made.
    pub note: String,
    /// The parts in order; the first has position 1.
    pub parts: Vec<PartDraft>,
}

/// An open job within which a chain may be revised.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OpenJob {
    /// Its row.
    pub id: i64,
    /// Its number at the site.
    pub number: i64,
}

#[cfg(test)]
pub(crate) mod tests;
