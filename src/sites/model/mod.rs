//! A site and its assignments, as they are known.

mod licensed;

pub use licensed::{BAYS, Datum, Licensed, Position, position_shown};

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::clock::{Utc, Zone};
use crate::problem::Problem;
use crate::rf::quantity::{
    LatitudeDegrees, LongitudeDegrees, Megahertz, Metres, Quantity, Typed, Watts,
};
use crate::words::words;

/// The lowest and the highest carrier that is taken: the broadcast bands II of all regions, with room
/// to either side. Repeated by the table's CHECK.
pub const FREQUENCY: (Megahertz, Megahertz) = (Megahertz::fixed(60.0), Megahertz::fixed(120.0));

/// The least and the most authorised power that is taken, of transmitter and of ERP.
pub const POWER: (Watts, Watts) = (Watts::fixed(0.001), Watts::fixed(1_000_000.0));

/// The least and the greatest height above ground that is taken. Repeated by the table's CHECK.
pub const HEIGHT: (Metres, Metres) = (Metres::fixed(0.0), Metres::fixed(1000.0));

/// FM broadcasting in most of the world: 87.5 to 108 MHz (ITU Radio Regulations, article 5; from
/// memory). Elsewhere other bands are assigned, so a frequency outside is only pointed out.
const USUAL_BAND: (Megahertz, Megahertz) = (Megahertz::fixed(87.5), Megahertz::fixed(108.0));

/// How far an antenna's centre may stand above the structure before its height is doubted: poles and
/// top masts carry antennas a few metres above (common practice, no source).
const ABOVE_TOP: Metres = Metres::fixed(15.0);

/// Codes that would hide behind a page's own address.
const RESERVED: [&str; 1] = ["new"];

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
    /// Where it stands; sites are entered in WGS 84.
    #[must_use]
    pub fn position(&self) -> Position {
        Position {
            latitude: self.latitude.clone(),
            longitude: self.longitude.clone(),
            datum: Datum::Wgs84,
        }
    }

    /// The zone, for showing times.
    #[must_use]
    pub fn time_zone(&self) -> Zone {
        Zone::stored(&self.zone)
    }
}

/// What is wrong with a text as a site's code, if anything: 2 to 24 letters, digits and hyphens of plain
/// ASCII, so that it can be said over the radio and stands in an address as it is.
#[must_use]
pub fn code_fault(code: &str) -> Option<String> {
    if !code.bytes().all(|byte| byte.is_ascii_alphanumeric() || byte == b'-') {
        return Some(format!(
            "“{code}” holds more than letters a to z, digits and hyphens; write it as tern-ridge"
        ));
    }
    if !(2..=24).contains(&code.len()) {
        return Some(format!("a code has 2 to 24 characters; this has {}", code.len()));
    }
    if code.starts_with('-') || code.ends_with('-') {
        return Some("a code begins and ends with a letter or a digit".to_owned());
    }
    if RESERVED.iter().any(|reserved| reserved.eq_ignore_ascii_case(code)) {
        return Some(format!("“{code}” is the address of a page here; choose another code"));
    }
    None
}

/// The decimal degrees for an angle written with minutes, seconds or a letter for its half of the
/// globe, to five decimals (about a metre); `None` for anything else.
///
/// - `halves`: the letters of the positive and the negative half, `['N', 'S']` or `['E', 'W']`
///
/// For a suggestion only: the person types the figure, so that the record holds what a person wrote.
#[must_use]
pub fn decimal_degrees(text: &str, halves: [char; 2]) -> Option<String> {
    let text = text.trim().to_uppercase();
    let (half, bare) = match (text.strip_suffix(halves), text.strip_prefix(halves)) {
        (Some(bare), _) => (text.chars().last(), bare),
        (None, Some(bare)) => (text.chars().next(), bare),
        (None, None) => (None, text.as_str()),
    };
    let (minus, bare) = match bare.strip_prefix(['-', '−']) {
        Some(bare) => (true, bare),
        None => (false, bare),
    };
    let in_number = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',');
    let between = |c: char| c.is_whitespace() || "°º'′’\"″”:".contains(c);
    if !bare.chars().all(|c| in_number(c) || between(c)) || (half.is_some() && minus) {
        return None;
    }
    let numbers: Option<Vec<f64>> = bare
        .split(between)
        .map(|piece| piece.replace(',', "."))
        .map(|piece| piece.trim_end_matches('.').to_owned())
        .filter(|piece| !piece.is_empty())
        .map(|piece| piece.parse().ok())
        .collect();
    let (degrees, minutes, seconds) = match numbers?[..] {
        [degrees] if half.is_some() => (degrees, 0.0, 0.0),
        [degrees, minutes] => (degrees, minutes, 0.0),
        [degrees, minutes, seconds] => (degrees, minutes, seconds),
        _ => return None,
    };
    if degrees > 180.0 || minutes >= 60.0 || seconds >= 60.0 {
        return None;
    }
    let sign = if minus || half == Some(halves[1]) { "-" } else { "" };
    Some(format!("{sign}{:.5}", degrees + minutes / 60.0 + seconds / 3600.0))
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
    /// What else the authority's paper says.
    #[serde(default, skip_serializing_if = "Licensed::is_empty")]
    pub licensed: Licensed,
}

/// What is doubtful in a site's assignments as they now hold: nothing here is refused, since an
/// authority may assign it so.
#[must_use]
pub fn problems(site: &Site, assignments: &[Assignment]) -> Vec<Problem> {
    let mut found = Vec::new();
    for (at, assignment) in assignments.iter().enumerate() {
        let (number, said) = (assignment.number, &assignment.particulars);
        if said.frequency.value() < USUAL_BAND.0 || said.frequency.value() > USUAL_BAND.1 {
            found.push(Problem::warning(
                "ASSIGNMENT_BAND",
                Some("frequency_mhz"),
                format!(
                    "assignment {number}: {} lies outside {} to {}; check it against the authority's paper",
                    said.frequency,
                    USUAL_BAND.0.value(),
                    USUAL_BAND.1
                ),
            ));
        }
        if said.height.value().value() > site.structure_height.value().value() + ABOVE_TOP.value() {
            found.push(Problem::warning(
                "ASSIGNMENT_HEIGHT",
                Some("height_m"),
                format!(
                    "assignment {number}: the antenna at {} stands far above the structure of {}; check that both are above ground, not above sea level",
                    said.height, site.structure_height
                ),
            ));
        }
        let same = |other: &&Assignment| {
            let apart =
                other.particulars.frequency.value().value() - said.frequency.value().value();
            apart.abs() < 0.001
        };
        if let Some(other) = assignments[..at].iter().find(same) {
            found.push(Problem::warning(
                "ASSIGNMENT_TWICE",
                Some("frequency_mhz"),
                format!(
                    "assignments {} and {number} are both on {}; check whether one of them is a mistake",
                    other.number, said.frequency
                ),
            ));
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::{Assignment, Licensed, Particulars, Polarization, Site, Structure};
    use super::{code_fault, decimal_degrees, problems};
    use crate::clock::Utc;
    use crate::rf::quantity::Typed;
    use proptest::prelude::*;
    use uuid::Uuid;

    fn site(height: &str) -> Site {
        Site {
            id: 1,
            uuid: Uuid::nil(),
            code: "tern-ridge".into(),
            name: "Tern Ridge".into(),
            latitude: Typed::parse("52.4711").unwrap(),
            longitude: Typed::parse("-7.1204").unwrap(),
            zone: "Europe/Dublin".into(),
            structure: Structure::Mast,
            structure_height: Typed::parse(height).unwrap(),
            notes: String::new(),
            version: 1,
        }
    }

    fn assignment(number: i64, frequency: &str, height: &str) -> Assignment {
        Assignment {
            revision_id: number,
            assignment_id: number,
            uuid: Uuid::nil(),
            revision_uuid: Uuid::nil(),
            number,
            revision: 1,
            entered_at: Utc::from_seconds(1_930_000_000),
            particulars: Particulars {
                station_name: "Ternfold Radio".into(),
                call_sign: String::new(),
                frequency: Typed::parse(frequency).unwrap(),
                power: Typed::parse("300").unwrap(),
                erp: Typed::parse("250").unwrap(),
                height: Typed::parse(height).unwrap(),
                polarization: Polarization::Vertical,
                licensed: Licensed::default(),
            },
        }
    }

    #[test]
    fn a_code_is_plain_and_hides_no_page() {
        for good in ["tern-ridge", "TR", "Gull-Head-2", "42", &"a".repeat(24)] {
            assert_eq!(code_fault(good), None, "{good}");
        }
        for bad in ["", "a", "tern ridge", "térn", "a/b", "-ab", "ab-", "new", "New", "a_b"] {
            assert!(code_fault(bad).is_some(), "{bad}");
        }
        assert!(code_fault(&"a".repeat(25)).is_some());
    }

    #[test]
    fn degrees_minutes_seconds_are_turned_into_a_suggestion() {
        // 1° = 60′ = 3600″: 52° 28′ 16″ = 52 + 28/60 + 16/3600.
        let latitude = |text: &str| decimal_degrees(text, ['N', 'S']);
        for (text, decimal) in [
            ("52 28 16 N", "52.47111"),
            ("52°28′16″N", "52.47111"),
            ("52, 28, 16", "52.47111"),
            ("n 52 28.27", "52.47117"),
            ("52,4711 S", "-52.47110"),
            ("-7 30", "-7.50000"),
            ("52:30:00", "52.50000"),
        ] {
            assert_eq!(latitude(text).as_deref(), Some(decimal), "{text}");
        }
        let west = decimal_degrees("7° 7' 13.4\" W", ['E', 'W']);
        assert_eq!(west.as_deref(), Some("-7.12039"));
        for text in [
            "",
            "N",
            "52.5",
            "-7.12",
            "north",
            "52 61 00 N",
            "52 N 7 W",
            "52 E",
            "-52 N",
            "1e2 N",
            "NaN",
        ] {
            assert_eq!(latitude(text), None, "{text}");
        }
    }

    proptest! {
        #[test]
        fn no_text_makes_the_suggestion_panic(text in "\\PC{0,30}") {
            drop(decimal_degrees(&text, ['N', 'S']));
            drop(code_fault(&text));
        }
    }

    #[test]
    fn an_ordinary_site_raises_no_doubt() {
        let found =
            problems(&site("30"), &[assignment(1, "98.4", "31.5"), assignment(2, "101.1", "28")]);
        assert!(found.is_empty(), "{found:?}");
    }

    #[test]
    fn what_looks_mistyped_is_pointed_out_and_never_refused() {
        let odd = [
            assignment(1, "71.2", "31.5"),
            assignment(2, "98.4", "312"),
            assignment(3, "98,40", "10"),
        ];
        let found = problems(&site("30"), &odd);
        let codes: Vec<&str> = found.iter().map(|problem| problem.code.as_str()).collect();
        assert_eq!(codes, ["ASSIGNMENT_BAND", "ASSIGNMENT_HEIGHT", "ASSIGNMENT_TWICE"]);
        assert!(found.iter().all(|problem| !problem.blocks()));
        assert!(found[1].text.contains("312 m"), "{}", found[1].text);
    }
}
