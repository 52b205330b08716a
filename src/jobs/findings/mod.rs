//! Findings: everything that is derived from a job's record, by one pure function. Pages, buttons,
//! acts and reports read the findings; an accepted job's dossier keeps them beside the record.

mod chain;
mod installed;
mod items;
mod known;
mod stages;
mod stand;

pub use chain::{ChainFinding, ExposureFinding, LossFinding, PartFinding, PointFinding};
pub use installed::{ComparisonFinding, PredictionFinding, ReadingFinding};
pub use items::ItemFinding;
pub use known::{Known, swr_of, swr_text};
pub use stages::{Progress, StageFinding};
pub(in crate::jobs) use stages::{declaration_basis, settled};
pub use stand::{StandFinding, TrialFinding};

use serde::{Deserialize, Serialize};

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
    /// Each item's answer, in the profile's order.
    pub items: Vec<ItemFinding>,
    /// Each stage's gate, in order.
    pub stages: Vec<StageFinding>,
    /// How far the job is.
    pub progress: Progress,
}

impl Findings {
    /// Derives everything from the record. Pure: the same record gives the same findings.
    #[must_use]
    pub fn of(record: &Record) -> Self {
        let stand = stand::find(record);
        let readings = installed::find(record);
        let comparison = installed::compare(record, &stand, &readings);
        let items = items::find(record, &stand, &readings, comparison.as_ref());
        let stages = stages::find(record, &items);
        let progress = stages::progress(record, &stages);
        Self {
            stand,
            readings,
            comparison,
            chain: chain::find(record),
            exposure: chain::exposure(record),
            items,
            stages,
            progress,
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
