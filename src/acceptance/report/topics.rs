//! Which chapter tells of which check: each is told once, with its evidence, in the chapter it is about.

use crate::jobs::findings::ItemFinding;
use crate::profiles::model::{Profile, Stage};

/// What a check is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Topic {
    Authorised,
    Instruments,
    Safety,
    Identities,
    Stand,
    Mast,
    Grounding,
    Pressure,
    Installed,
    Power,
    Exposure,
    HandOver,
}

/// Words of items' ids that tell the topic. A profile may name its items as it likes: what has none of
/// these words is told where its stage is.
const WORDS: [(Topic, &[&str]); 9] = [
    (Topic::Instruments, &["calibration", "calibrations", "meter", "instruments", "torque"]),
    (Topic::Pressure, &["pressure", "pressurised", "leak", "dehydrator", "purge"]),
    (
        Topic::Grounding,
        &["ground", "bonding", "bond", "arrester", "electrode", "lightning", "earthing"],
    ),
    (
        Topic::Power,
        &[
            "power",
            "fold",
            "frequency",
            "deviation",
            "harmonics",
            "spurious",
            "emissions",
            "rds",
            "audio",
        ],
    ),
    (Topic::Exposure, &["signs", "fence", "exposure", "exclusion", "lights", "lighting"]),
    (Topic::HandOver, &["manuals", "papers", "spares", "keys", "training", "handed"]),
    (Topic::Identities, &["serials", "serial", "plates", "plate", "identity", "ratings", "rating"]),
    (
        Topic::Authorised,
        &[
            "authorised",
            "licence",
            "particulars",
            "permission",
            "position",
            "height",
            "bays",
            "azimuth",
        ],
    ),
    (Topic::Stand, &["stand", "sheet"]),
];

/// What a check is about.
pub(super) fn topic(profile: &Profile, item: &ItemFinding) -> Topic {
    let work_at_height = item.id == "height-work";
    if work_at_height || profile.item(&item.id).is_some_and(|item| item.safety) {
        return Topic::Safety;
    }
    let words: Vec<&str> = item.id.split('-').collect();
    let told = WORDS.iter().find(|(_, known)| known.iter().any(|word| words.contains(word)));
    if let Some((topic, _)) = told {
        return *topic;
    }
    match item.stage {
        Stage::Authority => Topic::Authorised,
        Stage::Stand => Topic::Stand,
        Stage::Mast => Topic::Mast,
        Stage::ColdTests => Topic::Grounding,
        Stage::RfOn => Topic::Installed,
        Stage::HandOver => Topic::HandOver,
    }
}

impl Topic {
    /// The chapter's place in the table of chapters, from 1.
    pub(super) fn chapter(self) -> usize {
        match self {
            Self::Authorised => 1,
            Self::Instruments => 2,
            Self::Safety => 3,
            Self::Identities => 4,
            Self::Stand => 5,
            Self::Mast => 6,
            Self::Grounding => 7,
            Self::Pressure => 8,
            Self::Installed => 9,
            Self::Power => 10,
            Self::Exposure => 11,
            Self::HandOver => 14,
        }
    }
}
