//! What people do with sites and assignments: add, change, revise.

use serde_json::{Value, json};

use crate::clock::Clock;
use crate::db::{StoreError, Writer};
use crate::journal::{Act, ActError, Begun, Entry, Intent};
use crate::people::permit::{KeepSites, Permit, SitePermit};
use crate::sites::model::{Particulars, SiteDraft};
use crate::sites::store;

fn code_taken(error: StoreError) -> ActError {
    match error {
        StoreError::Taken(columns) if columns.contains("site.code") => ActError::Field {
            field: "code",
            message: "another site already has this code (capitals do not count); choose another"
                .to_owned(),
        },
        other => ActError::Store(other),
    }
}

/// The answer that this act was given when it was done before; `None` when it is new.
///
/// For a repeated request whose address no longer exists, because the first one changed it.
///
/// # Errors
/// [`ActError::OtherContent`], [`ActError::Unknown`], [`ActError::Store`].
pub async fn answered(
    writer: &Writer,
    clock: &Clock,
    _: &Permit<KeepSites>,
    intent: Intent,
) -> Result<Option<String>, ActError> {
    match Act::begin(writer, clock, intent).await? {
        Begun::Again(answer) => Ok(Some(answer)),
        // Dropped without a commit: nothing happened.
        Begun::New(_) => Ok(None),
    }
}

/// Adds a site; answers with its code.
///
/// # Errors
/// [`ActError`]; [`ActError::Field`] for a code that is taken.
pub async fn add(
    writer: &Writer,
    clock: &Clock,
    _: &Permit<KeepSites>,
    intent: Intent,
    draft: &SiteDraft,
) -> Result<String, ActError> {
    let mut act = match Act::begin(writer, clock, intent).await? {
        Begun::Again(answer) => return Ok(answer),
        Begun::New(act) => act,
    };
    let (site_id, uuid) = store::insert(&mut act, draft).await.map_err(code_taken)?;
    let what = json!({"site": uuid, "says": draft});
    act.commit(Entry { site_id: Some(site_id), what, answer: draft.code.clone() }).await
}

/// Changes a site; answers with its code, which may be a new one.
///
/// # Errors
/// [`ActError`]; [`StoreError::Stale`] when somebody else changed it meanwhile.
pub async fn change(
    writer: &Writer,
    clock: &Clock,
    permit: &SitePermit<KeepSites>,
    intent: Intent,
    version: i64,
    draft: &SiteDraft,
) -> Result<String, ActError> {
    let mut act = match Act::begin(writer, clock, intent).await? {
        Begun::Again(answer) => return Ok(answer),
        Begun::New(act) => act,
    };
    let site_id = permit.site_id();
    let before = store::find(act.conn(), site_id).await?.ok_or(ActError::Unknown)?;
    store::update(&mut act, site_id, version, draft).await.map_err(code_taken)?;
    let what = json!({"site": before.uuid, "code_before": before.code, "says": draft});
    act.commit(Entry { site_id: Some(site_id), what, answer: draft.code.clone() }).await
}

fn assignment_entry(site_id: i64, number: i64, names: &Value, particulars: &Particulars) -> Entry {
    let mut what = names.clone();
    what["number"] = json!(number.to_string());
    what["says"] = json!(particulars);
    Entry { site_id: Some(site_id), what, answer: number.to_string() }
}

/// Adds an assignment with its first revision; answers with its number at the site.
///
/// # Errors
/// [`ActError`].
pub async fn add_assignment(
    writer: &Writer,
    clock: &Clock,
    permit: &SitePermit<KeepSites>,
    intent: Intent,
    particulars: &Particulars,
) -> Result<String, ActError> {
    let mut act = match Act::begin(writer, clock, intent).await? {
        Begun::Again(answer) => return Ok(answer),
        Begun::New(act) => act,
    };
    let site_id = permit.site_id();
    let (uuid, revision, number) = store::insert_assignment(&mut act, site_id, particulars).await?;
    let names = json!({"assignment": uuid, "revision": revision, "revision_number": "1"});
    act.commit(assignment_entry(site_id, number, &names, particulars)).await
}

/// Makes the next revision of an assignment, `from` the one that the form showed; the old ones stay.
/// Answers with the assignment's number at the site.
///
/// # Errors
/// [`ActError`]; [`StoreError::Stale`] when somebody else made a revision meanwhile,
/// [`ActError::Field`] of the whole form when nothing would differ.
pub async fn revise_assignment(
    writer: &Writer,
    clock: &Clock,
    permit: &SitePermit<KeepSites>,
    intent: Intent,
    (number, from): (i64, i64),
    particulars: &Particulars,
) -> Result<String, ActError> {
    let mut act = match Act::begin(writer, clock, intent).await? {
        Begun::Again(answer) => return Ok(answer),
        Begun::New(act) => act,
    };
    let site_id = permit.site_id();
    let newest = store::assignment(act.conn(), site_id, number).await?.ok_or(ActError::Unknown)?;
    if newest.revision != from {
        return Err(StoreError::Stale.into());
    }
    if newest.particulars == *particulars {
        return Err(ActError::Field {
            field: "",
            message: format!("Nothing differs from revision {from}, so no new one is needed."),
        });
    }
    let revision = from + 1;
    let uuid =
        store::insert_revision(&mut act, newest.assignment_id, revision, particulars).await?;
    let names = json!({"assignment": newest.uuid, "revision": uuid, "revision_number": revision.to_string()});
    act.commit(assignment_entry(site_id, number, &names, particulars)).await
}
