//! Lines with loss: what a stretch of cable takes, and what a reflection read at one end is at
//! the other. "Input" is the end towards the meter, "load" the end towards the antenna.

mod cable;

pub use cable::{CABLES, CableType, LossModel};

use crate::rf::quantity::{Interval, LossDb, Percent, Quantity, Reflection, Swr, Volts, Watts};
use crate::rf::reflection::KnownReflection;
use std::fmt;

/// The characteristic impedance of the lines that the trade uses, Ω.
pub const LINE_OHMS: f64 = 50.0;

/// The matched one-way loss of a part or of a path, with the interval it lies in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KnownLoss {
    nominal: LossDb,
    interval: Interval<LossDb>,
}

impl KnownLoss {
    /// No loss at all: a path without length.
    #[must_use]
    pub fn none() -> Self {
        Self::new(LossDb::nearest(0.0), Percent::nearest(0.0))
    }

    /// A loss and its tolerance to either side, in per cent of itself.
    ///
    /// A tolerance above 100 % reaches down to no loss, never to a gain.
    #[must_use]
    pub fn new(nominal: LossDb, tolerance: Percent) -> Self {
        let part = tolerance.value() / 100.0;
        Self {
            nominal,
            interval: Interval::between(
                LossDb::nearest(nominal.value() * (1.0 - part)),
                LossDb::nearest(nominal.value() * (1.0 + part)),
            ),
        }
    }

    /// The loss as declared.
    #[must_use]
    pub fn nominal(&self) -> LossDb {
        self.nominal
    }

    /// From the least to the greatest loss that the tolerance allows.
    #[must_use]
    pub fn interval(&self) -> Interval<LossDb> {
        self.interval
    }

    /// The loss of this part and then another one, each at its worst together.
    #[must_use]
    pub fn plus(&self, other: &Self) -> Self {
        let sum = |one: LossDb, two: LossDb| LossDb::nearest(one.value() + two.value());
        Self {
            nominal: sum(self.nominal, other.nominal),
            interval: Interval::between(
                sum(self.interval.low(), other.interval.low()),
                sum(self.interval.high(), other.interval.high()),
            ),
        }
    }
}

/// Why a figure for the antenna input is withheld: the declared loss would need more to come back
/// from the antenna than went to it. The reading itself stays a fact.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Withheld {
    /// The reflection as read at the input.
    pub read: Reflection,
    /// The declared loss between the two planes.
    pub declared: LossDb,
}

impl fmt::Display for Withheld {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("the reflection begins before the antenna, or the declared loss is too high")
    }
}

impl std::error::Error for Withheld {}

/// What `loss_db` one way makes of a reflection on its way there and back, as a factor.
fn there_and_back(loss: LossDb) -> f64 {
    10.0_f64.powf(-loss.value() / 10.0)
}

/// A reflection read at the input of a line, referred to its load.
///
/// - `at_input`: the reading with its interval, at the meter's side
/// - `loss`: matched one-way loss between the two planes, with tolerance
/// - returns: point at the nominal loss; the interval takes the lowest reading through the least
///   loss and the highest through the greatest, and ends at total reflection
///
/// Source: |Γ load| = |Γ input| · 10^(A/10); return loss at the antenna is the return loss at
/// the meter minus twice the loss.
///
/// # Errors
/// [`Withheld`] when the point would exceed total reflection.
pub fn at_load(at_input: &KnownReflection, loss: &KnownLoss) -> Result<KnownReflection, Withheld> {
    let raise = |reflection: Reflection, loss: LossDb| reflection.value() / there_and_back(loss);
    let point = raise(at_input.point, loss.nominal);
    // A hair above 1 is rounding: a shorted line read at its exact loss.
    if point > 1.0 + 1e-9 {
        return Err(Withheld { read: at_input.point, declared: loss.nominal });
    }
    Ok(at_input.moved(
        Reflection::nearest(point),
        Reflection::nearest(raise(at_input.interval.low(), loss.interval.low())),
        Reflection::nearest(raise(at_input.interval.high(), loss.interval.high())),
    ))
}

/// A reflection at the load of a line, as it shows at the input; the inverse of [`at_load`].
///
/// Source: |Γ input| = |Γ load| · 10^(−A/10).
#[must_use]
pub fn at_input(at_load: &KnownReflection, loss: &KnownLoss) -> KnownReflection {
    let lower = |reflection: Reflection, loss: LossDb| {
        Reflection::nearest(reflection.value() * there_and_back(loss))
    };
    at_load.moved(
        lower(at_load.point, loss.nominal),
        lower(at_load.interval.low(), loss.interval.high()),
        lower(at_load.interval.high(), loss.interval.low()),
    )
}

/// The whole loss of a line that feeds a mismatched load.
///
/// Holds for a line of many half waves with a real characteristic impedance: good to a few per
/// cent for FM feed lines longer than a wavelength, wrong for a short jumper. Total reflection
/// gives the greatest loss there is, 200 dB.
/// - `matched`: one-way loss into a perfect load
/// - `at_load`: reflection at the antenna's end
///
/// Source: ARRL Antenna Book, "additional loss due to SWR":
/// 10 log10((a² − r²)/(a(1 − r²))), a = 10^(A/10), r = |Γ load|.
#[must_use]
pub fn total_loss(matched: LossDb, at_load: Reflection) -> LossDb {
    let ratio = 1.0 / there_and_back(matched);
    let share = at_load.share().value();
    if share >= 1.0 {
        return LossDb::nearest(LossDb::GREATEST);
    }
    LossDb::nearest(10.0 * ((ratio * ratio - share) / (ratio * (1.0 - share))).log10())
}

/// The greatest voltage on a 50 Ω line, peak, from *forward* power.
///
/// Source: Vmax = √(2 · P · Z0) · (1 + |Γ|).
#[must_use]
pub fn peak_volts(forward: Watts, reflection: Reflection) -> Volts {
    Volts::nearest((2.0 * forward.value() * LINE_OHMS).sqrt() * (1.0 + reflection.value()))
}

/// The greatest voltage on a 50 Ω line, peak, from *net* power (forward minus reflected).
///
/// Infinite SWR takes no net power; the greatest voltage there is comes back.
///
/// Source: Vmax = √(2 · P · Z0 · S).
#[must_use]
pub fn peak_volts_of_net(net: Watts, swr: Swr) -> Volts {
    Volts::nearest((2.0 * net.value() * LINE_OHMS * swr.value()).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn loss(db: f64, tolerance: f64) -> KnownLoss {
        KnownLoss::new(LossDb::nearest(db), Percent::nearest(tolerance))
    }

    fn exact(magnitude: f64) -> KnownReflection {
        KnownReflection::exact(Reflection::nearest(magnitude))
    }

    #[test]
    fn an_impossible_reading_is_withheld_with_its_reason() {
        let read = KnownReflection::exact(Swr::nearest(2.0).reflection());
        let reason = at_load(&read, &loss(5.0, 5.0)).unwrap_err();
        assert_eq!(
            reason.to_string(),
            "the reflection begins before the antenna, or the declared loss is too high"
        );
    }

    #[test]
    fn tolerance_opens_the_interval_to_both_sides() {
        let there = at_load(&exact(0.2), &loss(1.0, 5.0)).unwrap();
        assert!(there.interval.low() < there.point && there.point < there.interval.high());
        let nearly_all = at_load(&exact(0.79), &loss(1.0, 10.0)).unwrap();
        assert!((nearly_all.interval.high().value() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_shorted_line_read_at_its_exact_loss_is_total_reflection() {
        let read = at_input(&exact(1.0), &loss(3.0, 0.0));
        let there = at_load(&read, &loss(3.0, 0.0)).unwrap();
        assert!((there.point.value() - 1.0).abs() < 1e-9);
    }

    #[test]
    fn total_reflection_takes_everything() {
        let all = total_loss(LossDb::nearest(1.0), Reflection::nearest(1.0));
        assert!((all.value() - LossDb::GREATEST).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn there_and_back_again(magnitude in 0.0..1.0, db in 0.0..20.0) {
            let down = at_input(&exact(magnitude), &loss(db, 0.0));
            let up = at_load(&down, &loss(db, 0.0)).unwrap();
            prop_assert!((up.point.value() - magnitude).abs() < 1e-9);
        }

        #[test]
        fn the_interval_always_holds_the_point(
            magnitude in 0.0..1.0, db in 0.0..10.0, tolerance in 0.0..30.0
        ) {
            let down = at_input(&exact(magnitude), &loss(db, tolerance));
            prop_assert!(down.interval.contains(down.point));
            if let Ok(up) = at_load(&exact(magnitude), &loss(db, tolerance)) {
                prop_assert!(up.interval.contains(up.point));
            }
        }

        #[test]
        fn mismatch_only_adds_loss(db in 0.01..20.0, magnitude in 0.0..0.99) {
            let matched = LossDb::nearest(db);
            let whole = total_loss(matched, Reflection::nearest(magnitude));
            prop_assert!(whole.value() >= db - 1e-9);
        }
    }
}
