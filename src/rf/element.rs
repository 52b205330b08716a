//! Element lengths: wavelength, end effect by diameter, and how fast a half-wave dipole goes off
//! resonance with its length.

use crate::rf::line::LINE_OHMS;
use crate::rf::quantity::{
    Megahertz, Metres, Millimetres, Percent, Quantity, Ratio, Reflection, VelocityFactor,
};

/// Speed of light in metres per microsecond: exactly, by the definition of the metre (SI).
pub const METRES_PER_MICROSECOND: f64 = 299.792_458;

/// Resistance of a straight half-wave dipole at resonance in free space, Ω: NEC, 16 mm at 98 MHz;
/// 71.8 to 72.2 from 3 to 25 mm.
const DIPOLE_OHMS: f64 = 71.9;

/// How fast that resistance grows with electrical length, as an exponent: fitted to a NEC sweep
/// of a 16 mm dipole from 87.5 to 108 MHz (50.6 to 100.5 Ω).
const RESISTANCE_EXPONENT: f64 = 3.26;

/// Half a wavelength over diameter: the range of the end-effect fit.
const SLENDER_LEAST: f64 = 60.0;
/// See [`SLENDER_LEAST`].
const SLENDER_GREATEST: f64 = 1530.0;
/// From here up (10 mm and thinner at 98 MHz) two independent methods agree within 0.4 %.
const SLENDER_GOOD: f64 = 150.0;

/// Wavelength in free space. Source: λ = c/f.
#[must_use]
pub fn wavelength(frequency: Megahertz) -> Metres {
    Metres::nearest(METRES_PER_MICROSECOND / frequency.value())
}

/// Half a wavelength in free space: longer than any resonant half-wave element.
#[must_use]
pub fn half_wave(frequency: Megahertz) -> Millimetres {
    Millimetres::nearest(wavelength(frequency).value() * 500.0)
}

/// Quarter of a wavelength in free space.
#[must_use]
pub fn quarter_wave(frequency: Megahertz) -> Millimetres {
    Millimetres::nearest(wavelength(frequency).value() * 250.0)
}

/// By how much a resonant half-wave element is shorter than half a wavelength.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EndEffect {
    /// Resonant length over half a wavelength.
    pub factor: VelocityFactor,
    /// How well `factor` is known, per cent of the length.
    pub tolerance: Percent,
    /// Whether the diameter lies in the range of the fit; outside, the range's end is taken.
    pub within_fit: bool,
}

/// The end effect of a round rod or tube in free space.
///
/// Holds for half a wavelength of 60 to 1530 diameters: 1 to 25 mm at 98 MHz. Outside, the factor
/// of the nearer end comes back with a tolerance of 3 % and `within_fit` false. Clamps, insulators
/// and a mast nearby shift the length further.
/// - `diameter`: of the element, both halves alike; 0 counts as out of range
///
/// Source: k = 1 − 1/(4.6906 ln R − 6.1929) with R = (λ/2)/d, a fit within 0.0012 to computations
/// with NEC (extended thin-wire kernel, 21 segments). The rule "468/f" and the handbook K-factor
/// curve are 1 to 3.6 % longer for rods above 5 mm and are not used.
#[must_use]
pub fn end_effect(frequency: Megahertz, diameter: Millimetres) -> EndEffect {
    let asked = half_wave(frequency).value() / diameter.value();
    let slender = asked.clamp(SLENDER_LEAST, SLENDER_GREATEST);
    let within_fit = (SLENDER_LEAST..=SLENDER_GREATEST).contains(&asked);
    let percent = match within_fit {
        false => 3.0,
        true if slender >= SLENDER_GOOD => 0.4,
        true => 1.0,
    };
    EndEffect {
        factor: VelocityFactor::nearest(1.0 - 1.0 / (4.6906 * slender.ln() - 6.1929)),
        tolerance: Percent::nearest(percent),
        within_fit,
    }
}

/// Length tip to tip at which a half-wave element of this diameter is resonant in free space.
#[must_use]
pub fn resonant_half_wave(frequency: Megahertz, diameter: Millimetres) -> Millimetres {
    let factor = end_effect(frequency, diameter).factor.value();
    Millimetres::nearest(half_wave(frequency).value() * factor)
}

/// How an antenna is joined to the 50 Ω line: what the best length can reach.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Matching {
    /// A straight half-wave dipole joined directly: about 72 Ω, so that its best SWR is about
    /// 1.42 and no length does better.
    Straight,
    /// A dipole with a matching section: tunes to about 1.
    Section,
}

impl Matching {
    /// Resistance at resonance relative to the line's.
    fn resistance(self) -> f64 {
        match self {
            Self::Straight => DIPOLE_OHMS / LINE_OHMS,
            Self::Section => 1.0,
        }
    }
}

/// A half-wave dipole near resonance, as far as its length changes what comes back.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dipole {
    quality: f64,
    matching: Matching,
}

impl Dipole {
    /// The model of a dipole of this diameter.
    ///
    /// Source: quality factor 1.36558 ln R − 1.33047, R = (λ/2)/d, fitted to the bandwidths that
    /// NEC gives for 3 to 25 mm at 98 MHz (SWR ≤ 1.5 and ≤ 2 about its own resistance), within
    /// 0.5 %. Outside the range of [`end_effect`] the nearer end is taken.
    #[must_use]
    pub fn new(frequency: Megahertz, diameter: Millimetres, matching: Matching) -> Self {
        let asked = half_wave(frequency).value() / diameter.value();
        let slender = asked.clamp(SLENDER_LEAST, SLENDER_GREATEST);
        Self { quality: 1.365_58 * slender.ln() - 1.330_47, matching }
    }

    /// How fast reactance over resistance grows with length: half of d(X/R)/d(ln length).
    #[must_use]
    pub fn quality(&self) -> Ratio {
        Ratio::nearest(self.quality)
    }

    /// Resistance at resonance relative to the line's: 1 is a match.
    pub(in crate::rf) fn resistance(&self) -> f64 {
        self.matching.resistance()
    }

    /// Reflection on a 50 Ω line when the element is off its resonant length.
    ///
    /// - `off`: relative error of length, positive for too long; within 2 % of the sweep's SWR for
    ///   ±0.1; the same number serves for a relative change of frequency
    ///
    /// Source: series resonance with the quality factor of [`Dipole::new`] and a resistance that
    /// grows with the 3.26th power of length, fitted to a NEC sweep.
    pub(in crate::rf) fn reflection_off(&self, off: f64) -> Reflection {
        let resistance = self.resistance() * (1.0 + off).powf(RESISTANCE_EXPONENT);
        let reactance = self.resistance() * 2.0 * self.quality * off;
        let returned = (resistance - 1.0).hypot(reactance);
        let taken = (resistance + 1.0).hypot(reactance);
        Reflection::nearest(returned / taken)
    }

    /// Reflection when the element is longer than its resonant length by a part of it.
    #[must_use]
    pub fn reflection_too_long(&self, by: Percent) -> Reflection {
        self.reflection_off(by.value() / 100.0)
    }

    /// Reflection when the element is shorter than its resonant length by a part of it.
    #[must_use]
    pub fn reflection_too_short(&self, by: Percent) -> Reflection {
        self.reflection_off(-by.value() / 100.0)
    }

    /// The least reflection that any length reaches: what is left is the match, not the length.
    #[must_use]
    pub fn floor(&self) -> Reflection {
        // The lowest point lies within 3 % of resonance; steps of 0.05 % are finer than a rod.
        let steps = (-60_i32..=60).map(|step| self.reflection_off(f64::from(step) * 0.0005));
        steps.fold(Reflection::nearest(1.0), |least, this| if this < least { this } else { least })
    }
}

/// A length in inches to the nearest sixteenth, as a tape is read: "28 1/16 in".
#[must_use]
pub fn inches(length: Millimetres) -> String {
    let sixteenths = (length.value() / 25.4 * 16.0).round();
    let whole = (sixteenths / 16.0).floor();
    let (mut over, mut under) = (sixteenths - whole * 16.0, 16.0);
    while over > 0.0 && over % 2.0 < 0.5 {
        over /= 2.0;
        under /= 2.0;
    }
    match (whole > 0.0, over > 0.0) {
        (true, true) => format!("{whole:.0} {over:.0}/{under:.0} in"),
        (false, true) => format!("{over:.0}/{under:.0} in"),
        (_, false) => format!("{whole:.0} in"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn inches_read_like_a_tape() {
        let read = |mm: f64| inches(Millimetres::nearest(mm));
        assert_eq!(read(712.8), "28 1/16 in");
        assert_eq!(read(711.2), "28 in");
        assert_eq!(read(723.9), "28 1/2 in");
        assert_eq!(read(717.55), "28 1/4 in");
        assert_eq!(read(4.7), "3/16 in");
        assert_eq!(read(0.2), "0 in");
        assert_eq!(read(25.3), "1 in");
    }

    #[test]
    fn outside_the_fit_says_so() {
        let frequency = Megahertz::nearest(98.0);
        let thick = end_effect(frequency, Millimetres::nearest(60.0));
        assert!(!thick.within_fit && thick.tolerance.value() > 2.0);
        assert!(!end_effect(frequency, Millimetres::nearest(0.0)).within_fit);
        assert!(end_effect(frequency, Millimetres::nearest(25.0)).within_fit);
    }

    proptest! {
        #[test]
        fn thicker_is_shorter_and_always_below_half_a_wave(
            mhz in 76.0..108.0, thin in 1.5..20.0, more in 1.05..1.2
        ) {
            let frequency = Megahertz::nearest(mhz);
            let length = |mm: f64| resonant_half_wave(frequency, Millimetres::nearest(mm));
            prop_assert!(length(thin * more) < length(thin));
            prop_assert!(length(thin) < half_wave(frequency));
        }

        #[test]
        fn going_off_resonance_reflects_more(mm in 2.0..25.0, off in 0.03..0.1) {
            for matching in [Matching::Straight, Matching::Section] {
                let dipole =
                    Dipole::new(Megahertz::nearest(98.0), Millimetres::nearest(mm), matching);
                let near = Percent::nearest(off * 50.0);
                let far = Percent::nearest(off * 100.0);
                prop_assert!(
                    dipole.reflection_too_long(far) > dipole.reflection_too_long(near)
                );
                prop_assert!(
                    dipole.reflection_too_short(far) > dipole.reflection_too_short(near)
                        || matching == Matching::Straight
                );
                prop_assert!(dipole.floor() <= dipole.reflection_off(0.0));
            }
        }

        #[test]
        fn inches_are_within_half_a_sixteenth(mm in 1.0..5000.0) {
            let text = inches(Millimetres::nearest(mm));
            let text = text.trim_end_matches(" in");
            let mut total = 0.0;
            for part in text.split(' ') {
                total += match part.split_once('/') {
                    Some((over, under)) => {
                        over.parse::<f64>().unwrap() / under.parse::<f64>().unwrap()
                    }
                    None => part.parse::<f64>().unwrap(),
                };
            }
            prop_assert!((total * 25.4 - mm).abs() <= 25.4 / 32.0 + 1e-9);
        }
    }
}
