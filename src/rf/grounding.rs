//! Resistance of ground electrodes in uniform soil, and resistivity from a four-pin test.
//! The electrode system has the resistance, not the bar; local electrical code comes first.

use crate::rf::quantity::{Metres, Millimetres, OhmMetres, Ohms, Quantity, Ratio};
use std::f64::consts::PI;

/// Resistance of one vertical rod to distant ground.
///
/// Holds for a rod much longer than thick, driven from the surface into uniform soil.
/// - `length`, `diameter`: of the part in the soil; 0 gives the greatest resistance there is
///
/// Source: R = ρ/(2πL) · (ln(8L/d) − 1), H. B. Dwight, "Calculation of Resistances to Ground",
/// AIEE Trans. 55, 1936; IEEE Std 142, BS 7430.
#[must_use]
pub fn rod(soil: OhmMetres, length: Metres, diameter: Millimetres) -> Ohms {
    let (l, d) = (length.value(), diameter.value() / 1000.0);
    if l <= 0.0 || d <= 0.0 {
        return Ohms::nearest(Ohms::GREATEST);
    }
    Ohms::nearest(soil.value() / (2.0 * PI * l) * ((8.0 * l / d).ln() - 1.0))
}

/// Rods, and by how much n of them one length apart fall short of 1/n.
///
/// Source: IEEE Std 142, multiplying factors for multiple rods (from secondary prints).
const RODS: [(f64, f64); 9] = [
    (1.0, 1.0),
    (2.0, 1.16),
    (3.0, 1.29),
    (4.0, 1.36),
    (8.0, 1.68),
    (12.0, 1.80),
    (16.0, 1.92),
    (20.0, 2.00),
    (24.0, 2.16),
];

/// Resistance of several equal rods one rod length apart, from that of one.
///
/// Between the rows of the table by straight lines; more than 24 rods count as the last factor.
/// - `rods`: how many; 0 counts as one
///
/// Source: R = R1 · F/n with F from IEEE Std 142; the factors are about 8 % on the careful side of
/// a moment-method computation.
#[must_use]
pub fn rods(one: Ohms, rods: u16) -> Ohms {
    let n = f64::from(rods.max(1));
    let mut factor = RODS.last().map_or(1.0, |row| row.1);
    for (low, high) in RODS.iter().zip(RODS.iter().skip(1)) {
        if n <= high.0 {
            factor = low.1 + (n - low.0) / (high.0 - low.0) * (high.1 - low.1);
            break;
        }
    }
    Ohms::nearest(one.value() * factor / n)
}

/// Resistance of a buried ring of wire.
///
/// - `ring`: diameter of the ring; `wire`: of the wire; `depth`: of burial, more than 0
///
/// Source: R = ρ/(2π²D) · (ln(8D/d) + ln(4D/(2h))), Dwight 1936; formula from memory.
#[must_use]
pub fn ring(soil: OhmMetres, ring: Metres, wire: Millimetres, depth: Metres) -> Ohms {
    let (d, w, h) = (ring.value(), wire.value() / 1000.0, depth.value());
    if d <= 0.0 || w <= 0.0 || h <= 0.0 {
        return Ohms::nearest(Ohms::GREATEST);
    }
    let shape = (8.0 * d / w).ln() + (2.0 * d / h).ln();
    Ohms::nearest(soil.value() / (2.0 * PI * PI * d) * shape)
}

/// Resistivity from a four-pin test with equal spacing.
///
/// Holds for pins driven less than a tenth of the spacing.
///
/// Source: ρ = 2πaR, F. Wenner; IEEE Std 81.
#[must_use]
pub fn resistivity(spacing: Metres, reading: Ohms) -> OhmMetres {
    OhmMetres::nearest(2.0 * PI * spacing.value() * reading.value())
}

/// The same with pins driven to a depth that counts; their depth over spacing 0 to 1.
///
/// Source: ρ = 4πaR/(1 + 2a/√(a² + 4b²) − 2a/√(4a² + 4b²)), IEEE Std 81.
#[must_use]
pub fn resistivity_of_deep_pins(spacing: Metres, depth: Metres, reading: Ohms) -> OhmMetres {
    let (a, b) = (spacing.value(), depth.value());
    let shape = 1.0 + 2.0 * a / (a * a + 4.0 * b * b).sqrt() - a / (a * a + b * b).sqrt();
    OhmMetres::nearest(4.0 * PI * a * reading.value() / shape)
}

/// How many times better a measured electrode is than a wanted value; at least 1 is enough.
#[must_use]
pub fn margin(measured: Ohms, wanted: Ohms) -> Ratio {
    if measured.value() <= 0.0 {
        return Ratio::nearest(f64::INFINITY);
    }
    Ratio::nearest(wanted.value() / measured.value())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn nothing_in_the_ground_grounds_nothing() {
        let soil = OhmMetres::nearest(100.0);
        let none = rod(soil, Metres::nearest(0.0), Millimetres::nearest(16.0));
        assert_eq!(none, Ohms::nearest(Ohms::GREATEST));
        assert_eq!(rods(Ohms::nearest(30.0), 0), Ohms::nearest(30.0));
        assert!(margin(Ohms::nearest(0.0), Ohms::nearest(10.0)).value().is_infinite());
    }

    proptest! {
        #[test]
        fn more_metal_is_less_resistance(
            soil in 10.0..1000.0, length in 1.0..10.0, more in 1.05..2.0, count in 1_u16..24
        ) {
            let soil = OhmMetres::nearest(soil);
            let thin = Millimetres::nearest(16.0);
            let one = rod(soil, Metres::nearest(length), thin);
            prop_assert!(rod(soil, Metres::nearest(length * more), thin) < one);
            prop_assert!(rods(one, count + 1) < rods(one, count));
        }
    }
}
