//! What a profile says of exposure and of what was built; and what holds where an edition says nothing.

use serde::{Deserialize, Serialize};

use crate::profiles::model::{LimitOf, Limits, Plain};
use crate::rf::exposure::GroundReflection;
use crate::rf::quantity::{Degrees, Metres, Percent, Watts, WattsPerSquareMetre};

/// Limits of exposure as a profile writes them. The user's local rule comes first: a profile for another
/// country says its own, with its source.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct ExposureLimits {
    /// Where anybody may be.
    pub public_w_per_m2: LimitOf<WattsPerSquareMetre>,
    /// Where only those may be who know of the exposure and can leave.
    pub controlled_w_per_m2: LimitOf<WattsPerSquareMetre>,
    /// How much ground and structures are taken to add.
    pub ground: GroundReflection,
    /// Where the limits are from.
    pub source: String,
}

/// How far what was built may lie from what is authorised, as a profile writes it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct BuiltLimits {
    /// The carrier, to either side.
    pub frequency_hz: Plain,
    /// The same at and below [`Limits::power_ceiling_only_w`].
    pub frequency_small_hz: Plain,
    /// The antenna's centre, up or down.
    pub height_m: LimitOf<Metres>,
    /// The antenna's place, in any direction.
    pub position_m: LimitOf<Metres>,
    /// Where a directional antenna points, to either side.
    pub bearing_deg: LimitOf<Degrees>,
    /// Where the tolerances are from.
    pub source: String,
}

/// The limits of exposure that hold.
#[derive(Debug, Clone, PartialEq)]
pub struct ExposureRule {
    /// Where anybody may be.
    pub public: WattsPerSquareMetre,
    /// Where only those may be who know of the exposure and can leave.
    pub controlled: WattsPerSquareMetre,
    /// How much ground and structures are taken to add.
    pub ground: GroundReflection,
    /// The top of the power tolerance.
    pub most: Percent,
    /// Where the limits are from.
    pub source: String,
}

/// The tolerances of what was built that hold.
#[derive(Debug, Clone, PartialEq)]
pub struct BuiltRule {
    /// The carrier, to either side, in Hz.
    pub frequency_hz: f64,
    /// The antenna's centre, up or down.
    pub height: Metres,
    /// The antenna's place, in any direction.
    pub position: Metres,
    /// Where a directional antenna points, to either side.
    pub bearing: Degrees,
    /// Where the tolerances are from.
    pub source: String,
}

/// 30 to 300 MHz, general population: 0.2 mW/cm² in 47 CFR 1.1310, 2 W/m² in ICNIRP 1998.
const PUBLIC: WattsPerSquareMetre = WattsPerSquareMetre::fixed(2.0);

/// The same for whoever knows of the exposure: 1 mW/cm², 10 W/m².
const CONTROLLED: WattsPerSquareMetre = WattsPerSquareMetre::fixed(10.0);

const EXPOSURE_SOURCE: &str =
    "47 CFR 1.1310 and ICNIRP 1998, 30 to 300 MHz; this profile says none; local rules first";

/// 47 CFR 73.1545(b).
const FREQUENCY_HZ: f64 = 2000.0;

/// The same at 10 W and below.
const FREQUENCY_SMALL_HZ: f64 = 3000.0;

/// Common practice of inspections, no source.
const HEIGHT: Metres = Metres::fixed(1.0);

/// One second of arc along a meridian, to which inspectors look: common practice, no source.
const POSITION: Metres = Metres::fixed(31.0);

/// Common practice, no source.
const BEARING: Degrees = Degrees::fixed(5.0);

const BUILT_SOURCE: &str = "frequency: 47 CFR 73.1545(b); height, position (1″ of arc) and bearing: \
     common practice, no source; this profile says none; local licence first";

impl Limits {
    /// The limits of exposure that hold: the profile's, or those of most countries where it says none.
    #[must_use]
    pub fn exposure_rule(&self) -> ExposureRule {
        let most = self.power_most_percent.value();
        match &self.exposure {
            Some(limits) => ExposureRule {
                public: limits.public_w_per_m2.value(),
                controlled: limits.controlled_w_per_m2.value(),
                ground: limits.ground,
                most,
                source: limits.source.clone(),
            },
            None => ExposureRule {
                public: PUBLIC,
                controlled: CONTROLLED,
                ground: GroundReflection::Typical,
                most,
                source: EXPOSURE_SOURCE.to_owned(),
            },
        }
    }

    /// The tolerances of what was built that hold for a station of this authorised power.
    #[must_use]
    pub fn built_rule(&self, authorised: Watts) -> BuiltRule {
        let small = authorised <= self.power_ceiling_only_w.value();
        match &self.as_built {
            Some(limits) => BuiltRule {
                frequency_hz: if small { &limits.frequency_small_hz } else { &limits.frequency_hz }
                    .number(),
                height: limits.height_m.value(),
                position: limits.position_m.value(),
                bearing: limits.bearing_deg.value(),
                source: limits.source.clone(),
            },
            None => BuiltRule {
                frequency_hz: if small { FREQUENCY_SMALL_HZ } else { FREQUENCY_HZ },
                height: HEIGHT,
                position: POSITION,
                bearing: BEARING,
                source: BUILT_SOURCE.to_owned(),
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::profiles::LOW_POWER;
    use crate::profiles::model::Profile;
    use crate::rf::exposure::GroundReflection;
    use crate::rf::quantity::{Quantity, Watts};

    #[test]
    fn an_edition_that_says_nothing_takes_what_holds_in_most_countries() {
        let limits = Profile::parse(LOW_POWER).unwrap().limits;
        let rule = limits.exposure_rule();
        assert!((rule.public.value() - 2.0).abs() < 1e-12);
        assert!((rule.controlled.value() - 10.0).abs() < 1e-12);
        // 47 CFR 73.1545(b): 2000 Hz above 10 W, 3000 Hz at and below.
        for (watts, hertz) in [(300.0, 2000.0), (10.0, 3000.0)] {
            let rule = limits.built_rule(Watts::nearest(watts));
            assert!((rule.frequency_hz - hertz).abs() < 1e-9);
        }
    }

    #[test]
    fn a_profile_that_says_its_own_is_followed() {
        let own = "[limits.exposure]\npublic-w-per-m2 = \"0.1\"\ncontrolled-w-per-m2 = \"1\"\n\
                   ground = \"total\"\nsource = \"a local rule\"\n\
                   [limits.as-built]\nfrequency-hz = \"1000\"\nfrequency-small-hz = \"1500\"\n\
                   height-m = \"2\"\nposition-m = \"15\"\nbearing-deg = \"3\"\nsource = \"a local rule\"\n\n[[items]]";
        let profile = Profile::parse(&LOW_POWER.replacen("[[items]]", own, 1)).unwrap();
        let rule = profile.limits.exposure_rule();
        assert_eq!(rule.ground, GroundReflection::Total);
        assert!((rule.public.value() - 0.1).abs() < 1e-12);
        assert_eq!(rule.source, "a local rule");
        let rule = profile.limits.built_rule(Watts::nearest(300.0));
        assert!((rule.position.value() - 15.0).abs() < 1e-12);
        let json = serde_json::to_string(&profile).unwrap();
        assert_eq!(serde_json::from_str::<Profile>(&json).unwrap(), profile);
    }
}
