//! What a file is and whether it is whole, from its own markers: a decoder mends what is cut off, and
//! evidence must not be mended.

use crate::photos::model::MediaType;

/// What kind of file the bytes are; `None` for any other kind.
#[must_use]
pub fn kind(bytes: &[u8]) -> Option<MediaType> {
    if bytes.starts_with(&[0xFF, 0xD8, 0xFF]) {
        return Some(MediaType::Jpeg);
    }
    if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
        return Some(MediaType::Png);
    }
    let webp = bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WEBP");
    webp.then_some(MediaType::Webp)
}

/// Whether it is one of the pictures that are kept like a film (ISO/IEC 14496-12, 4.3: the brand behind
/// `ftyp`), as telephones write them.
#[must_use]
pub fn is_heif(bytes: &[u8]) -> bool {
    let brand = bytes.get(8..12).unwrap_or_default();
    let known: [&[u8]; 7] = [b"heic", b"heix", b"hevc", b"mif1", b"msf1", b"avif", b"avis"];
    bytes.get(4..8) == Some(b"ftyp") && known.contains(&brand)
}

/// Whether the file reaches its own end.
#[must_use]
pub fn is_whole(kind: MediaType, bytes: &[u8]) -> bool {
    match kind {
        MediaType::Jpeg => jpeg(bytes).is_some_and(|jpeg| jpeg.whole),
        MediaType::Png => png_ends(bytes).is_some(),
        MediaType::Webp => {
            let stated = bytes.get(4..8).and_then(|four| four.try_into().ok());
            let stated = stated.map(u32::from_le_bytes).and_then(|size| usize::try_from(size).ok());
            stated.is_some_and(|size| bytes.len().saturating_sub(8) >= size)
        }
    }
}

/// What a JPEG's markers say.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Jpeg {
    /// How many components: 1 grey, 3 colour, 4 print inks.
    pub components: u8,
    /// Whether a PDF reader takes it as it stands: baseline or progressive, 8 bits, Huffman coded.
    pub printable: bool,
    /// Whether the end marker was reached.
    pub whole: bool,
}

/// Walks the markers of a JPEG (ITU-T T.81, annex B). `None` where there is no frame.
#[must_use]
pub fn jpeg(bytes: &[u8]) -> Option<Jpeg> {
    let mut found: Option<Jpeg> = None;
    let mut at = 2;
    loop {
        let Some(marker) = next_marker(bytes, &mut at) else { return found };
        match marker {
            0xD9 => return found.map(|jpeg| Jpeg { whole: true, ..jpeg }),
            // Markers without a length.
            0x01 | 0xD0..=0xD8 => continue,
            _ => {}
        }
        let Some(length) = two(bytes, at).filter(|length| *length >= 2) else { return found };
        let frame = matches!(marker, 0xC0..=0xCF) && !matches!(marker, 0xC4 | 0xC8 | 0xCC);
        if frame && found.is_none() {
            let (precision, components) = (*bytes.get(at + 2)?, *bytes.get(at + 7)?);
            let coded = matches!(marker, 0xC0..=0xC2);
            let printable = coded && precision == 8 && matches!(components, 1 | 3);
            found = Some(Jpeg { components, printable, whole: false });
        }
        at += length;
    }
}

/// The next marker's code, with `at` left behind it. What lies between is coded picture, in which 0xFF is
/// followed by zero, or filling.
fn next_marker(bytes: &[u8], at: &mut usize) -> Option<u8> {
    loop {
        let gap = bytes.get(*at..)?.iter().position(|&byte| byte == 0xFF)?;
        *at += gap + 1;
        match *bytes.get(*at)? {
            0xFF => {}
            0x00 => *at += 1,
            code => {
                *at += 1;
                return Some(code);
            }
        }
    }
}

fn two(bytes: &[u8], at: usize) -> Option<usize> {
    let pair = bytes.get(at..at + 2)?.try_into().ok()?;
    Some(usize::from(u16::from_be_bytes(pair)))
}

/// Where a PNG's last chunk ends (ISO/IEC 15948, 11.2.5); `None` when it is not reached.
fn png_ends(bytes: &[u8]) -> Option<usize> {
    let mut at: usize = 8;
    loop {
        let length = u32::from_be_bytes(bytes.get(at..at.checked_add(4)?)?.try_into().ok()?);
        let name = bytes.get(at + 4..at + 8)?;
        // Length, name and checksum stand around the content.
        let end = at.checked_add(12)?.checked_add(usize::try_from(length).ok()?)?;
        if end > bytes.len() {
            return None;
        }
        if name == b"IEND" {
            return Some(end);
        }
        at = end;
    }
}

#[cfg(test)]
mod tests {
    use super::{is_whole, jpeg, kind};
    use crate::photos::model::MediaType;

    #[test]
    fn a_file_is_known_by_its_bytes() {
        assert_eq!(kind(b"\xFF\xD8\xFF\xE0rest"), Some(MediaType::Jpeg));
        assert_eq!(kind(b"\x89PNG\r\n\x1a\nrest"), Some(MediaType::Png));
        assert_eq!(kind(b"RIFF\x04\x00\x00\x00WEBPVP8 "), Some(MediaType::Webp));
        for other in [&b"%PDF-1.7"[..], b"GIF89a", b"<svg xmlns", b"RIFF\x04\x00\x00\x00WAVE", b""]
        {
            assert_eq!(kind(other), None);
        }
    }

    #[test]
    fn markers_inside_a_segment_are_no_markers() {
        // Start, an application segment that holds an end marker (as a camera's thumbnail does), a
        // frame of 8 bits and three components, coded picture with a stuffed 0xFF, and the end.
        let mut bytes = vec![0xFF, 0xD8, 0xFF, 0xE1, 0x00, 0x06, 0xFF, 0xD9, 0xFF, 0xD8];
        bytes.extend([0xFF, 0xC0, 0x00, 0x11, 8, 0, 4, 0, 4, 3]);
        bytes.extend([1, 0x11, 0, 2, 0x11, 1, 3, 0x11, 1]);
        bytes.extend([0xFF, 0xDA, 0x00, 0x03, 0, 0x12, 0xFF, 0x00, 0x34, 0xFF, 0xD3, 0x56]);
        let cut = jpeg(&bytes).unwrap();
        assert!(!cut.whole && cut.printable && cut.components == 3);
        bytes.extend([0xFF, 0xD9]);
        assert!(jpeg(&bytes).unwrap().whole);
        assert!(is_whole(MediaType::Jpeg, &bytes));
    }

    #[test]
    fn no_prefix_of_anything_panics() {
        let bytes = [0xFF, 0xD8, 0xFF, 0xC0, 0x00, 0x11, 8, 0xFF, 0xFF, 0xFF, 0xFF, 0xD9];
        for end in 0..bytes.len() {
            for kind in MediaType::ALL {
                assert!(!is_whole(*kind, &bytes[..end]), "{kind:?} {end}");
            }
        }
    }
}
