//! A value against its tolerance, and what is said of it.

use crate::jobs::findings::built::words::{EXACT, short};
use crate::jobs::model::Answer;
use crate::rf::decision::{self, Decision, Evidence, Rule};
use crate::rf::quantity::Watts;

/// A value against its tolerance.
pub(super) struct Judged {
    pub(super) answer: Answer,
    pub(super) point_within: bool,
    pub(super) verdict: String,
}

/// A distance from what is authorised that is known to within some room, against its tolerance.
pub(super) fn within(distance: f64, room: f64, tolerance: f64, check: &str) -> Judged {
    let point_within = distance <= tolerance + EXACT;
    let (answer, verdict) = if distance - room > tolerance + EXACT {
        (Answer::Failed, check.to_owned())
    } else if distance + room <= tolerance + EXACT {
        (Answer::Passed, "within tolerance".to_owned())
    } else {
        (Answer::NotShown, format!("not shown: known to ± {} only", short(room)))
    };
    Judged { answer, point_within, verdict }
}

/// A number of metres or degrees in a few digits.
pub(super) fn same(holds: bool, check: &str) -> Judged {
    let (answer, verdict) =
        if holds { (Answer::Passed, "as authorised") } else { (Answer::Failed, check) };
    Judged { answer, point_within: holds, verdict: verdict.to_owned() }
}

pub(super) fn not_shown(point_within: bool, verdict: impl Into<String>) -> Judged {
    Judged { answer: Answer::NotShown, point_within, verdict: verdict.into() }
}

/// A power against what is allowed around the authorised one.
pub(super) fn decided(
    evidence: &Evidence<Watts>,
    limit: &decision::Limit<Watts>,
    check: &str,
) -> Judged {
    match decision::decide(evidence, limit, &Rule::Simple { who: () }) {
        Decision::Passed => Judged {
            answer: Answer::Passed,
            point_within: true,
            verdict: "within tolerance".to_owned(),
        },
        Decision::Failed => {
            Judged { answer: Answer::Failed, point_within: false, verdict: check.to_owned() }
        }
        Decision::NotShown { point_within, .. } => {
            not_shown(point_within, "not shown: the tolerance ends inside the interval")
        }
    }
}

pub(super) fn frequency_within(off: f64, room: f64, tolerance: f64) -> Judged {
    let check = "check the transmitter’s frequency";
    let judged = within(off, room, tolerance, check);
    match judged.answer {
        Answer::NotShown => Judged {
            verdict: format!(
                "not shown: written to ± {room:.0} Hz; write all digits of the counter"
            ),
            ..judged
        },
        _ => judged,
    }
}
