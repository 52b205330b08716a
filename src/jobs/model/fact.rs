//! Facts: written once, with who, when and upon what.

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::clock::{Date, Measured, Utc};
use crate::jobs::model::{Answer, HoldRelease, JobClass, Manner, SameDayCheck, Snag, SnagClosed};
use crate::measurements::model::{
    AsBuilt, ChosenSetting, Explanation, ExposureSurvey, Reading, StandSetup, Trial,
};
use crate::photos::model::Photo;
use crate::profiles::model::Stage;

/// A person's answer to an item.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Answered {
    /// The item's id.
    pub item: String,
    /// The answer. For a value it is judged from the number and not typed.
    pub answer: Answer,
    /// The value as typed with its unit: `4.1 Ω`.
    pub value: Option<String>,
    /// The number in the item's unit, as decimal text.
    pub number: Option<Decimal>,
    /// The method used instead, where the item could not be measured.
    pub method: String,
    /// Evidence or reason.
    pub note: String,
    /// Under which condition a concession was granted.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub condition: String,
    /// Who puts a deferred item right.
    pub owner: String,
    /// By when, or until when a concession holds.
    pub due_on: Option<Date>,
}

/// A number that JSON carries as its shortest decimal text, so that no reader rounds it.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Decimal(pub f64);

impl Serialize for Decimal {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(&self.0)
    }
}

impl<'de> Deserialize<'de> for Decimal {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map(Self).map_err(serde::de::Error::custom)
    }
}

/// The release of a stage's gate.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Release {
    /// The stage that ends.
    pub stage: Stage,
    /// SHA-256, in hexadecimal, of what it rested on.
    pub basis: String,
    /// How it was released.
    pub manner: Manner,
    /// What was read back, for a remote release; else what the releaser noted.
    pub read_back: String,
}

/// The declaration of completion.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Declaration {
    /// SHA-256, in hexadecimal, of what it rested on.
    pub basis: String,
    /// What was declared.
    pub statement: String,
}

/// What kind of fact it is, and what it says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", content = "what", rename_all = "kebab-case")]
pub enum Body {
    /// How independent the job's releases are.
    Independence(JobClass),
    /// The stand.
    StandSetup(StandSetup),
    /// A trial on it.
    Trial(Trial),
    /// The setting that the antenna keeps.
    ChosenSetting(ChosenSetting),
    /// An installed reading.
    Reading(Reading),
    /// An answer to an item.
    Answer(Answered),
    /// Why a reading differs.
    Explanation(Explanation),
    /// A photo.
    Photo(Photo),
    /// A snag is raised.
    Snag(Snag),
    /// A snag is closed.
    SnagClosed(SnagClosed),
    /// What was built.
    AsBuilt(AsBuilt),
    /// A survey of exposure.
    ExposureSurvey(ExposureSurvey),
    /// A gate's release.
    Release(Release),
    /// The release of one item that stops the work.
    HoldRelease(HoldRelease),
    /// A meter checked on the day of its readings.
    SameDayCheck(SameDayCheck),
    /// The declaration.
    Declaration(Declaration),
    /// The declared job was returned, with remarks.
    Return(String),
    /// It was accepted, with remarks.
    Acceptance(String),
    /// A fact is struck without another in its place.
    Withdrawal,
}

impl Body {
    /// The words for the kind.
    #[must_use]
    pub fn shown(&self) -> &'static str {
        match self {
            Self::Independence(_) => "independence",
            Self::StandSetup(_) => "stand set-up",
            Self::Trial(_) => "trial",
            Self::ChosenSetting(_) => "chosen setting",
            Self::Reading(_) => "installed reading",
            Self::Answer(_) => "answer",
            Self::Explanation(_) => "explanation",
            Self::Photo(_) => "photo",
            Self::Snag(_) => "snag",
            Self::SnagClosed(_) => "closing of a snag",
            Self::AsBuilt(_) => "as built",
            Self::ExposureSurvey(_) => "exposure survey",
            Self::Release(_) => "release",
            Self::HoldRelease(_) => "release of a held check",
            Self::SameDayCheck(_) => "same-day check of a meter",
            Self::Declaration(_) => "declaration",
            Self::Return(_) => "return",
            Self::Acceptance(_) => "acceptance",
            Self::Withdrawal => "withdrawal",
        }
    }

    /// Whether a person may correct or withdraw it. Releases, declarations and decisions lapse or are
    /// followed by another; they are not rewritten.
    #[must_use]
    pub fn correctable(&self) -> bool {
        matches!(
            self,
            Self::StandSetup(_)
                | Self::Trial(_)
                | Self::Reading(_)
                | Self::Answer(_)
                | Self::Explanation(_)
                | Self::Photo(_)
                | Self::Snag(_)
                | Self::SnagClosed(_)
                | Self::AsBuilt(_)
                | Self::ExposureSurvey(_)
                | Self::SameDayCheck(_)
        )
    }
}

/// A fact: written once.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Fact {
    /// The row.
    #[serde(skip)]
    pub id: i64,
    /// The name outside.
    pub uuid: Uuid,
    /// The person; `None` for the program itself.
    pub by: Option<Uuid>,
    /// When it was measured or done.
    pub measured: Measured,
    /// What the device's clock showed.
    pub device_at: Option<Utc>,
    /// When it was entered.
    pub entered_at: Utc,
    /// The fact it corrects.
    pub supersedes: Option<Uuid>,
    /// Why.
    pub reason: Option<String>,
    /// The assignment's revision at the time.
    pub assignment_revision: Option<Uuid>,
    /// The chain's revision at the time.
    pub chain_revision: Option<Uuid>,
    /// The instrument's calibration at the time.
    pub calibration: Option<Uuid>,
    /// What it says.
    #[serde(flatten)]
    pub body: Body,
}
