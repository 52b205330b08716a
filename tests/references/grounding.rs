//! Ground electrodes.

use crate::close;
use standmast::rf::grounding::{resistivity, resistivity_of_deep_pins, ring, rod, rods};
use standmast::rf::quantity::{Metres, Millimetres, OhmMetres, Ohms, Quantity};

fn soil(value: f64) -> OhmMetres {
    OhmMetres::new(value).unwrap()
}

fn m(value: f64) -> Metres {
    Metres::new(value).unwrap()
}

fn mm(value: f64) -> Millimetres {
    Millimetres::new(value).unwrap()
}

/// Soil Ωm, rod m, diameter mm, Ω. Source: Dwight 1936, recomputed; the first row is "32 Ω" on
/// the nomogram of MIL-HDBK-419A.
const ROD: &[(f64, f64, f64, f64)] = &[
    (100.0, 3.048, 19.05, 32.137),
    (100.0, 2.4, 16.0, 40.386),
    (100.0, 3.0, 16.0, 33.493),
    (50.0, 1.2, 12.7, 37.321),
    (300.0, 6.0, 16.0, 55.755),
    (1000.0, 3.0, 16.0, 334.93),
];

#[test]
fn one_rod() {
    for &(resistivity, length, diameter, ohms) in ROD {
        close(rod(soil(resistivity), m(length), mm(diameter)).value(), ohms, 1e-4);
    }
    close(rod(soil(100.0), m(3.048), mm(19.05)).value(), 32.0, 0.02);
}

#[test]
fn several_rods() {
    // Source: IEEE Std 142 in secondary prints; worked example 2.5 Ω -> 1.45, 1.075, 0.85 Ω.
    let one = Ohms::new(2.5).unwrap();
    for (count, ohms) in [(2, 1.45), (3, 1.075), (4, 0.85)] {
        close(rods(one, count).value(), ohms, 1e-6);
    }
    // 24 rods are 9.0 % of one, not 4.2 %.
    close(rods(Ohms::new(100.0).unwrap(), 24).value(), 9.0, 1e-6);
}

#[test]
fn a_ring() {
    // Source: Dwight's formula from memory, recomputed with numpy.
    close(ring(soil(100.0), m(10.0), mm(10.0), m(0.6)).value(), 6.329, 1e-4);
    close(ring(soil(100.0), m(20.0), mm(10.0), m(0.75)).value(), 3.459, 2e-4);
}

#[test]
fn four_pins() {
    // MIL-HDBK-419A: 20 ft taken as 610 cm and 2 Ω give 7662 Ωcm (with 6.28 for 2π).
    let found = resistivity(m(6.10), Ohms::new(2.0).unwrap());
    close(found.value() * 100.0, 7662.0, 6e-4);
    // IEEE Std 81, deep pins: correction 1.0044 at a twentieth, 1.0172 at a tenth, 1.0659 at a
    // fifth of the spacing; recomputed.
    let reading = Ohms::new(2.0).unwrap();
    let plain = resistivity(m(6.0), reading).value();
    for (part, correction) in [(0.05, 1.0044), (0.1, 1.0172), (0.2, 1.0659)] {
        let deep = resistivity_of_deep_pins(m(6.0), m(6.0 * part), reading).value();
        close(deep / plain, correction, 1e-4);
    }
}
