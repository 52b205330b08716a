//! Distances that keep people below a power-density limit, from far-field formulas.
//! A figure here is no assessment: local rules and the sum over all stations on a site decide.

use crate::rf::element::wavelength;
use crate::rf::power::eirp;
use crate::rf::quantity::{Megahertz, Metres, Quantity, Ratio, Watts, WattsPerSquareMetre};
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

/// The least distance kept on a test stand whatever a formula says, with RF off to approach:
/// common practice.
pub const STAND_LEAST: Metres = Metres::fixed(3.0);

/// How much ground and structures are taken to add to the field.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum GroundReflection {
    /// Free space: power density as radiated.
    None,
    /// Field × 1.6, power × 2.56: typical ground, FCC OET Bulletin 65 and EPA 520/6-85-011.
    Typical,
    /// Field × 2, power × 4: total reflection in phase, FCC OET Bulletin 65.
    Total,
}

impl GroundReflection {
    /// The factor on power density, in words.
    #[must_use]
    pub fn shown(self) -> &'static str {
        match self {
            Self::None => "free space, power × 1",
            Self::Typical => "typical ground reflection, power × 2.56",
            Self::Total => "total reflection, power × 4",
        }
    }

    /// The factor on power density.
    fn factor(self) -> f64 {
        match self {
            Self::None => 1.0,
            Self::Typical => 2.56,
            Self::Total => 4.0,
        }
    }
}

/// Power density in the main beam.
///
/// Holds beyond [`near_bound`]. With both polarizations take the sum of both ERPs, at the top of
/// the power tolerance.
///
/// Source: S = F · EIRP/(4πR²), FCC OET Bulletin 65 (Ed. 97-01), equations (3) to (10) from
/// memory. At no distance the greatest density there is comes back.
#[must_use]
pub fn density(erp: Watts, distance: Metres, ground: GroundReflection) -> WattsPerSquareMetre {
    let area = 4.0 * PI * distance.value() * distance.value();
    WattsPerSquareMetre::nearest(ground.factor() * eirp(erp).value() / area)
}

/// The distance beyond which the power density in the main beam stays below a limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Distance {
    /// The distance by the far-field formula.
    pub formula: Metres,
    /// The distance from which that formula is valid.
    pub near_bound: Metres,
}

impl Distance {
    /// Whether the formula may be used at the distance it gives; otherwise print
    /// "formula not valid here".
    #[must_use]
    pub fn valid(&self) -> bool {
        self.formula >= self.near_bound
    }

    /// The distance to keep at a test stand: the formula's, never below [`STAND_LEAST`].
    #[must_use]
    pub fn on_the_stand(&self) -> Metres {
        if self.formula > STAND_LEAST { self.formula } else { STAND_LEAST }
    }
}

/// The distance at which the shares that several sources have of their limits sum to 1, all of them
/// taken to stand at one place and to face the same way: no source stands nearer in truth.
///
/// Each share falls with the square of the distance, so the distances add by their squares.
///
/// Source: the sum of fractions of 47 CFR 1.1307(b)(3) and ICNIRP 1998 (from memory), with S ~ 1/R².
/// The bound of validity is the greatest one.
#[must_use]
pub fn summed(sources: &[Distance]) -> Distance {
    let square: f64 = sources.iter().map(|one| one.formula.value().powi(2)).sum();
    let bound = sources.iter().map(|one| one.near_bound.value()).fold(0.0, f64::max);
    Distance { formula: Metres::nearest(square.sqrt()), near_bound: Metres::nearest(bound) }
}

/// The share of its limit that a source has at a distance: 1 at its own distance.
///
/// Source: S ~ 1/R². At no distance it is infinite, unless there is no source.
#[must_use]
pub fn share(source: &Distance, at: Metres) -> Ratio {
    if source.formula.value() <= 0.0 {
        return Ratio::fixed(0.0);
    }
    Ratio::nearest((source.formula.value() / at.value()).powi(2))
}

/// The distance for a power-density limit.
///
/// - `erp`: the sum over polarizations, at the top of the power tolerance
/// - `limit`: power density allowed for the people concerned
/// - `frequency`, `aperture`: for the bound of validity; the aperture is that of the whole array
///
/// Source: the inverse of [`density`]. A limit of 0 gives the greatest distance there is.
#[must_use]
pub fn distance(
    erp: Watts,
    limit: WattsPerSquareMetre,
    ground: GroundReflection,
    frequency: Megahertz,
    aperture: Metres,
) -> Distance {
    let square = ground.factor() * eirp(erp).value() / (4.0 * PI * limit.value());
    // 0 W against a limit of 0 is no distance, not an undefined one.
    let formula = Metres::nearest(square.sqrt());
    Distance { formula, near_bound: near_bound(frequency, aperture) }
}

/// The distance below which the far-field formulas are not valid: the greater of λ/2π and 2D²/λ.
///
/// Source: reactive near field and Fraunhofer distance, e.g. IEEE Std C95.3 (from memory).
#[must_use]
pub fn near_bound(frequency: Megahertz, aperture: Metres) -> Metres {
    let wave = wavelength(frequency).value();
    let reactive = wave / (2.0 * PI);
    let fraunhofer = 2.0 * aperture.value() * aperture.value() / wave;
    Metres::nearest(reactive.max(fraunhofer))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn the_stand_keeps_three_metres_at_any_power() {
        let at = |watts: f64| {
            distance(
                Watts::nearest(watts),
                WattsPerSquareMetre::nearest(2.0),
                GroundReflection::Total,
                Megahertz::nearest(98.0),
                Metres::nearest(1.4),
            )
        };
        assert_eq!(at(1.0).on_the_stand(), STAND_LEAST);
        assert!(!at(1.0).valid());
        assert!(at(1000.0).valid());
        assert_eq!(at(1000.0).on_the_stand(), at(1000.0).formula);
        assert_eq!(at(0.0).formula, Metres::nearest(0.0));
    }

    proptest! {
        #[test]
        fn many_stations_reach_as_far_as_one_with_all_their_power(
            watts in proptest::collection::vec(0.1..10_000.0, 1..6), limit in 0.1..50.0
        ) {
            let of = |watts: f64| distance(
                Watts::nearest(watts),
                WattsPerSquareMetre::nearest(limit),
                GroundReflection::Typical,
                Megahertz::nearest(98.0),
                Metres::nearest(1.4),
            );
            let each: Vec<Distance> = watts.iter().map(|one| of(*one)).collect();
            let all = summed(&each);
            prop_assert!((all.formula.value() / of(watts.iter().sum()).formula.value() - 1.0).abs() < 1e-9);
            // At that distance the shares sum to one, and none is beyond the sum.
            let shares: f64 = each.iter().map(|one| share(one, all.formula).value()).sum();
            prop_assert!((shares - 1.0).abs() < 1e-9);
            prop_assert!(each.iter().all(|one| one.formula <= all.formula));
        }

        #[test]
        fn at_the_distance_the_density_is_the_limit(watts in 1.0..100_000.0, limit in 0.1..50.0) {
            let far = distance(
                Watts::nearest(watts),
                WattsPerSquareMetre::nearest(limit),
                GroundReflection::Typical,
                Megahertz::nearest(98.0),
                Metres::nearest(1.4),
            );
            let there = density(Watts::nearest(watts), far.formula, GroundReflection::Typical);
            prop_assert!((there.value() / limit - 1.0).abs() < 1e-9);
        }
    }
}
