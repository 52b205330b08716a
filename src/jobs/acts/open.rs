//! Opening a job.

use serde_json::json;

use crate::clock::Clock;
use crate::db::{StoreError, Writer};
use crate::jobs::model::{JobClass, JobKind};
use crate::jobs::store;
use crate::journal::{Act, ActError, Begun, Entry, Intent};
use crate::measurements::model::Circumstances;
use crate::measurements::store::Recording;
use crate::people::model::Role;
use crate::people::permit::{OpenJob, SitePermit};
use crate::profiles;
use crate::sites;

/// What a form says of a new job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobDraft {
    /// The number of the site's assignment.
    pub assignment: i64,
    /// What it is for.
    pub kind: JobKind,
    /// How independent its releases are; other than independent is set by a manager alone.
    pub class: JobClass,
}

/// Opens a job at the permit's site; gives its number.
///
/// # Errors
/// [`ActError`].
pub async fn open_job(
    writer: &Writer,
    clock: &Clock,
    permit: &SitePermit<OpenJob>,
    intent: Intent,
    draft: &JobDraft,
) -> Result<String, ActError> {
    let mut act = match Act::begin(writer, clock, intent).await? {
        Begun::Again(answer) => return Ok(answer),
        Begun::New(act) => act,
    };
    if draft.class != JobClass::Independent && permit.person().role != Role::Manager {
        return Err(ActError::Field {
            field: "class",
            message: "only a manager opens a job that is not released independently".to_owned(),
        });
    }
    let site_id = permit.site_id();
    let site = sites::store::find(act.conn(), site_id).await?.ok_or(ActError::Unknown)?;
    let assignment = sites::store::assignment(act.conn(), site_id, draft.assignment).await?;
    let assignment = assignment.ok_or_else(|| ActError::Field {
        field: "assignment",
        message: "the site has no such assignment".to_owned(),
    })?;
    if store::open_job(act.conn(), assignment.assignment_id).await?.is_some() {
        return Err(ActError::Field {
            field: "assignment",
            message: "this assignment already has an open job; finish it first".to_owned(),
        });
    }
    let profiles = profiles::store::newest(act.conn()).await?;
    let (profile_id, profile) = profiles.into_iter().next().ok_or_else(|| {
        StoreError::Unreadable { what: "profile", why: "none is published".to_owned() }
    })?;
    let (job_id, number, uuid) =
        store::insert(&mut act, site_id, assignment.assignment_id, profile_id, draft.kind).await?;
    let at = Circumstances {
        site_id,
        job_id: Some(job_id),
        measured: site.time_zone().measured(act.now()),
        device_at: None,
        assignment_revision_id: Some(assignment.revision_id),
        chain_revision_id: None,
        calibration_id: None,
        profile_id: Some(profile_id),
        corrects: None,
    };
    store::insert_independence(&mut act, &Recording::judged(), &at, draft.class).await?;
    let what = json!({
        "site": site.code,
        "job": number.to_string(),
        "uuid": uuid,
        "assignment": assignment.uuid,
        "kind": draft.kind,
        "class": draft.class,
        "profile": format!("{} {}", profile.code, profile.edition),
    });
    act.commit(Entry { site_id: Some(site_id), what, answer: number.to_string() }).await
}
