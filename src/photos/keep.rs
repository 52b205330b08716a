//! From bytes that came in to files that are kept: examined on a blocking thread, a few at a time, and
//! written with their renditions before any row names them.

use std::io;
use std::sync::Arc;

use tokio::sync::Semaphore;
use tokio::task::spawn_blocking;
use uuid::Uuid;

use crate::clock::Clock;
use crate::db::{FileError, Files, Incoming};
use crate::journal::{hex, unhex};
use crate::photos::examine::{Examined, Made, Unfit, examine};
use crate::photos::model::{PhotoFile, Rendition};

/// How many pictures are decoded at a time: each may hold a quarter of a gigabyte for a second.
const AT_A_TIME: usize = 1;

/// Why a picture could not be examined or kept.
#[derive(Debug, thiserror::Error)]
pub enum KeepError {
    /// It is not taken.
    #[error(transparent)]
    Unfit(#[from] Unfit),
    /// The disk.
    #[error("a photo could not be kept: {0}")]
    Disk(#[from] io::Error),
    /// The thread that worked on it ended.
    #[error("a photo could not be examined: {0}")]
    Work(String),
}

/// The kept photos. Cheap to clone.
#[derive(Debug, Clone)]
pub struct Photos {
    files: Files,
    clock: Clock,
    slots: Arc<Semaphore>,
}

/// A file that was examined and found fit, not kept yet.
#[derive(Debug)]
pub struct Fit {
    incoming: Incoming,
    found: Examined,
}

impl Photos {
    /// The photos of a data folder.
    #[must_use]
    pub fn new(files: Files, clock: Clock) -> Self {
        Self { files, clock, slots: Arc::new(Semaphore::new(AT_A_TIME)) }
    }

    /// The folder beneath.
    #[must_use]
    pub fn files(&self) -> &Files {
        &self.files
    }

    /// Runs what takes a processor or the disk, one at a time.
    async fn work<T: Send + 'static>(
        &self,
        work: impl FnOnce(&Files) -> Result<T, KeepError> + Send + 'static,
    ) -> Result<T, KeepError> {
        let slot = Arc::clone(&self.slots).acquire_owned().await;
        let slot = slot.map_err(|error| KeepError::Work(error.to_string()))?;
        let files = self.files.clone();
        let done = spawn_blocking(move || {
            let done = work(&files);
            drop(slot);
            done
        });
        done.await.map_err(|error| KeepError::Work(error.to_string()))?
    }

    /// Examines a file that came in.
    ///
    /// # Errors
    /// [`KeepError`].
    pub async fn examine(&self, incoming: Incoming) -> Result<Fit, KeepError> {
        self.work(move |_| {
            let found = examine(&incoming.read()?)?;
            Ok(Fit { incoming, found })
        })
        .await
    }

    /// Keeps a file with its renditions: all are on the disk, synced, when this returns.
    ///
    /// # Errors
    /// [`KeepError`].
    pub async fn keep(&self, fit: Fit) -> Result<PhotoFile, KeepError> {
        let names = [self.clock.uuid(), self.clock.uuid()];
        self.work(move |files| Ok(kept(files, names, fit)?)).await
    }

    /// The thumbnail of a photo: as kept, or made again from the file.
    ///
    /// # Errors
    /// [`FileError`] of the photo's own file, when the thumbnail cannot be had either.
    pub async fn thumbnail(&self, file: PhotoFile) -> Result<Vec<u8>, FileError> {
        let name = self.clock.uuid();
        let done = self.work(move |files| Ok(thumbnail(files, name, &file))).await;
        done.map_err(|error| FileError::Unreadable(io::Error::other(error.to_string())))?
    }

    /// The file's own bytes.
    ///
    /// # Errors
    /// [`FileError`].
    pub async fn original(&self, file: PhotoFile) -> Result<Vec<u8>, FileError> {
        let files = self.files.clone();
        let read = spawn_blocking(move || files.read(&named(&file.digest)?));
        read.await.map_err(|error| FileError::Unreadable(io::Error::other(error.to_string())))?
    }
}

fn kept(files: &Files, names: [Uuid; 2], fit: Fit) -> io::Result<PhotoFile> {
    let Fit { incoming, found } = fit;
    let bytes = incoming.bytes();
    let keep = |name: Uuid, made: &Made| files.keep(name, &made.bytes).map(|digest| hex(&digest));
    let [first, second] = names;
    let thumbnail = keep(first, &found.thumbnail)?;
    let print = match &found.print {
        Some(made) => Some(Rendition {
            digest: keep(second, made)?,
            width_px: made.width_px,
            height_px: made.height_px,
        }),
        None => None,
    };
    let digest = hex(&files.keep_incoming(incoming)?);
    Ok(PhotoFile {
        digest,
        media_type: found.media_type,
        bytes,
        width_px: found.width_px,
        height_px: found.height_px,
        orientation: found.orientation,
        thumbnail,
        print,
    })
}

/// A digest as the record writes it.
fn named(digest: &str) -> Result<[u8; 32], FileError> {
    unhex(digest).try_into().map_err(|_| FileError::Missing)
}

fn thumbnail(files: &Files, name: Uuid, file: &PhotoFile) -> Result<Vec<u8>, FileError> {
    if let Ok(bytes) = files.read(&named(&file.thumbnail)?) {
        return Ok(bytes);
    }
    let made = again(files, file)?.thumbnail;
    // Without a place on the disk it is made again the next time.
    let _ = files.keep(name, &made.bytes);
    Ok(made.bytes)
}

/// The renditions of a file, made anew.
fn again(files: &Files, file: &PhotoFile) -> Result<Examined, FileError> {
    let bytes = files.read(&named(&file.digest)?)?;
    examine(&bytes).map_err(|error| FileError::Unreadable(io::Error::other(error.to_string())))
}

/// What is printed of a photo: a JPEG that a PDF takes as it stands, with the orientation that turns it
/// upright. Blocks: for the thread that makes a report.
///
/// # Errors
/// [`FileError`]: what is printed in its place says it in words.
pub fn printed(files: &Files, file: &PhotoFile) -> Result<(Vec<u8>, u8), FileError> {
    let own = named(&file.digest)?;
    let Some(print) = &file.print else {
        return Ok((files.read(&own)?, file.orientation));
    };
    // A rendition of a file that is lost proves nothing.
    if !files.has(&own) {
        return Err(FileError::Missing);
    }
    match files.read(&named(&print.digest)?) {
        Ok(bytes) => Ok((bytes, 1)),
        // The rendition is lost or damaged; the file itself can still give another.
        Err(_) => {
            let made = again(files, file)?.print;
            let made = made.ok_or(FileError::Missing)?;
            Ok((made.bytes, 1))
        }
    }
}
