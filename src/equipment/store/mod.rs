//! The SQL of parts, chains and their revisions.

mod others;

pub use others::sharing;

use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::clock::Utc;
use crate::db::StoreError;
use crate::equipment::model::{Chain, ChainPart, OpenJob, Revision, Spec};
use crate::journal::{Act, canonical};

struct RevisionRow {
    revision_id: i64,
    chain_id: i64,
    uuid: Uuid,
    revision_uuid: Uuid,
    revision: i64,
    note: String,
    entered_at: Utc,
}

impl RevisionRow {
    fn with(self, parts: Vec<ChainPart>) -> Chain {
        Chain {
            revision_id: self.revision_id,
            chain_id: self.chain_id,
            uuid: self.uuid,
            revision_uuid: self.revision_uuid,
            revision: self.revision,
            note: self.note,
            entered_at: self.entered_at,
            parts,
            others: Vec::new(),
        }
    }
}

macro_rules! select_revision {
    ($tail:literal $(, $arg:expr)*) => {
        sqlx::query_as!(
            RevisionRow,
            "SELECT chain_revision.id AS revision_id, chain.id AS chain_id, chain.uuid,
                    chain_revision.uuid AS revision_uuid, chain_revision.number AS revision,
                    chain_revision.note, chain_revision.entered_at
             FROM chain_revision JOIN chain ON chain.id = chain_revision.chain_id " + $tail
            $(, $arg)*
        )
    };
}

struct PartRow {
    revision_id: i64,
    position: i64,
    uuid: Uuid,
    designation: String,
    serial: String,
    spec: String,
}

impl PartRow {
    fn part(self) -> Result<ChainPart, StoreError> {
        let spec: Spec = serde_json::from_str(&self.spec).map_err(|error| {
            StoreError::Unreadable { what: "part of a chain", why: error.to_string() }
        })?;
        Ok(ChainPart {
            position: self.position,
            uuid: self.uuid,
            designation: self.designation,
            serial: self.serial,
            spec,
        })
    }
}

macro_rules! select_part {
    ($tail:literal $(, $arg:expr)*) => {
        sqlx::query_as!(
            PartRow,
            "SELECT chain_part.revision_id, chain_part.position, part.uuid, part.designation,
                    part.serial, chain_part.spec
             FROM chain_part JOIN part ON part.id = chain_part.part_id " + $tail
            $(, $arg)*
        )
    };
}

async fn with_parts(
    conn: &mut SqliteConnection,
    row: Option<RevisionRow>,
) -> Result<Option<Chain>, StoreError> {
    let Some(row) = row else {
        return Ok(None);
    };
    let parts =
        select_part!("WHERE chain_part.revision_id = $1 ORDER BY position", row.revision_id)
            .fetch_all(conn)
            .await?;
    let parts = parts.into_iter().map(PartRow::part).collect::<Result<_, _>>()?;
    Ok(Some(row.with(parts)))
}

/// The newest revision of the chain that serves an assignment, with the carriers that share its parts.
///
/// # Errors
/// [`StoreError`].
pub async fn newest(
    conn: &mut SqliteConnection,
    assignment_id: i64,
) -> Result<Option<Chain>, StoreError> {
    let Some(mut chain) = newest_alone(conn, assignment_id).await? else { return Ok(None) };
    chain.others = others::of(conn, &chain).await?;
    Ok(Some(chain))
}

/// The newest revision of the chain that serves an assignment, without asking who shares it.
async fn newest_alone(
    conn: &mut SqliteConnection,
    assignment_id: i64,
) -> Result<Option<Chain>, StoreError> {
    let row = select_revision!(
        "JOIN chain_assignment ON chain_assignment.chain_id = chain.id
         WHERE chain_assignment.assignment_id = $1
         ORDER BY chain.id DESC, chain_revision.number DESC LIMIT 1",
        assignment_id
    )
    .fetch_optional(&mut *conn)
    .await?;
    with_parts(conn, row).await
}

/// One revision by its row, as facts pin it.
///
/// # Errors
/// [`StoreError`].
pub async fn revision(
    conn: &mut SqliteConnection,
    revision_id: i64,
) -> Result<Option<Chain>, StoreError> {
    let row = select_revision!("WHERE chain_revision.id = $1", revision_id)
        .fetch_optional(&mut *conn)
        .await?;
    with_parts(conn, row).await
}

/// All revisions of a chain, newest first, each with who entered it and in which job.
///
/// # Errors
/// [`StoreError`].
pub async fn revisions(
    conn: &mut SqliteConnection,
    chain_id: i64,
) -> Result<Vec<Revision>, StoreError> {
    let rows = select_revision!(
        "WHERE chain_revision.chain_id = $1 ORDER BY chain_revision.number DESC",
        chain_id
    )
    .fetch_all(&mut *conn)
    .await?;
    let makers = sqlx::query!(
        r#"SELECT coalesce(person.name, journal.actor) AS "by!: String", job.number AS "job?: i64"
           FROM chain_revision
           JOIN journal ON journal.uuid = chain_revision.act
           LEFT JOIN person ON person.id = journal.person_id
           LEFT JOIN job ON job.id = chain_revision.job_id
           WHERE chain_revision.chain_id = $1 ORDER BY chain_revision.number DESC"#,
        chain_id
    )
    .fetch_all(&mut *conn)
    .await?;
    let parts = select_part!(
        "JOIN chain_revision ON chain_revision.id = chain_part.revision_id
         WHERE chain_revision.chain_id = $1 ORDER BY position",
        chain_id
    )
    .fetch_all(conn)
    .await?;
    let mut parts = parts
        .into_iter()
        .map(|row| Ok((row.revision_id, row.part()?)))
        .collect::<Result<Vec<_>, StoreError>>()?;
    Ok(rows
        .into_iter()
        .zip(makers)
        .map(|(row, maker)| {
            let own = |(id, _): &mut (i64, ChainPart)| *id == row.revision_id;
            let own_parts = parts.extract_if(.., own).map(|(_, part)| part).collect();
            Revision { chain: row.with(own_parts), by: maker.by, job: maker.job }
        })
        .collect())
}

/// The job for an assignment that is not yet accepted: the newest, where there are several.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn open_job(
    conn: &mut SqliteConnection,
    assignment_id: i64,
) -> Result<Option<OpenJob>, StoreError> {
    Ok(sqlx::query_as!(
        OpenJob,
        "SELECT id, number FROM job
         WHERE assignment_id = $1
           AND NOT EXISTS (SELECT 1 FROM fact WHERE fact.job_id = job.id AND fact.kind = 'acceptance')
         ORDER BY number DESC LIMIT 1",
        assignment_id
    )
    .fetch_optional(conn)
    .await?)
}

/// Whether this job is an open one of this assignment.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn is_open_job(
    conn: &mut SqliteConnection,
    job_id: i64,
    assignment_id: i64,
) -> Result<bool, StoreError> {
    let found = sqlx::query_scalar!(
        "SELECT count(*) FROM job
         WHERE id = $1 AND assignment_id = $2
           AND NOT EXISTS (SELECT 1 FROM fact WHERE fact.job_id = job.id AND fact.kind = 'acceptance')",
        job_id,
        assignment_id
    )
    .fetch_one(conn)
    .await?;
    Ok(found > 0)
}

/// Makes a chain for an assignment: its row and its name outside.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn insert_chain(
    act: &mut Act,
    site_id: i64,
    assignment_id: i64,
) -> Result<(i64, Uuid), StoreError> {
    let (uuid, by) = (act.new_uuid(), act.id());
    let made = sqlx::query!(
        "INSERT INTO chain (uuid, act, site_id) VALUES ($1, $2, $3)",
        uuid,
        by,
        site_id
    )
    .execute(act.conn())
    .await?;
    let chain_id = made.last_insert_rowid();
    sqlx::query!(
        "INSERT INTO chain_assignment (chain_id, assignment_id, act) VALUES ($1, $2, $3)",
        chain_id,
        assignment_id,
        by
    )
    .execute(act.conn())
    .await?;
    Ok((chain_id, uuid))
}

/// Writes the head of a revision: its row and its name outside.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn insert_revision(
    act: &mut Act,
    chain_id: i64,
    number: i64,
    job_id: Option<i64>,
    note: &str,
) -> Result<(i64, Uuid), StoreError> {
    let (uuid, by, now) = (act.new_uuid(), act.id(), act.now());
    let made = sqlx::query!(
        "INSERT INTO chain_revision (uuid, act, chain_id, number, job_id, note, entered_at)
         VALUES ($1, $2, $3, $4, $5, $6, $7)",
        uuid,
        by,
        chain_id,
        number,
        job_id,
        note,
        now
    )
    .execute(act.conn())
    .await?;
    Ok((made.last_insert_rowid(), uuid))
}

/// The row of a part that an earlier revision holds.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn part_id(conn: &mut SqliteConnection, uuid: Uuid) -> Result<Option<i64>, StoreError> {
    Ok(sqlx::query_scalar!("SELECT id FROM part WHERE uuid = $1", uuid)
        .fetch_optional(conn)
        .await?)
}

/// Writes a part that was in no revision before.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn insert_part(act: &mut Act, part: &ChainPart) -> Result<i64, StoreError> {
    let (by, kind) = (act.id(), part.spec.kind());
    let made = sqlx::query!(
        "INSERT INTO part (uuid, act, kind, designation, serial) VALUES ($1, $2, $3, $4, $5)",
        part.uuid,
        by,
        kind,
        part.designation,
        part.serial
    )
    .execute(act.conn())
    .await?;
    Ok(made.last_insert_rowid())
}

/// Puts a part at its place in a revision.
///
/// # Errors
/// [`StoreError`].
pub async fn insert_chain_part(
    act: &mut Act,
    revision_id: i64,
    part_id: i64,
    part: &ChainPart,
) -> Result<(), StoreError> {
    let spec = canonical(&part.spec)?;
    sqlx::query!(
        "INSERT INTO chain_part (revision_id, position, part_id, spec) VALUES ($1, $2, $3, $4)",
        revision_id,
        part.position,
        part_id,
        spec
    )
    .execute(act.conn())
    .await?;
    Ok(())
}
