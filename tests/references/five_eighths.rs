//! Five-eighths-wave verticals.

use crate::{close, near};
use standmast::rf::five_eighths::{length, unmatched};
use standmast::rf::quantity::{Megahertz, Quantity};

#[test]
fn lengths() {
    // Source: 5λ/8 with c = 299 792 458 m/s; 187.37 cm at 100 MHz and 197.2 cm at 95 MHz are
    // also printed in public antenna tables.
    for (mhz, mm) in [
        (87.5, 2141.375),
        (88.1, 2126.791),
        (95.0, 1972.319),
        (98.0, 1911.942),
        (100.0, 1873.703),
        (108.0, 1734.910),
    ] {
        close(length(Megahertz::new(mhz).unwrap()).value(), mm, 1e-6);
    }
}

#[test]
fn without_a_match_most_comes_back() {
    // NEC: 65.7 − j213.6 Ω; 78 % of the power.
    near(unmatched().share().percent().value(), 78.0, 0.5);
}
