//! The resistance of a ground electrode from readings along a line: the 61.8 % rule and the slope
//! method, which finds the electrical centre that the rule takes for granted.

use crate::rf::quantity::{Metres, Ohms, Quantity, Ratio};
use std::fmt;

/// The place of the potential pin at which a small electrode reads true, as part of the distance
/// to the current pin: the golden ratio.
///
/// Source: 1/(1 − p) = 1 + 1/p; MIL-HDBK-419A, equations 2-41 to 2-46. Exact only when distances
/// are taken from the electrical centre of a small electrode.
pub const TRUE_PLACE: Ratio = Ratio::fixed(0.618_033_988_749_895);

/// The least and greatest slope that the method covers: beyond, the current pin is too near.
const SLOPES: (f64, f64) = (0.40, 1.59);

/// Three readings at 0.2, 0.4 and 0.6 of the distance to the current pin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SlopeReadings {
    /// Distance from the edge of the electrode system to the current pin.
    pub current_pin: Metres,
    /// Reading with the potential pin at 0.2 of it.
    pub at_0_2: Ohms,
    /// Reading with the potential pin at 0.4 of it.
    pub at_0_4: Ohms,
    /// Reading with the potential pin at 0.6 of it.
    pub at_0_6: Ohms,
}

/// Where to put the potential pin for the true reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TruePlace {
    /// The slope μ = (R3 − R2)/(R2 − R1).
    pub slope: Ratio,
    /// Place of the potential pin as part of the distance to the current pin.
    pub part: Ratio,
    /// The same as distance from where the three were measured.
    pub distance: Metres,
}

/// Why the slope method gives no place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SlopeError {
    /// The readings do not rise along the line: pins or leads are wrong.
    NotRising,
    /// The slope lies outside the method: take the current pin further away.
    PinTooNear {
        /// The slope found.
        slope: Ratio,
    },
}

impl fmt::Display for SlopeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotRising => {
                f.write_str("the readings do not rise along the line: check pins and leads")
            }
            Self::PinTooNear { slope } => write!(
                f,
                "the slope {slope:.2} is outside the method: take the current pin further away"
            ),
        }
    }
}

impl std::error::Error for SlopeError {}

/// The slope μ = (R3 − R2)/(R2 − R1); `None` when the readings do not rise.
#[must_use]
pub fn slope(readings: &SlopeReadings) -> Option<f64> {
    let first = readings.at_0_4.value() - readings.at_0_2.value();
    let second = readings.at_0_6.value() - readings.at_0_4.value();
    (first > 0.0 && second > 0.0).then(|| second / first)
}

/// The place of the potential pin at which the electrode system reads true.
///
/// Source: G. F. Tagg's slope method, with its table replaced by the model behind it: a hemisphere
/// whose centre lies x behind the place that distances are taken from (in parts of the current
/// pin's distance) reads R(p) = R + K · (1/(1 − p) − 1/(x + p) − 1/(1 + x)), true where the bracket
/// vanishes. The printed table's first row (0.40, 0.6432) agrees.
///
/// # Errors
/// [`SlopeError`] when the readings do not rise, or the slope lies outside 0.40 to 1.59.
pub fn true_place(readings: &SlopeReadings) -> Result<TruePlace, SlopeError> {
    let slope = slope(readings).ok_or(SlopeError::NotRising)?;
    if slope < SLOPES.0 || slope > SLOPES.1 {
        return Err(SlopeError::PinTooNear { slope: Ratio::nearest(slope) });
    }
    let part = place_at(centre_for(slope));
    Ok(TruePlace {
        slope: Ratio::nearest(slope),
        part: Ratio::nearest(part),
        distance: Metres::nearest(part * readings.current_pin.value()),
    })
}

/// Relative reading of an electrode whose centre lies `x` behind, at the part `p`.
fn reading(x: f64, p: f64) -> f64 {
    1.0 / (1.0 - p) - 1.0 / (x + p)
}

/// How far behind the centre lies for a slope: the slope rises with it. Below 0.57 it lies in front.
fn centre_for(slope: f64) -> f64 {
    let slope_of =
        |x: f64| (reading(x, 0.6) - reading(x, 0.4)) / (reading(x, 0.4) - reading(x, 0.2));
    bisect(-0.19, 50.0, |x| slope_of(x) - slope)
}

/// The place that reads true: 1/(1 − p) = 1/(x + 1) + 1/(x + p).
fn place_at(x: f64) -> f64 {
    bisect(0.2, 0.9, |p| 1.0 / (1.0 - p) - 1.0 / (x + 1.0) - 1.0 / (x + p))
}

/// The root of a rising function between two ends; an end if there is none.
fn bisect(mut low: f64, mut high: f64, rising: impl Fn(f64) -> f64) -> f64 {
    for _ in 0..60 {
        let middle = (low + high) / 2.0;
        if rising(middle) > 0.0 {
            high = middle;
        } else {
            low = middle;
        }
    }
    (low + high) / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn readings(at_0_2: f64, at_0_4: f64, at_0_6: f64) -> SlopeReadings {
        SlopeReadings {
            current_pin: Metres::nearest(60.0),
            at_0_2: Ohms::nearest(at_0_2),
            at_0_4: Ohms::nearest(at_0_4),
            at_0_6: Ohms::nearest(at_0_6),
        }
    }

    #[test]
    fn says_why_there_is_no_place() {
        assert_eq!(true_place(&readings(3.0, 2.9, 3.5)), Err(SlopeError::NotRising));
        let near = true_place(&readings(1.0, 1.1, 2.0)).unwrap_err();
        assert!(near.to_string().contains("further away"));
    }

    proptest! {
        #[test]
        fn the_place_reads_true_for_any_centre(x in 0.02..0.6_f64, scale in 0.5..50.0_f64) {
            let at = |p: f64| scale * (20.0 + reading(x, p) - 1.0 / (1.0 + x));
            let real = scale * 20.0;
            if let Ok(place) = true_place(&readings(at(0.2), at(0.4), at(0.6))) {
                let there = at(place.part.value());
                prop_assert!((there / real - 1.0).abs() < 1e-6, "{there} {real}");
            }
        }
    }
}
