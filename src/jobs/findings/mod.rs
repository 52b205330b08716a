//! Findings: everything that is derived from a job's record, by one pure function. Pages, buttons,
//! acts and reports read the findings; an accepted job's dossier keeps them beside the record.

mod built;
mod chain;
mod exposure;
mod installed;
mod items;
mod known;
mod snags;
mod stages;
mod stand;

pub use built::{BuiltFinding, BuiltRow, BuiltWhat};
pub use chain::{ChainFinding, LossFinding, PartFinding, PointFinding};
pub use exposure::{ExposureFinding, StandExposure, SurveyFinding};
pub use installed::{ComparisonFinding, PredictionFinding, ReadingFinding};
pub use items::{HoldFinding, ItemFinding};
pub use known::{Known, swr_of, swr_text};
pub use snags::{ClosingFinding, SnagFinding, SnagOrigin, open_by_class, open_in_words};
pub use stages::{Progress, StageFinding};
pub(in crate::jobs) use stages::{declaration_basis, settled};
pub use stand::{Read, StandFinding, TrialFinding, reflection_read};

use serde::{Deserialize, Serialize};

use crate::clock::Utc;
use crate::jobs::model::Record;

/// What follows from the record.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Findings {
    /// Of the stand: start length, trials, advice.
    pub stand: StandFinding,
    /// Of each installed reading that holds.
    pub readings: Vec<ReadingFinding>,
    /// Stand against installed; `None` while there is no reading.
    pub comparison: Option<ComparisonFinding>,
    /// Losses of the chain as it holds; `None` without a chain.
    pub chain: Option<ChainFinding>,
    /// What an assessment of exposure begins with.
    pub exposure: Option<ExposureFinding>,
    /// What was authorised, designed and built, differences first.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub built: Option<BuiltFinding>,
    /// Each item's answer, in the profile's order.
    pub items: Vec<ItemFinding>,
    /// Each stage's gate, in order.
    pub stages: Vec<StageFinding>,
    /// How far the job is.
    pub progress: Progress,
    /// What is to be put right, open before closed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub snags: Vec<SnagFinding>,
}

impl Findings {
    /// Derives everything from the record. Pure: the same record at the same time gives the same findings.
    ///
    /// - `at`: now. Concessions expire with the day at the site's clock, and nothing else hangs on it
    #[must_use]
    pub fn of(record: &Record, at: Utc) -> Self {
        let stand = stand::find(record);
        let readings = installed::find(record);
        let comparison = installed::compare(record, &stand, &readings);
        let day = at.date_in(&record.site.time_zone());
        let mut items = items::find(record, &stand, &readings, comparison.as_ref(), day);
        let stages = stages::find(record, &items);
        items::confirmed(record, &mut items, &stages);
        let progress = stages::progress(record, &stages);
        let snags = snags::find(record, &items);
        let built = built::find(record, &readings);
        Self {
            stand,
            readings,
            comparison,
            chain: chain::find(record),
            exposure: exposure::find(record),
            built,
            items,
            stages,
            progress,
            snags,
        }
    }

    /// The finding of an item.
    #[must_use]
    pub fn item(&self, id: &str) -> Option<&ItemFinding> {
        self.items.iter().find(|item| item.id == id)
    }

    /// The reading that counts, derived.
    #[must_use]
    pub fn installed(&self, record: &Record) -> Option<&ReadingFinding> {
        let (fact, _) = record.installed()?;
        self.readings.iter().find(|reading| reading.fact == fact.uuid)
    }
}

#[cfg(test)]
mod tests;
