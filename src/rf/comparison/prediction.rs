//! The stand's reflection taken down to the meter, with everything that may add on the way.

use crate::rf::line::{KnownLoss, at_input};
use crate::rf::quantity::{Interval, Quantity, Reflection};
use crate::rf::reflection::KnownReflection;

/// One part between meter and antenna input.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    /// Its matched loss.
    pub loss: KnownLoss,
    /// The most that it may reflect by itself, at its end towards the meter: an arrester's or
    /// jumper's SWR limit, a joint's, the line's own structure; 0 if nothing.
    pub adds: Reflection,
}

/// The loss of a whole path.
#[must_use]
pub fn path_loss(parts: &[Part]) -> KnownLoss {
    parts.iter().fold(KnownLoss::none(), |sum, part| sum.plus(&part.loss))
}

/// What the meter should show if nothing has changed since the stand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prediction {
    /// The stand's point value behind the nominal loss.
    pub point: Reflection,
    /// Where the reading is expected: the contributions by root sum of squares.
    pub expected: Interval<Reflection>,
    /// Where it can lie at all: the contributions by plain sum.
    pub widest: Interval<Reflection>,
    /// The stand's meter does not state its directivity: both bands are wider in truth.
    pub at_least: bool,
}

/// Predicts the reading at the meter from the one on the stand.
///
/// - `stand`: at the antenna input
/// - `parts`: in order from the meter to the antenna
/// - `mast`: the most that mast and metal nearby add at the antenna input
///
/// Contributions are the stand's own uncertainty, the tolerance of the loss, what each part may
/// add behind the least loss before it, and the mast behind the whole. Phases are not known: each
/// may add or take away.
///
/// Source: |Γ in| = |Γ load| · 10^(−A/10); combination of independent contributions by root sum
/// of squares as in JCGM 100 (GUM), by plain sum for the bound.
#[must_use]
pub fn predict(stand: &KnownReflection, parts: &[Part], mast: Option<Reflection>) -> Prediction {
    let loss = path_loss(parts);
    let exactly = |reflection| at_input(&KnownReflection::exact(reflection), &loss);
    let nominal = |reflection| exactly(reflection).point.value();
    let centre = exactly(stand.point);
    let point = centre.point.value();

    let mut adding: Vec<f64> = Vec::new();
    let mut before = KnownLoss::none();
    for part in parts {
        let there = at_input(&KnownReflection::exact(part.adds), &before);
        adding.push(there.interval.high().value());
        before = before.plus(&part.loss);
    }
    if let Some(mast) = mast {
        adding.push(exactly(mast).interval.high().value());
    }

    let mut down = adding.clone();
    down.push(point - nominal(stand.interval.low()));
    down.push(point - centre.interval.low().value());
    let mut up = adding;
    up.push(nominal(stand.interval.high()) - point);
    up.push(centre.interval.high().value() - point);

    let band = |below: f64, above: f64| {
        Interval::between(Reflection::nearest(point - below), Reflection::nearest(point + above))
    };
    Prediction {
        point: centre.point,
        expected: band(root_sum_of_squares(&down), root_sum_of_squares(&up)),
        widest: band(down.iter().sum(), up.iter().sum()),
        at_least: stand.at_least,
    }
}

fn root_sum_of_squares(terms: &[f64]) -> f64 {
    terms.iter().map(|term| term * term).sum::<f64>().sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rf::line::at_load;
    use crate::rf::quantity::{LossDb, Percent, Swr};
    use proptest::prelude::*;

    fn part(db: f64, swr: f64) -> Part {
        Part {
            loss: KnownLoss::new(LossDb::nearest(db), Percent::nearest(5.0)),
            adds: Swr::nearest(swr).reflection(),
        }
    }

    #[test]
    fn an_arrester_behind_the_meter_weighs_most_at_the_antenna() {
        // An arrester of 1.10 behind no loss, seen through 3 dB, is like 1.21 at the antenna.
        let parts = [part(0.0, 1.10), part(3.0, 1.0)];
        let perfect = KnownReflection::exact(Reflection::nearest(0.0));
        let found = predict(&perfect, &parts, None);
        let widest = KnownReflection::exact(found.widest.high());
        let loss = KnownLoss::new(LossDb::nearest(3.0), Percent::nearest(0.0));
        let there = at_load(&widest, &loss).unwrap();
        assert!((there.point.swr().value() - 1.21).abs() < 0.005);
    }

    #[test]
    fn a_path_of_nothing_predicts_the_stand_itself() {
        let stand = KnownReflection {
            point: Reflection::nearest(0.2),
            interval: Interval::between(Reflection::nearest(0.15), Reflection::nearest(0.25)),
            at_least: true,
            ceiling: false,
        };
        let found = predict(&stand, &[], None);
        assert!(found.at_least);
        assert!((found.expected.low().value() - 0.15).abs() < 1e-12);
        assert!((found.widest.high().value() - 0.25).abs() < 1e-12);
    }

    proptest! {
        #[test]
        fn bands_are_nested_and_hold_the_point(
            magnitude in 0.0..0.8, half in 0.0..0.1, db in 0.0..4.0, adds in 1.0..1.2,
            mast in 0.0..0.2
        ) {
            let stand = KnownReflection {
                point: Reflection::nearest(magnitude),
                interval: Interval::between(
                    Reflection::nearest(magnitude - half),
                    Reflection::nearest(magnitude + half),
                ),
                at_least: false,
                ceiling: false,
            };
            let parts = [part(0.05, adds), part(db, adds), part(0.1, adds)];
            let without = predict(&stand, &parts, None);
            let with = predict(&stand, &parts, Some(Reflection::nearest(mast)));
            prop_assert!(without.expected.contains(without.point));
            prop_assert!(without.expected.within(&without.widest));
            prop_assert!(without.expected.within(&with.expected));
            prop_assert!(without.widest.within(&with.widest));
        }
    }
}
