//! Fall of potential.

use crate::{close, near};
use standmast::rf::fall_of_potential::{SlopeReadings, TRUE_PLACE, true_place};
use standmast::rf::quantity::{Metres, Ohms, Quantity};

/// Slope μ, place of the potential pin over distance of the current pin.
///
/// Source: Tagg's table, its first row as printed in an earth tester's manual (0.6432, from
/// memory); the other rows recomputed with numpy from the hemisphere model.
const TAGG: &[(f64, f64)] = &[
    (0.40, 0.6433),
    (0.50, 0.6288),
    (0.60, 0.6136),
    (0.70, 0.5975),
    (0.80, 0.5803),
    (0.90, 0.5618),
    (1.00, 0.5416),
    (1.10, 0.5193),
    (1.20, 0.4942),
    (1.30, 0.4652),
    (1.40, 0.4310),
    (1.50, 0.3889),
    (1.55, 0.3636),
];

fn readings(first: f64, second: f64, third: f64) -> SlopeReadings {
    SlopeReadings {
        current_pin: Metres::new(60.0).unwrap(),
        at_0_2: Ohms::new(first).unwrap(),
        at_0_4: Ohms::new(second).unwrap(),
        at_0_6: Ohms::new(third).unwrap(),
    }
}

#[test]
fn place_by_slope() {
    for &(slope, part) in TAGG {
        let found = true_place(&readings(10.0, 11.0, 11.0 + slope)).unwrap();
        near(found.slope.value(), slope, 1e-9);
        near(found.part.value(), part, 1e-4);
    }
    // A small electrode measured from its centre has the slope 0.5714 and reads true at 61.8 %.
    let small = true_place(&readings(10.0, 11.0, 11.0 + 4.0 / 7.0)).unwrap();
    near(small.part.value(), TRUE_PLACE.value(), 1e-6);
}

#[test]
fn a_wide_electrode_is_not_at_61_8_percent() {
    // 100 Ωm, centre 9 m behind, current pin at 60 m, 4.000 Ω in truth; recomputed with numpy.
    let found = true_place(&readings(3.3430, 3.7292, 4.0788)).unwrap();
    close(found.slope.value(), 0.9056, 1e-3);
    close(found.part.value(), 0.5607, 1e-3);
    close(found.distance.value(), 33.64, 1e-3);
}

#[test]
fn the_rule_of_thumb_in_feet() {
    // A published guide: current pin at 120 ft, potential pin at 74 ft.
    near(120.0 * TRUE_PLACE.value(), 74.0, 0.5);
}
