//! The SQL of jobs: opening, the facts that are a job's own, and the whole record in one reading.

mod dossier;
mod facts;
mod holds;
mod record;
mod snags;

pub use dossier::{dossier, insert_dossier, instance};
pub use facts::{
    insert_answer, insert_decision, insert_declaration, insert_independence, insert_release,
    insert_withdrawal,
};
pub use holds::{insert_hold_release, insert_same_day_check};
pub use record::{find_record, record_of};
pub use snags::{insert_snag, insert_snag_closed};

use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::clock::{Utc, Zone};
use crate::db::{StoreError, word_column};
use crate::jobs::model::{Job, JobKind};
use crate::journal::Act;

/// Writes a job at the end of its site's list; gives its row, number and name.
///
/// # Errors
/// [`StoreError`].
pub async fn insert(
    act: &mut Act,
    site_id: i64,
    assignment_id: i64,
    profile_id: i64,
    kind: JobKind,
) -> Result<(i64, i64, Uuid), StoreError> {
    let (uuid, id, now) = (act.new_uuid(), act.id(), act.now());
    let person = act.actor().person_id();
    let number = sqlx::query_scalar!(
        r#"SELECT coalesce(max(number), 0) + 1 AS "number!: i64" FROM job WHERE site_id = $1"#,
        site_id
    )
    .fetch_one(act.conn())
    .await?;
    let kind = kind.word();
    let made = sqlx::query!(
        "INSERT INTO job (uuid, act, site_id, number, assignment_id, profile_id, kind, opened_by, opened_at)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)",
        uuid,
        id,
        site_id,
        number,
        assignment_id,
        profile_id,
        kind,
        person,
        now
    )
    .execute(act.conn())
    .await?;
    Ok((made.last_insert_rowid(), number, uuid))
}

struct JobRow {
    id: i64,
    uuid: Uuid,
    assignment_id: i64,
    profile_id: i64,
    number: i64,
    kind: String,
    opened_by: Option<Uuid>,
    opened_at: Utc,
}

impl JobRow {
    fn job(self, zone: &Zone) -> Result<Job, StoreError> {
        Ok(Job {
            id: self.id,
            assignment_id: self.assignment_id,
            profile_id: self.profile_id,
            uuid: self.uuid,
            number: self.number,
            kind: word_column("job kind", JobKind::from_word, &self.kind)?,
            opened_by: self.opened_by,
            opened: zone.measured(self.opened_at),
        })
    }
}

macro_rules! select_job {
    ($tail:literal $(, $arg:expr)*) => {
        sqlx::query_as!(
            JobRow,
            r#"SELECT job.id, job.uuid, job.assignment_id, job.profile_id, job.number, job.kind,
                      person.uuid AS "opened_by?: Uuid", job.opened_at
               FROM job LEFT JOIN person ON person.id = job.opened_by "# + $tail
            $(, $arg)*
        )
    };
}

/// A site's job by its number.
///
/// # Errors
/// [`StoreError`].
pub async fn find(
    conn: &mut SqliteConnection,
    site_id: i64,
    zone: &Zone,
    number: i64,
) -> Result<Option<Job>, StoreError> {
    select_job!("WHERE job.site_id = $1 AND job.number = $2", site_id, number)
        .fetch_optional(conn)
        .await?
        .map(|row| row.job(zone))
        .transpose()
}

/// A site's jobs, the newest first.
///
/// # Errors
/// [`StoreError`].
pub async fn list(
    conn: &mut SqliteConnection,
    site_id: i64,
    zone: &Zone,
) -> Result<Vec<Job>, StoreError> {
    let rows = select_job!("WHERE job.site_id = $1 ORDER BY job.number DESC", site_id)
        .fetch_all(conn)
        .await?;
    rows.into_iter().map(|row| row.job(zone)).collect()
}

/// The row of an open (not accepted) job of an assignment, if there is one: within it a contractor may
/// revise the chain.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn open_job(
    conn: &mut SqliteConnection,
    assignment_id: i64,
) -> Result<Option<i64>, StoreError> {
    Ok(sqlx::query_scalar!(
        "SELECT job.id FROM job
         WHERE job.assignment_id = $1
           AND NOT EXISTS (SELECT 1 FROM fact WHERE fact.job_id = job.id AND fact.kind = 'acceptance')
         ORDER BY job.number DESC LIMIT 1",
        assignment_id
    )
    .fetch_optional(conn)
    .await?)
}
