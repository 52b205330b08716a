//! Gain of stacked bays.

use crate::near;
use standmast::rf::quantity::{Quantity, Ratio};
use standmast::rf::stacking::{Bay, gain, power_gain};

/// Bays; vertical dipoles 1.0 and 0.5 λ apart; circular 1.0, 0.9 and 0.5 λ apart.
///
/// Source: integration with scipy; NEC with matched currents gives 3.25 dBd for two and 6.47 dBd
/// for four dipoles a wavelength apart. Published figures for circular bays are 0.46 for one and
/// about 2.1 for four (from memory).
const STACKS: &[(u16, [f64; 2], [f64; 3])] = &[
    (1, [1.000, 1.000], [0.457, 0.457, 0.457]),
    (2, [2.119, 1.469], [0.989, 1.000, 0.701]),
    (4, [4.447, 2.671], [2.119, 2.117, 1.309]),
    (6, [6.818, 3.884], [3.283, 3.219, 1.917]),
    (8, [9.208, 5.100], [4.462, 4.311, 2.526]),
    (12, [14.016, 7.535], [6.843, 6.502, 3.744]),
];

#[test]
fn stacked_bays() {
    let spacing = |waves| Ratio::new(waves).unwrap();
    for (bays, dipoles, circular) in STACKS {
        for (waves, expected) in [1.0, 0.5].iter().zip(dipoles) {
            let found = power_gain(Bay::VerticalDipole, *bays, spacing(*waves));
            near(found.value(), *expected, 1e-3 * expected.max(1.0));
        }
        for (waves, expected) in [1.0, 0.9, 0.5].iter().zip(circular) {
            let found = power_gain(Bay::Circular, *bays, spacing(*waves));
            near(found.value(), *expected, 1e-3 * expected.max(1.0));
        }
    }
    near(gain(Bay::VerticalDipole, 2, spacing(1.0)).value(), 3.25, 0.05);
    near(gain(Bay::VerticalDipole, 4, spacing(1.0)).value(), 6.47, 0.05);
    near(gain(Bay::VerticalDipole, 4, spacing(0.5)).value(), 4.23, 0.05);
}
