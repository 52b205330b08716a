//! The row that all kinds of facts share, and the proof that lets it be written.

use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::clock::{Measured, Utc};
use crate::db::StoreError;
use crate::journal::Act;
use crate::measurements::model::Circumstances;

/// Proof that a job's or the upkeep's acts have judged a fact: nothing else may make one
/// (`tests/architecture.rs` holds that), and without it no fact can be written.
#[derive(Debug)]
pub struct Recording(());

impl Recording {
    /// For `jobs::acts` and `maintenance::acts` alone.
    pub(crate) fn judged() -> Self {
        Self(())
    }
}

/// A fact's row as all kinds share it.
#[derive(Debug, Clone)]
pub struct FactRow {
    /// The row.
    pub id: i64,
    /// The name outside.
    pub uuid: Uuid,
    /// The kind's word.
    pub kind: String,
    /// The row of the person.
    pub by_person_id: Option<i64>,
    /// When it was measured.
    pub measured: Measured,
    /// What the device's clock showed.
    pub device_at: Option<Utc>,
    /// When it was entered.
    pub entered_at: Utc,
    /// The assignment's revision it pins.
    pub assignment_revision_id: Option<i64>,
    /// The chain's revision it pins.
    pub chain_revision_id: Option<i64>,
    /// The calibration it pins.
    pub calibration_id: Option<i64>,
    /// The row it corrects.
    pub supersedes: Option<i64>,
    /// Why.
    pub reason: Option<String>,
}

/// Writes the row that all kinds share; gives the row and the fact's name.
///
/// # Errors
/// [`StoreError`].
pub async fn insert_fact(
    act: &mut Act,
    _: &Recording,
    kind: &str,
    at: &Circumstances,
) -> Result<(i64, Uuid), StoreError> {
    let (uuid, id, now) = (act.new_uuid(), act.id(), act.now());
    let person = act.actor().person_id();
    let (supersedes, reason) = at.corrects.clone().unzip();
    let made = sqlx::query!(
        "INSERT INTO fact (uuid, act, kind, site_id, job_id, by_person_id, measured_at, measured_offset_min,
                           device_at, entered_at, assignment_revision_id, chain_revision_id, calibration_id,
                           profile_id, supersedes, reason)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16)",
        uuid,
        id,
        kind,
        at.site_id,
        at.job_id,
        person,
        at.measured.at,
        at.measured.offset_min,
        at.device_at,
        now,
        at.assignment_revision_id,
        at.chain_revision_id,
        at.calibration_id,
        at.profile_id,
        supersedes,
        reason
    )
    .execute(act.conn())
    .await?;
    Ok((made.last_insert_rowid(), uuid))
}

/// The rows of a job's facts, in the order in which they were entered.
///
/// # Errors
/// [`StoreError`].
pub async fn facts_of_job(
    conn: &mut SqliteConnection,
    job_id: i64,
) -> Result<Vec<FactRow>, StoreError> {
    let rows = sqlx::query!(
        "SELECT id, uuid, kind, by_person_id, measured_at, measured_offset_min, device_at, entered_at,
                assignment_revision_id, chain_revision_id, calibration_id, supersedes, reason
         FROM fact WHERE job_id = $1 ORDER BY id",
        job_id
    )
    .fetch_all(conn)
    .await?;
    Ok(rows
        .into_iter()
        .map(|row| FactRow {
            id: row.id,
            uuid: row.uuid,
            kind: row.kind,
            by_person_id: row.by_person_id,
            measured: Measured {
                at: row.measured_at,
                // The column's CHECK keeps it within a day.
                offset_min: i32::try_from(row.measured_offset_min).unwrap_or_default(),
            },
            device_at: row.device_at,
            entered_at: row.entered_at,
            assignment_revision_id: row.assignment_revision_id,
            chain_revision_id: row.chain_revision_id,
            calibration_id: row.calibration_id,
            supersedes: row.supersedes,
            reason: row.reason,
        })
        .collect())
}
