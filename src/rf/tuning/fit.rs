//! The curve through the trials: for a series resonance 1/(1 − share) is a parabola in length.

use crate::rf::quantity::{Interval, Millimetres, Quantity, ReflectedShare, Reflection};
use crate::rf::reflection::KnownReflection;
use crate::rf::tuning::{Trial, Tuning};

/// Trials further from the lowest than this part of the setting weigh a quarter and less.
const NEIGHBOURHOOD: f64 = 0.03;

/// How well the model knows the curvature, relative: other kinds of feed and mount differ.
const CURVATURE_SPREAD: f64 = 0.35;

/// The part of a meter's whole error that differs between two trials on it: gain, zero and leakage
/// are the same in both, as long as range and power are.
const SYSTEMATIC_PART: f64 = 0.25;

/// Share of power below which two readings are never told apart: pointer, eye and connector.
const LEAST_SHARE_ERROR: f64 = 2e-4;

/// Trials that lie off the curve by more than this multiple of what the meter explains do not
/// belong to one state of the antenna.
const SCATTER_LIMIT: f64 = 3.0;

/// One trial as the fit uses it.
#[derive(Debug, Clone, Copy)]
struct Mark {
    x: f64,
    share: f64,
    /// One step of the reading, as share: a person reads a pointer to that.
    step: f64,
    /// What differs between this trial and another one, as share.
    error: f64,
    /// The most that everything in the meter together can make, as share.
    whole: f64,
}

/// A parabola about a trial: y = a + b·u + c·u², u in millimetres from `origin`.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Parabola {
    origin: f64,
    a: f64,
    b: f64,
    c: f64,
}

impl Parabola {
    fn best(&self) -> f64 {
        self.origin - self.b / (2.0 * self.c)
    }

    fn at(&self, x: f64) -> f64 {
        let u = x - self.origin;
        self.a + self.b * u + self.c * u * u
    }
}

/// The curve of reflected share against setting, and where its lowest point lies.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    curve: Parabola,
    /// The setting of one half at which the curve is lowest.
    pub best: Millimetres,
    /// How far the true best setting may lie from `best`, to either side.
    pub about: Millimetres,
    /// The band in which the true best setting lies.
    pub band: Interval<Millimetres>,
    /// The reflection at the curve's lowest point: what length cannot take away.
    pub floor: Reflection,
    /// The meter does not state its directivity: the band is wider in truth.
    pub at_least: bool,
    /// The trials do not lie on one curve: something else changed between them.
    pub scattered: bool,
}

impl Fit {
    /// The fit through the trials of a working antenna; needs two settings.
    pub(in crate::rf::tuning) fn through(tuning: &Tuning, trials: &[Trial]) -> Option<Self> {
        let marks: Vec<Mark> = trials.iter().filter_map(mark).collect();
        let lowest = lowest(&marks)?;
        let apart = marks.iter().any(|mark| (mark.x - lowest.x).abs() > 0.5);
        if !apart {
            return None;
        }
        let curve = fit(&marks, lowest, curvature(tuning))?;
        let best = kept_in_bracket(&marks, lowest, curve.best());
        let about = leakage_shift(tuning) + other_shift(tuning, &marks, lowest, best);
        let floor = 1.0 - 1.0 / curve.at(best).max(1.0);
        let scattered = marks.iter().any(|mark| {
            let off = (share(curve.at(mark.x)) - mark.share).abs();
            let near = (mark.x - lowest.x).abs() < 2.0 * NEIGHBOURHOOD * lowest.x;
            near && off > SCATTER_LIMIT * (mark.error + 0.005)
        });
        Some(Self {
            curve,
            best: Millimetres::nearest(best),
            about: Millimetres::nearest(about),
            band: Interval::between(
                Millimetres::nearest(best - about),
                Millimetres::nearest(best + about),
            ),
            floor: ReflectedShare::nearest(floor).reflection(),
            at_least: tuning.directivity.is_none(),
            scattered,
        })
    }

    /// The share of reflection that the curve gives at a setting; for the trial plot.
    #[must_use]
    pub fn share_at(&self, setting: Millimetres) -> ReflectedShare {
        ReflectedShare::nearest(share(self.curve.at(setting.value())))
    }

    /// Points of the curve between two settings, ends included, evenly spaced.
    ///
    /// - `points`: how many; fewer than two give the ends
    #[must_use]
    pub fn curve(
        &self,
        between: Interval<Millimetres>,
        points: u16,
    ) -> Vec<(Millimetres, ReflectedShare)> {
        let last = f64::from(points.max(2) - 1);
        let (low, high) = (between.low().value(), between.high().value());
        (0..points.max(2))
            .map(|index| {
                let along = f64::from(index) / last;
                let setting = Millimetres::nearest(low + (high - low) * along);
                (setting, self.share_at(setting))
            })
            .collect()
    }
}

/// Share of reflection from the fitted 1/(1 − share).
fn share(y: f64) -> f64 {
    1.0 - 1.0 / y.max(1.0)
}

/// 1/(1 − share), with total reflection kept finite.
pub(in crate::rf::tuning) fn lifted(share: f64) -> f64 {
    1.0 / (1.0 - share.clamp(0.0, 0.95))
}

/// The reflection that a fit takes a reading for: the middle of a "below" one.
pub(in crate::rf::tuning) fn read_share(seen: &KnownReflection) -> f64 {
    let share = seen.point.share().value();
    if seen.ceiling { share / 2.0 } else { share }
}

fn mark(trial: &Trial) -> Option<Mark> {
    let seen = trial.seen.as_ref()?;
    let share = read_share(seen);
    let step = trial.step.value().max(LEAST_SHARE_ERROR);
    let open = seen.share_interval();
    let whole = (open.high().value() - open.low().value()) / 2.0;
    let error = step + SYSTEMATIC_PART * whole;
    Some(Mark { x: trial.setting().value(), share, step, error, whole })
}

fn lowest(marks: &[Mark]) -> Option<Mark> {
    marks.iter().copied().min_by(|one, other| one.share.total_cmp(&other.share))
}

/// Curvature of 1/(1 − share) against the setting of one half, per mm², by the dipole's model.
pub(in crate::rf::tuning) fn curvature(tuning: &Tuning) -> f64 {
    let dipole = tuning.antenna.dipole();
    let per_mm = dipole.quality().value() / tuning.antenna.predicted().value();
    dipole.resistance() * per_mm * per_mm
}

/// How far leakage alone can move the apparent best setting: d(|Γ|)/d(length) against leakage.
pub(in crate::rf::tuning) fn leakage_shift(tuning: &Tuning) -> f64 {
    let dipole = tuning.antenna.dipole();
    let resistance = dipole.resistance();
    let slope = 4.0 * resistance * dipole.quality().value() / (1.0 + resistance).powi(2);
    tuning.leakage() * tuning.antenna.predicted().value() / slope
}

/// How far the last steps of the readings, and a curvature other than the model's, can move the
/// best setting: root sum of squares of what each does by itself.
fn other_shift(tuning: &Tuning, marks: &[Mark], lowest: Mark, best: f64) -> f64 {
    let expected = curvature(tuning);
    let shift = |marks: &[Mark], curvature: f64| match fit(marks, lowest, curvature) {
        Some(curve) => kept_in_bracket(marks, lowest, curve.best()) - best,
        None => 0.0,
    };
    let steeper = shift(marks, expected * (1.0 + CURVATURE_SPREAD));
    let flatter = shift(marks, expected / (1.0 + CURVATURE_SPREAD));
    let mut squares = steeper.powi(2).max(flatter.powi(2));
    // Another range errs by itself: all its trials may lie too high together.
    let other_range = |mark: &Mark| mark.step > 2.0 * lowest.step || mark.step < lowest.step / 2.0;
    let lifted: Vec<Mark> = marks
        .iter()
        .map(|mark| {
            let by = if other_range(mark) { mark.whole / 2.0 } else { 0.0 };
            Mark { share: mark.share + by, ..*mark }
        })
        .collect();
    squares += shift(&lifted, expected).powi(2);
    let mut moved: Vec<Mark> = marks.to_vec();
    for (index, mark) in marks.iter().enumerate() {
        if let Some(slot) = moved.get_mut(index) {
            slot.share = mark.share + mark.step;
            squares += shift(&moved, expected).powi(2);
        }
        if let Some(slot) = moved.get_mut(index) {
            *slot = *mark;
        }
    }
    squares.sqrt()
}

/// The best setting kept between the lowest trial's neighbours, where it has one.
fn kept_in_bracket(marks: &[Mark], lowest: Mark, best: f64) -> f64 {
    let xs = || marks.iter().map(|mark| mark.x);
    let left = xs().filter(|x| *x < lowest.x - 0.5).fold(f64::NAN, f64::max);
    let right = xs().filter(|x| *x > lowest.x + 0.5).fold(f64::NAN, f64::min);
    // `max` and `min` pass over a NaN: a side without neighbour does not bind.
    best.max(left).min(right)
}

/// Weighted least squares with the model's curvature as one more, soft observation.
///
/// - `expected`: that curvature, per mm²
fn fit(marks: &[Mark], lowest: Mark, expected: f64) -> Option<Parabola> {
    let reach = NEIGHBOURHOOD * lowest.x.max(1.0);
    // Normal equations in u scaled by `reach`, so that all three unknowns are of one size.
    let mut matrix = [[0.0_f64; 4]; 3];
    for mark in marks {
        let u = (mark.x - lowest.x) / reach;
        let y = lifted(mark.share);
        let error = y * y * mark.error;
        let kernel = 1.0 / (1.0 + u * u).powi(2);
        let weight = kernel / (error * error);
        let row = [1.0, u, u * u];
        for (line, left) in matrix.iter_mut().zip(row) {
            for (cell, right) in line.iter_mut().zip([row[0], row[1], row[2], y]) {
                *cell += weight * left * right;
            }
        }
    }
    let scaled = expected * reach * reach;
    let prior = 1.0 / (CURVATURE_SPREAD * scaled).powi(2);
    matrix[2][2] += prior;
    matrix[2][3] += prior * scaled;
    let [a, b, c] = solve(matrix)?;
    // A flat or hollow curve is noise: the model's own curvature is then the better knowledge.
    let c = c.clamp(scaled / 3.0, scaled * 3.0);
    Some(Parabola { origin: lowest.x, a, b: b / reach, c: c / (reach * reach) })
}

/// Three linear equations by elimination with pivoting; `None` if they say too little.
fn solve(mut rows: [[f64; 4]; 3]) -> Option<[f64; 3]> {
    for column in 0..3 {
        let pivot = (column..3).max_by(|one, other| {
            let size = |row: &usize| rows.get(*row).map_or(0.0, |row| row[column].abs());
            size(one).total_cmp(&size(other))
        })?;
        rows.swap(column, pivot);
        let head = rows[column];
        if head[column].abs() < 1e-12 {
            return None;
        }
        for (index, row) in rows.iter_mut().enumerate() {
            if index != column {
                let times = row[column] / head[column];
                for (cell, above) in row.iter_mut().zip(head) {
                    *cell -= times * above;
                }
            }
        }
    }
    Some([rows[0][3] / rows[0][0], rows[1][3] / rows[1][1], rows[2][3] / rows[2][2]])
}
