//! The database: one writer behind a fair queue, a pool of readers with snapshots, the files beside it,
//! and the locked data folder. Only `journal::Act` takes the writer.

mod files;
mod folder;
mod reads;
mod writer;

pub use files::{FileError, Files, Incoming};
pub use folder::{DataFolder, FolderError, is_in_use, make_folder};
pub use reads::{Reads, Snapshot};
pub use writer::{WriteConnection, Writer};

use std::path::Path;
use std::time::Duration;

use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqliteSynchronous};
use sqlx::{Connection, SqliteConnection};

use crate::clock::Clock;
use crate::rf::quantity::{Quantity, Typed};

/// Every change of the schema, embedded.
pub static MIGRATOR: sqlx::migrate::Migrator = sqlx::migrate!("./migrations");

/// How long a writer waits for another process on the same folder.
const BUSY: Duration = Duration::from_secs(10);

/// Map at most so much of the file into memory for reading; reads beyond it go through the cache.
const MMAP_BYTES: &str = "1073741824";

/// What can go wrong with a statement, apart from a missing row, which is `None`.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// A value that must be unique is already used; the name of the constraint says which.
    #[error("already taken: {0}")]
    Taken(String),
    /// The row has been changed by somebody else since it was read.
    #[error("changed by somebody else meanwhile")]
    Stale,
    /// A stored text could not be read back; the record is damaged or newer than this program.
    #[error("stored {what} could not be read: {why}")]
    Unreadable {
        /// What was being read.
        what: &'static str,
        /// The reader's complaint.
        why: String,
    },
    /// The database itself failed.
    #[error("database: {0}")]
    Database(sqlx::Error),
}

impl From<sqlx::Error> for StoreError {
    fn from(error: sqlx::Error) -> Self {
        match &error {
            sqlx::Error::Database(inner) if inner.is_unique_violation() => {
                // SQLite names the columns: "UNIQUE constraint failed: site.code".
                let message = inner.message();
                let columns = message.rsplit(": ").next().unwrap_or(message);
                Self::Taken(columns.to_owned())
            }
            _ => Self::Database(error),
        }
    }
}

/// Reads a `_typed` column back: the text as typed with its unit.
///
/// # Errors
/// [`StoreError::Unreadable`] when the text is not one that this program writes.
pub fn typed_column<Q: Quantity>(stored: &str) -> Result<Typed<Q>, StoreError> {
    Typed::from_stored(stored)
        .map_err(|error| StoreError::Unreadable { what: Q::NAME, why: error.to_string() })
}

/// Reads a column that holds one word of a closed list.
///
/// # Errors
/// [`StoreError::Unreadable`] when the word is not on the list.
pub fn word_column<T>(
    what: &'static str,
    read: impl Fn(&str) -> Option<T>,
    stored: &str,
) -> Result<T, StoreError> {
    read(stored)
        .ok_or_else(|| StoreError::Unreadable { what, why: format!("unknown word “{stored}”") })
}

fn options(file: &Path) -> SqliteConnectOptions {
    SqliteConnectOptions::new()
        .filename(file)
        .journal_mode(SqliteJournalMode::Wal)
        .synchronous(SqliteSynchronous::Full)
        .foreign_keys(true)
        .busy_timeout(BUSY)
        .pragma("mmap_size", MMAP_BYTES)
}

/// What must hold of every connection before the program serves: a setting that SQLite silently
/// declined (a build without foreign keys, a file system without WAL) would break the record's promises.
async fn assert_pragmas(connection: &mut SqliteConnection) -> Result<(), FolderError> {
    let foreign_keys: i64 =
        sqlx::query_scalar("PRAGMA foreign_keys").fetch_one(&mut *connection).await?;
    let journal: String =
        sqlx::query_scalar("PRAGMA journal_mode").fetch_one(&mut *connection).await?;
    let synchronous: i64 =
        sqlx::query_scalar("PRAGMA synchronous").fetch_one(&mut *connection).await?;
    if foreign_keys == 1 && journal == "wal" && synchronous == 2 {
        return Ok(());
    }
    Err(FolderError::Settings(format!(
        "foreign_keys {foreign_keys} (wants 1), journal_mode {journal} (wants wal), synchronous {synchronous} (wants 2)"
    )))
}

/// Opens the file, brings its schema up to this program's, checks the settings, and at the first
/// time gives the record its instance name.
async fn prepare(file: &Path, clock: &Clock) -> Result<(), FolderError> {
    let mut connection =
        SqliteConnection::connect_with(&options(file).create_if_missing(true)).await?;
    match MIGRATOR.run(&mut connection).await {
        Ok(()) => {}
        Err(sqlx::migrate::MigrateError::VersionMissing(version)) => {
            return Err(FolderError::Newer(version));
        }
        Err(error) => return Err(FolderError::Migration(error.to_string())),
    }
    assert_pragmas(&mut connection).await?;
    let (name, now) = (clock.uuid(), clock.now());
    sqlx::query!(
        "INSERT INTO instance (id, uuid, made_at) VALUES (1, $1, $2) ON CONFLICT (id) DO NOTHING",
        name,
        now
    )
    .execute(&mut connection)
    .await?;
    connection.close().await?;
    Ok(())
}
