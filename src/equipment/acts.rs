//! What people do with a chain: make the next revision of it.

use serde_json::json;

use crate::clock::Clock;
use crate::db::{StoreError, Writer};
use crate::equipment::budget::structure;
use crate::equipment::model::{Chain, ChainDraft, ChainPart, PartDraft};
use crate::equipment::store;
use crate::journal::{Act, ActError, Begun, Entry, Intent};
use crate::people::permit::{KeepSites, ReviseChain, SitePermit};
use crate::problem::Problem;
use crate::sites::store::assignment;

/// On what a revision rests.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RevisionBasis {
    /// An open job, by its row: whoever may record in it may say what was built in.
    Job(i64),
    /// The keeping of sites, without a job: engineers and managers alone.
    Keeper,
}

/// Makes the next revision of the chain that serves an assignment, and the chain itself when there is
/// none yet. Answers with the revision's name outside.
///
/// A part that the newest revision holds stays the same part when kind, designation and serial agree.
/// - `number`: the assignment's number at the permit's site
///
/// # Errors
/// [`ActError`]: [`StoreError::Stale`] when somebody else made a revision meanwhile;
/// [`ActError::Refused`] for parts that make no chain, for a job that is not an open one of this
/// assignment, and for a contractor without a job; [`ActError::Field`] of the whole form when nothing
/// would differ.
pub async fn revise(
    writer: &Writer,
    clock: &Clock,
    permit: &SitePermit<ReviseChain>,
    number: i64,
    basis: RevisionBasis,
    intent: Intent,
    draft: &ChainDraft,
) -> Result<String, ActError> {
    let mut act = match Act::begin(writer, clock, intent).await? {
        Begun::Again(answer) => return Ok(answer),
        Begun::New(act) => act,
    };
    let site_id = permit.site_id();
    let assignment = assignment(act.conn(), site_id, number).await?.ok_or(ActError::Unknown)?;
    let job_id = job_of(&mut act, permit, basis, assignment.assignment_id).await?;
    let problems = structure(draft.parts.iter().map(|part| &part.spec));
    if problems.iter().any(Problem::blocks) {
        return Err(ActError::Refused(problems));
    }
    let newest = store::newest(act.conn(), assignment.assignment_id).await?;
    let base = newest.as_ref().map_or(0, |chain| chain.revision);
    if base != draft.base {
        return Err(StoreError::Stale.into());
    }
    let before = newest.as_ref().map_or(&[][..], |chain| &chain.parts);
    let placed = place(&act, before, &draft.parts);
    if newest.is_some() && placed.iter().map(|(part, _)| part).eq(before) {
        return Err(ActError::Field {
            field: "",
            message: format!("Nothing differs from revision {base}, so no new one is needed."),
        });
    }
    let (chain_id, chain) = match &newest {
        Some(Chain { chain_id, uuid, .. }) => (*chain_id, *uuid),
        None => store::insert_chain(&mut act, site_id, assignment.assignment_id).await?,
    };
    let (revision_id, revision) =
        store::insert_revision(&mut act, chain_id, base + 1, job_id, &draft.note).await?;
    for (part, known) in &placed {
        let part_id = match known {
            true => store::part_id(act.conn(), part.uuid).await?.ok_or(ActError::Unknown)?,
            false => store::insert_part(&mut act, part).await?,
        };
        store::insert_chain_part(&mut act, revision_id, part_id, part).await?;
    }
    let parts: Vec<&ChainPart> = placed.iter().map(|(part, _)| part).collect();
    let what = json!({
        "chain": chain,
        "assignment": assignment.uuid,
        "revision": revision,
        "revision_number": (base + 1).to_string(),
        "note": draft.note,
        "parts": parts,
    });
    act.commit(Entry { site_id: Some(site_id), what, answer: revision.to_string() }).await
}

/// The job that a revision names, judged inside the act: a job may have been accepted meanwhile.
async fn job_of(
    act: &mut Act,
    permit: &SitePermit<ReviseChain>,
    basis: RevisionBasis,
    assignment_id: i64,
) -> Result<Option<i64>, ActError> {
    let refused = |problem| Err(ActError::Refused(vec![problem]));
    match basis {
        RevisionBasis::Keeper if permit.also::<KeepSites>() => Ok(None),
        RevisionBasis::Keeper => refused(needs_job()),
        RevisionBasis::Job(id) if store::is_open_job(act.conn(), id, assignment_id).await? => {
            Ok(Some(id))
        }
        RevisionBasis::Job(_) => refused(Problem::blocking(
            "CHAIN_JOB_NOT_OPEN",
            None,
            "the job is not an open one of this assignment; it may have been accepted meanwhile",
        )),
    }
}

/// What stands in the way of a contractor who has no open job.
#[must_use]
pub fn needs_job() -> Problem {
    Problem::blocking(
        "CHAIN_NEEDS_JOB",
        None,
        "a contractor revises a chain within an open job, and this assignment has none: open one first",
    )
}

/// The drafted parts at their places, each with whether it is a piece that the revision before held.
///
/// Of several pieces that look alike each is taken once, in order.
fn place(act: &Act, before: &[ChainPart], drafts: &[PartDraft]) -> Vec<(ChainPart, bool)> {
    let mut left: Vec<&ChainPart> = before.iter().collect();
    (1..)
        .zip(drafts)
        .map(|(position, draft)| {
            let found = left.iter().position(|part| draft.is_same_piece(part));
            let uuid = found.map(|index| left.remove(index).uuid);
            let part = ChainPart {
                position,
                uuid: uuid.unwrap_or_else(|| act.new_uuid()),
                designation: draft.designation.clone(),
                serial: draft.serial.clone(),
                spec: draft.spec.clone(),
            };
            (part, uuid.is_some())
        })
        .collect()
}
