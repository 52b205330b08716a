//! Snags in the way: of declaring, of accepting, of being closed twice.

use uuid::Uuid;

use crate::jobs::findings::Findings;
use crate::jobs::model::Record;
use crate::jobs::problems::{Who, decide, record_fact};
use crate::problem::Problem;

/// The snags that acceptance waits for.
pub(super) fn open(findings: &Findings) -> impl Iterator<Item = Problem> {
    let open = findings.snags.iter().filter(|snag| snag.stops_acceptance());
    open.map(|snag| {
        let text = format!("Class A snag open: {}.", snag.text.trim_end_matches('.'));
        Problem::blocking("SNAG_A_OPEN", Some("snags"), text)
    })
}

/// The snags that are to be put right by a day, without an owner or without the day.
pub(super) fn unowned(findings: &Findings) -> impl Iterator<Item = Problem> {
    let unowned = findings.snags.iter().filter(|snag| snag.is_unowned());
    unowned.map(|snag| {
        let text =
            format!("Class B snag without an owner or a day: {}.", snag.text.trim_end_matches('.'));
        Problem::blocking("SNAG_UNOWNED", Some("snags"), text)
    })
}

/// What stands in the way of accepting a declared job: what stands in the way of a decision, and class A
/// snags. It can still be returned with them.
#[must_use]
pub fn accept(record: &Record, findings: &Findings, who: Who) -> Vec<Problem> {
    let mut problems = decide(record, findings, who);
    problems.extend(open(findings));
    problems
}

/// What stands in the way of closing a snag.
#[must_use]
pub fn close_snag(findings: &Findings, snag: Uuid, corrected: Option<Uuid>) -> Vec<Problem> {
    let mut problems = record_fact(findings);
    let closed =
        findings.snags.iter().find(|one| one.fact == snag).and_then(|one| one.closed.as_ref());
    if closed.is_some_and(|closed| corrected != Some(closed.fact)) {
        problems.push(Problem::blocking(
            "SNAG_CLOSED",
            None,
            "Somebody closed this snag meanwhile. Look at what was done before you add to it.",
        ));
    }
    problems
}
