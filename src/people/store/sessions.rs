//! The SQL of sessions. They are no part of the record: rows come with a sign-in and go with its end.

use sqlx::SqliteConnection;

use crate::clock::Utc;
use crate::db::{StoreError, Writer};
use crate::journal::Act;
use crate::people::model::{Person, Session, SessionRules};
use crate::people::store::{Row, select_person};

/// Ends all sessions of a person, on all devices.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn end_sessions(act: &mut Act, person_id: i64) -> Result<(), StoreError> {
    sqlx::query!("DELETE FROM session WHERE person_id = $1", person_id).execute(act.conn()).await?;
    Ok(())
}

/// Ends all sessions of a person but this one.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn end_other_sessions(
    act: &mut Act,
    person_id: i64,
    token_digest: &[u8],
) -> Result<(), StoreError> {
    sqlx::query!(
        "DELETE FROM session WHERE person_id = $1 AND token_digest <> $2",
        person_id,
        token_digest
    )
    .execute(act.conn())
    .await?;
    Ok(())
}

/// Writes a session.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn insert_session(
    act: &mut Act,
    token_digest: &[u8],
    person_id: i64,
    device: &str,
) -> Result<(), StoreError> {
    let now = act.now();
    sqlx::query!(
        "INSERT INTO session (token_digest, person_id, device, made_at, seen_at) VALUES ($1, $2, $3, $4, $4)",
        token_digest,
        person_id,
        device,
        now
    )
    .execute(act.conn())
    .await?;
    Ok(())
}

/// Removes the rows of sessions that have ended by themselves, whosever they were.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn clear_ended_sessions(act: &mut Act, rules: SessionRules) -> Result<(), StoreError> {
    let (made, seen) = (rules.made_after(act.now()), rules.seen_after(act.now()));
    sqlx::query!("DELETE FROM session WHERE made_at <= $1 OR seen_at <= $2", made, seen)
        .execute(act.conn())
        .await?;
    Ok(())
}

/// Ends one session.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn end_session(act: &mut Act, token_digest: &[u8]) -> Result<(), StoreError> {
    sqlx::query!("DELETE FROM session WHERE token_digest = $1", token_digest)
        .execute(act.conn())
        .await?;
    Ok(())
}

/// The person of a session that still lasts, and when it was last used.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn person_of_session(
    conn: &mut SqliteConnection,
    token_digest: &[u8],
    now: Utc,
    rules: SessionRules,
) -> Result<Option<(Person, Utc)>, StoreError> {
    let (made, seen) = (rules.made_after(now), rules.seen_after(now));
    let last = sqlx::query_scalar!(
        "SELECT seen_at FROM session WHERE token_digest = $1 AND made_at > $2 AND seen_at > $3",
        token_digest,
        made,
        seen
    )
    .fetch_optional(&mut *conn)
    .await?;
    let Some(last) = last else { return Ok(None) };
    let person = select_person!(
        "JOIN session ON session.person_id = person.id
         WHERE session.token_digest = $1 AND person.disabled = 0",
        token_digest
    )
    .fetch_optional(conn)
    .await?;
    Ok(person.map(|row| (row.into(), last)))
}

/// Notes that a session was used. The one write without a journal entry: it says nothing about the record,
/// and one entry for each page looked at would bury those that do.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn touch_session(
    writer: &Writer,
    token_digest: &[u8],
    now: Utc,
) -> Result<(), StoreError> {
    let mut connection = writer.begin().await?;
    sqlx::query!("UPDATE session SET seen_at = $1 WHERE token_digest = $2", now, token_digest)
        .execute(connection.conn())
        .await?;
    connection.commit().await
}

/// The sessions of a person that still last, the last used first.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn sessions(
    conn: &mut SqliteConnection,
    person_id: i64,
    now: Utc,
    rules: SessionRules,
) -> Result<Vec<Session>, StoreError> {
    let (made, seen) = (rules.made_after(now), rules.seen_after(now));
    Ok(sqlx::query_as!(
        Session,
        "SELECT token_digest, device, made_at, seen_at FROM session
         WHERE person_id = $1 AND made_at > $2 AND seen_at > $3 ORDER BY seen_at DESC, made_at DESC",
        person_id,
        made,
        seen
    )
    .fetch_all(conn)
    .await?)
}
