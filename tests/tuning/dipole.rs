//! A dipole by the induced-EMF method: not the model that the advice rests on.

use standmast::rf::element::{Matching, half_wave};
use standmast::rf::quantity::{Megahertz, Quantity};
use std::f64::consts::PI;

/// Free-space impedance, Ω.
const FREE_SPACE: f64 = 376.730_313_668;
const EULER: f64 = 0.577_215_664_901_532_9;

/// Sine integral by its power series; good for the arguments of an antenna.
fn si(x: f64) -> f64 {
    let mut power = x;
    let mut sum = x;
    for n in 1..26 {
        let k = f64::from(2 * n);
        power *= -x * x / (k * (k + 1.0));
        sum += power / (k + 1.0);
    }
    sum
}

/// Cosine integral by its power series.
fn ci(x: f64) -> f64 {
    let mut power = 1.0;
    let mut sum = EULER + x.ln();
    for n in 1..26 {
        let k = f64::from(2 * n);
        power *= -x * x / ((k - 1.0) * k);
        sum += power / k;
    }
    sum
}

/// Impedance at the centre of a dipole, Ω: resistance and reactance.
///
/// Source: C. A. Balanis, "Antenna Theory", 3rd edition, equations (8-57) to (8-61): induced EMF
/// with a sinusoidal current.
pub fn impedance(length_m: f64, radius_m: f64, frequency_mhz: f64) -> (f64, f64) {
    let k = 2.0 * PI * frequency_mhz / 299.792_458;
    let kl = k * length_m;
    let r = FREE_SPACE / (2.0 * PI)
        * (EULER + kl.ln() - ci(kl)
            + 0.5 * kl.sin() * (si(2.0 * kl) - 2.0 * si(kl))
            + 0.5 * kl.cos() * (EULER + (kl / 2.0).ln() + ci(2.0 * kl) - 2.0 * ci(kl)));
    let x = FREE_SPACE / (4.0 * PI)
        * (2.0 * si(kl) + kl.cos() * (2.0 * si(kl) - si(2.0 * kl))
            - kl.sin()
                * (2.0 * ci(kl) - ci(2.0 * kl) - ci(2.0 * k * radius_m * radius_m / length_m)));
    let at_feed = (kl / 2.0).sin().powi(2);
    (r / at_feed, x / at_feed)
}

/// An antenna as it truly is; the advice never sees it.
#[derive(Debug, Clone)]
pub struct Truth {
    frequency_mhz: f64,
    diameter_mm: f64,
    /// Electrical length over set length: mounts, insulators and metal nearby.
    stretch: f64,
    /// How much faster reactance grows than a plain rod's: feed, insulators, matching section.
    steepness: f64,
    /// The resistance that gives no reflection, at the feed point.
    matched_ohms: f64,
    /// Setting of one half at which the reactance vanishes, mm.
    pub resonant: f64,
    /// Setting of one half with the least reflection, mm.
    pub best: f64,
}

impl Truth {
    /// - `residual`: what a matching section leaves of a match: resistance over 50 Ω at resonance
    pub fn new(
        frequency_mhz: f64,
        diameter_mm: f64,
        matching: Matching,
        stretch: f64,
        residual: f64,
        steepness: f64,
    ) -> Self {
        let mut truth = Self {
            frequency_mhz,
            diameter_mm,
            stretch,
            steepness,
            matched_ohms: 50.0,
            resonant: 0.0,
            best: 0.0,
        };
        let half = half_wave(Megahertz::new(frequency_mhz).unwrap()).value() / 2.0 / stretch;
        let (mut low, mut high) = (half * 0.8, half * 1.05);
        for _ in 0..40 {
            let middle = (low + high) / 2.0;
            if truth.at_feed(middle).1 > 0.0 {
                high = middle;
            } else {
                low = middle;
            }
        }
        truth.resonant = low;
        if matching == Matching::Section {
            truth.matched_ohms = truth.at_feed(low).0 / residual;
        }
        let (mut low, mut high) = (low - 40.0, low + 40.0);
        for _ in 0..40 {
            let third = (high - low) / 3.0;
            if truth.reflection(low + third) < truth.reflection(high - third) {
                high -= third;
            } else {
                low += third;
            }
        }
        truth.best = low;
        truth
    }

    fn at_feed(&self, setting_mm: f64) -> (f64, f64) {
        let length = 2.0 * setting_mm * self.stretch / 1000.0;
        impedance(length, self.diameter_mm / 2000.0, self.frequency_mhz)
    }

    /// Real and imaginary part of the reflection on the line.
    pub fn complex_reflection(&self, setting_mm: f64) -> (f64, f64) {
        let (r, x) = self.at_feed(setting_mm);
        let (r, x) = (r / self.matched_ohms, self.steepness * x / self.matched_ohms);
        let below = (r + 1.0) * (r + 1.0) + x * x;
        ((r * r - 1.0 + x * x) / below, 2.0 * x / below)
    }

    pub fn reflection(&self, setting_mm: f64) -> f64 {
        let (re, im) = self.complex_reflection(setting_mm);
        re.hypot(im)
    }
}

#[test]
fn the_model_meets_its_published_figures() {
    // A thin dipole of exactly half a wavelength: 73.08 + j42.51 Ω; text books: 73 + j42.5.
    let (r, x) = impedance(1.529_553, 1e-9, 98.0);
    assert!((r - 73.08).abs() < 0.05 && (x - 42.51).abs() < 0.05, "{r} {x}");
    // Resonant length tip to tip at 98 MHz by induced EMF, computed by a Galerkin moment method
    // with one function: 3 mm 1469.7, 10 mm 1454.3, 25 mm 1436.8 mm; its kernel for the thick rod
    // differs a little from the text book's.
    for (diameter_mm, length) in [(3.0, 1469.7), (10.0, 1454.3), (25.0, 1436.8)] {
        let truth = Truth::new(98.0, diameter_mm, Matching::Straight, 1.0, 1.0, 1.0);
        let found = 2.0 * truth.resonant;
        assert!((found / length - 1.0).abs() < 0.003, "{diameter_mm} mm: {found}");
    }
}
