//! The chain, walked from its first entry.

use sqlx::SqliteConnection;

use crate::db::StoreError;
use crate::journal::act::chained;

/// The first entry that does not fit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Broken {
    /// The entry's place in the journal.
    pub seq: i64,
    /// What does not fit.
    pub why: &'static str,
}

/// Walks the whole journal: sequence without gaps, each entry naming the hash before it, each hash
/// that of its content. Gives the number of entries, or the first that is broken.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn verify(conn: &mut SqliteConnection) -> Result<Result<i64, Broken>, StoreError> {
    let entries = sqlx::query!("SELECT seq, content, previous, hash FROM journal ORDER BY seq")
        .fetch_all(conn)
        .await?;
    let mut previous = vec![0; 32];
    let mut count = 0;
    for entry in entries {
        count += 1;
        let broken = |why| Ok(Err(Broken { seq: entry.seq, why }));
        if entry.seq != count {
            return broken("an entry before it is missing");
        }
        if entry.previous != previous {
            return broken("it does not follow the entry before it");
        }
        if entry.hash != chained(&entry.previous, &entry.content) {
            return broken("its content is not what was hashed");
        }
        previous = entry.hash;
    }
    Ok(Ok(count))
}
