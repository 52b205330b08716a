//! What was measured, as it was written down.

mod built;

pub use built::{
    Area, AsBuilt, BuiltBearing, BuiltFrequency, BuiltHeight, BuiltPosition, ExposureSurvey,
    HeightMethod, North, PositionMethod, SurveyPoint,
};

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::clock::{Measured, Utc};
use crate::rf::meter::{Powers, Reflected};
use crate::rf::quantity::{Celsius, LossDb, Megahertz, Metres, Millimetres, Typed, Watts};
use crate::words::words;

words! {
    /// How the element stood on the stand.
    Orientation {
        /// Upright.
        Vertical = "vertical" / "vertical",
        /// Level.
        Horizontal = "horizontal" / "horizontal",
    }
}

words! {
    /// The weather at the antenna.
    Weather {
        /// Dry.
        Dry = "dry" / "dry",
        /// Damp: dew, fog, after rain.
        Damp = "damp" / "damp",
        /// Rain.
        Rain = "rain" / "rain",
        /// Snow.
        Snow = "snow" / "snow",
        /// Ice on the element.
        Ice = "ice" / "ice",
    }
}

words! {
    /// Why a reading was taken.
    Occasion {
        /// At commissioning, through the whole chain.
        Installed = "installed" / "installed",
        /// Later, in the course of upkeep.
        Routine = "routine" / "routine",
    }
}

/// Forward and reflected power as read, with the ranges of the meter they were read on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PowerPair {
    /// Forward power.
    pub forward: Typed<Watts>,
    /// Reflected power as read, or the least that the range shows.
    pub reflected: Typed<Watts>,
    /// Whether the reflected power was below that.
    pub reflected_below: bool,
    /// Full scale of the range for forward power.
    pub forward_range: Typed<Watts>,
    /// Full scale of the range for reflected power.
    pub reflected_range: Typed<Watts>,
}

impl PowerPair {
    /// The pair as the arithmetic takes it.
    #[must_use]
    pub fn powers(&self) -> Powers {
        let reflected = if self.reflected_below {
            Reflected::Below(self.reflected.clone())
        } else {
            Reflected::Shown(self.reflected.clone())
        };
        Powers { forward: self.forward.clone(), reflected }
    }

    /// `4.0 W forward, below 0.05 W reflected`
    #[must_use]
    pub fn shown(&self) -> String {
        let powers = self.powers();
        format!("{} forward, {} reflected", powers.forward, powers.reflected)
    }
}

/// The stand, described well enough to repeat it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StandSetup {
    /// Height of the element's centre above ground.
    pub height: Typed<Metres>,
    /// Distance to the nearest metal that does not belong to the antenna.
    pub nearest_metal: Typed<Metres>,
    /// How the element stood.
    pub orientation: Orientation,
    /// The test jumper between meter and antenna.
    pub jumper: String,
    /// Its loss at the frequency.
    pub jumper_loss: Typed<LossDb>,
    /// Whether the supply was protected by a residual-current device.
    pub supply_protected: bool,
    /// Anything else.
    pub note: String,
}

/// One setting of the antenna with the powers read at it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Trial {
    /// Setting of the upper half (or the left one), middle of the gap to the tip.
    pub upper: Typed<Millimetres>,
    /// Setting of the lower half (or the right one).
    pub lower: Typed<Millimetres>,
    /// The powers.
    #[serde(flatten)]
    pub powers: PowerPair,
    /// Anything else: what moved when the cable was gripped.
    pub note: String,
}

/// A reading at a measuring point of the chain.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// Why it was taken.
    pub occasion: Occasion,
    /// The part of the chain at whose output it holds.
    pub point_position: i64,
    /// The carrier's frequency.
    pub frequency: Typed<Megahertz>,
    /// The powers.
    #[serde(flatten)]
    pub powers: PowerPair,
    /// The power the transmitter was set to; `None` where it was not noted.
    pub power_set: Option<Typed<Watts>>,
    /// The power it said it made.
    pub power_made: Option<Typed<Watts>>,
    /// Whether it was folding back.
    pub fold_back: bool,
    /// Air temperature.
    pub temperature: Option<Typed<Celsius>>,
    /// Weather at the antenna.
    pub weather: Weather,
    /// On a shared site: whether the reading was also looked at with the own transmitter off.
    pub others_off: Option<bool>,
    /// Why it was taken before the gate "ready for RF", when it was.
    pub out_of_sequence: Option<String>,
    /// Anything else.
    pub note: String,
}

/// The trial whose setting is the antenna's.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ChosenSetting {
    /// The trial.
    pub trial: Uuid,
}

/// Why an installed reading differs from the stand.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Explanation {
    /// The reading it explains.
    pub reading: Uuid,
    /// The cause.
    pub cause: String,
    /// What was checked to find it.
    pub checked: String,
}

/// When and upon what a fact was recorded: what every kind of fact has in common.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Circumstances {
    /// The site.
    pub site_id: i64,
    /// The job, if it belongs to one.
    pub job_id: Option<i64>,
    /// When it was measured or done.
    pub measured: Measured,
    /// What the device's clock showed when it was sent.
    pub device_at: Option<Utc>,
    /// The assignment's revision at the time.
    pub assignment_revision_id: Option<i64>,
    /// The chain's revision at the time.
    pub chain_revision_id: Option<i64>,
    /// The instrument's calibration at the time.
    pub calibration_id: Option<i64>,
    /// The profile of the job.
    pub profile_id: Option<i64>,
    /// The row it corrects, with the reason.
    pub corrects: Option<(i64, String)>,
}
