//! Whether a series of readings rises or falls, by tests that need no normal distribution and
//! bear outliers. A date at which a trend reaches a limit is said only with significance, like
//! seasons compared, and two years or more.

use crate::rf::quantity::{Percent, Quantity};

/// The fewest readings that are tested: below, the normal approximation says nothing.
pub const FEWEST: usize = 8;

/// One reading of a series: when, in days from any day, and how much.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Days from a day that all points share.
    pub day: f64,
    /// The reading, in one unit for the whole series.
    pub value: f64,
}

/// What Mann and Kendall's test says of a series.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MannKendall {
    /// Pairs that rise less pairs that fall.
    pub score: f64,
    /// Variance of the score if there were no trend, ties taken into account.
    pub variance: f64,
    /// The score in standard deviations, with continuity correction.
    pub z: f64,
    /// The probability of a score as far from 0 without any trend.
    pub probability: f64,
}

impl MannKendall {
    /// Whether a trend is shown at a level such as 5 %.
    #[must_use]
    pub fn significant(&self, level: Percent) -> bool {
        self.probability * 100.0 < level.value()
    }
}

/// Mann and Kendall's test for a trend, two-sided.
///
/// - `points`: in order of time; order alone counts, not the distance in time
///
/// Returns `None` for fewer than [`FEWEST`] points, any that is not finite, or all alike.
///
/// Source: H. B. Mann 1945, M. G. Kendall 1975, as in EPA QA/G-9S: variance
/// (n(n−1)(2n+5) − Σt(t−1)(2t+5))/18, continuity correction 1. For ten points or fewer exact
/// tables exist; the normal approximation is near them from eight.
#[must_use]
pub fn mann_kendall(points: &[Point]) -> Option<MannKendall> {
    if points.len() < FEWEST || points.iter().any(|point| !point.value.is_finite()) {
        return None;
    }
    let score = score(points);
    let part = |n: f64| n * (n - 1.0) * (2.0 * n + 5.0);
    let ties: f64 = tie_sizes(points).into_iter().map(part).sum();
    let variance = (part(count(points.len())) - ties) / 18.0;
    if variance <= 0.0 {
        return None;
    }
    let z = (score - sign(score)) / variance.sqrt();
    Some(MannKendall { score, variance, z, probability: both_tails(z) })
}

/// The median of all slopes between two points: the trend per day, which outliers do not bend.
///
/// Returns `None` without two points on different days, or with any that is not finite.
///
/// Source: H. Theil 1950, P. K. Sen 1968.
#[must_use]
pub fn theil_sen(points: &[Point]) -> Option<f64> {
    median(&mut slopes(points)?)
}

/// The slopes between which the trend lies with 95 % confidence, per day.
///
/// Returns `None` as [`theil_sen`] and [`mann_kendall`] do.
///
/// Source: P. K. Sen 1968: the slopes whose ranks lie 1.96 standard deviations of Kendall's score to
/// either side of the middle one.
#[must_use]
pub fn theil_sen_interval(points: &[Point]) -> Option<(f64, f64)> {
    let deviation = mann_kendall(points)?.variance.sqrt();
    let mut sorted = slopes(points)?;
    sorted.sort_unstable_by(f64::total_cmp);
    let pairs = count(sorted.len());
    let half = NORMAL_95 * deviation;
    let low = rank(((pairs - half) / 2.0).round_ties_even() - 1.0, sorted.len());
    let high = rank(((pairs + half) / 2.0).round_ties_even(), sorted.len());
    Some((*sorted.get(low)?, *sorted.get(high)?))
}

/// Two-sided 95 % of the normal distribution, in standard deviations.
const NORMAL_95: f64 = 1.959_963_985;

/// A whole number as a rank, kept among those there are: 0 to `length − 1`.
fn rank(place: f64, length: usize) -> usize {
    (0..length).take_while(|rank| count(*rank) <= place).last().unwrap_or_default()
}

/// Kendall's score: pairs that rise less pairs that fall.
#[must_use]
pub fn score(points: &[Point]) -> f64 {
    let later = |at: usize| points.iter().skip(at + 1);
    let of = |(at, one): (usize, &Point)| -> f64 {
        later(at).map(|other| sign(other.value - one.value)).sum()
    };
    points.iter().enumerate().map(of).sum()
}

/// The slopes between any two points of different days; `None` with any that is not finite.
fn slopes(points: &[Point]) -> Option<Vec<f64>> {
    let mut slopes = Vec::new();
    for (index, one) in points.iter().enumerate() {
        for other in points.iter().skip(index + 1) {
            let days = other.day - one.day;
            if days.abs() > f64::EPSILON {
                slopes.push((other.value - one.value) / days);
            }
        }
    }
    slopes.iter().all(|slope: &f64| slope.is_finite()).then_some(slopes)
}

fn median(values: &mut [f64]) -> Option<f64> {
    values.sort_unstable_by(f64::total_cmp);
    let upper = values.get(values.len() / 2).copied()?;
    if values.len() % 2 == 1 {
        return Some(upper);
    }
    let lower = values.get(values.len() / 2 - 1).copied()?;
    Some((lower + upper) / 2.0)
}

/// −1, 0 or 1: unlike `signum`, 0 for 0.
fn sign(value: f64) -> f64 {
    if value > 0.0 {
        1.0
    } else if value < 0.0 {
        -1.0
    } else {
        0.0
    }
}

/// How many points share each value.
fn tie_sizes(points: &[Point]) -> Vec<f64> {
    let mut values: Vec<f64> = points.iter().map(|point| point.value).collect();
    values.sort_unstable_by(f64::total_cmp);
    values
        .chunk_by(|one, other| one.total_cmp(other).is_eq())
        .map(|tied| count(tied.len()))
        .collect()
}

/// A count as a number; series are far shorter than where this would round.
fn count(length: usize) -> f64 {
    u32::try_from(length).map_or(f64::INFINITY, f64::from)
}

/// Probability beyond ±z of the normal distribution.
///
/// Source: erfc by the Chebyshev fit of W. H. Press et al., "Numerical Recipes", relative error
/// below 1.2e-7.
fn both_tails(z: f64) -> f64 {
    const FIT: [f64; 10] = [
        -1.265_512_23,
        1.000_023_68,
        0.374_091_96,
        0.096_784_18,
        -0.186_288_06,
        0.278_868_07,
        -1.135_203_98,
        1.488_515_87,
        -0.822_152_23,
        0.170_872_77,
    ];
    let x = z.abs() / std::f64::consts::SQRT_2;
    let t = 1.0 / (1.0 + 0.5 * x);
    let series = FIT.iter().rev().fold(0.0, |sum, term| sum * t + term);
    (t * (series - x * x).exp()).clamp(0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn series(values: &[f64]) -> Vec<Point> {
        values
            .iter()
            .zip(0_u16..)
            .map(|(value, day)| Point { day: f64::from(day), value: *value })
            .collect()
    }

    #[test]
    fn says_nothing_of_too_little() {
        assert_eq!(mann_kendall(&series(&[1.0; 7])), None);
        assert_eq!(mann_kendall(&series(&[1.0; 12])), None);
        assert_eq!(mann_kendall(&series(&[f64::NAN; 12])), None);
        assert_eq!(theil_sen(&[]), None);
        assert_eq!(theil_sen(&series(&[1.0])), None);
    }

    proptest! {
        #[test]
        fn turned_over_it_falls_as_much(values in proptest::collection::vec(-9.0..9.0, 8..30)) {
            let upside: Vec<f64> = values.iter().map(|value| -value).collect();
            let (one, other) = (series(&values), series(&upside));
            if let (Some(up), Some(down)) = (mann_kendall(&one), mann_kendall(&other)) {
                prop_assert!((up.score + down.score).abs() < 1e-9);
                prop_assert!((up.probability - down.probability).abs() < 1e-12);
            }
            let both = (theil_sen(&one), theil_sen(&other));
            if let (Some(up), Some(down)) = both {
                prop_assert!((up + down).abs() < 1e-9);
            }
        }

        #[test]
        fn a_straight_line_has_its_own_slope(slope in -5.0..5.0_f64, start in -9.0..9.0_f64) {
            let values: Vec<f64> = (0..12).map(|day| start + slope * f64::from(day)).collect();
            prop_assert!((theil_sen(&series(&values)).unwrap() - slope).abs() < 1e-9);
        }
    }
}
