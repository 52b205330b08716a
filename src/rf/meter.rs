//! What a directional wattmeter says about a reflection, and how well.
//! Both readings err by a part of their own full scale; the coupler leaks by its directivity.

use crate::rf::quantity::{
    DirectivityDb, Interval, Percent, Quantity, ReflectedShare, Reflection, Typed, Watts,
};
use crate::rf::reflection::{KnownReflection, PowersError, from_powers};
use std::fmt;

/// Least part of full scale at which a forward reading is worth taking: common practice.
const FORWARD_LEAST_PART: f64 = 0.25;

/// Coarsest step of the reflected reading, as part of the forward power: common practice.
const REFLECTED_STEP_PART: f64 = 0.01;

/// One range of a meter: full scale, and the greatest error in per cent *of full scale*.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// Power at full scale.
    pub full_scale: Watts,
    /// Greatest error of any reading on this range, per cent of full scale.
    pub accuracy: Percent,
}

impl Range {
    /// The least and greatest power that a reading on this range may stand for: the range's
    /// accuracy, or half the last digit where that is coarser.
    #[must_use]
    pub fn interval(&self, reading: &Typed<Watts>) -> Interval<Watts> {
        let (read, error) = (reading.value().value(), self.error_w(reading));
        Interval::between(Watts::nearest(read - error), Watts::nearest(read + error))
    }

    /// Greatest error of a reading, W: never less than half a step of the last digit written.
    fn error_w(&self, reading: &Typed<Watts>) -> f64 {
        let of_scale = self.full_scale.value() * self.accuracy.value() / 100.0;
        of_scale.max(reading.resolution() / 2.0)
    }
}

/// A directional meter as it was set for one reading; forward and reflected may use other ranges.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Meter {
    /// The range on which the forward power was read.
    pub forward: Range,
    /// The range on which the reflected power was read.
    pub reflected: Range,
    /// The coupler's directivity; `None` when it is not stated.
    pub directivity: Option<DirectivityDb>,
}

/// A reflected power as a person can read it.
#[derive(Debug, Clone, PartialEq)]
pub enum Reflected {
    /// The pointer or display showed this value.
    Shown(Typed<Watts>),
    /// It showed less than this, the least that the range shows.
    Below(Typed<Watts>),
}

impl Reflected {
    /// The value that was written down.
    #[must_use]
    pub fn written(&self) -> &Typed<Watts> {
        match self {
            Self::Shown(watts) | Self::Below(watts) => watts,
        }
    }
}

impl fmt::Display for Reflected {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Shown(watts) => write!(f, "{watts}"),
            Self::Below(watts) => write!(f, "below {watts}"),
        }
    }
}

/// Forward and reflected power read at one plane at one time.
#[derive(Debug, Clone, PartialEq)]
pub struct Powers {
    /// Power towards the antenna.
    pub forward: Typed<Watts>,
    /// Power coming back.
    pub reflected: Reflected,
}

impl Powers {
    /// One step of the reflected reading, or the whole of a "below" one, as share of forward:
    /// smaller differences between two readings cannot be seen.
    #[must_use]
    pub fn step(&self) -> ReflectedShare {
        let step = match &self.reflected {
            Reflected::Shown(watts) => watts.resolution(),
            Reflected::Below(watts) => watts.value().value(),
        };
        ReflectedShare::nearest(step / self.forward.value().value())
    }
}

/// What makes a range unfit for the reading taken on it. The reading stays a fact.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RangeProblem {
    /// The forward reading lies low on its scale, where the error is a large part of it.
    ForwardLow {
        /// The forward power read.
        forward: Watts,
        /// A quarter of full scale.
        quarter: Watts,
    },
    /// The reflected reading has steps coarser than 1 % of the forward power.
    ReflectedCoarse {
        /// One step of the reflected reading.
        step: Watts,
        /// 1 % of the forward power.
        wanted: Watts,
    },
    /// Zero was written: no meter shows zero, only "below" its least step.
    ReflectedZero,
    /// A reading lies above its own full scale.
    AboveScale {
        /// The reading.
        read: Watts,
        /// Full scale of its range.
        full_scale: Watts,
    },
}

impl fmt::Display for RangeProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::ForwardLow { forward, quarter } => write!(
                f,
                "{forward} forward is below a quarter of full scale ({quarter}): use a smaller \
                 range or more power"
            ),
            Self::ReflectedCoarse { step, wanted } => write!(
                f,
                "the reflected power is read in steps of {step}; {wanted} or finer is wanted \
                 (1 % of forward): use a smaller range for it, or more power"
            ),
            Self::ReflectedZero => write!(
                f,
                "0 W reflected is below what the range shows: write “below” and the least \
                 power that it shows"
            ),
            Self::AboveScale { read, full_scale } => {
                write!(f, "{read} was read on a range that ends at {full_scale}")
            }
        }
    }
}

impl Meter {
    /// How much the coupler's leakage alone can add to a reflection; `None` when not stated.
    ///
    /// Source: d = 10^(−D/20).
    #[must_use]
    pub fn leakage(&self) -> Option<Reflection> {
        self.directivity.map(DirectivityDb::leakage)
    }

    /// The reflection that two powers show, with the interval that this meter leaves.
    ///
    /// First the worst corners of both full-scale errors, then the leakage to either side. With
    /// directivity not stated the leakage is left out and the result is marked `at_least`. A
    /// "below" reading reaches from nothing to its value plus the error; its point is its value.
    ///
    /// Source: power readings in the worst corner; [`Meter::leakage`] for one coupler.
    ///
    /// # Errors
    /// [`PowersError`] without forward power, or with more shown reflected than forward.
    pub fn measure(&self, powers: &Powers) -> Result<KnownReflection, PowersError> {
        let written = powers.reflected.written();
        let forward = powers.forward.value();
        let point = from_powers(forward, written.value())?;
        let forward_error = self.forward.error_w(&powers.forward);
        let reflected_error = self.reflected.error_w(written);
        let reflected = written.value().value();
        let ceiling = matches!(powers.reflected, Reflected::Below(_));
        let least = if ceiling { 0.0 } else { reflected - reflected_error };
        let low = part(least, forward.value() + forward_error);
        let high = part(reflected + reflected_error, forward.value() - forward_error);
        let leakage = self.leakage().map_or(0.0, Quantity::value);
        Ok(KnownReflection {
            point,
            interval: Interval::between(
                Reflection::nearest(low - leakage),
                Reflection::nearest(high + leakage),
            ),
            at_least: self.directivity.is_none(),
            ceiling,
        })
    }

    /// Where the true forward power lies, by the full-scale error of its range.
    #[must_use]
    pub fn forward_interval(&self, forward: &Typed<Watts>) -> Interval<Watts> {
        let error = self.forward.error_w(forward);
        let read = forward.value().value();
        Interval::between(Watts::nearest(read - error), Watts::nearest(read + error))
    }

    /// What speaks against the ranges chosen for a reading; empty when they fit.
    #[must_use]
    pub fn range_problems(&self, powers: &Powers) -> Vec<RangeProblem> {
        let forward = powers.forward.value();
        let written = powers.reflected.written();
        let mut problems = Vec::new();
        for (read, range) in [(forward, self.forward), (written.value(), self.reflected)] {
            if read > range.full_scale {
                problems.push(RangeProblem::AboveScale { read, full_scale: range.full_scale });
            }
        }
        let quarter = Watts::nearest(self.forward.full_scale.value() * FORWARD_LEAST_PART);
        if forward < quarter {
            problems.push(RangeProblem::ForwardLow { forward, quarter });
        }
        let is_zero = matches!(&powers.reflected, Reflected::Shown(w) if w.value().value() <= 0.0);
        if is_zero {
            problems.push(RangeProblem::ReflectedZero);
        }
        let wanted = Watts::nearest(forward.value() * REFLECTED_STEP_PART);
        let step = Watts::nearest(powers.step().value() * forward.value());
        // A hair of room: 0.1 W of 10 W is exactly 1 %.
        if step.value() > wanted.value() * (1.0 + 1e-9) {
            problems.push(RangeProblem::ReflectedCoarse { step, wanted });
        }
        problems
    }
}

impl DirectivityDb {
    /// The reflection that a coupler of this directivity shows on a perfect load.
    #[must_use]
    pub fn leakage(self) -> Reflection {
        Reflection::nearest(10.0_f64.powf(-self.value() / 20.0))
    }
}

/// √(reflected/forward), kept within no and total reflection.
fn part(reflected_w: f64, forward_w: f64) -> f64 {
    if reflected_w <= 0.0 {
        0.0
    } else if forward_w <= reflected_w {
        1.0
    } else {
        (reflected_w / forward_w).sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn typed(text: &str) -> Typed<Watts> {
        Typed::parse(text).unwrap()
    }

    fn range(full_scale: f64, accuracy: f64) -> Range {
        Range { full_scale: Watts::nearest(full_scale), accuracy: Percent::nearest(accuracy) }
    }

    fn meter(directivity: Option<f64>) -> Meter {
        Meter {
            forward: range(100.0, 5.0),
            reflected: range(10.0, 5.0),
            directivity: directivity.map(DirectivityDb::nearest),
        }
    }

    fn shown(forward: &str, reflected: &str) -> Powers {
        Powers { forward: typed(forward), reflected: Reflected::Shown(typed(reflected)) }
    }

    #[test]
    fn unstated_directivity_makes_the_interval_a_least_one() {
        let powers = shown("100", "4.0");
        let without = meter(None).measure(&powers).unwrap();
        let with = meter(Some(25.0)).measure(&powers).unwrap();
        assert!(without.at_least && !with.at_least);
        assert!(without.interval.within(&with.interval));
    }

    #[test]
    fn below_reaches_from_nothing_to_its_value_and_error() {
        let powers = Powers { forward: typed("100"), reflected: Reflected::Below(typed("0.2")) };
        let known = meter(Some(30.0)).measure(&powers).unwrap();
        assert!(known.ceiling);
        assert!(known.interval.low().value() < 1e-12);
        assert!((known.point.value() - 0.002_f64.sqrt()).abs() < 1e-12);
        assert_eq!(powers.reflected.to_string(), "below 0.2 W");
    }

    #[test]
    fn digits_left_out_widen_the_interval() {
        let exact = Meter {
            forward: range(100.0, 0.0),
            reflected: range(100.0, 0.0),
            directivity: Some(DirectivityDb::nearest(100.0)),
        };
        let coarse = exact.measure(&shown("100", "4")).unwrap();
        let fine = exact.measure(&shown("100.0", "4.00")).unwrap();
        assert!(fine.interval.within(&coarse.interval));
    }

    #[test]
    fn names_what_is_wrong_with_the_ranges() {
        let problems =
            |forward: &str, reflected: &str| meter(None).range_problems(&shown(forward, reflected));
        assert_eq!(problems("30.0", "0.1"), vec![]);
        assert!(matches!(problems("20.0", "0.1")[..], [RangeProblem::ForwardLow { .. }]));
        assert!(matches!(problems("30", "1")[..], [RangeProblem::ReflectedCoarse { .. }]));
        assert!(matches!(problems("30", "0.0")[..], [RangeProblem::ReflectedZero]));
        assert!(matches!(
            problems("120", "12.0")[..],
            [RangeProblem::AboveScale { .. }, RangeProblem::AboveScale { .. }]
        ));
    }

    #[test]
    fn more_reflected_than_forward_is_refused() {
        assert!(meter(None).measure(&shown("4", "5")).is_err());
        assert!(meter(None).measure(&shown("4", "4")).is_ok());
        assert!(meter(None).measure(&shown("0", "0")).is_err());
    }

    proptest! {
        #[test]
        fn the_interval_holds_the_point_and_grows_as_the_meter_worsens(
            forward in 1_u32..100, part in 0.0..1.0, good in 20.0..40.0, less in 0.0..19.0
        ) {
            let reflected = format!("{:.2}", f64::from(forward) * part);
            let powers = shown(&forward.to_string(), &reflected);
            let better = meter(Some(good)).measure(&powers).unwrap();
            let worse = meter(Some(good - less)).measure(&powers).unwrap();
            prop_assert!(better.interval.contains(better.point));
            prop_assert!(better.interval.within(&worse.interval));
        }
    }
}
