//! How a site stands: its open job, the gate, the last SWR and what stands in the way.

use crate::jobs::dossier::Dossier;
use crate::jobs::findings::{Known, Progress};
use crate::jobs::model::Answer;
use crate::sites::model::{Assignment, Site};

/// One line of the register.
#[derive(Debug, Clone)]
pub struct Line {
    /// The site.
    pub site: Site,
    /// Its assignments as they hold.
    pub assignments: Vec<Assignment>,
    /// Its newest job, if it ever had one.
    pub job: Option<Dossier>,
}

/// How urgent a site is: the greatest comes first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Urgency {
    /// The newest job is accepted.
    Accepted,
    /// No job yet.
    Idle,
    /// Work goes on and nothing failed.
    Working,
    /// Waits for acceptance.
    Declared,
    /// A gate lapsed, or the job was returned.
    Lapsed,
    /// Something was not shown or asks for an explanation.
    Doubtful,
    /// A check failed.
    Failed,
}

impl Line {
    /// How urgent the site is.
    #[must_use]
    pub fn urgency(&self) -> Urgency {
        let Some(job) = &self.job else { return Urgency::Idle };
        match job.findings.progress {
            Progress::Accepted => return Urgency::Accepted,
            Progress::Declared => return Urgency::Declared,
            Progress::Open(_) | Progress::Returned(_) => {}
        }
        let any = |answer| job.findings.items.iter().any(|item| item.answer == Some(answer));
        let unexplained = job.findings.comparison.as_ref().is_some_and(|comparison| {
            comparison.wants_explanation && job.record.explanation(comparison.reading).is_none()
        });
        if any(Answer::Failed) {
            Urgency::Failed
        } else if any(Answer::NotShown) || unexplained {
            Urgency::Doubtful
        } else if self.lapsed() || matches!(job.findings.progress, Progress::Returned(_)) {
            Urgency::Lapsed
        } else {
            Urgency::Working
        }
    }

    fn lapsed(&self) -> bool {
        let stages = self.job.iter().flat_map(|job| &job.findings.stages);
        stages.into_iter().any(|stage| stage.lapsed)
    }

    /// The drawn mark beside the words.
    #[must_use]
    pub fn mark(&self) -> &'static str {
        match self.urgency() {
            Urgency::Accepted => "tick",
            Urgency::Failed => "cross",
            Urgency::Idle => "dash",
            _ => "ring",
        }
    }

    /// The state in words.
    #[must_use]
    pub fn state(&self) -> String {
        let Some(job) = &self.job else { return "no job yet".to_owned() };
        match self.urgency() {
            Urgency::Failed => "a check failed".to_owned(),
            Urgency::Doubtful => "not shown, or to be explained".to_owned(),
            Urgency::Lapsed if self.lapsed() => "a gate lapsed".to_owned(),
            _ => match job.findings.progress {
                Progress::Open(_) => "in work".to_owned(),
                Progress::Returned(_) => "returned with remarks".to_owned(),
                progress => progress.shown(),
            },
        }
    }

    /// The last SWR: installed at the meter if there is one, else the chosen setting's on the stand.
    #[must_use]
    pub fn last_swr(&self) -> Option<(Known, &'static str)> {
        let job = self.job.as_ref()?;
        let installed = job.findings.installed(&job.record).and_then(|reading| reading.at_meter);
        if let Some(known) = installed {
            return Some((known, "installed, at the meter"));
        }
        let stand = &job.findings.stand;
        let last = stand.trials.iter().rev().find(|trial| !trial.struck);
        let chosen = stand.trials.iter().find(|trial| Some(trial.fact) == stand.chosen);
        let trial = chosen.or(last)?;
        Some((trial.at_antenna?, "stand, at the antenna input"))
    }
}
