//! The five-eighths-wave vertical: its length is chosen for the pattern, never tuned for SWR.
//! It has no resonant length; a coil or tap at its base makes the match.

use crate::rf::element::wavelength;
use crate::rf::quantity::{Megahertz, Millimetres, Quantity, Reflection};

/// Resistance and reactance at the base of a five-eighths-wave radiator on four flat quarter-wave
/// radials, Ω: NEC (PyNEC 2.3.4), 98 MHz.
pub const BASE_OHMS: (f64, f64) = (65.7, -213.6);

/// Said wherever a gain is claimed for this antenna.
pub const GAIN_CAUTION: &str = "On quarter-wave radials a five-eighths-wave vertical has no gain \
    over a quarter wave: 1.3 dBi at the horizon against 1.3 to 2.4. Check a claimed 3 dBd, which \
    needs an infinite ground plane.";

/// Five eighths of a wavelength in free space.
#[must_use]
pub fn length(frequency: Megahertz) -> Millimetres {
    Millimetres::nearest(wavelength(frequency).value() * 625.0)
}

/// What comes back without coil or tap: most of it, and no fault of the cable.
///
/// Source: |Γ| = |Z − 50|/|Z + 50| with [`BASE_OHMS`].
#[must_use]
pub fn unmatched() -> Reflection {
    let (resistance, reactance) = BASE_OHMS;
    let returned = (resistance - 50.0).hypot(reactance);
    Reflection::nearest(returned / (resistance + 50.0).hypot(reactance))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn length_falls_as_frequency_rises(mhz in 76.0..107.0, more in 0.1..1.0) {
            let at = |mhz: f64| length(Megahertz::nearest(mhz));
            prop_assert!(at(mhz + more) < at(mhz));
        }
    }
}
