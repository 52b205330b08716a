//! The dossier: the complete record of a job with its findings, as one plain structure. It is the only
//! input of page and report; acceptance freezes it.

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::clock::Utc;
use crate::jobs::findings::{Findings, Progress};
use crate::jobs::model::Record;

/// The version of the dossier's form that this program writes.
pub const FORMAT: u32 = 1;

/// A job's dossier: live while work goes on, frozen at acceptance.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Dossier {
    /// The version of this structure.
    pub format: u32,
    /// The server whose record this is.
    pub instance: Uuid,
    /// A at first acceptance; empty before.
    pub edition: String,
    /// When it was frozen; `None` while it is live.
    pub frozen_at: Option<Utc>,
    /// The record.
    pub record: Record,
    /// What follows from it, as reckoned when it was frozen.
    pub findings: Findings,
}

impl Dossier {
    /// The dossier of a job in work.
    ///
    /// - `at`: now, by which concessions expire
    #[must_use]
    pub fn live(instance: Uuid, record: Record, at: Utc) -> Self {
        let findings = Findings::of(&record, at);
        let edition = String::new();
        Self { format: FORMAT, instance, edition, frozen_at: None, record, findings }
    }

    /// The same, frozen as an edition.
    #[must_use]
    pub fn frozen(self, edition: &str, at: Utc) -> Self {
        Self { edition: edition.to_owned(), frozen_at: Some(at), ..self }
    }

    /// Whether the job is accepted.
    #[must_use]
    pub fn accepted(&self) -> bool {
        self.findings.progress == Progress::Accepted
    }

    /// The report's number: site, job and edition.
    #[must_use]
    pub fn number(&self) -> String {
        let edition = if self.edition.is_empty() { "draft" } else { &self.edition };
        format!("{}-{}-{edition}", self.record.site.code, self.record.job.number)
    }
}
