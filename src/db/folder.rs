//! The data folder: made, locked against a second server, and its database opened.

use std::fs::{DirBuilder, File, OpenOptions, TryLockError};
use std::os::unix::fs::DirBuilderExt;
use std::path::{Path, PathBuf};

use crate::clock::Clock;
use crate::db::{Files, Reads, Writer, prepare};

/// Why a data folder cannot be used; each says in one line what to do.
#[derive(Debug, thiserror::Error)]
pub enum FolderError {
    /// The folder cannot be made or written.
    #[error(
        "cannot write in the data folder {0}: {1}; choose another with --data, or give this user the right to write there"
    )]
    NotWritable(PathBuf, std::io::Error),
    /// Another server holds the lock.
    #[error(
        "another standmast server is already using the data folder {0}; stop it, or choose another folder with --data"
    )]
    InUse(PathBuf),
    /// The schema comes from a later version.
    #[error(
        "the database was made by a newer standmast (schema {0}); start that version instead, nothing was changed"
    )]
    Newer(i64),
    /// A migration failed.
    #[error("the database could not be brought up to date: {0}; nothing was changed")]
    Migration(String),
    /// SQLite did not take a setting.
    #[error(
        "the database did not take its safety settings: {0}; put the data folder on a local disk"
    )]
    Settings(String),
    /// Anything else from the database.
    #[error("the database could not be opened: {0}")]
    Database(#[from] sqlx::Error),
}

/// An opened data folder. The lock, where it was taken, is held as long as this lives.
#[derive(Debug)]
pub struct DataFolder {
    path: PathBuf,
    /// For reading.
    pub reads: Reads,
    /// For acts.
    pub writer: Writer,
    /// The files beside the database.
    pub files: Files,
    _lock: Option<File>,
}

impl DataFolder {
    /// Opens the folder for a server: makes it if need be and locks it for this process alone.
    ///
    /// # Errors
    /// [`FolderError`], one line each.
    pub async fn open_locked(path: &Path, clock: &Clock) -> Result<Self, FolderError> {
        make_folder(path)?;
        let lock = lock(path)?;
        Self::open(path, clock, Some(lock)).await
    }

    /// Opens the folder for a command beside a possibly running server; SQLite keeps their writes apart.
    ///
    /// # Errors
    /// [`FolderError`], one line each.
    pub async fn open_beside(path: &Path, clock: &Clock) -> Result<Self, FolderError> {
        make_folder(path)?;
        Self::open(path, clock, None).await
    }

    async fn open(path: &Path, clock: &Clock, lock: Option<File>) -> Result<Self, FolderError> {
        let file = path.join("standmast.db");
        prepare(&file, clock).await?;
        let files = Files::of(path);
        let refused = |error| FolderError::NotWritable(path.to_owned(), error);
        files.make().map_err(refused)?;
        // An upload is the server's alone: without its lock one may be under way.
        if lock.is_some() {
            files.clear_incoming().map_err(refused)?;
        }
        Ok(Self {
            path: path.to_owned(),
            reads: Reads::open(&file),
            writer: Writer::open(&file),
            files,
            _lock: lock,
        })
    }

    /// Where the folder is.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Closes the database, so that its write-ahead log is folded into the one file.
    pub async fn close(self) {
        self.reads.close().await;
        self.writer.close().await;
    }
}

/// Makes a folder that its owner alone may read, if need be, and tries whether it can be written.
///
/// # Errors
/// [`FolderError::NotWritable`].
pub fn make_folder(path: &Path) -> Result<(), FolderError> {
    let refused = |error| FolderError::NotWritable(path.to_owned(), error);
    // A new folder is nobody else's to read: it holds password hashes and people's names.
    DirBuilder::new().recursive(true).mode(0o700).create(path).map_err(refused)?;
    // A folder that exists but is read-only must be told of now, not at the first write.
    let probe = path.join(".write-probe");
    File::create(&probe).map_err(refused)?;
    std::fs::remove_file(&probe).map_err(refused)
}

/// Whether a server holds the folder's lock at this moment.
///
/// # Errors
/// [`FolderError::NotWritable`].
pub fn is_in_use(path: &Path) -> Result<bool, FolderError> {
    match lock(path) {
        Ok(_) => Ok(false),
        Err(FolderError::InUse(_)) => Ok(true),
        Err(error) => Err(error),
    }
}

fn lock(path: &Path) -> Result<File, FolderError> {
    let refused = |error| FolderError::NotWritable(path.to_owned(), error);
    let file = OpenOptions::new()
        .create(true)
        .truncate(false)
        .write(true)
        .open(path.join("lock"))
        .map_err(refused)?;
    match file.try_lock() {
        Ok(()) => Ok(file),
        Err(TryLockError::WouldBlock) => Err(FolderError::InUse(path.to_owned())),
        Err(TryLockError::Error(error)) => Err(refused(error)),
    }
}

#[cfg(test)]
mod tests {
    use super::{DataFolder, FolderError};
    use crate::clock::Clock;

    #[tokio::test]
    async fn a_second_server_on_the_folder_is_refused_and_a_command_beside_it_is_not() {
        let path = std::env::temp_dir().join(format!("standmast-{}", Clock::System.uuid()));
        let first = DataFolder::open_locked(&path, &Clock::System).await.unwrap();
        assert!(matches!(
            DataFolder::open_locked(&path, &Clock::System).await,
            Err(FolderError::InUse(_))
        ));
        DataFolder::open_beside(&path, &Clock::System).await.unwrap().close().await;
        first.close().await;
        DataFolder::open_locked(&path, &Clock::System).await.unwrap().close().await;
        std::fs::remove_dir_all(&path).unwrap();
    }

    #[tokio::test]
    async fn a_database_of_a_newer_program_is_left_alone() {
        let path = std::env::temp_dir().join(format!("standmast-{}", Clock::System.uuid()));
        let folder = DataFolder::open_locked(&path, &Clock::System).await.unwrap();
        sqlx::query(
            "INSERT INTO _sqlx_migrations (version, description, success, checksum, execution_time) VALUES (9999, 'later', 1, x'00', 0)",
        )
        .execute(folder.writer.pool_for_tests())
        .await
        .unwrap();
        folder.close().await;
        let refused = DataFolder::open_locked(&path, &Clock::System).await.unwrap_err();
        assert!(matches!(refused, FolderError::Newer(9999)), "{refused}");
        std::fs::remove_dir_all(&path).unwrap();
    }
}
