//! Advice for tuning a half-wave dipole by length: from the trials so far to the next setting.
//! A setting is the length of one half, from the feed point to its tip.

mod advice;
mod fit;
mod step;

pub use advice::{Advice, End, NoCut, RF_OFF};
pub use fit::Fit;

use crate::rf::element::{Dipole, Matching, half_wave, resonant_half_wave};
use crate::rf::quantity::{
    DirectivityDb, Interval, Megahertz, Millimetres, Percent, Quantity, ReflectedShare, Swr,
};
use crate::rf::reflection::KnownReflection;

/// How far off its length a healthy antenna is imagined when a cable fault is suspected.
const HEALTHY_OFF: Percent = Percent::fixed(10.0);

/// The furthest off that the dipole's model is asked about.
const GREATEST_OFF: Percent = Percent::fixed(25.0);

/// The share of reflection that even a thick healthy dipole may show when 10 % off, on 50 Ω: NEC,
/// 16 mm, 87.5 MHz on a rod cut for 98 MHz.
const HEALTHY_LEAST_SHARE: f64 = 0.37;

/// How the length of an antenna can be changed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Adjustment {
    /// Both ways, within a range of settings of one half.
    Adjustable(Interval<Millimetres>),
    /// Shorter only: a rod that is cut stays cut.
    CutToLength,
}

/// What tuning needs to know of the antenna.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Antenna {
    /// The carrier to tune for.
    pub frequency: Megahertz,
    /// Diameter of the element.
    pub diameter: Millimetres,
    /// How its length can be changed.
    pub adjustment: Adjustment,
    /// How it is joined to the line.
    pub matching: Matching,
}

impl Antenna {
    /// The predicted best setting of one half, free of metal and ground.
    #[must_use]
    pub fn predicted(&self) -> Millimetres {
        Millimetres::nearest(resonant_half_wave(self.frequency, self.diameter).value() / 2.0)
    }

    /// Half a wavelength, halved: a setting longer than any resonant one.
    pub(in crate::rf::tuning) fn longest_useful(&self) -> Millimetres {
        Millimetres::nearest(half_wave(self.frequency).value() / 2.0)
    }

    /// The model of its reflection against length.
    #[must_use]
    pub fn dipole(&self) -> Dipole {
        Dipole::new(self.frequency, self.diameter, self.matching)
    }

    /// The share of reflection at the antenna input that this antenna, if healthy, would not
    /// exceed even with its length 10 % off; more points to cable, joints or feed point.
    #[must_use]
    pub fn healthy_share(&self) -> ReflectedShare {
        self.healthy_share_off(Percent::nearest(0.0))
    }

    /// The same for a length that may be off by 10 % and `more`.
    fn healthy_share_off(&self, more: Percent) -> ReflectedShare {
        let dipole = self.dipole();
        let off = Percent::nearest((HEALTHY_OFF.value() + more.value()).min(GREATEST_OFF.value()));
        let long = dipole.reflection_too_long(off).share().value();
        let short = dipole.reflection_too_short(off).share().value();
        ReflectedShare::nearest(long.max(short).max(HEALTHY_LEAST_SHARE))
    }
}

/// One setting and what came back.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trial {
    /// Setting of the upper half.
    pub upper: Millimetres,
    /// Setting of the lower half.
    pub lower: Millimetres,
    /// The reflection at the antenna input; `None` when it is withheld as impossible.
    pub seen: Option<KnownReflection>,
    /// One step of the reflected reading as share of forward ([`crate::rf::meter::Powers::step`]).
    pub step: ReflectedShare,
}

impl Trial {
    /// The setting that counts electrically: the mean of both halves.
    #[must_use]
    pub fn setting(&self) -> Millimetres {
        Millimetres::nearest((self.upper.value() + self.lower.value()) / 2.0)
    }
}

/// One tuning task.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tuning {
    /// The antenna on the stand.
    pub antenna: Antenna,
    /// The meter's directivity; `None` when not stated.
    pub directivity: Option<DirectivityDb>,
    /// The SWR at the antenna input at which to stop.
    pub target: Swr,
}

/// The advice with the curve that it rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct Advised {
    /// What to do next.
    pub advice: Advice,
    /// The curve through the trials; from the second usable trial on.
    pub fit: Option<Fit>,
}

impl Tuning {
    /// The next thing to do, from the setting of the last trial.
    ///
    /// - `trials`: in the order in which they were made; the last one is where the element stands
    ///   now; those struck out are left out
    ///
    /// The fit weighs the neighbours of the lowest trial most and never leaves the bracket they
    /// make. It stops at the target, or when the gain to be expected is smaller than the meter
    /// can show. A cut-to-length element is approached from the long side only, by at most half
    /// of what is predicted to remain, and never past what the meter cannot exclude.
    #[must_use]
    pub fn advise(&self, trials: &[Trial]) -> Advised {
        let Some(present) = trials.last() else {
            return Advised { advice: self.start(), fit: None };
        };
        let (healthy, limit) = self.healthy(trials);
        let fit = Fit::through(self, &healthy);
        let standing = healthy.last() == Some(present);
        let advice = match &present.seen {
            Some(seen) if !standing => {
                Advice::TestTheCable { share: Some(seen.point.share()), healthy: limit }
            }
            None => Advice::TestTheCable { share: None, healthy: limit },
            Some(seen) if seen.point <= self.target.reflection() => {
                Advice::TargetMet { setting: present.setting(), seen: *seen, target: self.target }
            }
            Some(seen) => step::next(self, trials, present, seen, fit.as_ref()),
        };
        Advised { advice, fit }
    }

    /// The coupler's leakage as a magnitude; 0 when not stated.
    pub(in crate::rf::tuning) fn leakage(&self) -> f64 {
        self.directivity.map_or(0.0, |directivity| directivity.leakage().value())
    }

    /// Where to begin.
    fn start(&self) -> Advice {
        let predicted = self.antenna.predicted();
        let (setting, limited) = match self.antenna.adjustment {
            Adjustment::Adjustable(range) => {
                let inside = step::inside(range, predicted.value());
                (inside, !range.contains(predicted))
            }
            Adjustment::CutToLength => {
                let long = self.antenna.longest_useful().value();
                (Millimetres::nearest(long.ceil()), false)
            }
        };
        Advice::StartHere {
            setting,
            predicted,
            half_wave: half_wave(self.antenna.frequency),
            limited,
            cut: self.antenna.adjustment == Adjustment::CutToLength,
        }
    }

    /// The trials that a healthy antenna could have made, and the limit of the last one.
    ///
    /// The first may be off by [`HEALTHY_OFF`]; one after it by as much more as it was moved from
    /// the nearest healthy one before.
    fn healthy(&self, trials: &[Trial]) -> (Vec<Trial>, ReflectedShare) {
        let mut healthy: Vec<Trial> = Vec::new();
        let mut limit = self.antenna.healthy_share();
        for trial in trials {
            let here = trial.setting().value();
            let moved = healthy
                .iter()
                .map(|earlier| (earlier.setting().value() - here).abs())
                .fold(f64::INFINITY, f64::min);
            let moved = if moved.is_finite() { moved } else { 0.0 };
            let more = Percent::nearest(100.0 * moved / self.antenna.predicted().value());
            limit = self.antenna.healthy_share_off(more);
            let beyond = trial.seen.is_none_or(|seen| self.is_beyond(&seen, limit));
            if !beyond {
                healthy.push(*trial);
            }
        }
        (healthy, limit)
    }

    /// Whether surely more comes back than a share: beyond the leakage, or beyond every error.
    fn is_beyond(&self, seen: &KnownReflection, share: ReflectedShare) -> bool {
        let limit = share.reflection().value();
        let surely = seen.point.value() - self.leakage();
        !seen.ceiling && (surely > limit || seen.interval.low().value() > limit)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rf::quantity::{MillimetreChange, Reflection};
    use proptest::prelude::*;

    fn mm(value: f64) -> Millimetres {
        Millimetres::nearest(value)
    }

    fn tuning(adjustment: Adjustment) -> Tuning {
        Tuning {
            antenna: Antenna {
                frequency: Megahertz::nearest(98.0),
                diameter: mm(16.0),
                adjustment,
                matching: Matching::Section,
            },
            directivity: Some(DirectivityDb::nearest(30.0)),
            target: Swr::nearest(1.1),
        }
    }

    fn adjustable() -> Tuning {
        tuning(Adjustment::Adjustable(Interval::between(mm(650.0), mm(780.0))))
    }

    fn trial(upper: f64, lower: f64, reflection: f64) -> Trial {
        Trial {
            upper: mm(upper),
            lower: mm(lower),
            seen: Some(KnownReflection::exact(Reflection::nearest(reflection))),
            step: ReflectedShare::nearest(0.001),
        }
    }

    /// A trial of the model's own dipole, best at `best`.
    fn modelled(best: f64, upper: f64, lower: f64) -> Trial {
        let off = (upper + lower) / 2.0 / best - 1.0;
        let dipole = Dipole::new(Megahertz::nearest(98.0), mm(16.0), Matching::Section);
        let reflection = if off < 0.0 {
            dipole.reflection_too_short(Percent::nearest(-off * 100.0))
        } else {
            dipole.reflection_too_long(Percent::nearest(off * 100.0))
        };
        trial(upper, lower, reflection.value())
    }

    #[test]
    fn begins_at_the_predicted_length_or_long() {
        let start = adjustable().advise(&[]).advice;
        assert_eq!(start.headline(), "Set both halves to 714 mm (28 1/8 in).");
        assert!(start.explanation().contains("1428 mm tip to tip"));
        assert!(start.explanation().ends_with(RF_OFF));
        let cut = tuning(Adjustment::CutToLength).advise(&[]).advice;
        assert_eq!(cut.headline(), "Cut both halves to 765 mm (30 1/8 in).");
        assert!(cut.explanation().contains("what is cut cannot be put back"));
        let short = Interval::between(mm(500.0), mm(600.5));
        let limited = tuning(Adjustment::Adjustable(short)).advise(&[]).advice;
        assert_eq!(limited.headline(), "Set both halves to 600 mm (23 5/8 in).");
        assert!(limited.explanation().contains("does not reach"));
    }

    #[test]
    fn two_trials_find_the_best_setting() {
        let trials = [modelled(700.0, 740.0, 740.0), modelled(700.0, 725.0, 725.0)];
        let advised = adjustable().advise(&trials);
        let Advice::Change { upper, .. } = advised.advice else {
            panic!("{:?}", advised.advice);
        };
        assert!((upper.value() - 700.0).abs() <= 3.0, "{upper}");
        let fit = advised.fit.unwrap();
        assert!(fit.band.contains(mm(700.0)));
        let curve = fit.curve(Interval::between(mm(690.0), mm(740.0)), 11);
        assert_eq!(curve.len(), 11);
        assert!(curve[2].1 < curve[10].1);
    }

    #[test]
    fn goes_from_where_the_element_stands_now() {
        // The best of the trials was the second; the element stands at the third.
        let trials = [
            modelled(700.0, 740.0, 740.0),
            modelled(700.0, 702.0, 702.0),
            modelled(700.0, 680.0, 680.0),
        ];
        let advice = adjustable().advise(&trials).advice;
        let Advice::Change { upper, upper_by, .. } = advice else {
            panic!("{advice:?}");
        };
        assert!((upper.value() - 680.0 - upper_by.value()).abs() < 1e-9);
        assert!(advice.headline().starts_with("Lengthen both halves by "), "{}", advice.headline());
    }

    #[test]
    fn unequal_halves_are_set_each_by_itself() {
        let trials = [modelled(700.0, 740.0, 740.0), modelled(700.0, 735.0, 715.0)];
        let advice = adjustable().advise(&trials).advice;
        let Advice::Change { upper, lower, .. } = advice else {
            panic!("{advice:?}");
        };
        assert_eq!(upper, lower);
        assert!(advice.headline().contains("the upper half by"), "{}", advice.headline());
        assert!(advice.headline().contains("the lower half by"), "{}", advice.headline());
    }

    #[test]
    fn a_cut_spares_the_half_that_is_short_already() {
        let tuning = tuning(Adjustment::CutToLength);
        let advice = tuning.advise(&[modelled(700.0, 795.0, 730.0)]).advice;
        let Advice::Change { upper_by, lower_by, .. } = advice else {
            panic!("{advice:?}");
        };
        assert!(upper_by.value() < 0.0);
        assert_eq!(lower_by, MillimetreChange::nearest(0.0));
        assert!(advice.headline().starts_with("Cut "), "{}", advice.headline());
        assert!(advice.headline().ends_with("from the upper half."), "{}", advice.headline());
    }

    #[test]
    fn stops_are_said_in_plain_words() {
        let met = adjustable().advise(&[trial(713.0, 713.0, 0.02)]).advice;
        assert_eq!(met.headline(), "Stop: SWR 1.04 meets the target of 1.10.");
        assert!(met.stops());

        let bound = tuning(Adjustment::Adjustable(Interval::between(mm(720.0), mm(780.0))));
        let trials = [modelled(690.0, 740.0, 740.0), modelled(690.0, 720.0, 720.0)];
        let end = bound.advise(&trials).advice;
        assert_eq!(end.headline(), "Stop: this is the shortest setting of the range.");
        assert!(end.explanation().contains("shorter on each half"));

        let cable = adjustable().advise(&[trial(713.0, 713.0, 0.9)]).advice;
        assert!(cable.explanation().starts_with("81 % of the power comes back"));

        let left = [trial(720.0, 720.0, 0.21), trial(700.0, 700.0, 0.21), trial(710.0, 710.0, 0.2)];
        let left = adjustable().advise(&left).advice;
        assert_eq!(left.headline(), "Stop: the length is done, the match is left.");

        let short = tuning(Adjustment::CutToLength).advise(&[trial(680.0, 680.0, 0.2)]).advice;
        assert_eq!(short.headline(), "Do not cut any further.");
        assert!(short.explanation().contains("one reading cannot tell long from short"));
    }

    #[test]
    fn a_healthy_antenna_shows_no_more_than_published() {
        // NEC, 16 mm straight dipole on 50 Ω, 10.7 % short: 37 % comes back.
        let mut antenna = adjustable().antenna;
        antenna.matching = Matching::Straight;
        let share = antenna.healthy_share().percent().value();
        assert!((36.0..39.0).contains(&share), "{share}");
    }

    #[test]
    fn trials_that_do_not_fit_one_curve_are_said_to() {
        let trials = [
            modelled(700.0, 730.0, 730.0),
            modelled(700.0, 720.0, 720.0),
            trial(710.0, 710.0, 0.5),
            modelled(700.0, 705.0, 705.0),
        ];
        assert!(adjustable().advise(&trials).fit.unwrap().scattered);
        let smooth = [trials[0], trials[1], trials[3]];
        assert!(!adjustable().advise(&smooth).fit.unwrap().scattered);
    }

    proptest! {
        #[test]
        fn no_trials_lead_out_of_the_range_or_to_growth(
            settings in proptest::collection::vec((600.0..850.0, 600.0..850.0, 0.0..1.0), 1..8),
            cut in any::<bool>(),
        ) {
            let trials: Vec<Trial> =
                settings.iter().map(|(upper, lower, seen)| trial(*upper, *lower, *seen)).collect();
            let range = Interval::between(mm(650.0), mm(780.0));
            let task = if cut { tuning(Adjustment::CutToLength) } else { adjustable() };
            let advice = task.advise(&trials).advice;
            prop_assert!(advice.headline().ends_with('.'));
            prop_assert!(advice.explanation().ends_with(RF_OFF));
            if let Advice::Change { upper, lower, upper_by, lower_by, .. } = advice {
                if cut {
                    prop_assert!(upper_by.value() <= 0.0 && lower_by.value() <= 0.0);
                } else {
                    prop_assert!(range.contains(upper) && range.contains(lower));
                }
            }
        }
    }
}
