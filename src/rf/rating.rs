//! What a part must stand where it sits: power and peak voltage of every carrier on it at the worst
//! standing wave allowed, against an average power and a peak voltage stated for a perfect match.

use crate::rf::line::peak_volts;
use crate::rf::quantity::{Interval, LossDb, Quantity, Reflection, Swr, Volts, Watts};

/// One carrier at a part: what goes towards the antenna, and the reflection that is allowed there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    /// Greatest forward power at the part.
    pub forward: Watts,
    /// Greatest reflection allowed at the part.
    pub reflection: Reflection,
}

/// The average power that a rating for a perfect match allows at a standing wave.
///
/// Net power (forward less reflected). From the harder to the milder rule, and makers' own lies between:
/// they write P / [(S² + 1)/(2S) + F′ (S² − 1)/(2S)] with 0 ≤ F′ ≤ 1 by size and frequency.
/// - `rated`: average power at SWR 1
/// - returns: P / S (F′ = 1, a hot spot stands still) to P · 2S/(S² + 1) (F′ = 0, heat spreads along many
///   half waves); nothing at infinite SWR
///
/// Source: the interpolation of cable makers' catalogues, from memory.
#[must_use]
pub fn derated(rated: Watts, swr: Swr) -> Interval<Watts> {
    let s = swr.value();
    if s.is_infinite() {
        return Interval::point(Watts::nearest(0.0));
    }
    Interval::between(
        Watts::nearest(rated.value() / s),
        Watts::nearest(rated.value() * 2.0 * s / (s * s + 1.0)),
    )
}

/// The power with a perfect match that would heat a part as much as these carriers with their standing
/// waves do: the same comparison as with [`derated`], turned round so that carriers can be added.
///
/// A part whose rating lies above the interval fits by either rule; inside it the maker's own derating
/// decides; below it the part does not fit.
/// - returns: Σ P(1 + |Γ|²) to Σ P(1 + |Γ|)², P forward
///
/// Source: [`derated`] with net power P(1 − |Γ|²) and S = (1 + |Γ|)/(1 − |Γ|); average powers of
/// carriers on different frequencies add.
#[must_use]
pub fn matched_equivalent(loads: &[Load]) -> Interval<Watts> {
    let sum = |factor: fn(f64) -> f64| {
        let each = loads.iter().map(|load| load.forward.value() * factor(load.reflection.value()));
        Watts::nearest(each.sum())
    };
    Interval::between(sum(|r| 1.0 + r * r), sum(|r| (1.0 + r) * (1.0 + r)))
}

/// The greatest voltage, peak, that carriers on one 50 Ω line reach together: their peaks add, since
/// sooner or later they coincide.
///
/// Source: Vmax = √(2 · P · Z0)(1 + |Γ|) of each, P forward; application notes of the trade on arresters
/// for several carriers.
#[must_use]
pub fn sum_of_peaks(loads: &[Load]) -> Volts {
    let each = loads.iter().map(|load| peak_volts(load.forward, load.reflection).value());
    Volts::nearest(each.sum())
}

/// The greatest reflection at a plane nearer to the antenna than the one where the limit holds.
///
/// - `limit`: the worst allowed at the measuring point
/// - `between`: the greatest loss that may lie between the two planes
/// - returns: |Γ| · 10^(A/10), at most total reflection
///
/// Source: as `line::at_load`.
#[must_use]
pub fn behind(limit: Reflection, between: LossDb) -> Reflection {
    Reflection::nearest(limit.value() * 10.0_f64.powf(between.value() / 10.0))
}

/// A part's average rating against what it must carry.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fits {
    /// By the harder rule too.
    Yes,
    /// Between the two rules: the maker's own derating decides.
    Between,
    /// By neither rule.
    No,
    /// Nothing is stated: an open question and no pass.
    NotStated,
}

/// An average power rating against carriers.
///
/// - `rated`: for a perfect match
#[must_use]
pub fn average(rated: Option<Watts>, loads: &[Load]) -> Fits {
    let wanted = matched_equivalent(loads);
    match rated {
        None => Fits::NotStated,
        Some(rated) if rated >= wanted.high() => Fits::Yes,
        Some(rated) if rated >= wanted.low() => Fits::Between,
        Some(_) => Fits::No,
    }
}

/// A peak voltage rating against carriers.
#[must_use]
pub fn voltage(rated: Option<Volts>, loads: &[Load]) -> Fits {
    match rated {
        None => Fits::NotStated,
        Some(rated) if rated >= sum_of_peaks(loads) => Fits::Yes,
        Some(_) => Fits::No,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn load(watts: f64, swr: f64) -> Load {
        Load { forward: Watts::nearest(watts), reflection: Swr::nearest(swr).reflection() }
    }

    #[test]
    fn total_reflection_leaves_no_rating_and_nothing_stated_is_no_pass() {
        let none = derated(Watts::nearest(1000.0), Swr::nearest(f64::INFINITY));
        assert!(none.high().value() <= 0.0);
        assert_eq!(average(None, &[load(1.0, 1.0)]), Fits::NotStated);
        assert_eq!(voltage(None, &[]), Fits::NotStated);
    }

    #[test]
    fn nothing_on_the_line_asks_for_nothing() {
        assert_eq!(average(Some(Watts::nearest(0.0)), &[]), Fits::Yes);
        assert!(sum_of_peaks(&[]).value() <= 0.0);
    }

    proptest! {
        #[test]
        fn the_equivalent_is_the_derating_turned_round(watts in 0.1..10_000.0, swr in 1.0..10.0) {
            let one = load(watts, swr);
            let net = watts * (1.0 - one.reflection.value().powi(2));
            let wanted = matched_equivalent(&[one]);
            // A rating that is just enough by a rule lets exactly the net power through by that rule.
            let hard = derated(wanted.high(), Swr::nearest(swr)).low().value();
            let mild = derated(wanted.low(), Swr::nearest(swr)).high().value();
            prop_assert!((hard / net - 1.0).abs() < 1e-9);
            prop_assert!((mild / net - 1.0).abs() < 1e-9);
        }

        #[test]
        fn another_carrier_never_makes_it_easier(
            watts in 0.1..10_000.0, other in 0.0..10_000.0, swr in 1.0..10.0, rated in 1.0..50_000.0
        ) {
            let rank = |fits| match fits {
                Fits::Yes => 2,
                Fits::Between => 1,
                Fits::No | Fits::NotStated => 0,
            };
            let (one, two) = (load(watts, swr), load(other, swr));
            let rated = Some(Watts::nearest(rated));
            prop_assert!(rank(average(rated, &[one, two])) <= rank(average(rated, &[one])));
            prop_assert!(sum_of_peaks(&[one, two]) >= sum_of_peaks(&[one]));
        }

        #[test]
        fn a_worse_standing_wave_never_makes_it_easier(
            watts in 0.1..10_000.0, swr in 1.0..10.0, more in 0.0..5.0
        ) {
            let (good, bad) = ([load(watts, swr)], [load(watts, swr + more)]);
            prop_assert!(matched_equivalent(&bad).low() >= matched_equivalent(&good).low());
            prop_assert!(matched_equivalent(&bad).high() >= matched_equivalent(&good).high());
            prop_assert!(sum_of_peaks(&bad) >= sum_of_peaks(&good));
        }

        #[test]
        fn loss_before_the_antenna_hides_reflection(magnitude in 0.0..1.0, db in 0.0..20.0) {
            let (limit, loss) = (Reflection::nearest(magnitude), LossDb::nearest(db));
            prop_assert!(behind(limit, loss) >= limit);
        }
    }
}
