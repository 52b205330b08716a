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
