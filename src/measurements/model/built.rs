//! What was built, as it was measured on the spot, and what a survey of exposure found.

use serde::{Deserialize, Serialize};

use crate::rf::quantity::{
    BearingDegrees, DeclinationDegrees, Megahertz, Metres, Percent, Quantity, Typed,
};
use crate::sites::model::{Polarization, Position};
use crate::words::words;

words! {
    /// How the height of the antenna's centre was found.
    HeightMethod {
        /// A tape let down from the centre.
        Tape = "tape" / "tape",
        /// A laser from the ground.
        Laser = "laser" / "laser",
        /// Angles from a known distance.
        Theodolite = "theodolite" / "theodolite",
        /// Not measured: the figure of a drawing.
        Drawing = "drawing" / "from a drawing, not measured",
    }
}

impl HeightMethod {
    /// Whether it was measured at the structure itself.
    #[must_use]
    pub fn measured(self) -> bool {
        self != Self::Drawing
    }
}

words! {
    /// How the position was found.
    PositionMethod {
        /// A satellite receiver left to average.
        Averaged = "averaged" / "satellite receiver, averaged",
        /// One fix of a satellite receiver or telephone.
        SingleFix = "single-fix" / "satellite receiver, one fix",
        /// A land survey.
        Survey = "survey" / "land survey",
        /// Not measured: read off a map or an aerial picture.
        Map = "map" / "from a map, not measured",
    }
}

impl PositionMethod {
    /// Whether it was measured at the structure itself.
    #[must_use]
    pub fn measured(self) -> bool {
        self != Self::Map
    }
}

words! {
    /// The north from which a bearing counts.
    North {
        /// That of the meridian.
        True = "true" / "true",
        /// That of the needle.
        Magnetic = "magnetic" / "magnetic",
    }
}

/// The height of the antenna's centre above ground.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BuiltHeight {
    /// The height.
    pub height: Typed<Metres>,
    /// How it was found.
    pub method: HeightMethod,
}

/// Where the antenna stands.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BuiltPosition {
    /// The position with its datum.
    #[serde(flatten)]
    pub position: Position,
    /// How it was found.
    pub method: PositionMethod,
    /// How well, as the receiver or the surveyor says; `None` where neither does.
    pub accuracy: Option<Typed<Metres>>,
}

/// Where the antenna points.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BuiltBearing {
    /// As read.
    pub bearing: Typed<BearingDegrees>,
    /// The north it counts from.
    pub north: North,
    /// For a magnetic one: what is added to have the true one, where it is known.
    pub declination: Option<Typed<DeclinationDegrees>>,
}

impl BuiltBearing {
    /// From true north; `None` for a magnetic one whose declination is not known.
    #[must_use]
    pub fn from_true_north(&self) -> Option<BearingDegrees> {
        let turn = match self.north {
            North::True => 0.0,
            North::Magnetic => self.declination.as_ref()?.value().value(),
        };
        Some(BearingDegrees::nearest((self.bearing.value().value() + turn).rem_euclid(360.0)))
    }

    /// `222° magnetic, declination -2°`
    #[must_use]
    pub fn shown(&self) -> String {
        let declination = match (&self.declination, self.north) {
            (Some(declination), _) => format!(", declination {declination}"),
            (None, North::Magnetic) => ", declination not known".to_owned(),
            (None, North::True) => String::new(),
        };
        format!("{} {}{declination}", self.bearing, self.north.shown())
    }
}

/// The carrier's frequency, measured.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BuiltFrequency {
    /// As read.
    pub frequency: Typed<Megahertz>,
    /// With what: counter, analyser, receiver with a reference.
    pub method: String,
}

/// What was built: each part where it was measured then.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct AsBuilt {
    /// Height of the antenna's centre.
    pub height: Option<BuiltHeight>,
    /// Its position.
    pub position: Option<BuiltPosition>,
    /// The plane of the field, as the antenna was seen to be mounted.
    pub polarization: Option<Polarization>,
    /// Its bays, counted.
    pub bays: Option<u8>,
    /// Where it points.
    pub bearing: Option<BuiltBearing>,
    /// The carrier's frequency.
    pub frequency: Option<BuiltFrequency>,
    /// Anything else.
    pub note: String,
}

impl AsBuilt {
    /// What was measured, part by part.
    #[must_use]
    pub fn shown(&self) -> String {
        let mut parts = Vec::new();
        if let Some(one) = &self.height {
            parts.push(format!("centre {} above ground ({})", one.height, one.method.shown()));
        }
        if let Some(one) = &self.position {
            parts.push(format!(
                "{}, {} ({})",
                one.position.shown(),
                one.position.datum.shown(),
                one.method.shown()
            ));
        }
        if let Some(one) = self.polarization {
            parts.push(format!("{} polarization", one.shown()));
        }
        if let Some(bays) = self.bays {
            parts.push(format!("{bays} {}", if bays == 1 { "bay" } else { "bays" }));
        }
        if let Some(one) = &self.bearing {
            parts.push(format!("points to {}", one.shown()));
        }
        if let Some(one) = &self.frequency {
            parts.push(format!("{} ({})", one.frequency, one.method));
        }
        parts.join("; ")
    }
}

words! {
    /// Who may be at a place.
    Area {
        /// Anybody.
        Public = "public" / "public",
        /// Whoever knows of the exposure and can leave.
        Controlled = "controlled" / "controlled",
    }
}

/// One point of a survey.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SurveyPoint {
    /// Where, well enough to find it again.
    pub place: String,
    /// Who may be there.
    pub area: Area,
    /// The share of the limit that holds there, all stations together.
    pub share: Typed<Percent>,
}

/// A survey of exposure at named points.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ExposureSurvey {
    /// The field meter, with its serial number and the end of its calibration.
    pub instrument: String,
    /// Whether all stations of the site were on at full power.
    pub all_on: bool,
    /// The points in the order of the form.
    pub points: Vec<SurveyPoint>,
    /// Anything else.
    pub note: String,
}

impl ExposureSurvey {
    /// The point with the greatest share.
    #[must_use]
    pub fn highest(&self) -> Option<&SurveyPoint> {
        self.points
            .iter()
            .max_by(|one, other| one.share.value().value().total_cmp(&other.share.value().value()))
    }

    /// `3 points, highest 4.1 % of the limit at the gate; all stations on`
    #[must_use]
    pub fn shown(&self) -> String {
        let highest = self.highest().map_or_else(String::new, |point| {
            format!(", highest {} of the limit: {}", point.share, point.place)
        });
        let count = self.points.len();
        format!(
            "{count} {}{highest}; {}; {}",
            if count == 1 { "point" } else { "points" },
            if self.all_on { "all stations on at full power" } else { "not all stations on" },
            self.instrument
        )
    }
}

#[cfg(test)]
mod tests {
    use super::{BuiltBearing, North};
    use crate::rf::quantity::{Quantity, Typed};

    #[test]
    fn a_needle_is_corrected_by_its_declination_or_not_at_all() {
        let bearing = |degrees: &str, north, declination: Option<&str>| {
            BuiltBearing {
                bearing: Typed::parse(degrees).unwrap(),
                north,
                declination: declination.map(|one| Typed::parse(one).unwrap()),
            }
            .from_true_north()
            .map(Quantity::value)
        };
        let close = |found: Option<f64>, wanted: f64| (found.unwrap() - wanted).abs() < 1e-9;
        assert!(close(bearing("220", North::True, None), 220.0));
        assert!(close(bearing("222", North::Magnetic, Some("-2")), 220.0));
        assert!(close(bearing("359", North::Magnetic, Some("3")), 2.0));
        assert!(close(bearing("1", North::Magnetic, Some("-3")), 358.0));
        assert_eq!(bearing("222", North::Magnetic, None), None);
    }
}
