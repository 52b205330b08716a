//! A one-port sweep: complex reflection against frequency, as an analyser measured it at its
//! reference plane. A point above total reflection is kept as measured and marked.

use num_complex::Complex64;

use crate::rf::quantity::{Decibels, Hertz, Quantity, Reflection, Swr};

/// One point of a sweep.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SweepPoint {
    /// Where it was measured.
    pub frequency: Hertz,
    /// The complex reflection, relative to the sweep's reference.
    pub reflection: Complex64,
}

/// How far an analyser's noise and drift may lift total reflection above 1 before it is marked.
const ABOVE_PASSIVE: f64 = 1.0;

impl SweepPoint {
    /// Return loss: −20 log10|Γ|, negative above total reflection; `None` at a perfect match, where it
    /// is infinite.
    #[must_use]
    pub fn return_loss(&self) -> Option<Decibels> {
        let magnitude = self.reflection.norm();
        (magnitude > 0.0).then(|| Decibels::nearest(-20.0 * magnitude.log10()))
    }

    /// The SWR, infinite at total reflection; `None` above it, where there is none.
    #[must_use]
    pub fn swr(&self) -> Option<Swr> {
        let magnitude = self.reflection.norm();
        (magnitude <= ABOVE_PASSIVE).then(|| Reflection::nearest(magnitude).swr())
    }

    /// Whether more seems to come back than went in: check calibration and reference plane.
    #[must_use]
    pub fn above_passive(&self) -> bool {
        self.reflection.norm() > ABOVE_PASSIVE
    }
}

/// A sweep: at least one point, frequencies ascending.
#[derive(Debug, Clone, PartialEq)]
pub struct Sweep {
    points: Vec<SweepPoint>,
    reference_ohm: f64,
}

/// Why points are no sweep.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum SweepError {
    /// There is none.
    #[error("there is no point in it")]
    Empty,
    /// The frequencies do not rise.
    #[error("the frequency of point {0} is not above the one before it")]
    NotAscending(usize),
}

impl Sweep {
    /// A sweep of these points.
    ///
    /// - `reference_ohm`: the resistance that the reflection refers to; 50 for an FM line
    ///
    /// # Errors
    /// [`SweepError`].
    pub fn new(points: Vec<SweepPoint>, reference_ohm: f64) -> Result<Self, SweepError> {
        if points.is_empty() {
            return Err(SweepError::Empty);
        }
        let falls = points.windows(2).position(|pair| match pair {
            [one, next] => next.frequency <= one.frequency,
            _ => false,
        });
        match falls {
            Some(at) => Err(SweepError::NotAscending(at + 2)),
            None => Ok(Self { points, reference_ohm }),
        }
    }

    /// The points, ascending in frequency; never empty.
    #[must_use]
    pub fn points(&self) -> &[SweepPoint] {
        &self.points
    }

    /// The resistance that the reflection refers to, Ω.
    #[must_use]
    pub fn reference_ohm(&self) -> f64 {
        self.reference_ohm
    }

    /// The lowest and the highest frequency.
    #[must_use]
    pub fn span(&self) -> (Hertz, Hertz) {
        let at = |point: Option<&SweepPoint>| point.map_or(Hertz::fixed(0.0), |p| p.frequency);
        (at(self.points.first()), at(self.points.last()))
    }

    /// The point with the least reflection; the first of several alike.
    #[must_use]
    pub fn best(&self) -> Option<SweepPoint> {
        let least = |one: &&SweepPoint, other: &&SweepPoint| {
            one.reflection.norm_sqr().total_cmp(&other.reflection.norm_sqr())
        };
        self.points.iter().min_by(least).copied()
    }

    /// The reflection between two points, by a straight line in the complex plane; `None` outside the
    /// sweep.
    ///
    /// Holds where the points are close: the phase between two of them turns by much less than a half
    /// circle. Between far points of a long line the straight line cuts the corner and reads too low.
    #[must_use]
    pub fn at(&self, frequency: Hertz) -> Option<SweepPoint> {
        let next = self.points.partition_point(|point| point.frequency < frequency);
        let high = self.points.get(next)?;
        if high.frequency <= frequency {
            return Some(*high);
        }
        let low = self.points.get(next.checked_sub(1)?)?;
        let wide = high.frequency.value() - low.frequency.value();
        let along = (frequency.value() - low.frequency.value()) / wide;
        let reflection = low.reflection + (high.reflection - low.reflection) * along;
        Some(SweepPoint { frequency, reflection })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn point(megahertz: f64, re: f64, im: f64) -> SweepPoint {
        SweepPoint {
            frequency: Hertz::nearest(megahertz * 1e6),
            reflection: Complex64::new(re, im),
        }
    }

    #[test]
    fn frequencies_rise() {
        assert_eq!(Sweep::new(Vec::new(), 50.0), Err(SweepError::Empty));
        let same = vec![point(98.0, 0.1, 0.0), point(98.0, 0.2, 0.0)];
        assert_eq!(Sweep::new(same, 50.0), Err(SweepError::NotAscending(2)));
    }

    #[test]
    fn above_total_reflection_has_no_swr_and_a_negative_return_loss() {
        let wild = point(98.0, 1.1, 0.0);
        assert!(wild.above_passive() && wild.swr().is_none());
        assert!(wild.return_loss().unwrap().value() < 0.0);
        assert!(point(98.0, 0.0, 0.0).return_loss().is_none());
        assert!(point(98.0, 1.0, 0.0).swr().unwrap().value().is_infinite());
    }

    #[test]
    fn between_points_the_plane_is_complex() {
        // 0.2 at 0° and at 180° meet in nothing, not in 0.2.
        let sweep = Sweep::new(vec![point(97.0, 0.2, 0.0), point(99.0, -0.2, 0.0)], 50.0).unwrap();
        assert!(sweep.at(Hertz::nearest(98.0e6)).unwrap().reflection.norm() < 1e-12);
        assert!(sweep.at(Hertz::nearest(96.9e6)).is_none());
        assert!(sweep.at(Hertz::nearest(99.1e6)).is_none());
        let last = sweep.at(Hertz::nearest(99.0e6)).unwrap();
        assert!((last.reflection.re + 0.2).abs() < 1e-12);
    }

    proptest! {
        #[test]
        fn between_two_points_nothing_exceeds_both(
            a in -1.0..1.0_f64, b in -1.0..1.0_f64, c in -1.0..1.0_f64, d in -1.0..1.0_f64, t in 0.0..1.0_f64
        ) {
            let (low, high) = (point(90.0, a, b), point(100.0, c, d));
            let sweep = Sweep::new(vec![low, high], 50.0).unwrap();
            let there = sweep.at(Hertz::nearest((90.0 + 10.0 * t) * 1e6)).unwrap();
            let most = low.reflection.norm().max(high.reflection.norm());
            prop_assert!(there.reflection.norm() <= most + 1e-12);
        }
    }
}
