//! Snags: defects to be put right before acceptance, by a day, or at leisure.

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::clock::Date;
use crate::words::words;

words! {
    /// How much a snag weighs.
    #[derive(PartialOrd, Ord)]
    SnagClass {
        /// Safety, licence or RF: acceptance waits for it.
        A = "A" / "A, stops acceptance: safety, licence or RF",
        /// To be put right by an owner by a day.
        B = "B" / "B, by a day: an owner puts it right",
        /// Worth knowing.
        C = "C" / "C, noted",
    }
}

impl SnagClass {
    /// In a few words, beside its mark.
    #[must_use]
    pub fn short(self) -> &'static str {
        match self {
            Self::A => "A, stops acceptance",
            Self::B => "B, by a day",
            Self::C => "C, noted",
        }
    }

    /// The drawn mark of an open one beside the words.
    #[must_use]
    pub fn mark(self) -> &'static str {
        match self {
            Self::A => "cross",
            Self::B => "flag",
            Self::C => "ring",
        }
    }
}

/// A snag as somebody raised it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Snag {
    /// How much it weighs.
    pub class: SnagClass,
    /// What is wrong.
    pub text: String,
    /// Who puts it right; empty while nobody is named.
    pub owner: String,
    /// By which day.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub due_on: Option<Date>,
    /// The item it concerns.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub item: Option<String>,
    /// The part it concerns, by its name outside.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub part: Option<Uuid>,
}

/// A snag was put right.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SnagClosed {
    /// The snag's fact, as it stood then.
    pub snag: Uuid,
    /// What was done.
    pub done: String,
    /// Who did it, where it was not whoever entered it.
    pub done_by: String,
    /// What shows that it is right; empty where photos do.
    pub proof: String,
}
