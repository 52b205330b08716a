//! Files beside the database, each under the SHA-256 of its bytes: written to a temporary name, synced,
//! renamed, and its folder synced, before any row names it. All of it blocks: call it on a blocking thread.

use std::fs::{self, DirBuilder, File, OpenOptions};
use std::io::{self, ErrorKind, Write};
use std::os::unix::fs::{DirBuilderExt, OpenOptionsExt};
use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};
use uuid::Uuid;

/// The name of the folder in the data folder.
const FOLDER: &str = "files";

/// Where files wait until their form is taken.
const INCOMING: &str = "incoming";

/// Why a kept file cannot be had.
#[derive(Debug, thiserror::Error)]
pub enum FileError {
    /// It is not where it was put.
    #[error("the file is missing from the data folder")]
    Missing,
    /// Its bytes are no longer the ones that were uploaded.
    #[error("the file on the disk is not the one that was uploaded: its digest differs")]
    Altered,
    /// The disk.
    #[error("the file cannot be read: {0}")]
    Unreadable(#[from] io::Error),
}

/// The folder of files. Cheap to clone.
#[derive(Debug, Clone)]
pub struct Files {
    root: PathBuf,
}

impl Files {
    /// The files of a data folder.
    pub(super) fn of(data: &Path) -> Self {
        Self { root: data.join(FOLDER) }
    }

    /// Makes the folders, if need be.
    pub(super) fn make(&self) -> io::Result<()> {
        DirBuilder::new().recursive(true).mode(0o700).create(self.root.join(INCOMING))
    }

    /// Removes what a server that was stopped in the midst of an upload left behind. For whoever holds the
    /// folder's lock.
    pub(super) fn clear_incoming(&self) -> io::Result<()> {
        for entry in fs::read_dir(self.root.join(INCOMING))? {
            fs::remove_file(entry?.path())?;
        }
        Ok(())
    }

    fn place(&self, digest: &[u8; 32]) -> (PathBuf, PathBuf) {
        let name: String = digest.iter().map(|byte| format!("{byte:02x}")).collect();
        // 256 folders: some file systems are slow with many names in one.
        let folder = self.root.join(name.get(..2).unwrap_or_default());
        let path = folder.join(name);
        (folder, path)
    }

    /// A file that is coming in, under a temporary name.
    ///
    /// # Errors
    /// The disk's.
    pub fn incoming(&self, name: Uuid) -> io::Result<Incoming> {
        let path = self.root.join(INCOMING).join(name.to_string());
        let file = OpenOptions::new().write(true).create_new(true).mode(0o600).open(&path)?;
        Ok(Incoming { path, file, sum: Sha256::new(), bytes: 0 })
    }

    /// Keeps these bytes; gives their digest. They are on the disk, synced, when this returns.
    ///
    /// # Errors
    /// The disk's.
    pub fn keep(&self, name: Uuid, bytes: &[u8]) -> io::Result<[u8; 32]> {
        let mut incoming = self.incoming(name)?;
        incoming.write(bytes)?;
        self.keep_incoming(incoming)
    }

    /// Keeps a file that came in; gives its digest. It is on the disk, synced, when this returns.
    ///
    /// # Errors
    /// The disk's.
    pub fn keep_incoming(&self, incoming: Incoming) -> io::Result<[u8; 32]> {
        let digest = incoming.digest();
        // The same bytes again: one file is enough. An altered one is put right by the good one.
        if self.read(&digest).is_ok() {
            return Ok(digest);
        }
        incoming.file.sync_all()?;
        let (folder, path) = self.place(&digest);
        match DirBuilder::new().mode(0o700).create(&folder) {
            Ok(()) => sync(&self.root)?,
            Err(error) if error.kind() == ErrorKind::AlreadyExists => {}
            Err(error) => return Err(error),
        }
        fs::rename(&incoming.path, path)?;
        sync(&folder)?;
        Ok(digest)
    }

    /// Whether there is a file under this digest, whatever it holds.
    #[must_use]
    pub fn has(&self, digest: &[u8; 32]) -> bool {
        self.place(digest).1.is_file()
    }

    /// The bytes of a kept file, after making sure that they are the ones that were kept.
    ///
    /// # Errors
    /// [`FileError`].
    pub fn read(&self, digest: &[u8; 32]) -> Result<Vec<u8>, FileError> {
        let bytes = match fs::read(self.place(digest).1) {
            Ok(bytes) => bytes,
            Err(error) if error.kind() == ErrorKind::NotFound => return Err(FileError::Missing),
            Err(error) => return Err(error.into()),
        };
        let found: [u8; 32] = Sha256::digest(&bytes).into();
        if found == *digest { Ok(bytes) } else { Err(FileError::Altered) }
    }
}

/// A name in a folder is on the disk only once the folder is.
fn sync(folder: &Path) -> io::Result<()> {
    File::open(folder)?.sync_all()
}

/// A file that is coming in. Dropped, it is gone.
#[derive(Debug)]
pub struct Incoming {
    path: PathBuf,
    file: File,
    sum: Sha256,
    bytes: u64,
}

impl Incoming {
    /// Adds bytes at its end.
    ///
    /// # Errors
    /// The disk's.
    pub fn write(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.file.write_all(bytes)?;
        self.sum.update(bytes);
        self.bytes += u64::try_from(bytes.len()).unwrap_or_default();
        Ok(())
    }

    /// How many bytes came.
    #[must_use]
    pub fn bytes(&self) -> u64 {
        self.bytes
    }

    /// SHA-256 of what came.
    #[must_use]
    pub fn digest(&self) -> [u8; 32] {
        self.sum.clone().finalize().into()
    }

    /// What came.
    ///
    /// # Errors
    /// The disk's.
    pub fn read(&self) -> io::Result<Vec<u8>> {
        fs::read(&self.path)
    }
}

impl Drop for Incoming {
    fn drop(&mut self) {
        // After a rename there is nothing under this name; otherwise nothing else would ever remove it.
        let _ = fs::remove_file(&self.path);
    }
}

#[cfg(test)]
mod tests {
    use std::fs;

    use super::{FileError, Files};
    use crate::clock::Clock;

    fn files() -> Files {
        let path = std::env::temp_dir().join(format!("standmast-files-{}", Clock::System.uuid()));
        let files = Files::of(&path);
        files.make().unwrap();
        files
    }

    #[test]
    fn a_file_is_kept_under_the_digest_of_its_bytes_and_checked_when_read() {
        let files = files();
        let digest = files.keep(Clock::System.uuid(), b"abc").unwrap();
        // FIPS 180-4 example: SHA-256("abc").
        assert_eq!(digest[..4], [0xba, 0x78, 0x16, 0xbf]);
        assert_eq!(files.read(&digest).unwrap(), b"abc");
        let (folder, path) = files.place(&digest);
        assert!(
            path.ends_with("ba/ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad")
        );
        fs::write(&path, b"abd").unwrap();
        assert!(matches!(files.read(&digest), Err(FileError::Altered)));
        // The same bytes again put it right.
        files.keep(Clock::System.uuid(), b"abc").unwrap();
        assert_eq!(files.read(&digest).unwrap(), b"abc");
        fs::remove_dir_all(folder).unwrap();
        assert!(matches!(files.read(&digest), Err(FileError::Missing)));
        fs::remove_dir_all(files.root.parent().unwrap()).unwrap();
    }

    #[test]
    fn what_came_in_and_was_not_kept_is_gone() {
        let files = files();
        let waiting = || fs::read_dir(files.root.join("incoming")).unwrap().count();
        let mut incoming = files.incoming(Clock::System.uuid()).unwrap();
        incoming.write(b"half of it").unwrap();
        assert_eq!((waiting(), incoming.bytes()), (1, 10));
        drop(incoming);
        assert_eq!(waiting(), 0);
        let left = files.incoming(Clock::System.uuid()).unwrap();
        std::mem::forget(left);
        files.clear_incoming().unwrap();
        assert_eq!(waiting(), 0);
        fs::remove_dir_all(files.root.parent().unwrap()).unwrap();
    }
}
