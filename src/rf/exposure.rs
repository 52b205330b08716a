//! Distances that keep people below a power-density limit, from far-field formulas.
//! A figure here is no assessment: local rules and the sum over all stations on a site decide.

use crate::rf::element::wavelength;
use crate::rf::power::eirp;
use crate::rf::quantity::{Megahertz, Metres, Quantity, Watts, WattsPerSquareMetre};
use std::f64::consts::PI;

/// The least distance kept on a test stand whatever a formula says, with RF off to approach:
/// common practice.
pub const STAND_LEAST: Metres = Metres::fixed(3.0);

/// How much ground and structures are taken to add to the field.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GroundReflection {
    /// Free space: power density as radiated.
    None,
    /// Field × 1.6, power × 2.56: typical ground, FCC OET Bulletin 65 and EPA 520/6-85-011.
    Typical,
    /// Field × 2, power × 4: total reflection in phase, FCC OET Bulletin 65.
    Total,
}

impl GroundReflection {
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
