//! The SQL of profiles.

use sqlx::SqliteConnection;

use crate::db::StoreError;
use crate::journal::Act;
use crate::profiles::model::Profile;

fn read(content: &str) -> Result<Profile, StoreError> {
    Profile::parse(content).map_err(|why| StoreError::Unreadable { what: "profile", why })
}

/// The profile of a row.
///
/// # Errors
/// [`StoreError`].
pub async fn find(conn: &mut SqliteConnection, id: i64) -> Result<Option<Profile>, StoreError> {
    let content = sqlx::query_scalar!("SELECT content FROM profile WHERE id = $1", id)
        .fetch_optional(conn)
        .await?;
    content.map(|content| read(&content)).transpose()
}

/// The newest edition of each profile, with its row.
///
/// # Errors
/// [`StoreError`].
pub async fn newest(conn: &mut SqliteConnection) -> Result<Vec<(i64, Profile)>, StoreError> {
    let rows = sqlx::query!(
        "SELECT id, content FROM profile p
         WHERE edition = (SELECT max(edition) FROM profile q WHERE q.code = p.code) ORDER BY code"
    )
    .fetch_all(conn)
    .await?;
    rows.into_iter().map(|row| Ok((row.id, read(&row.content)?))).collect()
}

/// The digest kept for this edition, if it is there.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn digest(
    conn: &mut SqliteConnection,
    code: &str,
    edition: i64,
) -> Result<Option<Vec<u8>>, StoreError> {
    Ok(sqlx::query_scalar!(
        "SELECT digest FROM profile WHERE code = $1 AND edition = $2",
        code,
        edition
    )
    .fetch_optional(conn)
    .await?)
}

/// Publishes an edition.
///
/// # Errors
/// [`StoreError`].
pub async fn insert(
    act: &mut Act,
    profile: &Profile,
    content: &str,
    digest: &[u8],
) -> Result<(), StoreError> {
    let (uuid, id) = (act.new_uuid(), act.id());
    sqlx::query!(
        "INSERT INTO profile (uuid, act, code, edition, title, content, digest)
         VALUES ($1, $2, $3, $4, $5, $6, $7)",
        uuid,
        id,
        profile.code,
        profile.edition,
        profile.title,
        content,
        digest
    )
    .execute(act.conn())
    .await?;
    Ok(())
}
