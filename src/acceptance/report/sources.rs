//! What a report is made from: the dossier, and the files of its photos, each looked at once.

use std::collections::BTreeMap;

use uuid::Uuid;

use crate::clock::Utc;
use crate::db::FileError;
use crate::jobs::dossier::Dossier;
use crate::paper::{NotPrintable, Photo};
use crate::photos::model::PhotoFile;

/// Gives what is printed of a photo's file: a JPEG, and how it is turned (Exif orientation).
pub type Printed<'a> = &'a dyn Fn(&PhotoFile) -> Result<(Vec<u8>, u8), FileError>;

/// What a report is made from.
#[derive(Debug)]
pub struct Sources<'a> {
    /// The dossier, live or frozen.
    pub dossier: &'a Dossier,
    /// Now; only the report of a job that is not accepted says it. The report of an accepted job is the
    /// same file each time.
    pub drawn_at: Utc,
    /// SHA-256 of the frozen dossier.
    pub digest: Option<&'a [u8; 32]>,
    /// What is printed of each photo's file, by its digest, or why it cannot be.
    looked_at: BTreeMap<String, Result<Photo, String>>,
    /// The numbers of the photos that hold, from 1, in the order of entry.
    numbers: BTreeMap<Uuid, usize>,
}

impl<'a> Sources<'a> {
    /// Looks at every photo of the dossier, one after the other; none of their bytes is kept.
    #[must_use]
    pub fn new(
        dossier: &'a Dossier,
        drawn_at: Utc,
        digest: Option<&'a [u8; 32]>,
        printed: Printed<'_>,
    ) -> Self {
        let mut looked_at = BTreeMap::new();
        let mut numbers = BTreeMap::new();
        for (index, (fact, photo)) in dossier.record.photos().enumerate() {
            numbers.insert(fact.uuid, index + 1);
            let file = &photo.file;
            looked_at.entry(file.digest.clone()).or_insert_with(|| look_at(file, printed));
        }
        Self { dossier, drawn_at, digest, looked_at, numbers }
    }

    /// What is printed of a photo, or why nothing is, in words.
    pub(super) fn photo(&self, file: &PhotoFile) -> Result<Photo, String> {
        let found = self.looked_at.get(&file.digest);
        found.cloned().unwrap_or_else(|| Err("Not shown.".to_owned()))
    }

    /// The number of a photo; `None` where it is struck or none.
    pub(super) fn number(&self, photo: Uuid) -> Option<usize> {
        self.numbers.get(&photo).copied()
    }
}

fn look_at(file: &PhotoFile, printed: Printed<'_>) -> Result<Photo, String> {
    let (bytes, turned) = printed(file).map_err(|error| format!("Not shown: {error}."))?;
    let photo =
        Photo::read(&bytes).map_err(|error: NotPrintable| format!("Not shown: {error}."))?;
    Ok(photo.turned(turned))
}
