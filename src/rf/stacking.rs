//! Gain of bays stacked above each other, fed alike in power and phase.
//! "Half a power gain per bay" is a rule of thumb: the true figure depends on bay and spacing.

use crate::rf::power::DIPOLE_OVER_ISOTROPIC;
use crate::rf::quantity::{GainDbd, Quantity, Ratio};
use std::f64::consts::PI;

/// What one bay radiates against elevation.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bay {
    /// A vertical half-wave dipole.
    VerticalDipole,
    /// Circular polarization with a cosine of elevation in each plane: half of the power in each.
    Circular,
}

impl Bay {
    /// Field at an angle from the axis, in radians; 1 at the horizon.
    fn field(self, from_axis: f64) -> f64 {
        let sine = from_axis.sin();
        match self {
            Self::VerticalDipole if sine < 1e-9 => 0.0,
            Self::VerticalDipole => (PI / 2.0 * from_axis.cos()).cos() / sine,
            Self::Circular => sine,
        }
    }

    /// The part of the power that is in the polarization counted.
    fn counted(self) -> f64 {
        match self {
            Self::VerticalDipole => 1.0,
            Self::Circular => 0.5,
        }
    }
}

/// Steps of the integration over elevation: enough for 16 bays within 1e-6.
const STEPS: u16 = 2000;

/// The greatest number of bays that is computed.
pub const GREATEST_BAYS: u16 = 16;

/// Power gain at the horizon over a half-wave dipole, for one polarization.
///
/// Mutual coupling is not counted: it changes impedances, and the gain by less than 0.05 dB for
/// dipoles driven alike (NEC).
/// - `bays`: 1 to 16; others are kept within
/// - `spacing`: between centres, in wavelengths
///
/// Source: directivity by integration of element times array factor, e.g. C. A. Balanis, "Antenna
/// Theory", uniform broadside arrays.
#[must_use]
pub fn power_gain(bay: Bay, bays: u16, spacing: Ratio) -> Ratio {
    let bays = f64::from(bays.clamp(1, GREATEST_BAYS));
    let step = PI / f64::from(STEPS);
    let total: f64 = (0..STEPS)
        .map(|index| {
            let angle = (f64::from(index) + 0.5) * step;
            let together = bay.field(angle) * array_factor(bays, spacing.value(), angle);
            together * together * angle.sin() * step
        })
        .sum();
    Ratio::nearest(2.0 / total * bay.counted() / DIPOLE_OVER_ISOTROPIC)
}

/// The same in dB over a half-wave dipole.
#[must_use]
pub fn gain(bay: Bay, bays: u16, spacing: Ratio) -> GainDbd {
    GainDbd::nearest(10.0 * power_gain(bay, bays, spacing).value().log10())
}

/// Field of equal sources in phase, 1 at the horizon.
fn array_factor(bays: f64, spacing: f64, from_axis: f64) -> f64 {
    let half = PI * spacing * from_axis.cos();
    if half.sin().abs() < 1e-9 {
        return 1.0;
    }
    (bays * half).sin() / (bays * half.sin())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn more_bays_never_have_less_gain(bays in 1_u16..15, spacing in 0.5..1.0) {
            for bay in [Bay::VerticalDipole, Bay::Circular] {
                let spacing = Ratio::nearest(spacing);
                prop_assert!(power_gain(bay, bays + 1, spacing) > power_gain(bay, bays, spacing));
            }
        }
    }
}
