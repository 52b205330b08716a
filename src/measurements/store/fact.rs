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

struct RawFact {
    id: i64,
    uuid: Uuid,
    kind: String,
    by_person_id: Option<i64>,
    measured_at: Utc,
    measured_offset_min: i64,
    device_at: Option<Utc>,
    entered_at: Utc,
    assignment_revision_id: Option<i64>,
    chain_revision_id: Option<i64>,
    calibration_id: Option<i64>,
    supersedes: Option<i64>,
    reason: Option<String>,
}

impl From<RawFact> for FactRow {
    fn from(row: RawFact) -> Self {
        Self {
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
        }
    }
}

macro_rules! select_facts {
    ($tail:literal $(, $arg:expr)*) => {
        sqlx::query_as!(
            RawFact,
            "SELECT fact.id, fact.uuid, fact.kind, fact.by_person_id, fact.measured_at, fact.measured_offset_min,
                    fact.device_at, fact.entered_at, fact.assignment_revision_id, fact.chain_revision_id,
                    fact.calibration_id, fact.supersedes, fact.reason
             FROM fact " + $tail
            $(, $arg)*
        )
    };
}

/// The rows of a job's facts, in the order in which they were entered.
///
/// # Errors
/// [`StoreError`].
pub async fn facts_of_job(
    conn: &mut SqliteConnection,
    job_id: i64,
) -> Result<Vec<FactRow>, StoreError> {
    let rows =
        select_facts!("WHERE fact.job_id = $1 ORDER BY fact.id", job_id).fetch_all(conn).await?;
    Ok(rows.into_iter().map(FactRow::from).collect())
}

/// The rows of an assignment's facts that belong to no job, in the order in which they were entered.
///
/// # Errors
/// [`StoreError`].
pub async fn routine_facts(
    conn: &mut SqliteConnection,
    assignment_id: i64,
) -> Result<Vec<FactRow>, StoreError> {
    let rows = select_facts!(
        "JOIN assignment_revision pinned ON pinned.id = fact.assignment_revision_id
         WHERE fact.job_id IS NULL AND pinned.assignment_id = $1 ORDER BY fact.id",
        assignment_id
    )
    .fetch_all(conn)
    .await?;
    Ok(rows.into_iter().map(FactRow::from).collect())
}
