//! What the meter at the foot should show after the stand, and what it means if it does not.
//! Magnitudes of reflection are compared with the whole of what instruments, line, joints and
//! mast leave open; never "3 dB" or "+0.2".

mod mast;
mod prediction;
mod verdict;

pub use mast::{Neighbour, neighbour_adds};
pub use prediction::{Part, Prediction, path_loss, predict};
pub use verdict::{CHECKS_CAUTION, CheckNext, NOT_SHOWN_BY_SWR, Unsaid, Verdict};

use crate::rf::line::{Withheld, at_load};
use crate::rf::quantity::{Interval, Megahertz, Quantity, Reflection};
use crate::rf::reflection::KnownReflection;

/// Two frequencies further apart than this are not the same, MHz: more than any carrier is off.
const SAME_FREQUENCY_MHZ: f64 = 0.02;

/// The leakage of a coupler whose directivity is not stated, when a verdict would rest on it:
/// 20 dB, the worst that is sold for the purpose (common practice, no source).
const UNSTATED_LEAKAGE: f64 = 0.1;

/// A reflection with the frequency at which it was read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReadAt {
    /// The carrier's frequency.
    pub frequency: Megahertz,
    /// The reflection at its plane.
    pub reflection: KnownReflection,
}

/// What is to be compared.
#[derive(Debug, Clone, PartialEq)]
pub struct Question<'a> {
    /// The reading chosen on the stand, at the antenna input.
    pub stand: Option<ReadAt>,
    /// The installed reading, at the meter.
    pub installed: Option<ReadAt>,
    /// Everything between meter and antenna input, in order from the meter.
    pub parts: &'a [Part],
    /// The most that mast and metal nearby add at the antenna input; `None` if nothing is
    /// counted: the band then holds "if the mast adds nothing".
    pub mast: Option<Reflection>,
}

/// Stand against installed, at the meter and at the antenna input.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Comparison {
    /// What is said of the two.
    pub verdict: Verdict,
    /// What the meter should show; `None` without a stand reading.
    pub prediction: Option<Prediction>,
    /// The installed reading referred to the antenna input, or why that is withheld; `None`
    /// without an installed reading.
    pub at_antenna: Option<Result<KnownReflection, Withheld>>,
}

/// Compares an installed reading with what the stand lets expect.
///
/// No change is shown when the installed interval meets the expected band. Outside it the change
/// is more than these instruments explain, for the worse or for the better; it is said whether
/// every part at its worst together would still explain it. With a directivity not stated, a gap
/// that a 20 dB coupler could open is not called a change.
#[must_use]
pub fn compare(question: &Question<'_>) -> Comparison {
    let loss = path_loss(question.parts);
    let prediction =
        question.stand.map(|stand| predict(&stand.reflection, question.parts, question.mast));
    let at_antenna = question.installed.map(|installed| at_load(&installed.reflection, &loss));
    let verdict = match (question.stand, question.installed, prediction) {
        (None, _, _) | (_, _, None) => Verdict::CannotBeSaid(Unsaid::NoStandReading),
        (_, None, _) => Verdict::CannotBeSaid(Unsaid::NoInstalledReading),
        (Some(stand), Some(installed), Some(prediction)) => {
            let apart = stand.frequency.value() - installed.frequency.value();
            if apart.abs() > SAME_FREQUENCY_MHZ {
                Verdict::CannotBeSaid(Unsaid::OtherFrequency {
                    stand: stand.frequency,
                    installed: installed.frequency,
                })
            } else {
                judge(&stand, &installed.reflection, &prediction, question)
            }
        }
    };
    Comparison { verdict, prediction, at_antenna }
}

/// The verdict when both readings are there and at one frequency.
fn judge(
    stand: &ReadAt,
    installed: &KnownReflection,
    prediction: &Prediction,
    question: &Question<'_>,
) -> Verdict {
    let expected = prediction.expected;
    let read = installed.interval;
    if read.meets(&expected) {
        return no_change(&stand.reflection, installed, prediction, question);
    }
    let worse = read.low() > expected.high();
    let gap = if worse {
        read.low().value() - expected.high().value()
    } else {
        expected.low().value() - read.high().value()
    };
    // The stand's leakage reaches the meter reduced; taken whole it errs to the careful side.
    let unstated = [stand.reflection.at_least, installed.at_least]
        .into_iter()
        .filter(|at_least| *at_least)
        .map(|_| UNSTATED_LEAKAGE)
        .sum::<f64>();
    if gap < unstated {
        return Verdict::CannotBeSaid(Unsaid::DirectivityNotStated);
    }
    let at_worst = read.meets(&prediction.widest);
    if worse {
        Verdict::Worse {
            read: installed.point.swr(),
            expected: expected.map(Reflection::swr),
            at_worst,
        }
    } else {
        Verdict::Better {
            read: installed.point.swr(),
            expected: expected.map(Reflection::swr),
            at_worst,
        }
    }
}

/// "No change", with the change at the antenna that could still hide behind it.
fn no_change(
    stand: &KnownReflection,
    installed: &KnownReflection,
    prediction: &Prediction,
    question: &Question<'_>,
) -> Verdict {
    let half =
        |interval: Interval<Reflection>| (interval.high().value() - interval.low().value()) / 2.0;
    let at_meter = half(prediction.expected) + half(installed.interval);
    let loss = path_loss(question.parts).nominal().value();
    let hidden = at_meter * 10.0_f64.powf(loss / 10.0);
    Verdict::NoChange {
        from: stand.point.swr(),
        to: Reflection::nearest(stand.point.value() + hidden).swr(),
        at_least: stand.at_least || installed.at_least,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rf::line::KnownLoss;
    use crate::rf::quantity::{LossDb, Percent, Swr};

    fn known(low: f64, point: f64, high: f64) -> KnownReflection {
        let magnitude = |swr: f64| Swr::nearest(swr).reflection();
        KnownReflection {
            point: magnitude(point),
            interval: Interval::between(magnitude(low), magnitude(high)),
            at_least: false,
            ceiling: false,
        }
    }

    fn at(mhz: f64, reflection: KnownReflection) -> Option<ReadAt> {
        Some(ReadAt { frequency: Megahertz::nearest(mhz), reflection })
    }

    fn line(db: f64) -> Part {
        Part {
            loss: KnownLoss::new(LossDb::nearest(db), Percent::nearest(5.0)),
            adds: Swr::nearest(1.03).reflection(),
        }
    }

    fn verdict(stand: Option<ReadAt>, installed: Option<ReadAt>, parts: &[Part]) -> Verdict {
        compare(&Question { stand, installed, parts, mast: None }).verdict
    }

    #[test]
    fn same_antenna_behind_its_line_shows_no_change() {
        let stand = at(98.0, known(1.35, 1.4, 1.45));
        let parts = [line(1.0)];
        let same = at(98.0, known(1.25, 1.3, 1.35));
        assert!(matches!(verdict(stand, same, &parts), Verdict::NoChange { .. }));
    }

    #[test]
    fn clearly_worse_and_clearly_better_are_both_said() {
        let stand = at(98.0, known(1.38, 1.4, 1.42));
        let parts = [line(1.0)];
        let worse = at(98.0, known(1.7, 1.75, 1.8));
        assert!(matches!(verdict(stand, worse, &parts), Verdict::Worse { at_worst: false, .. }));
        let better = at(98.0, known(1.01, 1.02, 1.03));
        assert!(matches!(verdict(stand, better, &parts), Verdict::Better { .. }));
    }

    #[test]
    fn says_why_it_cannot_say() {
        let reading = at(98.0, known(1.2, 1.3, 1.4));
        assert_eq!(verdict(None, reading, &[]), Verdict::CannotBeSaid(Unsaid::NoStandReading));
        assert_eq!(verdict(reading, None, &[]), Verdict::CannotBeSaid(Unsaid::NoInstalledReading));
        let elsewhere = at(98.1, known(1.2, 1.3, 1.4));
        assert!(matches!(
            verdict(reading, elsewhere, &[]),
            Verdict::CannotBeSaid(Unsaid::OtherFrequency { .. })
        ));
        let mut unstated = known(1.5, 1.5, 1.5);
        unstated.at_least = true;
        assert_eq!(
            verdict(reading, at(98.0, unstated), &[]),
            Verdict::CannotBeSaid(Unsaid::DirectivityNotStated)
        );
        unstated = known(5.0, 6.0, 7.0);
        unstated.at_least = true;
        assert!(matches!(verdict(reading, at(98.0, unstated), &[]), Verdict::Worse { .. }));
    }

    #[test]
    fn an_impossible_reading_is_worse_and_its_antenna_figure_withheld() {
        let compared = compare(&Question {
            stand: at(98.0, known(1.2, 1.3, 1.4)),
            installed: at(98.0, known(5.8, 6.0, 6.2)),
            parts: &[line(3.0)],
            mast: None,
        });
        assert!(matches!(compared.verdict, Verdict::Worse { .. }));
        assert!(matches!(compared.at_antenna, Some(Err(Withheld { .. }))));
    }
}
