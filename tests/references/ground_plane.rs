//! Quarter-wave ground planes.

use crate::close;
use standmast::rf::ground_plane::ground_plane;
use standmast::rf::quantity::{Degrees, Megahertz, Quantity};

/// Droop °, radiator mm, resistance Ω, SWR on 50 Ω.
///
/// Source: NEC (PyNEC 2.3.4) at 98 MHz; "about 45° gives 50 Ω" is published often.
const DROOP: &[(f64, f64, f64, f64)] = &[
    (0.0, 751.4, 23.8, 2.10),
    (15.0, 729.4, 32.3, 1.55),
    (30.0, 709.3, 40.9, 1.22),
    (45.0, 689.7, 48.7, 1.03),
    (60.0, 668.7, 54.3, 1.09),
];

#[test]
fn droop_of_the_radials() {
    for &(droop, radiator, ohms, swr) in DROOP {
        let found = ground_plane(Megahertz::new(98.0).unwrap(), Degrees::new(droop).unwrap());
        close(found.radiator.value(), radiator, 1e-3);
        close(found.resistance.value(), ohms, 1e-6);
        close(found.floor.value(), swr, 5e-3);
        close(found.radials.value(), 764.8, 1e-4);
    }
}
