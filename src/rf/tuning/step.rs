//! The next setting: how far to move, in which direction, and when to stop.

use crate::rf::quantity::{
    Interval, MillimetreChange, Millimetres, Quantity, ReflectedShare, Reflection,
};
use crate::rf::reflection::KnownReflection;
use crate::rf::tuning::advice::{Advice, End, NoCut};
use crate::rf::tuning::fit::{Fit, curvature, leakage_shift, lifted, read_share};
use crate::rf::tuning::{Adjustment, Trial, Tuning};

/// The smallest change that a person sets on a rod, mm.
const LEAST_CHANGE_MM: f64 = 1.0;

/// The part of the predicted remainder by which a first change probes, both ways being possible.
const PROBE_PART: f64 = 0.6;

/// How far off a probe in the wrong direction may lead, as part of the setting.
const PROBE_REACH: f64 = 0.095;

/// The probe that is always allowed, as part of the setting.
const PROBE_LEAST: f64 = 0.012;

/// The greatest single change of an adjustable element, as part of its setting.
const GREATEST_PART: f64 = 0.06;

/// After so many trials further ones add little to what the meter can show.
const MANY_TRIALS: usize = 6;

/// Halves that differ by more than this are set by themselves, mm.
const UNEQUAL_MM: f64 = 1.0;

/// How much steeper than the model a real element may be: a cut keeps this in hand.
const STEEPER: f64 = 1.3;

/// How much more a real element may reflect at its best length: a cut keeps this in hand.
const LESS_MATCHED: f64 = 0.05;

/// From this multiple of what leakage can shift, by the curve and by the reflection itself, a
/// quarter of the lesser remainder is cut whatever else is unsure.
const FAR_BEYOND_LEAKAGE: f64 = 2.5;

/// The part of what surely remains by the reflection alone that is cut against the curve.
const SURE_PART: f64 = 0.4;

/// A cut-to-length element shorter than this part of its prediction is not cut on one reading.
const SURELY_LONG: f64 = 0.99;

/// What the step rests on.
struct Ground<'a> {
    tuning: &'a Tuning,
    present: &'a Trial,
    seen: &'a KnownReflection,
    fit: Option<&'a Fit>,
    setting: f64,
}

/// The next step from the present trial, whose reflection is above the target and not a fault.
pub(in crate::rf::tuning) fn next(
    tuning: &Tuning,
    trials: &[Trial],
    present: &Trial,
    seen: &KnownReflection,
    fit: Option<&Fit>,
) -> Advice {
    let ground = Ground { tuning, present, seen, fit, setting: present.setting().value() };
    match tuning.antenna.adjustment {
        Adjustment::Adjustable(range) => ground.adjust(range, trials),
        Adjustment::CutToLength => ground.cut(trials),
    }
}

/// The whole millimetre nearest to `setting` that lies inside the range.
pub(in crate::rf::tuning) fn inside(range: Interval<Millimetres>, setting: f64) -> Millimetres {
    let (low, high) = (range.low().value(), range.high().value());
    let whole = setting.round();
    if whole < low {
        let up = low.ceil();
        Millimetres::nearest(if up > high { low } else { up })
    } else if whole > high {
        let down = high.floor();
        Millimetres::nearest(if down < low { high } else { down })
    } else {
        Millimetres::nearest(whole)
    }
}

impl Ground<'_> {
    /// The next setting of an element that can go both ways.
    fn adjust(&self, range: Interval<Millimetres>, trials: &[Trial]) -> Advice {
        let close = self.close_enough(trials.len());
        let goal = match self.fit {
            Some(fit) => {
                let best = fit.best.value();
                if (best - self.setting).abs() <= close {
                    return self.stop();
                }
                let reach = GREATEST_PART * self.setting;
                best.clamp(self.setting - reach, self.setting + reach)
            }
            None => {
                let remainder = self.remainder();
                if remainder <= close {
                    return self.stop();
                }
                self.probe(range, remainder)
            }
        };
        let to = inside(range, goal);
        let unequal = (self.present.upper.value() - self.present.lower.value()).abs() > UNEQUAL_MM;
        if (to.value() - self.setting).abs() < LEAST_CHANGE_MM * 0.75 && !unequal {
            let beyond = goal - self.setting;
            if beyond.abs() > LEAST_CHANGE_MM {
                return Advice::EndOfRange {
                    end: if beyond > 0.0 { End::Longest } else { End::Shortest },
                    setting: self.present.setting(),
                    beyond: Millimetres::nearest(beyond.abs()),
                    seen: *self.seen,
                };
            }
            return self.stop();
        }
        self.change(to.value(), to.value(), false)
    }

    /// The first change, when one trial cannot tell long from short: towards the prediction, or
    /// shorter when the setting is there already (mounts and insulators act like more length).
    fn probe(&self, range: Interval<Millimetres>, remainder: f64) -> f64 {
        let predicted = self.tuning.antenna.predicted().value();
        // The wrong way must not lead where a healthy antenna looks like a fault.
        let greatest = (PROBE_REACH * self.setting - remainder).max(PROBE_LEAST * self.setting);
        let by = (remainder * PROBE_PART).clamp(3.0, greatest.max(3.0));
        let shorter = self.setting >= predicted * 0.995;
        let room = if shorter {
            self.setting - range.low().value()
        } else {
            range.high().value() - self.setting
        };
        // Without room the other way tells as much.
        let shorter = if room < by.min(3.0) { !shorter } else { shorter };
        if shorter { self.setting - by } else { self.setting + by }
    }

    /// The next cut of an element that cannot grow again.
    fn cut(&self, trials: &[Trial]) -> Advice {
        let predicted = self.tuning.antenna.predicted().value();
        let Some(fit) = self.fit else {
            if self.setting < predicted * SURELY_LONG {
                return self.do_not_cut(NoCut::TooShortToTell);
            }
            return self.cut_by((self.remainder() / 2.0).min(self.surely_remaining()));
        };
        let by_curve = self.setting - fit.best.value();
        if by_curve < -fit.about.value() || self.has_risen(trials) {
            return self.do_not_cut(NoCut::Passed);
        }
        // Curve and reflection both say how much remains; the lesser one is believed.
        let remainder = by_curve.min(self.remainder());
        let sure = (remainder - fit.about.value()).max(self.surely_remaining() * SURE_PART);
        let beyond = remainder > FAR_BEYOND_LEAKAGE * leakage_shift(self.tuning);
        let careful = if beyond { remainder / 4.0 } else { 0.0 };
        self.cut_by((remainder / 2.0).min(sure.max(careful)))
    }

    fn do_not_cut(&self, reason: NoCut) -> Advice {
        Advice::DoNotCut {
            reason,
            setting: self.present.setting(),
            predicted: self.tuning.antenna.predicted(),
            seen: *self.seen,
        }
    }

    /// Whether the last cut made it worse by more than the readings' steps.
    fn has_risen(&self, trials: &[Trial]) -> bool {
        let before = trials
            .iter()
            .rev()
            .find(|trial| trial.setting().value() > self.setting + 0.5)
            .and_then(|trial| Some((trial.seen?, trial.step)));
        before.is_some_and(|(seen, step)| {
            let risen = read_share(self.seen) - read_share(&seen);
            risen > 2.0 * step.value().max(self.present.step.value())
        })
    }

    fn cut_by(&self, by: f64) -> Advice {
        let whole = by.floor();
        if whole < LEAST_CHANGE_MM {
            return match self.fit {
                Some(fit) if self.setting - fit.best.value() > 2.0 * LEAST_CHANGE_MM => self
                    .do_not_cut(NoCut::CannotExclude {
                        best: fit.best,
                        about: fit.about,
                        at_least: fit.at_least,
                    }),
                _ => self.stop(),
            };
        }
        let to = self.setting - whole;
        // A half that is shorter than that already stays; the other one takes the whole cut.
        let (upper, lower) = (self.present.upper.value(), self.present.lower.value());
        if upper <= to {
            self.change(upper, 2.0 * to - upper, true)
        } else if lower <= to {
            self.change(2.0 * to - lower, lower, true)
        } else {
            self.change(to, to, true)
        }
    }

    /// How far the element is off its best setting, by the model of its kind.
    fn remainder(&self) -> f64 {
        let floor = self.tuning.antenna.dipole().floor();
        self.off(read_share(self.seen), floor.share().value(), 1.0)
    }

    /// How far it is off at least: the reflection less the leakage, on a steeper element that is
    /// matched less well.
    fn surely_remaining(&self) -> f64 {
        let least = (read_share(self.seen).sqrt() - self.tuning.leakage()).max(0.0);
        let floor = self.tuning.antenna.dipole().floor().value() + LESS_MATCHED;
        self.off(least * least, floor * floor, STEEPER)
    }

    /// The distance from the best setting at which a share comes back, above that of the floor.
    fn off(&self, share: f64, floor: f64, steeper: f64) -> f64 {
        let above = (lifted(share) - lifted(floor)).max(0.0);
        (above / (steeper * curvature(self.tuning))).sqrt()
    }

    /// How near to the best setting of the curve is near enough: half of what leakage alone can
    /// move it; after many trials half of everything.
    fn close_enough(&self, trials: usize) -> f64 {
        let unsure = if trials > MANY_TRIALS { self.about() } else { leakage_shift(self.tuning) };
        (unsure / 2.0).max(LEAST_CHANGE_MM * 0.75)
    }

    /// How well this meter can place the best setting.
    fn about(&self) -> f64 {
        match self.fit {
            Some(fit) => fit.about.value(),
            None => leakage_shift(self.tuning),
        }
    }

    fn change(&self, upper: f64, lower: f64, cut: bool) -> Advice {
        Advice::Change {
            upper: Millimetres::nearest(upper),
            lower: Millimetres::nearest(lower),
            upper_by: MillimetreChange::nearest(upper - self.present.upper.value()),
            lower_by: MillimetreChange::nearest(lower - self.present.lower.value()),
            about: Millimetres::nearest(self.about()),
            at_least: self.tuning.directivity.is_none(),
            probing: self.fit.is_none(),
            scattered: self.fit.is_some_and(|fit| fit.scattered),
            cut,
        }
    }

    /// Nothing more to be had by length: either the match is left, or the meter cannot show it.
    fn stop(&self) -> Advice {
        let setting = self.present.setting();
        let (best, about, floor) = match self.fit {
            Some(fit) => (fit.best, fit.about, fit.floor),
            None => {
                let remainder = self.remainder();
                let about = Millimetres::nearest(self.about() + remainder);
                (setting, about, self.seen.point)
            }
        };
        // A person sets whole millimetres, and the band must hold where the element stands.
        let off = (best.value() - setting.value()).abs();
        let about = Millimetres::nearest(about.value().max(off).max(LEAST_CHANGE_MM));
        let left = floor.value() - self.tuning.leakage();
        let at_least = self.tuning.directivity.is_none();
        if left > self.tuning.target.reflection().value() {
            return Advice::MatchLeft {
                setting,
                best,
                about,
                at_least,
                floor: floor.swr(),
                matching: self.tuning.antenna.matching,
            };
        }
        let share = ReflectedShare::nearest(read_share(self.seen) - floor.share().value());
        Advice::GainTooSmall {
            setting,
            best,
            about,
            at_least,
            gain: Reflection::share(share.reflection()),
            seen: *self.seen,
        }
    }
}
