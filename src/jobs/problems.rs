//! The judge: what stands in the way of each act. The page shows the list, the button obeys it, and the
//! act refuses on it inside its transaction.

mod snags;

pub use snags::{accept, close_snag};

use uuid::Uuid;

use crate::clock::Measured;
use crate::jobs::findings::{Findings, ItemFinding, Progress};
use crate::jobs::model::{Answer, Body, Fact, JobClass, Manner, Record};
use crate::people::model::Role;
use crate::problem::Problem;
use crate::profiles::model::{Item, Stage};

use crate::jobs::findings::settled;

/// Codes of what stands in the way of one person and of nobody else.
const OWN_WORK: &str = "OWN_WORK";
const OWN_DECLARATION: &str = "OWN_DECLARATION";

/// Who is about to act.
#[derive(Debug, Clone, Copy)]
pub struct Who {
    /// The person's name outside.
    pub uuid: Uuid,
    /// The person's role.
    pub role: Role,
}

/// What stands in the way of adding any fact.
#[must_use]
pub fn record_fact(findings: &Findings) -> Vec<Problem> {
    if findings.progress == Progress::Accepted {
        return vec![Problem::blocking(
            "JOB_ACCEPTED",
            None,
            "The job is accepted: its record is closed and nothing is added to it.",
        )];
    }
    Vec::new()
}

/// What stands in the way of a result of RF on the installed antenna: before the gate "ready for RF" it
/// is taken only out of sequence, with its reason.
#[must_use]
pub fn installed_reading(
    record: &Record,
    findings: &Findings,
    measured: Measured,
    out_of_sequence: bool,
) -> Vec<Problem> {
    let mut problems = record_fact(findings);
    if record.chain().is_none() {
        problems.push(Problem::blocking(
            "NO_CHAIN",
            None,
            "There is no RF chain on the record: the reading would hold nowhere. Enter the chain first.",
        ));
    }
    let early = !ready_for_rf_at(record, measured);
    if early && !out_of_sequence {
        problems.push(Problem::blocking(
            "NOT_READY_FOR_RF",
            Some("out_of_sequence"),
            "RF into the installed antenna comes after the gate “ready for RF” is released. If it was in truth applied before, say why in “out of sequence”: the reading is kept, marked, and a manager decides on it.",
        ));
    }
    problems
}

/// Whether the gate "ready for RF" stood open when something was measured: judged on the record as it was
/// then. So a gate that lapsed later, or was released again later, makes no reading that was in order a
/// reading out of sequence, and a late correction of its figures asks for no untrue reason.
fn ready_for_rf_at(record: &Record, measured: Measured) -> bool {
    // A time is typed to the minute.
    let minute_over = measured.at.plus_seconds(59);
    let then = Findings::of(&record.entered_by(minute_over), minute_over);
    then.stages.iter().any(|gate| gate.stage == Stage::ColdTests && gate.is_open())
}

/// What stands in the way of answering an item this way.
#[must_use]
pub fn answer(findings: &Findings, item: &Item, answer: Answer, role: Role) -> Vec<Problem> {
    let mut problems = record_fact(findings);
    let mut refuse =
        |code, text: String| problems.push(Problem::blocking(code, Some("answer"), text));
    let derived = item.answer.is_derived();
    match answer {
        Answer::UnderConcession => {
            if !item.concession {
                refuse("NO_CONCESSION", "For this item no concession can be granted.".to_owned());
            } else if role != Role::Manager {
                refuse("CONCESSION_BY_MANAGER", "A concession is granted by a manager.".to_owned());
            }
        }
        _ if derived => refuse(
            "DERIVED",
            "This item is answered by the server from the record and cannot be ticked. Correct the facts beneath it.".to_owned(),
        ),
        Answer::NotApplicable if !item.not_applicable => refuse(
            "ALWAYS_APPLIES",
            "This item applies to every job with this profile.".to_owned(),
        ),
        Answer::Deferred if !item.deferrable => {
            refuse("NOT_DEFERRABLE", "This item cannot be put off.".to_owned());
        }
        Answer::NotShown => refuse(
            "NOT_SHOWN_IS_DERIVED",
            "“Not shown” is said by the server of what was measured.".to_owned(),
        ),
        _ => {}
    }
    problems
}

/// What stands in the way of answering an item that has an answer: the one that holds must be named, so
/// that nobody strikes what they have not seen. A concession follows concessions alone.
///
/// - `corrected`: the answer or concession that the new one strikes
#[must_use]
pub fn answer_again(
    record: &Record,
    item: &str,
    answer: Answer,
    corrected: Option<Uuid>,
) -> Vec<Problem> {
    let before = match answer {
        Answer::UnderConcession => record.conceded(item),
        _ => record.answered(item),
    };
    let holds = before.map(|(fact, _)| fact.uuid);
    if corrected == holds {
        return Vec::new();
    }
    let text = match holds {
        Some(_) => {
            "Somebody answered this item meanwhile. Look at that answer, then correct it with a reason."
        }
        None => "The answer that this corrects was struck meanwhile, or belongs to another item.",
    };
    vec![Problem::blocking("ANSWERED", Some("answer"), text)]
}

/// What stands in the way of explaining a reading.
///
/// - `corrected`: the explanation that the new one strikes
#[must_use]
pub fn explain(record: &Record, reading: &Fact, corrected: Option<Uuid>) -> Vec<Problem> {
    if let Some(by) = record.struck().get(&reading.uuid) {
        let text = format!(
            "This reading was struck by {} meanwhile; explain the one that holds.",
            record.name(by.by)
        );
        return vec![Problem::blocking("READING_STRUCK", Some("reading"), text)];
    }
    let holds = record.explanation(reading.uuid).map(|(fact, _)| fact.uuid);
    if corrected == holds {
        return Vec::new();
    }
    vec![Problem::blocking(
        "EXPLAINED",
        Some("cause"),
        "Somebody explained this reading meanwhile. Look at that explanation, then correct it with a reason.",
    )]
}

/// What stands in the way of releasing a stage's gate.
#[must_use]
pub fn release(record: &Record, findings: &Findings, stage: Stage, who: Who) -> Vec<Problem> {
    let mut problems = record_fact(findings);
    if stage == Stage::HandOver {
        problems.push(Problem::blocking(
            "NO_RELEASE",
            None,
            "The last gate opens by declaration and acceptance.",
        ));
    }
    let gate = |wanted| findings.stages.iter().find(|finding| finding.stage == wanted);
    if let Some(before) = stage.before()
        && !gate(before).is_some_and(|gate| gate.is_open())
    {
        problems.push(Problem::blocking(
            "GATE_BEFORE",
            None,
            format!("The gate “{}” comes first; it is not released.", before.gate()),
        ));
    }
    if gate(stage).is_some_and(|gate| gate.is_open()) {
        problems.push(Problem::blocking("RELEASED", None, "This gate is already released."));
    }
    problems.extend(item_problems(record, findings, stage, who.role));
    problems.extend(independence(record, findings, stage, who));
    problems
}

/// What stands in the way of signing a list that was shown: it must still be the list that is signed.
///
/// - `basis`: what the signature would rest on now
/// - `seen`: what it rested on when the list was shown; `None` where none was shown
#[must_use]
pub fn signed_unseen(basis: &str, seen: Option<&str>) -> Vec<Problem> {
    if seen.is_none_or(|seen| seen == basis) {
        return Vec::new();
    }
    vec![Problem::blocking(
        "LIST_CHANGED",
        None,
        "Something in the list changed after you opened it. Open it again, look at what is new, then sign it.",
    )]
}

/// The items of a stage that stand in the way of its gate, for a releaser of this role.
#[must_use]
pub fn item_problems(
    record: &Record,
    findings: &Findings,
    stage: Stage,
    role: Role,
) -> Vec<Problem> {
    let of_stage = findings.items.iter().filter(|item| item.stage == stage);
    of_stage.filter_map(|item| item_problem(record, item, role)).collect()
}

fn item_problem(record: &Record, item: &ItemFinding, role: Role) -> Option<Problem> {
    if settled(item) {
        return None;
    }
    let text = |state: &str| format!("{} {}: {}", item.text, state, item.evidence);
    let id = Some(item.id.as_str());
    let rule = record.profile.limits.not_shown_accepted_by;
    match item.answer {
        Some(Answer::NotShown) if item.point_within && rule.includes(role) => {
            Some(Problem::warning(
                "NOT_SHOWN_ACCEPTED",
                id,
                text("Not shown; accepted on the point value by this release"),
            ))
        }
        Some(Answer::NotShown) if item.point_within => Some(Problem::blocking(
            "NOT_SHOWN",
            id,
            format!(
                "{}. On the point value it can be accepted by {}.",
                text("Not shown"),
                rule.shown()
            ),
        )),
        Some(Answer::NotShown) => Some(Problem::blocking("NOT_SHOWN", id, text("Not shown"))),
        Some(Answer::Failed) => Some(Problem::blocking("FAILED", id, text("Failed"))),
        _ => Some(Problem::blocking("OPEN", id, text("Open"))),
    }
}

/// Whether this person is independent enough to release the stage.
fn independence(record: &Record, findings: &Findings, stage: Stage, who: Who) -> Option<Problem> {
    if record.class() == JobClass::SingleHanded {
        return None;
    }
    let of_stage = findings.items.iter().filter(|item| item.stage == stage);
    let own = of_stage.filter(|item| item.doers.contains(&who.uuid)).count();
    (own > 0).then(|| {
        Problem::blocking(
            OWN_WORK,
            None,
            format!("You did {own} of this stage’s items: someone else releases it."),
        )
    })
}

/// How this person would release a gate of the job.
#[must_use]
pub fn manner(record: &Record, findings: &Findings, stage: Stage, who: Who) -> Manner {
    match record.class() {
        JobClass::Independent => Manner::Independent,
        JobClass::Remote => Manner::Remote,
        JobClass::SingleHanded => {
            let of_stage = findings.items.iter().filter(|item| item.stage == stage);
            let own = of_stage.filter(|item| item.doers.contains(&who.uuid)).count() > 0;
            if own { Manner::SingleHanded } else { Manner::Independent }
        }
    }
}

/// What stands in the way of declaring completion.
#[must_use]
pub fn declare(record: &Record, findings: &Findings, who: Who) -> Vec<Problem> {
    let mut problems = record_fact(findings);
    if findings.progress == Progress::Declared {
        problems.push(Problem::blocking("DECLARED", None, "The job is already declared complete."));
    }
    for stage in &findings.stages {
        if stage.stage == Stage::HandOver || stage.is_open() {
            continue;
        }
        let why = if stage.lapsed { "has lapsed" } else { "is not released" };
        problems.push(Problem::blocking(
            "GATE_CLOSED",
            None,
            format!("The gate “{}” {why}.", stage.stage.gate()),
        ));
    }
    problems.extend(item_problems(record, findings, Stage::HandOver, who.role));
    problems.extend(snags::open(findings));
    problems.extend(snags::unowned(findings));
    problems
}

/// What stands in the way of accepting or returning a declared job.
#[must_use]
pub fn decide(record: &Record, findings: &Findings, who: Who) -> Vec<Problem> {
    let mut problems = record_fact(findings);
    if findings.progress != Progress::Declared && problems.is_empty() {
        problems.push(Problem::blocking(
            "NOT_DECLARED",
            None,
            "The job is not declared complete, or the declaration lapsed when a fact beneath it changed.",
        ));
    }
    let own = record.declaration().is_some_and(|(fact, _)| fact.by == Some(who.uuid));
    if own && record.class() != JobClass::SingleHanded {
        problems.push(Problem::blocking(
            OWN_DECLARATION,
            None,
            "You declared this job: someone else accepts or returns it.",
        ));
    }
    problems
}

/// Whether something stands in the way of whoever signs: what concerns only the person who is signed in
/// leaves the button to somebody else, who can sign at the same device.
#[must_use]
pub fn block_anybody(problems: &[Problem]) -> bool {
    let own = |problem: &Problem| matches!(&*problem.code, OWN_WORK | OWN_DECLARATION);
    problems.iter().any(|problem| problem.blocks() && !own(problem))
}

/// What stands in the way of correcting or withdrawing a fact.
#[must_use]
pub fn correct(record: &Record, findings: &Findings, fact: &Fact) -> Vec<Problem> {
    let mut problems = record_fact(findings);
    if !fact.body.correctable() {
        problems.push(Problem::blocking(
            "NOT_CORRECTABLE",
            None,
            "Releases, declarations and decisions are not rewritten: they lapse, or are followed by another.",
        ));
    }
    if let Some(by) = record.struck().get(&fact.uuid) {
        problems.push(Problem::blocking(
            "STRUCK",
            None,
            format!(
                "This entry was already struck by {}; correct the newer one.",
                record.name(by.by)
            ),
        ));
    }
    problems
}

/// What stands in the way of choosing a trial's setting.
#[must_use]
pub fn choose(record: &Record, findings: &Findings, trial: &Fact) -> Vec<Problem> {
    let mut problems = record_fact(findings);
    if !matches!(trial.body, Body::Trial(_)) || record.struck().contains_key(&trial.uuid) {
        problems.push(Problem::blocking(
            "NO_TRIAL",
            Some("trial"),
            "Only a trial that is not struck can be chosen.",
        ));
    }
    problems
}

#[cfg(test)]
mod tests;
