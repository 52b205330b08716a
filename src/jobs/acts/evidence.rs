//! Photos and snags: what shows how something was, and what is still to be put right.

use serde_json::json;
use uuid::Uuid;

use crate::jobs::acts::{Correction, Moment, OnJob, Opened, facts, unless_blocked};
use crate::jobs::model::{Body, Snag, SnagClosed};
use crate::jobs::problems;
use crate::jobs::store;
use crate::journal::{ActError, Intent};
use crate::measurements::model::Circumstances;
use crate::measurements::store::Recording;
use crate::photos;
use crate::photos::model::Photo;

/// A field names what is not on the record.
fn not_there(field: &'static str, message: &str) -> ActError {
    ActError::Field { field, message: message.to_owned() }
}

/// What a photo or a snag names is on the record of this job.
fn names_what_is_there(
    opened: &Opened,
    item: Option<&String>,
    part: Option<Uuid>,
) -> Result<(), ActError> {
    if item.is_some_and(|item| opened.record.profile.item(item).is_none()) {
        return Err(not_there("item", "the checklist has no such check"));
    }
    if part.is_some_and(|part| opened.record.part(part).is_none()) {
        return Err(not_there("part", "the chain has no such part"));
    }
    Ok(())
}

async fn insert_photos(
    opened: &mut Opened,
    at: &Circumstances,
    photos: &[Photo],
) -> Result<Vec<Uuid>, ActError> {
    let mut names = Vec::new();
    for photo in photos {
        let judged = Recording::judged();
        names.push(photos::store::insert_photo(&mut opened.act, &judged, at, photo).await?);
    }
    Ok(names)
}

/// What the journal keeps of photos that were recorded with something else, or together.
fn listed(photos: &[Photo], names: &[Uuid]) -> serde_json::Value {
    let listed = photos.iter().zip(names).map(|(photo, name)| json!({"fact": name, "says": photo}));
    listed.collect()
}

/// Records photos that were sent together. Their files are on the disk already. Answers with the name of the
/// first.
///
/// # Errors
/// [`ActError`]; unknown for none at all.
pub async fn record_photos(
    on: OnJob<'_>,
    intent: Intent,
    moment: Moment,
    photos: &[Photo],
) -> Result<String, ActError> {
    let mut opened = begin!(on, intent);
    unless_blocked(problems::record_fact(&opened.findings))?;
    for photo in photos {
        names_what_is_there(&opened, photo.item.as_ref(), photo.part)?;
        if photo.about.is_some_and(|fact| opened.record.fact(fact).is_none()) {
            return Err(ActError::Unknown);
        }
    }
    let at = opened.circumstances(moment);
    let names = insert_photos(&mut opened, &at, photos).await?;
    let first = *names.first().ok_or(ActError::Unknown)?;
    let what = json!({"photos": listed(photos, &names)});
    opened.commit(first, &what, None).await
}

/// Corrects what was said of a photo; its file stays. A wrong file is withdrawn, and another one added.
///
/// # Errors
/// [`ActError`].
pub async fn correct_photo(
    on: OnJob<'_>,
    intent: Intent,
    moment: Moment,
    photo: &Photo,
    correction: &Correction,
) -> Result<String, ActError> {
    let mut opened = begin!(on, intent);
    names_what_is_there(&opened, photo.item.as_ref(), photo.part)?;
    let same_file =
        |body: &Body| matches!(body, Body::Photo(old) if old.file.digest == photo.file.digest);
    let fact = opened.corrected(correction)?;
    if !same_file(&fact.body) {
        return Err(ActError::Unknown);
    }
    let corrects = Some((fact.id, correction.reason.clone()));
    let at = Circumstances { corrects, ..opened.circumstances(moment) };
    let judged = Recording::judged();
    let uuid = photos::store::insert_photo(&mut opened.act, &judged, &at, photo).await?;
    opened.commit(uuid, photo, Some(correction)).await
}

/// Raises a snag, with photos of it, or corrects one.
///
/// - `photos`: each is made to be about the snag
///
/// # Errors
/// [`ActError`].
pub async fn record_snag(
    on: OnJob<'_>,
    intent: Intent,
    moment: Moment,
    snag: &Snag,
    photos: &[Photo],
    correction: Option<&Correction>,
) -> Result<String, ActError> {
    let mut opened = begin!(on, intent);
    unless_blocked(problems::record_fact(&opened.findings))?;
    names_what_is_there(&opened, snag.item.as_ref(), snag.part)?;
    let corrects = facts::same_kind(&opened, correction, |body| matches!(body, Body::Snag(_)))?;
    let at = Circumstances { corrects, ..opened.circumstances(moment) };
    let judged = Recording::judged();
    let uuid = store::insert_snag(&mut opened.act, &judged, &at, snag).await?;
    let photos = about(photos, uuid);
    let at = opened.circumstances(moment);
    let names = insert_photos(&mut opened, &at, &photos).await?;
    let what = json!({"snag": snag, "photos": listed(&photos, &names)});
    opened.commit(uuid, &what, correction).await
}

/// Whether photos of the snag came with its closing, or after it: those from before show the defect.
fn is_shown(opened: &Opened, snag: Uuid, closing: Uuid) -> bool {
    let place = |uuid: Uuid| opened.record.facts.iter().position(|fact| fact.uuid == uuid);
    let mut found = opened.findings.snags.iter().filter(|one| one.fact == snag);
    found.any(|one| one.photos.iter().any(|photo| place(*photo) > place(closing)))
}

fn about(photos: &[Photo], fact: Uuid) -> Vec<Photo> {
    photos.iter().map(|photo| Photo { about: Some(fact), ..photo.clone() }).collect()
}

/// Closes a snag, with photos that prove it, or corrects its closing.
///
/// # Errors
/// [`ActError`]; a field's message where nothing proves it.
pub async fn close_snag(
    on: OnJob<'_>,
    intent: Intent,
    moment: Moment,
    closed: &SnagClosed,
    photos: &[Photo],
    correction: Option<&Correction>,
) -> Result<String, ActError> {
    let mut opened = begin!(on, intent);
    let snag = opened.record.standing().get(&closed.snag).copied().ok_or(ActError::Unknown)?;
    let fact = opened.record.fact(snag).ok_or(ActError::Unknown)?;
    if !matches!(fact.body, Body::Snag(_)) {
        return Err(ActError::Unknown);
    }
    let row = fact.id;
    let corrected = correction.map(|correction| correction.fact);
    unless_blocked(problems::close_snag(&opened.findings, snag, corrected))?;
    let shown = corrected.is_some_and(|closing| is_shown(&opened, snag, closing));
    if closed.proof.is_empty() && photos.is_empty() && !shown {
        let message = "say what shows that it is right, or add a photo of it";
        return Err(not_there("proof", message));
    }
    let corrects =
        facts::same_kind(&opened, correction, |body| matches!(body, Body::SnagClosed(_)))?;
    let at = Circumstances { corrects, ..opened.circumstances(moment) };
    let judged = Recording::judged();
    let uuid = store::insert_snag_closed(&mut opened.act, &judged, &at, row, closed).await?;
    let photos = about(photos, snag);
    let at = opened.circumstances(moment);
    let names = insert_photos(&mut opened, &at, &photos).await?;
    let what = json!({"closed": closed, "photos": listed(&photos, &names)});
    opened.commit(uuid, &what, correction).await
}
