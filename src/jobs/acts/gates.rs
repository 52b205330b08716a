//! Gates: releases, the job's independence, declaration, and the decision on it.

use serde_json::json;
use uuid::Uuid;

use crate::jobs::acts::{OnJob, Opened, unless_blocked};
use crate::jobs::findings::declaration_basis;
use crate::jobs::model::{Declaration, JobClass, Manner, Release};
use crate::jobs::problems::{self, Who};
use crate::jobs::store;
use crate::journal::{ActError, Intent};
use crate::measurements::store::Recording;
use crate::profiles::model::Stage;

/// Releases a stage's gate, on what stands beneath it now.
///
/// - `seen`: the basis of the list that was shown and is signed
///
/// # Errors
/// [`ActError`].
pub async fn release(
    on: OnJob<'_>,
    intent: Intent,
    stage: Stage,
    read_back: &str,
    seen: Option<&str>,
) -> Result<String, ActError> {
    let mut opened = begin!(on, intent);
    let who = on.who();
    unless_blocked(problems::release(&opened.record, &opened.findings, stage, who))?;
    let manner = problems::manner(&opened.record, &opened.findings, stage, who);
    if manner == Manner::Remote && read_back.is_empty() {
        return Err(ActError::Field {
            field: "read_back",
            message: "a remote release needs what was read back: by whom and how".to_owned(),
        });
    }
    let found = opened.findings.stages.iter().find(|finding| finding.stage == stage);
    let basis = found.map(|finding| finding.basis.clone()).ok_or(ActError::Unknown)?;
    unless_blocked(problems::signed_unseen(&basis, seen))?;
    let release = Release { stage, basis, manner, read_back: read_back.to_owned() };
    let at = opened.now();
    let uuid = store::insert_release(&mut opened.act, &Recording::judged(), &at, &release).await?;
    opened.commit(uuid, &release, None).await
}

/// Sets how independent the job's releases are.
///
/// # Errors
/// [`ActError`].
pub async fn set_independence(
    on: OnJob<'_>,
    intent: Intent,
    class: JobClass,
) -> Result<String, ActError> {
    let mut opened = begin!(on, intent);
    unless_blocked(problems::record_fact(&opened.findings))?;
    let at = opened.now();
    let uuid =
        store::insert_independence(&mut opened.act, &Recording::judged(), &at, class).await?;
    opened.commit(uuid, &json!({"class": class}), None).await
}

/// Declares the job complete.
///
/// - `seen`: the basis of the list that was shown and is signed
///
/// # Errors
/// [`ActError`].
pub async fn declare(
    on: OnJob<'_>,
    intent: Intent,
    statement: &str,
    seen: Option<&str>,
) -> Result<String, ActError> {
    let mut opened = begin!(on, intent);
    unless_blocked(problems::declare(&opened.record, &opened.findings, on.who()))?;
    let basis = declaration_basis(&opened.record, &opened.findings.stages);
    unless_blocked(problems::signed_unseen(&basis, seen))?;
    let declaration = Declaration { basis, statement: statement.to_owned() };
    let at = opened.now();
    let judged = Recording::judged();
    let uuid = store::insert_declaration(&mut opened.act, &judged, &at, &declaration).await?;
    opened.commit(uuid, &declaration, None).await
}

/// Writes the decision on a declared job; `acceptance` commits it, with the dossier when it is accepted.
///
/// # Errors
/// [`ActError`].
pub async fn decide(
    opened: &mut Opened,
    who: Who,
    accepted: bool,
    remarks: &str,
) -> Result<Uuid, ActError> {
    let judge = if accepted { problems::accept } else { problems::decide };
    unless_blocked(judge(&opened.record, &opened.findings, who))?;
    let at = opened.now();
    let judged = Recording::judged();
    Ok(store::insert_decision(&mut opened.act, &judged, &at, accepted, remarks).await?)
}
