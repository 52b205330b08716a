//! What is known of a photo. What the record can prove is said once, in [`PROVES`].

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::profiles::model::Stage;
use crate::words::words;

/// The largest file taken, in bytes: 12 MiB, more than a telephone's camera makes at full size.
pub const LARGEST_BYTES: u64 = 12 * 1024 * 1024;

/// The most pixels taken.
pub const MOST_PIXELS: u64 = 50_000_000;

/// The most files taken with one form.
pub const MOST_FILES: usize = 12;

/// What is asked of a file, for a form.
pub const ASKS: &str =
    "JPEG, PNG or WebP; at most 12 MiB and 50 megapixels each, 12 photos at once";

/// What the record proves of a photo, and what it does not. Date and place inside a file can be edited or
/// stripped before it comes here.
pub const PROVES: &str = "The record proves that the file is unchanged since it was uploaded, and when that was. It does not prove that what it shows was true when it was taken: time and caption are what the person stated.";

words! {
    /// What kind of file it is, found from its bytes and never from its name.
    MediaType {
        /// JPEG (ITU-T T.81).
        Jpeg = "image/jpeg" / "JPEG",
        /// PNG (ISO/IEC 15948).
        Png = "image/png" / "PNG",
        /// WebP (RFC 9649).
        Webp = "image/webp" / "WebP",
    }
}

/// A JPEG that was made of a file: turned upright, smaller, kept beside the original.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Rendition {
    /// SHA-256 of its bytes, in hexadecimal.
    pub digest: String,
    /// Width, px.
    pub width_px: u32,
    /// Height, px.
    pub height_px: u32,
}

/// A photo's file as it was uploaded; its bytes are kept beside the database under their digest.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PhotoFile {
    /// SHA-256 of the bytes, in hexadecimal.
    pub digest: String,
    /// What kind of file it is.
    pub media_type: MediaType,
    /// How many bytes.
    pub bytes: u64,
    /// Width as stored, px.
    pub width_px: u32,
    /// Height as stored, px.
    pub height_px: u32,
    /// How it is turned to be seen upright: Exif orientation, 1 (as stored) to 8.
    pub orientation: u8,
    /// SHA-256, in hexadecimal, of the thumbnail that was made at upload.
    pub thumbnail: String,
    /// What is printed in its place; `None` where the file's own bytes can be printed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub print: Option<Rendition>,
}

impl PhotoFile {
    /// Width and height as seen upright, px.
    #[must_use]
    pub fn upright(&self) -> (u32, u32) {
        // Exif orientations 5 to 8 lie on their side.
        if self.orientation >= 5 {
            (self.height_px, self.width_px)
        } else {
            (self.width_px, self.height_px)
        }
    }

    /// Kind and size in a line: "JPEG, 4000 × 3000 px, 2.3 MiB".
    #[must_use]
    pub fn shown(&self) -> String {
        let (width, height) = self.upright();
        format!("{}, {width} × {height} px, {}", self.media_type.shown(), bytes_shown(self.bytes))
    }

    /// The digest's first digits, to find it by.
    #[must_use]
    pub fn short_digest(&self) -> &str {
        self.digest.get(..12).unwrap_or(&self.digest)
    }
}

/// A number of bytes as people read it.
#[must_use]
pub fn bytes_shown(bytes: u64) -> String {
    const KIB: u64 = 1024;
    const MIB: u64 = 1024 * 1024;
    if bytes < KIB {
        return format!("{bytes} bytes");
    }
    if bytes < MIB {
        return format!("{} KiB", bytes / KIB);
    }
    format!("{}.{} MiB", bytes / MIB, bytes % MIB * 10 / MIB)
}

/// A photo on the record of a job.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Photo {
    /// What it shows.
    pub caption: String,
    /// The item that it is evidence for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub item: Option<String>,
    /// Its place in the chain: the part's name outside.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub part: Option<Uuid>,
    /// The stage it belongs to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stage: Option<Stage>,
    /// The entry it is about: a snag and its proof.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub about: Option<Uuid>,
    /// The file.
    pub file: PhotoFile,
}

#[cfg(test)]
mod tests {
    use super::{MediaType, PhotoFile, bytes_shown};

    #[test]
    fn a_photo_on_its_side_is_measured_upright() {
        let file = PhotoFile {
            digest: "0".repeat(64),
            media_type: MediaType::Jpeg,
            bytes: 2_411_725,
            width_px: 4000,
            height_px: 3000,
            orientation: 6,
            thumbnail: String::new(),
            print: None,
        };
        assert_eq!(file.shown(), "JPEG, 3000 × 4000 px, 2.3 MiB");
    }

    #[test]
    fn bytes_are_told_in_the_unit_that_suits_them() {
        let told: Vec<String> =
            [1, 1023, 1024, 1_048_575, 1_048_576, 12_582_912].map(bytes_shown).to_vec();
        assert_eq!(told, ["1 bytes", "1023 bytes", "1 KiB", "1023 KiB", "1.0 MiB", "12.0 MiB"]);
    }
}
