//! Distance to fault: where along a line a one-port sweep's reflections arise, by its inverse
//! Fourier transform. Resolution comes from the sweep's span, range from the step between its points.

use num_complex::Complex64;
use rustfft::FftPlanner;
use std::f64::consts::PI;

use crate::rf::element::METRES_PER_MICROSECOND;
use crate::rf::line::LossModel;
use crate::rf::quantity::{
    Celsius, Decibels, Hertz, Megahertz, Metres, Quantity, Ratio, VelocityFactor,
};
use crate::rf::sweep::Sweep;

/// The weight given to a sweep's points: less side lobes, wider peaks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Window {
    /// All alike: the finest resolution, side lobes 13 dB below each peak.
    Rectangular,
    /// A raised cosine: peaks twice as wide, side lobes 31 dB below.
    Hann,
    /// Peaks three times as wide, side lobes 58 dB below.
    Blackman,
}

impl Window {
    /// The weight of a point, from 0 (first) to 1 (last).
    fn weight(self, along: f64) -> f64 {
        let turn = 2.0 * PI * along;
        match self {
            Self::Rectangular => 1.0,
            Self::Hann => 0.5 - 0.5 * turn.cos(),
            Self::Blackman => 0.42 - 0.5 * turn.cos() + 0.08 * (2.0 * turn).cos(),
        }
    }

    /// From a peak to its first null, in resolutions.
    ///
    /// Source: F. J. Harris, "On the use of windows for harmonic analysis with the discrete Fourier
    /// transform", Proc. IEEE 66, 1978 (from memory).
    #[must_use]
    pub fn widening(self) -> Ratio {
        match self {
            Self::Rectangular => Ratio::fixed(1.0),
            Self::Hann => Ratio::fixed(2.0),
            Self::Blackman => Ratio::fixed(3.0),
        }
    }

    /// [`Window::widening`] in cells of a transform of this size over the span.
    fn widening_in(self, size: usize) -> usize {
        match self {
            Self::Rectangular => size,
            Self::Hann => 2 * size,
            Self::Blackman => 3 * size,
        }
    }

    /// The highest side lobe below its peak; source as for [`Window::widening`].
    #[must_use]
    pub fn side_lobe(self) -> Decibels {
        match self {
            Self::Rectangular => Decibels::fixed(13.2),
            Self::Hann => Decibels::fixed(31.4),
            Self::Blackman => Decibels::fixed(58.1),
        }
    }
}

/// The line that a sweep looks along.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LookedAlong {
    /// Speed on the line relative to that of light.
    pub velocity_factor: VelocityFactor,
    /// Its loss; `None` leaves the levels as measured.
    pub loss: Option<LossModel>,
    /// Its temperature, for the loss.
    pub temperature: Celsius,
}

/// A reflection along the line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Peak {
    /// From the sweep's reference plane.
    pub distance: Metres,
    /// Return loss of what reflects there: with the line's loss to and fro taken out where it is known.
    pub return_loss: Decibels,
}

/// Reflection against distance.
#[derive(Debug, Clone, PartialEq)]
pub struct Profile {
    /// Two reflections closer than this are one peak (rectangular window; see [`Window::widening`]).
    pub resolution: Metres,
    /// What lies beyond appears at a wrong, nearer place.
    pub range: Metres,
    /// Distance and magnitude of reflection, compensated as the peaks are, for a plot.
    pub along: Vec<(Metres, f64)>,
    /// The peaks, strongest first.
    pub peaks: Vec<Peak>,
}

/// Why a sweep shows no distances.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum FaultError {
    /// Too few points.
    #[error("{0} points are too few: at least {FEWEST} are wanted")]
    TooFew(usize),
    /// Too many.
    #[error("{0} points are too many: at most {MOST} are reckoned with")]
    TooMany(usize),
    /// The steps differ.
    #[error("the points are not evenly spaced (see point {0}): sweep linearly")]
    Uneven(usize),
}

/// The fewest points that are turned into distances.
pub const FEWEST: usize = 8;
/// The most points that are turned into distances.
pub const MOST: usize = 200_001;
/// How far a step may differ from the mean one: files round their frequencies.
const UNEVEN: f64 = 0.01;
/// The transform is made so many times finer than the points alone give, so that peaks are not missed.
const FINER: usize = 16;
/// At most so many peaks are told.
const MOST_PEAKS: usize = 12;
/// Peaks weaker than this are lost in an analyser's own directivity: common practice, no source.
const WEAKEST_DB: f64 = 60.0;

/// Turns a sweep into reflection against distance.
///
/// Holds for reflections that change little over the sweep's span; each is spread over its peak's
/// width, and a strong near one lowers those behind it. The loss to and fro is taken at the sweep's
/// middle.
///
/// Source: d = VF · c · t/2; resolution VF · c/(2 · span), range VF · c/(2 · step): standard relations
/// of swept reflectometry (from memory).
///
/// # Errors
/// [`FaultError`].
pub fn profile(sweep: &Sweep, line: &LookedAlong, window: Window) -> Result<Profile, FaultError> {
    let points = sweep.points();
    let step = even_step(sweep)?;
    let reach = line.velocity_factor.value() * METRES_PER_MICROSECOND * 1e6 / 2.0;
    let (low, high) = sweep.span();
    let resolution = Metres::nearest(reach / (high.value() - low.value()));
    let range = Metres::nearest(reach / step);
    let size = (points.len() * FINER).next_power_of_two();
    let mut buffer = vec![Complex64::ZERO; size];
    let last = count(points.len() - 1);
    let mut sum = 0.0;
    for (at, (slot, point)) in buffer.iter_mut().zip(points).enumerate() {
        let weight = window.weight(count(at) / last);
        sum += weight;
        *slot = point.reflection * weight;
    }
    FftPlanner::new().plan_fft_inverse(size).process(&mut buffer);
    let cell = range.value() / count(size);
    let per_metre = lost_per_metre(line, low, high);
    let along: Vec<(Metres, f64)> = buffer
        .iter()
        .enumerate()
        .map(|(at, value)| {
            let distance = count(at) * cell;
            let back = 10.0_f64.powf(2.0 * per_metre * distance / 20.0);
            (Metres::nearest(distance), value.norm() / sum * back)
        })
        .collect();
    let measured: Vec<f64> = buffer.iter().map(|value| value.norm() / sum).collect();
    let near = window.widening_in(size) / (points.len() - 1);
    let peaks = peaks(&measured, cell, near.max(1), window, per_metre);
    Ok(Profile { resolution, range, along, peaks })
}

/// The step of the frequencies, Hz.
fn even_step(sweep: &Sweep) -> Result<f64, FaultError> {
    let points = sweep.points();
    if points.len() < FEWEST {
        return Err(FaultError::TooFew(points.len()));
    }
    if points.len() > MOST {
        return Err(FaultError::TooMany(points.len()));
    }
    let (low, high) = sweep.span();
    let step = (high.value() - low.value()) / count(points.len() - 1);
    let uneven = points.windows(2).position(|pair| match pair {
        [one, next] => {
            let apart = next.frequency.value() - one.frequency.value();
            (apart / step - 1.0).abs() > UNEVEN
        }
        _ => false,
    });
    uneven.map_or(Ok(step), |at| Err(FaultError::Uneven(at + 2)))
}

/// One-way loss per metre at the sweep's middle, dB.
fn lost_per_metre(line: &LookedAlong, low: Hertz, high: Hertz) -> f64 {
    let middle = Megahertz::nearest((low.value() + high.value()) / 2.0 / 1e6);
    line.loss.map_or(0.0, |loss| loss.per_100_m(middle, line.temperature).value() / 100.0)
}

/// The peaks: the highest within their own width, and above what a stronger one's side lobes make.
///
/// - `cell`: metres from one value to the next
/// - `near`: cells from a peak to its first null
fn peaks(measured: &[f64], cell: f64, near: usize, window: Window, per_metre: f64) -> Vec<Peak> {
    let strongest = measured.iter().copied().fold(0.0, f64::max);
    let below = |decibels: f64| 10.0_f64.powf(-decibels / 20.0);
    let least = (strongest * below(window.side_lobe().value())).max(below(WEAKEST_DB));
    let size = measured.len();
    let at = |cell: usize| measured.get(cell % size).copied().unwrap_or_default();
    // The last cells are the near side of what reflects at the reference plane itself.
    let mut found: Vec<Peak> = (0..size.saturating_sub(near))
        .filter(|&middle| {
            let here = at(middle);
            // A row of equals has one peak, its first.
            here >= least
                && (1..=near)
                    .all(|away| here > at(middle + size - away) && here >= at(middle + away))
        })
        .map(|middle| {
            let (before, here, after) = (at(middle + size - 1), at(middle), at(middle + 1));
            let (shift, height) = vertex(before, here, after);
            let distance = ((count(middle) + shift) * cell).max(0.0);
            let level = -20.0 * height.log10() - 2.0 * per_metre * distance;
            Peak { distance: Metres::nearest(distance), return_loss: Decibels::nearest(level) }
        })
        .collect();
    found.sort_by(|one, other| one.return_loss.value().total_cmp(&other.return_loss.value()));
    found.truncate(MOST_PEAKS);
    found
}

/// Where the parabola through three neighbours is highest, in cells from the middle one, and how high.
fn vertex(before: f64, here: f64, after: f64) -> (f64, f64) {
    let bend = before - 2.0 * here + after;
    if bend >= 0.0 {
        return (0.0, here);
    }
    let shift = (before - after) / (2.0 * bend);
    (shift, here - (before - after) * shift / 4.0)
}

/// A count as a number; transforms are far shorter than where this would round.
fn count(length: usize) -> f64 {
    u32::try_from(length).map_or(f64::INFINITY, f64::from)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rf::sweep::SweepPoint;
    use proptest::prelude::*;

    /// 80 to 120 MHz, 401 points, a line of ½ inch foam with reflections where they are put.
    fn swept(reflections: &[(f64, f64)], loss: LossModel, lossy: bool) -> Sweep {
        let points = (0..401_u16).map(|at| {
            let frequency = 80.0 + f64::from(at) / 10.0;
            let mut sum = Complex64::ZERO;
            for (distance, size) in reflections {
                let seconds = 2.0 * distance / (0.88 * METRES_PER_MICROSECOND * 1e6);
                let turn = -2.0 * PI * frequency * 1e6 * seconds;
                let per_100 = loss.per_100_m(Megahertz::nearest(frequency), Celsius::fixed(20.0));
                let lost = if lossy { 2.0 * per_100.value() / 100.0 * distance } else { 0.0 };
                sum += Complex64::from_polar(size * 10.0_f64.powf(-lost / 20.0), turn);
            }
            SweepPoint { frequency: Hertz::nearest(frequency * 1e6), reflection: sum }
        });
        Sweep::new(points.collect(), 50.0).unwrap()
    }

    fn half_inch() -> LossModel {
        LossModel::new(0.210_54, 0.000_628).unwrap()
    }

    fn along(loss: Option<LossModel>) -> LookedAlong {
        LookedAlong {
            velocity_factor: VelocityFactor::nearest(0.88),
            loss,
            temperature: Celsius::fixed(20.0),
        }
    }

    /// Source: numpy on the same synthetic sweep: peaks 30.017 m and 11.924 m with a Hann window, −15.30 dB
    /// uncompensated; 0.2 is 13.979 dB. Distances within 0.1 m, levels within 0.2 dB.
    #[test]
    fn finds_two_reflections_where_they_are() {
        let sweep = swept(&[(12.0, 0.05), (30.0, 0.20)], half_inch(), true);
        let bare = profile(&sweep, &along(None), Window::Hann).unwrap();
        assert!((bare.peaks[0].distance.value() - 30.017).abs() < 0.1, "{:?}", bare.peaks);
        assert!((bare.peaks[0].return_loss.value() - 15.30).abs() < 0.2);
        assert!((bare.peaks[1].distance.value() - 11.924).abs() < 0.1);
        assert_eq!(bare.peaks.len(), 2, "{:?}", bare.peaks);
        let compensated = profile(&sweep, &along(Some(half_inch())), Window::Hann).unwrap();
        assert!((compensated.peaks[0].return_loss.value() - 13.979).abs() < 0.2);
    }

    /// Source: VF · c/(2 · span) and VF · c/(2 · step), reckoned with numpy.
    #[test]
    fn resolution_is_of_the_span_and_range_of_the_step() {
        let sweep = swept(&[(30.0, 0.2)], half_inch(), false);
        let found = profile(&sweep, &along(None), Window::Rectangular).unwrap();
        assert!((found.resolution.value() - 3.2977).abs() < 1e-4);
        assert!((found.range.value() - 1319.087).abs() < 1e-3);
    }

    #[test]
    fn uneven_and_short_sweeps_show_nothing() {
        let sweep = swept(&[(30.0, 0.2)], half_inch(), false);
        let mut points = sweep.points().to_vec();
        points.remove(17);
        let gap = Sweep::new(points, 50.0).unwrap();
        let refused = |sweep: &Sweep| profile(sweep, &along(None), Window::Hann).unwrap_err();
        assert_eq!(refused(&gap), FaultError::Uneven(18));
        let few = Sweep::new(sweep.points()[..5].to_vec(), 50.0).unwrap();
        assert_eq!(refused(&few), FaultError::TooFew(5));
    }

    proptest! {
        #[test]
        fn one_reflection_is_found_anywhere(distance in 8.0..600.0_f64, size in 0.02..0.9_f64) {
            let sweep = swept(&[(distance, size)], half_inch(), false);
            for window in [Window::Rectangular, Window::Hann, Window::Blackman] {
                let found = profile(&sweep, &along(None), window).unwrap();
                prop_assert!((found.peaks[0].distance.value() - distance).abs() < 0.05);
                let level = -20.0 * size.log10();
                prop_assert!((found.peaks[0].return_loss.value() - level).abs() < 0.05);
            }
        }
    }
}
