//! The SQL of acceptance: what a frozen dossier is known by.

use sqlx::SqliteConnection;

use crate::db::StoreError;

/// SHA-256 of the frozen dossier's canonical JSON; `None` of a job in work.
///
/// # Errors
/// [`StoreError`].
pub async fn digest(
    conn: &mut SqliteConnection,
    site_id: i64,
    number: i64,
) -> Result<Option<[u8; 32]>, StoreError> {
    let kept = sqlx::query_scalar!(
        "SELECT dossier.digest FROM dossier JOIN job ON job.id = dossier.job_id
         WHERE job.site_id = $1 AND job.number = $2 ORDER BY dossier.id DESC LIMIT 1",
        site_id,
        number
    )
    .fetch_optional(conn)
    .await?;
    kept.map(|digest| {
        let length = digest.len();
        digest.try_into().map_err(|_| StoreError::Unreadable {
            what: "dossier",
            why: format!("its digest has {length} bytes"),
        })
    })
    .transpose()
}
