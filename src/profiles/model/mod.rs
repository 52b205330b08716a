//! What a profile says: stages, items, limits. It knows no job.

mod item;
mod limits;
mod rules;
mod words;

pub use item::{Item, Limit, Plain, TypedValue};
pub use limits::{Acceptor, LimitOf, Limits};
pub use rules::{BuiltLimits, BuiltRule, ExposureLimits, ExposureRule};
pub use words::{Answering, Condition, Hold, JobKind, Stage, Unit};

use serde::{Deserialize, Serialize};

use crate::clock::Date;

/// A whole profile.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Profile {
    /// Its name among profiles.
    pub code: String,
    /// Its edition.
    pub edition: i64,
    /// Its title.
    pub title: String,
    /// The day from which it holds.
    pub effective: Date,
    /// The limits of derived items.
    pub limits: Limits,
    /// The items in the order of work.
    pub items: Vec<Item>,
}

impl Profile {
    /// Reads a profile's text and checks that it holds together.
    ///
    /// # Errors
    /// What is wrong, naming the item.
    pub fn parse(text: &str) -> Result<Self, String> {
        let profile: Self = toml::from_str(text).map_err(|error| error.to_string())?;
        let mut seen = std::collections::BTreeSet::new();
        for item in &profile.items {
            if let Some(before) = item.after.as_ref().filter(|before| !seen.contains(before)) {
                return Err(format!("item {}: {before} does not stand before it", item.id));
            }
            if !seen.insert(&item.id) {
                return Err(format!("item {} stands twice", item.id));
            }
            if item.hold.is_some() && item.answer.is_derived() {
                return Err(format!("item {}: what the record answers is not held", item.id));
            }
            if item.hold == Some(Hold::Locker) && item.after.is_none() {
                return Err(format!("item {}: a lock is set by an item before it", item.id));
            }
            if (item.answer == Answering::Value) != item.unit.is_some() {
                return Err(format!("item {}: a value has a unit, and nothing else has", item.id));
            }
            if item.safety && (item.concession || item.deferrable) {
                return Err(format!("item {}: safety is not conceded or deferred", item.id));
            }
        }
        Ok(profile)
    }

    /// The item with this id.
    #[must_use]
    pub fn item(&self, id: &str) -> Option<&Item> {
        self.items.iter().find(|item| item.id == id)
    }

    /// The items of a stage, in order.
    pub fn stage(&self, stage: Stage) -> impl Iterator<Item = &Item> {
        self.items.iter().filter(move |item| item.stage == stage)
    }
}

#[cfg(test)]
mod tests {
    use super::{Condition, Item, JobKind, Profile, Stage};

    #[test]
    fn the_built_in_profile_holds_together_and_fills_every_stage() {
        let profile = Profile::parse(crate::profiles::LOW_POWER).unwrap();
        for stage in Stage::ALL {
            assert!(profile.stage(*stage).count() >= 2, "{stage:?}");
        }
        let json = serde_json::to_string(&profile).unwrap();
        assert_eq!(serde_json::from_str::<Profile>(&json).unwrap(), profile);
    }

    #[test]
    fn what_comes_after_an_item_stands_after_it_and_a_lock_names_who_set_it() {
        let held = |line: &str| {
            let text = crate::profiles::LOW_POWER
                .replace("id = \"ground-kits\"\n", &format!("id = \"ground-kits\"\n{line}\n"));
            Profile::parse(&text)
        };
        assert!(held("after = \"centre-height\"").is_ok());
        assert!(held("after = \"bonding\"").unwrap_err().contains("does not stand before it"));
        assert!(held("hold = \"locker\"").unwrap_err().contains("a lock is set"));
        assert!(held("hold = \"another\"").is_ok());
        let derived = crate::profiles::LOW_POWER
            .replace("answer = \"power\"\n", "answer = \"power\"\nhold = \"another\"\n");
        assert!(Profile::parse(&derived).unwrap_err().contains("is not held"));
    }

    #[test]
    fn every_kind_of_job_has_the_stages_that_none_can_miss() {
        let profile = Profile::parse(crate::profiles::LOW_POWER_2).unwrap();
        let json = serde_json::to_string(&profile).unwrap();
        assert_eq!(serde_json::from_str::<Profile>(&json).unwrap(), profile);
        for &kind in JobKind::ALL {
            for stage in [Stage::Authority, Stage::ColdTests, Stage::RfOn, Stage::HandOver] {
                let always = |item: &&Item| {
                    item.is_for(kind)
                        && (item.when == Condition::Always || stage == Stage::ColdTests)
                };
                assert!(profile.stage(stage).filter(always).count() >= 1, "{kind:?} {stage:?}");
            }
        }
        let has = |kind, stage| profile.stage(stage).any(|item| item.is_for(kind));
        for kind in [JobKind::TransmitterReplaced, JobKind::PowerChange] {
            assert!(!has(kind, Stage::Stand) && !has(kind, Stage::Mast), "{kind:?}");
        }
        assert!(!has(JobKind::FeedLineReplaced, Stage::Stand));
        assert!(has(JobKind::FeedLineReplaced, Stage::Mast));
    }

    #[test]
    fn safety_cannot_be_conceded() {
        let text = crate::profiles::LOW_POWER.replace(
            "answer = \"tick\"\nsafety = true",
            "answer = \"tick\"\nsafety = true\nconcession = true",
        );
        assert!(Profile::parse(&text).unwrap_err().contains("not conceded"));
    }

    #[test]
    fn stages_follow_one_another() {
        assert_eq!(Stage::Authority.before(), None);
        assert_eq!(Stage::HandOver.before(), Some(Stage::RfOn));
    }
}
