//! Frozen dossiers, and the one reading that gives a job's dossier, frozen or live.

use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::clock::Utc;
use crate::db::StoreError;
use crate::jobs::dossier::Dossier;
use crate::jobs::store::find_record;
use crate::journal::{Act, canonical, digest_of};

/// The server's own name.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn instance(conn: &mut SqliteConnection) -> Result<Uuid, StoreError> {
    Ok(sqlx::query_scalar!("SELECT uuid FROM instance").fetch_one(conn).await?)
}

/// A site's job by its number: of an accepted job the frozen dossier and nothing else, of a job in work
/// the live one.
///
/// - `at`: now, by which concessions expire
///
/// # Errors
/// [`StoreError`].
pub async fn dossier(
    conn: &mut SqliteConnection,
    site_id: i64,
    number: i64,
    at: Utc,
) -> Result<Option<Dossier>, StoreError> {
    let frozen = sqlx::query_scalar!(
        "SELECT dossier.content FROM dossier JOIN job ON job.id = dossier.job_id
         WHERE job.site_id = $1 AND job.number = $2 ORDER BY dossier.id DESC LIMIT 1",
        site_id,
        number
    )
    .fetch_optional(&mut *conn)
    .await?;
    if let Some(content) = frozen {
        let read = serde_json::from_str(&content);
        return read
            .map(Some)
            .map_err(|error| StoreError::Unreadable { what: "dossier", why: error.to_string() });
    }
    let instance = instance(&mut *conn).await?;
    let record = find_record(conn, site_id, number).await?;
    Ok(record.map(|record| Dossier::live(instance, record, at)))
}

/// Freezes a dossier as canonical JSON with its digest; gives the digest.
///
/// # Errors
/// [`StoreError`].
pub async fn insert_dossier(
    act: &mut Act,
    job_id: i64,
    dossier: &Dossier,
) -> Result<[u8; 32], StoreError> {
    let content = canonical(dossier)?;
    let digest = digest_of(&content);
    let (uuid, id, now) = (act.new_uuid(), act.id(), act.now());
    let stored = &digest[..];
    sqlx::query!(
        "INSERT INTO dossier (uuid, act, job_id, edition, content, digest, made_at)
         VALUES ($1, $2, $3, $4, $5, $6, $7)",
        uuid,
        id,
        job_id,
        dossier.edition,
        content,
        stored,
        now
    )
    .execute(act.conn())
    .await?;
    Ok(digest)
}
