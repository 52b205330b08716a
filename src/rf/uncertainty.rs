//! Standard uncertainties and how they combine, and what mismatch does to a power reading.
//! Terms are those of JCGM 100 (GUM). For records that state a figure with k = 2; verdicts and
//! decisions rest on intervals instead.

use crate::rf::quantity::{Percent, Quantity, Reflection};

/// What is known of an error within its bounds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// Anywhere within the bounds alike: an accuracy in a data sheet.
    Rectangular,
    /// More likely near the middle.
    Triangular,
    /// More likely near the bounds: mismatch of known magnitudes and unknown phases.
    UShaped,
}

/// The standard uncertainty of an error of ± `half` with a shape.
///
/// Source: JCGM 100:2008, 4.3.7 and 4.3.9 (rectangular a/√3, triangular a/√6), U-shaped a/√2;
/// clause numbers from memory.
#[must_use]
pub fn standard(half: Percent, shape: Shape) -> Percent {
    let part = match shape {
        Shape::Rectangular => 3.0_f64,
        Shape::Triangular => 6.0,
        Shape::UShaped => 2.0,
    };
    Percent::nearest(half.value() / part.sqrt())
}

/// Independent standard uncertainties together: root sum of squares.
///
/// Source: JCGM 100:2008, 5.1.2; clause number from memory.
#[must_use]
pub fn combined(parts: &[Percent]) -> Percent {
    let squares: f64 = parts.iter().map(|part| part.value() * part.value()).sum();
    Percent::nearest(squares.sqrt())
}

/// The expanded uncertainty with k = 2, which covers about 95 %.
#[must_use]
pub fn expanded(combined: Percent) -> Percent {
    Percent::nearest(2.0 * combined.value())
}

/// The most by which two mismatched ports can raise and lower a power reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mismatch {
    /// Greatest rise, per cent of the power.
    pub above: Percent,
    /// Greatest fall, per cent of the power.
    pub below: Percent,
    /// Standard uncertainty when both magnitudes are known and the phases are not.
    pub standard: Percent,
    /// Standard uncertainty when both magnitudes are only bounds.
    pub standard_of_bounds: Percent,
}

/// What mismatch between a source and a load leaves open of the power between them.
///
/// Source: (1 ± |Γs||Γl|)² − 1, standard uncertainty √2·|Γs||Γl| (U-shaped), |Γs||Γl|/√2 for
/// magnitudes anywhere up to their bounds: data sheets and service guides of power meters.
#[must_use]
pub fn mismatch(source: Reflection, load: Reflection) -> Mismatch {
    let product = source.value() * load.value();
    let percent = |part: f64| Percent::nearest(100.0 * part);
    Mismatch {
        above: percent((1.0 + product).powi(2) - 1.0),
        below: percent(1.0 - (1.0 - product).powi(2)),
        standard: percent(2.0_f64.sqrt() * product),
        standard_of_bounds: percent(product / 2.0_f64.sqrt()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn more_parts_are_never_less_uncertain(a in 0.0..50.0, b in 0.0..50.0) {
            let (a, b) = (Percent::nearest(a), Percent::nearest(b));
            let both = combined(&[a, b]);
            prop_assert!(both >= a && both >= b);
            prop_assert!(both.value() <= a.value() + b.value() + 1e-9);
            prop_assert_eq!(combined(&[]), Percent::nearest(0.0));
        }

        #[test]
        fn a_rise_is_always_a_little_more_than_the_fall(source in 0.0..1.0, load in 0.0..1.0) {
            let found = mismatch(Reflection::nearest(source), Reflection::nearest(load));
            prop_assert!(found.above >= found.below);
            prop_assert!(found.standard >= found.standard_of_bounds);
        }
    }
}
