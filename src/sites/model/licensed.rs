//! What the authority's paper says beyond frequency, power and height, and positions as they are typed.

use serde::{Deserialize, Serialize};

use crate::clock::Date;
use crate::rf::geodesy::Place;
use crate::rf::quantity::{
    BearingDegrees, LatitudeDegrees, LongitudeDegrees, Metres, Quantity, Typed,
};
use crate::words::words;

/// The least and the most bays that are taken. Repeated by the tables' CHECKs.
pub const BAYS: (u8, u8) = (1, 64);

/// Metres to a degree along a meridian, about: 10 000 km from equator to pole.
const METRES_PER_DEGREE: f64 = 10_000_000.0 / 90.0;

words! {
    /// The system in which a position is given.
    Datum {
        /// WGS 84, that of satellite receivers.
        Wgs84 = "wgs-84" / "WGS 84",
        /// ETRS89 (Europe): within a metre of WGS 84.
        Etrs89 = "etrs89" / "ETRS89",
        /// NAD 83 (North America): within about 2 m of WGS 84.
        Nad83 = "nad-83" / "NAD 83",
        /// Any other: may lie hundreds of metres off.
        Other = "other" / "another datum",
    }
}

impl Datum {
    /// How far its positions may lie from those of WGS 84; `None` where that is not known.
    ///
    /// Plate motion since ETRS89 was fixed to Europe (about 25 mm a year) and the shift of NAD 83's
    /// origin (about 2 m); both from memory.
    #[must_use]
    pub fn shift(self) -> Option<Metres> {
        match self {
            Self::Wgs84 => Some(Metres::fixed(0.0)),
            Self::Etrs89 => Some(Metres::fixed(1.0)),
            Self::Nad83 => Some(Metres::fixed(2.0)),
            Self::Other => None,
        }
    }
}

/// A position as it was typed, with its datum.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Position {
    /// Degrees north.
    pub latitude: Typed<LatitudeDegrees>,
    /// Degrees east.
    pub longitude: Typed<LongitudeDegrees>,
    /// The datum.
    pub datum: Datum,
}

impl Position {
    /// The place on the ellipsoid.
    #[must_use]
    pub fn place(&self) -> Place {
        Place { latitude: self.latitude.value(), longitude: self.longitude.value() }
    }

    /// `41.2034° N, 8.1007° W`
    #[must_use]
    pub fn shown(&self) -> String {
        position_shown(&self.latitude, &self.longitude)
    }

    /// How far the true place may lie from the written one: half of the last digit's step both ways.
    #[must_use]
    pub fn rounding(&self) -> Metres {
        let half = |resolution: f64| resolution / 2.0 * METRES_PER_DEGREE;
        let north = half(self.latitude.resolution());
        let east = half(self.longitude.resolution())
            * self.latitude.value().value().to_radians().cos().abs();
        Metres::nearest(north.hypot(east))
    }
}

/// A position as people read it: a decimal point, and the letter of the half instead of a sign.
#[must_use]
pub fn position_shown(
    latitude: &Typed<LatitudeDegrees>,
    longitude: &Typed<LongitudeDegrees>,
) -> String {
    format!("{}, {}", in_half(latitude, ['N', 'S']), in_half(longitude, ['E', 'W']))
}

fn in_half<Q: Quantity>(typed: &Typed<Q>, [plus, minus]: [char; 2]) -> String {
    let text = typed.text().replace(',', ".");
    match text.strip_prefix(['-', '−']) {
        Some(size) => format!("{size}° {minus}"),
        None => format!("{}° {plus}", text.strip_prefix('+').unwrap_or(&text)),
    }
}

/// What the authority's paper says beyond [`crate::sites::model::Particulars`], where it says it.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Licensed {
    /// Where the antenna stands.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub position: Option<Position>,
    /// The number of the antenna's bays.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bays: Option<u8>,
    /// Where a directional antenna points, from true north.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bearing: Option<Typed<BearingDegrees>>,
    /// The antenna in the paper's words; empty where it says none.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub antenna: String,
    /// The paper's number; empty where it is not noted.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub reference: String,
    /// The last day on which it holds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub expires_on: Option<Date>,
}

impl Licensed {
    /// Whether it says nothing.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// What it says, as names and finished values, in the order of a licence.
    #[must_use]
    pub fn shown(&self) -> Vec<(&'static str, String)> {
        let mut said = Vec::new();
        if !self.reference.is_empty() {
            said.push(("Licence", self.reference.clone()));
        }
        if let Some(day) = self.expires_on {
            said.push(("In force until", day.shown()));
        }
        if let Some(position) = &self.position {
            said.push((
                "Authorised position",
                format!("{}, {}", position.shown(), position.datum.shown()),
            ));
        }
        if !self.antenna.is_empty() {
            said.push(("Antenna", self.antenna.clone()));
        }
        if let Some(bays) = self.bays {
            said.push(("Bays", bays.to_string()));
        }
        if let Some(bearing) = &self.bearing {
            said.push(("Points to", format!("{bearing} from true north")));
        }
        said
    }
}

#[cfg(test)]
mod tests {
    use super::{Datum, Licensed, Position, position_shown};
    use crate::rf::quantity::{Quantity, Typed};

    fn position(latitude: &str, longitude: &str) -> Position {
        Position {
            latitude: Typed::parse(latitude).unwrap(),
            longitude: Typed::parse(longitude).unwrap(),
            datum: Datum::Wgs84,
        }
    }

    #[test]
    fn a_position_is_shown_with_a_point_and_the_letter_of_its_half() {
        for (latitude, longitude, shown) in [
            ("41,2034", "-8,1007", "41.2034° N, 8.1007° W"),
            ("-33.8568", "+151.2153", "33.8568° S, 151.2153° E"),
            ("0", "−0.5", "0° N, 0.5° W"),
        ] {
            let place = position(latitude, longitude);
            assert_eq!(position_shown(&place.latitude, &place.longitude), shown);
        }
    }

    #[test]
    fn more_digits_leave_less_room() {
        // Half of 0.0001° along a meridian is 5.56 m; at 60° the same step of longitude is half as long.
        let room = |latitude, longitude| position(latitude, longitude).rounding().value();
        assert!((room("0.0000", "0.0000") - 7.857).abs() < 0.01);
        assert!((room("60.0000", "0.0000") - 6.211).abs() < 0.01);
        assert!(room("60.00000", "0.00000") < 0.7);
        assert!(room("60.0", "0.0") > 6_000.0);
    }

    #[test]
    fn what_is_not_said_is_not_stored() {
        assert_eq!(serde_json::to_string(&Licensed::default()).unwrap(), "{}");
        assert!(serde_json::from_str::<Licensed>("{}").unwrap().is_empty());
    }
}
