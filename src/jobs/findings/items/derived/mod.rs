//! The items that the record answers by itself: nobody can tick them. One file for each group.

mod arrester;
mod installed;
mod site;
mod snags;
mod stand;

use crate::jobs::findings::items::{Found, Sources};
use crate::jobs::findings::known::Known;
use crate::jobs::model::Answer;
use crate::profiles::model::{Answering, Item, LimitOf};
use crate::rf::decision::{self, Decision, Evidence, Rule};
use crate::rf::quantity::Swr;

impl Sources<'_> {
    pub(super) fn derived(&self, item: &Item) -> Found {
        match item.answer {
            // Each is asked for with what it needs besides.
            Answering::Tick | Answering::Value | Answering::Snags => Found::open(""),
            Answering::StandSetup => self.stand_setup(),
            Answering::CalibrationStand => {
                let fact = self.chosen().map(|(fact, _)| fact);
                self.calibration(item, fact, "no setting chosen yet")
            }
            Answering::CalibrationInstalled => {
                let fact = self.record.installed().map(|(fact, _)| fact);
                self.calibration(item, fact, "no installed reading yet")
            }
            Answering::StandSwr => self.stand_swr(),
            Answering::ArresterVoltage => self.arrester_voltage(),
            Answering::RfSequence => self.rf_sequence(),
            Answering::InstalledSwr => self.installed_swr(),
            Answering::ChangeExplained => self.change_explained(),
            Answering::Power => self.power(),
            Answering::FoldBack => self.fold_back(),
            Answering::AsBuilt => self.as_built(),
            Answering::Exposure => self.exposure(),
        }
    }

    /// A reflection against an SWR limit by the decision rule.
    pub(super) fn limited(&self, known: &Known, limit: &LimitOf<Swr>, before: &str) -> Found {
        let most = decision::Limit::AtMost(limit.value());
        let rule = Rule::Simple { who: () };
        let evidence = format!("{before}{}, limit at most {}", known.shown(), limit.text());
        match decision::decide(&Evidence::from(&known.reflection()), &most, &rule) {
            Decision::Passed => Found::of(Answer::Passed, evidence),
            Decision::Failed => Found::of(Answer::Failed, evidence),
            Decision::NotShown { point_within, .. } => {
                Found { point_within, ..Found::of(Answer::NotShown, evidence) }
            }
        }
    }
}
