//! The one thing to do next on a job, said first on its page, from where things stand now.

use crate::jobs::dossier::Dossier;
use crate::jobs::findings::{Progress, settled};
use crate::jobs::model::{Answer, JobClass};
use crate::jobs::problems::{self, Who};
use crate::people::model::Role;
use crate::profiles::model::{Answering, Stage};
use crate::words::upper_first;

/// What to do next, why, and where.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Next {
    /// In a few words.
    pub headline: String,
    /// What is in the way, or why.
    pub text: String,
    /// The tail of the address below the job's page; empty for the page itself.
    pub tail: String,
    /// The words on the link; empty for none.
    pub link: String,
}

fn step(headline: impl Into<String>, text: impl Into<String>, tail: &str, link: &str) -> Next {
    Next {
        headline: headline.into(),
        text: text.into(),
        tail: tail.to_owned(),
        link: link.to_owned(),
    }
}

/// What this person, or somebody else, does next.
#[must_use]
pub fn of(dossier: &Dossier, who: Who) -> Next {
    match dossier.findings.progress {
        Progress::Accepted => accepted(dossier),
        Progress::Declared => declared(dossier, who),
        Progress::Returned(stage) => {
            let remarks = dossier.record.returned().map(|(_, remarks)| remarks).unwrap_or_default();
            let on = working(dossier, stage, who);
            Next { text: format!("Returned with remarks: {remarks} {}", on.text), ..on }
        }
        Progress::Open(stage) => working(dossier, stage, who),
    }
}

fn accepted(dossier: &Dossier) -> Next {
    let record = &dossier.record;
    let (by, when) = record.acceptance().map_or_else(Default::default, |(fact, _)| {
        (record.name(fact.by), fact.measured.shown_date())
    });
    step(
        format!("Accepted on {when} by {by}."),
        "The record is closed: nothing is added to it. The report is made from it alone.",
        "/report.pdf",
        "Open the report",
    )
}

fn declared(dossier: &Dossier, who: Who) -> Next {
    let record = &dossier.record;
    let by = record.declaration().map(|(fact, _)| record.name(fact.by)).unwrap_or_default();
    let blocked = problems::decide(record, &dossier.findings, who);
    if matches!(who.role, Role::Engineer | Role::Manager) && blocked.is_empty() {
        return step(
            "Accept the job, or return it with remarks.",
            format!("{by} declared it complete. Read the draft report first."),
            "/decision",
            "Decide",
        );
    }
    step(
        "Waits for acceptance.",
        format!(
            "{by} declared it complete. An engineer or a manager who did not declare it accepts or returns it, signing on the own device or on this one."
        ),
        "/decision",
        "Read what is decided",
    )
}

fn working(dossier: &Dossier, stage: Stage, who: Who) -> Next {
    if dossier.record.chain().is_none() {
        return step(
            "Enter the RF chain.",
            "Transmitter, meter, arrester, feed line and antenna: every figure of this job rests on them.",
            "/chain",
            "Enter the chain",
        );
    }
    let lapsed = dossier.findings.stages.iter().any(|gate| gate.stage == stage && gate.lapsed);
    let items = dossier.findings.items.iter();
    let open = items.filter(|item| item.stage == stage && !settled(item)).collect::<Vec<_>>();
    let blocking = problems::item_problems(&dossier.record, &dossier.findings, stage, who.role);
    if stage == Stage::Stand && open.iter().any(|item| item.id == "stand-setup") {
        return step(
            "Describe the stand.",
            "Height, nearest metal, orientation and jumper, well enough to repeat it.",
            "/stand",
            "To the stand",
        );
    }
    if stage == Stage::Stand && dossier.findings.stand.chosen.is_none() {
        let stand = &dossier.findings.stand;
        return step(stand.headline.clone(), stand.explanation.clone(), "/stand", "To the stand");
    }
    if stage == Stage::RfOn
        && dossier.record.installed().is_none()
        && open.iter().all(|item| item.derived)
    {
        return step(
            "Take the installed reading.",
            "Everybody off the structure, then about 10 % power first. RF off before anyone climbs or touches the line.",
            "/installed",
            "Record the reading",
        );
    }
    if !blocking.iter().any(crate::problem::Problem::blocks) {
        return gate(dossier, stage, who, lapsed);
    }
    let first = open.iter().find(|item| !item.derived).or_else(|| open.first());
    let Some(item) = first else { return gate(dossier, stage, who, lapsed) };
    let tail = match dossier.record.profile.item(&item.id).map(|item| item.answer) {
        Some(Answering::StandSwr | Answering::CalibrationStand | Answering::StandSetup) => {
            "/stand".to_owned()
        }
        _ => format!("/checks/{}", item.id),
    };
    let failed = open.iter().filter(|item| item.answer == Some(Answer::Failed)).count();
    let left = crate::jobs::pictures::checks_left(open.len() - failed, failed);
    step(
        item.text.clone(),
        format!(
            "{left} in “{}”, before the gate “{}”. {}",
            stage.shown(),
            stage.gate(),
            sentence(&item.evidence)
        ),
        &tail,
        if item.derived { "Look at it" } else { "Answer" },
    )
}

fn sentence(words: &str) -> String {
    format!("{}.", upper_first(words.trim_end_matches('.')))
}

fn gate(dossier: &Dossier, stage: Stage, who: Who, lapsed: bool) -> Next {
    if stage == Stage::HandOver {
        return step(
            "Declare the job complete.",
            "All gates are released and nothing is open. Your name stands under the declaration.",
            "/declaration",
            "Declare",
        );
    }
    let again = if lapsed { " again: a fact beneath the last release has changed" } else { "" };
    let blocked = problems::release(&dossier.record, &dossier.findings, stage, who);
    let tail = format!("/gates/{}", stage.word());
    if blocked.iter().any(crate::problem::Problem::blocks) {
        let class = dossier.record.class();
        let whom = match class {
            JobClass::SingleHanded => "It can be released now.",
            JobClass::Remote => "Someone elsewhere releases it on the evidence, with a read-back.",
            JobClass::Independent => "Someone who did no item of this stage releases it.",
        };
        return step(
            format!("The gate “{}” waits for its release{again}.", stage.gate()),
            whom,
            &tail,
            "See the gate",
        );
    }
    step(
        format!("Release the gate “{}”{again}.", stage.gate()),
        format!("All checks of “{}” are answered.", stage.shown()),
        &tail,
        "To the gate",
    )
}
