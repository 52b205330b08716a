//! A site and its assignments, as they are known.

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::clock::{Utc, Zone};
use crate::rf::quantity::{LatitudeDegrees, LongitudeDegrees, Megahertz, Metres, Typed, Watts};
use crate::words::words;

words! {
    /// What carries the antennas.
    Structure {
        /// Held by guys.
        Mast = "mast" / "guyed mast",
        /// Stands by itself.
        Tower = "tower" / "self-supporting tower",
        /// A pole.
        Pole = "pole" / "pole",
        /// On a building.
        Roof = "roof" / "roof",
    }
}

words! {
    /// The plane of the electric field.
    Polarization {
        /// Vertical.
        Vertical = "vertical" / "vertical",
        /// Horizontal.
        Horizontal = "horizontal" / "horizontal",
        /// Circular.
        Circular = "circular" / "circular",
        /// Both planes, not in quadrature.
        Mixed = "mixed" / "mixed",
    }
}

/// A place with a structure that carries antennas.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Site {
    /// The row.
    #[serde(skip)]
    pub id: i64,
    /// The name outside.
    pub uuid: Uuid,
    /// The short label in addresses: letters, digits and hyphens.
    pub code: String,
    /// The name people use.
    pub name: String,
    /// Degrees north, WGS 84.
    pub latitude: Typed<LatitudeDegrees>,
    /// Degrees east, WGS 84.
    pub longitude: Typed<LongitudeDegrees>,
    /// The IANA name of the zone whose clock hangs at the site.
    pub zone: String,
    /// What carries the antennas.
    pub structure: Structure,
    /// Its height above ground.
    pub structure_height: Typed<Metres>,
    /// Access, hazards, emergency numbers.
    pub notes: String,
    /// Counts the edits.
    pub version: i64,
}

impl Site {
    /// The zone, for showing times.
    #[must_use]
    pub fn time_zone(&self) -> Zone {
        Zone::stored(&self.zone)
    }
}

/// What a form says of a site.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SiteDraft {
    /// See [`Site::code`].
    pub code: String,
    /// See [`Site::name`].
    pub name: String,
    /// See [`Site::latitude`].
    pub latitude: Typed<LatitudeDegrees>,
    /// See [`Site::longitude`].
    pub longitude: Typed<LongitudeDegrees>,
    /// See [`Site::zone`].
    pub zone: String,
    /// See [`Site::structure`].
    pub structure: Structure,
    /// See [`Site::structure_height`].
    pub structure_height: Typed<Metres>,
    /// See [`Site::notes`].
    pub notes: String,
}

/// What the authority has assigned: one revision of it. The newest revision holds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Assignment {
    /// The row of this revision, which facts pin.
    #[serde(skip)]
    pub revision_id: i64,
    /// The row of the assignment.
    #[serde(skip)]
    pub assignment_id: i64,
    /// The assignment's name outside.
    pub uuid: Uuid,
    /// The revision's name outside.
    pub revision_uuid: Uuid,
    /// The assignment's number at its site, from 1.
    pub number: i64,
    /// The revision's number, from 1.
    pub revision: i64,
    /// When the revision was entered.
    pub entered_at: Utc,
    /// What it says.
    #[serde(flatten)]
    pub particulars: Particulars,
}

/// The authorised particulars.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Particulars {
    /// The station's name.
    pub station_name: String,
    /// Its call sign; empty where there is none.
    pub call_sign: String,
    /// The carrier frequency.
    pub frequency: Typed<Megahertz>,
    /// Authorised transmitter output power.
    pub power: Typed<Watts>,
    /// Authorised effective radiated power, all planes together.
    pub erp: Typed<Watts>,
    /// Authorised height of the antenna's centre above ground.
    pub height: Typed<Metres>,
    /// The plane of the field.
    pub polarization: Polarization,
}
