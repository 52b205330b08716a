//! The rows of snags and their closings.

use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::clock::Date;
use crate::db::{StoreError, word_column};
use crate::jobs::model::{Body, Snag, SnagClass, SnagClosed};
use crate::journal::Act;
use crate::measurements::model::Circumstances;
use crate::measurements::store::{Recording, insert_fact};

/// Writes a snag.
///
/// # Errors
/// [`StoreError`]; unreadable when the part that it names is not on the record.
pub async fn insert_snag(
    act: &mut Act,
    recording: &Recording,
    at: &Circumstances,
    snag: &Snag,
) -> Result<Uuid, StoreError> {
    let part = match snag.part {
        Some(uuid) => sqlx::query_scalar!("SELECT id FROM part WHERE uuid = $1", uuid)
            .fetch_optional(act.conn())
            .await?
            .map(Some)
            .ok_or_else(|| StoreError::Unreadable {
                what: "part",
                why: "the row that the snag names is missing".to_owned(),
            })?,
        None => None,
    };
    let (fact, uuid) = insert_fact(act, recording, "snag", at).await?;
    let (class, due) = (snag.class.word(), snag.due_on.map(|due| due.to_string()));
    sqlx::query!(
        "INSERT INTO snag (fact_id, class, text, owner, due_on, item, part_id)
         VALUES ($1, $2, $3, $4, $5, $6, $7)",
        fact,
        class,
        snag.text,
        snag.owner,
        due,
        snag.item,
        part
    )
    .execute(act.conn())
    .await?;
    Ok(uuid)
}

/// Writes that a snag was put right.
///
/// - `snag`: the row of the snag's fact
///
/// # Errors
/// [`StoreError`].
pub async fn insert_snag_closed(
    act: &mut Act,
    recording: &Recording,
    at: &Circumstances,
    snag: i64,
    closed: &SnagClosed,
) -> Result<Uuid, StoreError> {
    let (fact, uuid) = insert_fact(act, recording, "snag-closed", at).await?;
    sqlx::query!(
        "INSERT INTO snag_closed (fact_id, snag_fact_id, done, done_by, proof)
         VALUES ($1, $2, $3, $4, $5)",
        fact,
        snag,
        closed.done,
        closed.done_by,
        closed.proof
    )
    .execute(act.conn())
    .await?;
    Ok(uuid)
}

/// The snags of a job and their closings by fact row.
pub(super) async fn bodies(
    conn: &mut SqliteConnection,
    job_id: i64,
) -> Result<Vec<(i64, Body)>, StoreError> {
    let mut bodies = Vec::new();
    let snags = sqlx::query!(
        r#"SELECT snag.fact_id, snag.class, snag.text, snag.owner, snag.due_on, snag.item,
                  part.uuid AS "part?: Uuid"
           FROM snag
           JOIN fact ON fact.id = snag.fact_id
           LEFT JOIN part ON part.id = snag.part_id
           WHERE fact.job_id = $1"#,
        job_id
    )
    .fetch_all(&mut *conn)
    .await?;
    for row in snags {
        let due_on = row.due_on.map(|due| Date::parse(&due)).transpose();
        let snag = Snag {
            class: word_column("snag class", SnagClass::from_word, &row.class)?,
            text: row.text,
            owner: row.owner,
            due_on: due_on.map_err(|why| StoreError::Unreadable { what: "date", why })?,
            item: row.item,
            part: row.part,
        };
        bodies.push((row.fact_id, Body::Snag(snag)));
    }
    let closings = sqlx::query!(
        r#"SELECT closed.fact_id, closed.done, closed.done_by, closed.proof, snag.uuid AS "snag: Uuid"
           FROM snag_closed AS closed
           JOIN fact ON fact.id = closed.fact_id
           JOIN fact AS snag ON snag.id = closed.snag_fact_id
           WHERE fact.job_id = $1"#,
        job_id
    )
    .fetch_all(conn)
    .await?;
    for row in closings {
        let closed =
            SnagClosed { snag: row.snag, done: row.done, done_by: row.done_by, proof: row.proof };
        bodies.push((row.fact_id, Body::SnagClosed(closed)));
    }
    Ok(bodies)
}
