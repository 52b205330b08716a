//! What people do on a job. Each act judges inside its write transaction, on the record as it stands
//! then, with the same judge that the page showed.

/// Begins an act on a job; one that was done before is answered from here as it was then.
macro_rules! begin {
    ($on:expr, $intent:expr) => {
        match $on.begin($intent).await? {
            crate::jobs::acts::Opening::Again(answer) => return Ok(answer),
            crate::jobs::acts::Opening::New(opened) => opened,
        }
    };
}
pub(crate) use begin;

mod evidence;
mod facts;
mod gates;
mod open;

pub use evidence::{close_snag, correct_photo, record_photos, record_snag};
pub use facts::{
    answer, choose, explain, record_as_built, record_reading, record_stand_setup, record_survey,
    record_trial, withdraw,
};
pub use gates::{decide, declare, release, set_independence};
pub use open::{JobDraft, open_job};

use serde::Serialize;
use serde_json::json;
use uuid::Uuid;

use crate::clock::{Clock, Measured, Utc};
use crate::db::{StoreError, Writer};
use crate::jobs::findings::Findings;
use crate::jobs::model::{Fact, Record};
use crate::jobs::problems::{self, Who};
use crate::jobs::store;
use crate::journal::{Act, ActError, Begun, Entry, Intent};
use crate::measurements::model::Circumstances;
use crate::people::model::Person;
use crate::people::permit::{Ability, SitePermit};
use crate::problem::Problem;

/// Which job is acted upon, with what all its acts need.
#[derive(Debug, Clone, Copy)]
pub struct OnJob<'a> {
    writer: &'a Writer,
    clock: &'a Clock,
    person: &'a Person,
    site_id: i64,
    number: i64,
}

impl<'a> OnJob<'a> {
    /// A site's job by its number: the site is the permit's.
    #[must_use]
    pub fn new<A: Ability>(
        writer: &'a Writer,
        clock: &'a Clock,
        permit: &'a SitePermit<A>,
        number: i64,
    ) -> Self {
        Self { writer, clock, person: permit.person(), site_id: permit.site_id(), number }
    }

    /// Who acts, for the judge.
    #[must_use]
    pub fn who(&self) -> Who {
        Who { uuid: self.person.uuid, role: self.person.role }
    }

    /// Begins the act and reads the record as it stands.
    ///
    /// # Errors
    /// [`ActError`]; unknown when the site has no such job.
    pub async fn begin(&self, intent: Intent) -> Result<Opening, ActError> {
        let mut act = match Act::begin(self.writer, self.clock, intent).await? {
            Begun::Again(answer) => return Ok(Opening::Again(answer)),
            Begun::New(act) => act,
        };
        let record = store::find_record(act.conn(), self.site_id, self.number).await?;
        let record = record.ok_or(ActError::Unknown)?;
        let findings = Findings::of(&record, act.now());
        Ok(Opening::New(Box::new(Opened { act, record, findings })))
    }
}

/// An act on a job that has begun.
#[derive(Debug)]
pub enum Opening {
    /// Go on.
    New(Box<Opened>),
    /// It was done before; here is what it was answered with.
    Again(String),
}

/// The act with the record and the findings that it is judged on.
#[derive(Debug)]
pub struct Opened {
    /// The act.
    pub act: Box<Act>,
    /// The record as it stands inside the transaction.
    pub record: Record,
    /// What follows from it.
    pub findings: Findings,
}

/// Which fact is corrected, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Correction {
    /// The fact.
    pub fact: Uuid,
    /// Why.
    pub reason: String,
}

/// When something was done, beside the act's own time.
#[derive(Debug, Clone, Copy)]
pub struct Moment {
    /// When it was measured or done.
    pub measured: Measured,
    /// What the device's clock showed.
    pub device_at: Option<Utc>,
}

/// Refuses if anything blocks.
pub(in crate::jobs) fn unless_blocked(problems: Vec<Problem>) -> Result<(), ActError> {
    if problems.iter().any(Problem::blocks) { Err(ActError::Refused(problems)) } else { Ok(()) }
}

impl Opened {
    /// The circumstances of a fact of this job that pins what holds now.
    fn circumstances(&self, moment: Moment) -> Circumstances {
        Circumstances {
            site_id: self.record.site.id,
            job_id: Some(self.record.job.id),
            measured: moment.measured,
            device_at: moment.device_at,
            assignment_revision_id: self.record.assignment().map(|one| one.revision_id),
            chain_revision_id: self.record.chain().map(|chain| chain.revision_id),
            calibration_id: None,
            profile_id: Some(self.record.job.profile_id),
            corrects: None,
        }
    }

    /// The circumstances of something done just now.
    fn now(&self) -> Circumstances {
        let measured = self.record.site.time_zone().measured(self.act.now());
        self.circumstances(Moment { measured, device_at: None })
    }

    /// The fact that a correction names, judged.
    fn corrected(&self, correction: &Correction) -> Result<&Fact, ActError> {
        let fact = self.record.fact(correction.fact).ok_or(ActError::Unknown)?;
        unless_blocked(problems::correct(&self.record, &self.findings, fact))?;
        Ok(fact)
    }

    /// Commits with an entry that says which fact of which job was written and what it says.
    async fn commit<T: Serialize>(
        self,
        fact: Uuid,
        what: &T,
        correction: Option<&Correction>,
    ) -> Result<String, ActError> {
        let said = serde_json::to_value(what)
            .map_err(|error| StoreError::Unreadable { what: "fact", why: error.to_string() })?;
        let mut entry = json!({
            "site": self.record.site.code,
            "job": self.record.job.number.to_string(),
            "fact": fact,
            "says": said,
        });
        if let Some(correction) = correction {
            entry["strikes"] = json!(correction.fact);
            entry["reason"] = json!(correction.reason);
        }
        let site_id = Some(self.record.site.id);
        self.act.commit(Entry { site_id, what: entry, answer: fact.to_string() }).await
    }
}
