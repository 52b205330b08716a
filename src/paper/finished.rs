//! A finished report: everything of the file but the photos' bytes, which are asked for one by one
//! while it is written.

use std::io::{Error, Result, Write};

use sha2::{Digest, Sha256};

use super::photo::{Photo, Samples};

/// A finished report.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finished {
    pub(super) file: File,
    /// How many pages it has.
    pub pages: usize,
    /// Characters of the given texts that no embedded font has, set as [`STAND_IN`](super::STAND_IN),
    /// with how often. The report itself says so after its last line.
    pub replaced: Vec<(char, usize)>,
}

/// The bytes before the first photo, the photos, and the bytes after the last one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct File {
    head: Vec<u8>,
    photos: Vec<Embedded>,
    tail: Vec<u8>,
}

/// A photo's object in the file.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Embedded {
    begins: Vec<u8>,
    photo: Photo,
}

const ENDS: &[u8] = b"\nendstream\nendobj\n";

impl Finished {
    /// The file's length in bytes.
    #[must_use]
    pub fn length(&self) -> u64 {
        let photos: u64 = self.file.photos.iter().map(Embedded::length).sum();
        length(&self.file.head) + photos + length(&self.file.tail)
    }

    /// How many different photos it holds.
    #[must_use]
    pub fn photos(&self) -> usize {
        self.file.photos.len()
    }

    /// Writes the file. Of the photos only one is held at a time.
    ///
    /// - `load`: gives a photo's bytes by their SHA-256
    ///
    /// # Errors
    /// What `out` or `load` answers, and bytes that are not those the report was laid out with.
    pub fn write_to(
        &self,
        out: &mut dyn Write,
        load: &mut dyn FnMut(&[u8; 32]) -> Result<Vec<u8>>,
    ) -> Result<()> {
        out.write_all(&self.file.head)?;
        for embedded in &self.file.photos {
            let bytes = load(&embedded.photo.digest)?;
            if Sha256::digest(&bytes)[..] != embedded.photo.digest {
                return Err(Error::other("a photo changed while the report was written"));
            }
            out.write_all(&embedded.begins)?;
            out.write_all(&bytes)?;
            out.write_all(ENDS)?;
        }
        out.write_all(&self.file.tail)
    }

    /// The file in memory.
    ///
    /// # Errors
    /// As for [`write_to`](Self::write_to).
    pub fn bytes(&self, load: &mut dyn FnMut(&[u8; 32]) -> Result<Vec<u8>>) -> Result<Vec<u8>> {
        let mut bytes = Vec::with_capacity(usize::try_from(self.length()).unwrap_or_default());
        self.write_to(&mut bytes, load)?;
        Ok(bytes)
    }
}

fn length(bytes: &[u8]) -> u64 {
    u64::try_from(bytes.len()).unwrap_or(u64::MAX)
}

impl Embedded {
    /// The photo as object `number` (ISO 32000-1, 8.9.5).
    fn new(number: u32, photo: Photo) -> Self {
        let [width, height] = photo.stored;
        let colours = match photo.samples {
            Samples::Grey => "/DeviceGray",
            Samples::Colour => "/DeviceRGB",
            Samples::Inks { inverted: false } => "/DeviceCMYK",
            Samples::Inks { inverted: true } => "/DeviceCMYK/Decode[1 0 1 0 1 0 1 0]",
        };
        let begins = format!(
            "{number} 0 obj\n<</Type/XObject/Subtype/Image/Width {width}/Height {height}\
             /BitsPerComponent 8/ColorSpace{colours}/Filter/DCTDecode/Length {}>>\nstream\n",
            photo.length
        );
        Self { begins: begins.into_bytes(), photo }
    }

    fn length(&self) -> u64 {
        length(&self.begins) + self.photo.length + length(ENDS)
    }
}

impl File {
    /// Puts photos into a whole file that has none: they become its last objects, and table and trailer
    /// are written anew behind them, with an id that is the digest of everything.
    ///
    /// - `bytes`: a file with one plain table of objects and one trailer without id; photo `n` of
    ///   `photos` is object `first + n` there, referenced and not yet in it
    ///
    /// `None` where the file is not so.
    pub(super) fn new(bytes: Vec<u8>, first: u32, photos: Vec<Photo>) -> Option<Self> {
        let table_at = find_last(&bytes, b"\nxref\n")? + 1;
        let trailer_at = find_last(&bytes, b"trailer\n")?;
        let end_at = find_last(&bytes, b"\nstartxref\n")?;
        let table = bytes.get(table_at..trailer_at)?.to_vec();
        let trailer = bytes.get(trailer_at..end_at)?.strip_suffix(b">>")?.to_vec();
        let mut digest = Sha256::new();
        digest.update(&bytes);
        let mut head = bytes;
        head.truncate(table_at);
        let (mut at, mut rows, mut embedded) = (length(&head), String::new(), Vec::new());
        for (number, photo) in (first..).zip(photos) {
            digest.update(photo.digest);
            let one = Embedded::new(number, photo);
            rows.push_str(&format!("{at:010} 00000 n \n"));
            at += one.length();
            embedded.push(one);
        }
        let id: String =
            digest.finalize().iter().take(16).map(|byte| format!("{byte:02X}")).collect();
        let mut tail = table;
        if !embedded.is_empty() {
            tail.extend(format!("{first} {}\n{rows}", embedded.len()).into_bytes());
        }
        tail.extend(trailer);
        tail.extend(format!("/ID[<{id}><{id}>]>>\nstartxref\n{at}\n%%EOF\n").into_bytes());
        Some(Self { head, photos: embedded, tail })
    }
}

fn find_last(bytes: &[u8], words: &[u8]) -> Option<usize> {
    bytes.windows(words.len()).rposition(|window| window == words)
}
