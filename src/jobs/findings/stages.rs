//! Each stage's gate, and how far the job is.

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::jobs::findings::items::ItemFinding;
use crate::jobs::model::{Answer, Body, JobClass, Manner, Record};
use crate::journal::{digest_of, hex};
use crate::profiles::model::Stage;

/// A stage's gate.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct StageFinding {
    /// The stage.
    pub stage: Stage,
    /// The last release, lapsed or not.
    pub released: Option<Uuid>,
    /// Whether a fact beneath the release has changed since.
    pub lapsed: bool,
    /// SHA-256, in hexadecimal, of what a release now would rest on.
    pub basis: String,
    /// How many items are neither failed, nor passed, nor not applicable, nor conceded, nor deferred.
    pub open: usize,
    /// How many items failed, and no concession covers them.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub failed: usize,
    /// Whether the stage is part of the job: one of its items applies. The gate of a stage that is none needs
    /// no release.
    #[serde(default = "yes", skip_serializing_if = "is_true")]
    pub needed: bool,
}

fn yes() -> bool {
    true
}

fn is_true(flag: &bool) -> bool {
    *flag
}

fn is_zero(count: &usize) -> bool {
    *count == 0
}

impl StageFinding {
    /// Whether the gate stands open: released, and nothing beneath has changed; or no part of the job.
    #[must_use]
    pub fn is_open(&self) -> bool {
        !self.needed || (self.released.is_some() && !self.lapsed)
    }

    /// How many items stand in the gate's way, failed or open.
    #[must_use]
    pub fn unsettled(&self) -> usize {
        self.open + self.failed
    }
}

/// How far a job is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "at", content = "stage", rename_all = "kebab-case")]
pub enum Progress {
    /// Work goes on in a stage.
    Open(Stage),
    /// Declared complete, waiting for acceptance.
    Declared,
    /// Returned with remarks; work goes on in a stage.
    Returned(Stage),
    /// Accepted: nothing is added any more.
    Accepted,
}

impl Progress {
    /// The stage in which work goes on; hand-over once declared.
    #[must_use]
    pub fn stage(self) -> Stage {
        match self {
            Self::Open(stage) | Self::Returned(stage) => stage,
            Self::Declared | Self::Accepted => Stage::HandOver,
        }
    }

    /// In a few words.
    #[must_use]
    pub fn shown(self) -> String {
        match self {
            Self::Open(stage) => format!("stage: {}", stage.shown()),
            Self::Declared => "declared, waiting for acceptance".to_owned(),
            Self::Returned(stage) => format!("returned with remarks, stage: {}", stage.shown()),
            Self::Accepted => "accepted".to_owned(),
        }
    }
}

/// Whether an item no longer stands in its gate's way, whoever releases it.
pub(in crate::jobs) fn settled(item: &ItemFinding) -> bool {
    matches!(
        item.answer,
        Some(Answer::Passed | Answer::NotApplicable | Answer::UnderConcession | Answer::Deferred)
    )
}

/// What a release of the stage rests on: each item's answer with the names of the facts, revisions and
/// calibrations beneath it. Words stay out, so that a program that says the same better lapses nothing.
fn basis(stage: Stage, items: &[ItemFinding]) -> String {
    let mut text = format!("{}\n", stage.word());
    for item in items.iter().filter(|item| item.stage == stage) {
        let answer = item.answer.map_or("open", Answer::word);
        text.push_str(&format!("{} {answer} {:?}\n", item.id, item.rests_on));
    }
    hex(&digest_of(&text))
}

/// Whether a release may stand in a job of this class: what someone released of the own work does not, once
/// the job is no longer single-handed.
pub(super) fn suits(manner: Manner, class: JobClass) -> bool {
    manner != Manner::SingleHanded || class == JobClass::SingleHanded
}

pub(super) fn find(record: &Record, items: &[ItemFinding]) -> Vec<StageFinding> {
    Stage::ALL
        .iter()
        .map(|&stage| {
            let basis = basis(stage, items);
            let release = record.release(stage);
            let lapsed = release.is_some_and(|(_, release)| {
                release.basis != basis || !suits(release.manner, record.class())
            });
            let of_stage = || items.iter().filter(|item| item.stage == stage);
            let failed = |item: &&ItemFinding| item.answer == Some(Answer::Failed);
            StageFinding {
                stage,
                released: release.map(|(fact, _)| fact.uuid),
                lapsed,
                basis,
                open: of_stage().filter(|item| !settled(item) && !failed(item)).count(),
                failed: of_stage().filter(failed).count(),
                needed: of_stage().any(|item| !item.from_facts),
            }
        })
        .collect()
}

/// What a declaration now would rest on: every stage's basis and release, and every fact that holds, also
/// those beneath no item.
pub(in crate::jobs) fn declaration_basis(record: &Record, stages: &[StageFinding]) -> String {
    let mut text: String =
        stages.iter().map(|stage| format!("{} {:?}\n", stage.basis, stage.released)).collect();
    // A job keeps the rule under which it was declared: with the first edition only items counted.
    if record.profile.edition > 1 {
        let decided = |body: &Body| {
            matches!(body, Body::Declaration(_) | Body::Return(_) | Body::Acceptance(_))
        };
        for fact in record.live().filter(|fact| !decided(&fact.body)) {
            text.push_str(&format!("{}\n", fact.uuid));
        }
    }
    hex(&digest_of(&text))
}

pub(super) fn progress(record: &Record, stages: &[StageFinding]) -> Progress {
    if record.acceptance().is_some() {
        return Progress::Accepted;
    }
    let at = stages
        .iter()
        .find(|stage| stage.stage != Stage::HandOver && !stage.is_open())
        .map_or(Stage::HandOver, |stage| stage.stage);
    let basis = declaration_basis(record, stages);
    let stands = record.declaration().is_some_and(|(_, declaration)| declaration.basis == basis);
    if stands && at == Stage::HandOver {
        return Progress::Declared;
    }
    if record.returned().is_some() { Progress::Returned(at) } else { Progress::Open(at) }
}
