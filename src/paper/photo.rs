//! Photographs for a report: what is read from the head of a JPEG file, so that its bytes go into the
//! PDF as they are, without being decoded.

use sha2::{Digest, Sha256};

/// How a photo's samples are to be understood.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Samples {
    /// One component.
    Grey,
    /// Three, red, green and blue in the end.
    Colour,
    /// Four inks; `inverted` where 0 means full ink, as files with an Adobe segment have it.
    Inks { inverted: bool },
}

/// What a report keeps of a JPEG file until it is written: everything but its bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Photo {
    /// SHA-256 of the file.
    pub digest: [u8; 32],
    /// The file's bytes.
    pub length: u64,
    /// Columns and rows as stored.
    pub(super) stored: [u16; 2],
    pub(super) samples: Samples,
    /// How the stored rows are to be turned: 1 to 8, as Exif's tag 274 says; 1 is upright.
    pub(super) orientation: u8,
}

/// Why a file cannot be printed as it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NotPrintable {
    /// It does not begin as a JPEG file does, or ends before its image.
    #[error("it is not a whole JPEG file")]
    NotJpeg,
    /// A coding that no PDF reader takes: lossless, hierarchical or arithmetic.
    #[error("its coding is not one that a PDF can hold")]
    Coding,
    /// Not 8 bits for each of 1, 3 or 4 components, or no size.
    #[error("its size or number of components is not one that a PDF can hold")]
    Shape,
}

impl Photo {
    /// Reads the head of a file.
    ///
    /// Source: ITU-T T.81, annex B (markers); JPEG in PDF: ISO 32000-1, 7.4.8; orientation: Exif 2.3,
    /// tag 274; Adobe's segment: Adobe technical note 5116, 18.
    ///
    /// # Errors
    /// [`NotPrintable`].
    pub fn read(bytes: &[u8]) -> Result<Self, NotPrintable> {
        let head = Head::read(bytes)?;
        let samples = match head.components {
            1 => Samples::Grey,
            3 => Samples::Colour,
            _ => Samples::Inks { inverted: head.adobe },
        };
        Ok(Self {
            digest: Sha256::digest(bytes).into(),
            length: u64::try_from(bytes.len()).unwrap_or(u64::MAX),
            stored: head.size,
            samples,
            orientation: head.orientation,
        })
    }

    /// The same photo, turned as somebody else says: 1 to 8 as Exif's tag 274; anything else is upright.
    #[must_use]
    pub fn turned(self, orientation: u8) -> Self {
        Self { orientation: if (1..=8).contains(&orientation) { orientation } else { 1 }, ..self }
    }

    /// Width over height as it is looked at.
    pub(super) fn ratio(&self) -> f64 {
        let [columns, rows] = self.stored.map(f64::from);
        if self.orientation >= 5 { rows / columns } else { columns / rows }
    }

    /// The matrix that lays the stored image, which PDF has in a square of 1 with its first row on
    /// top, upright into a box of `width` and `height` whose lower left corner is at 0.
    pub(super) fn placement(&self, [width, height]: [f64; 2]) -> [f64; 6] {
        // What Exif says of the 0th row and the 0th column, orientation by orientation.
        match self.orientation {
            2 => [-width, 0.0, 0.0, height, width, 0.0],
            3 => [-width, 0.0, 0.0, -height, width, height],
            4 => [width, 0.0, 0.0, -height, 0.0, height],
            5 => [0.0, -height, -width, 0.0, width, height],
            6 => [0.0, -height, width, 0.0, 0.0, height],
            7 => [0.0, height, width, 0.0, 0.0, 0.0],
            8 => [0.0, height, -width, 0.0, width, 0.0],
            _ => [width, 0.0, 0.0, height, 0.0, 0.0],
        }
    }
}

/// What the segments before the image's data say.
struct Head {
    size: [u16; 2],
    components: u8,
    adobe: bool,
    orientation: u8,
}

impl Head {
    fn read(bytes: &[u8]) -> Result<Self, NotPrintable> {
        let mut frame = None;
        let (mut adobe, mut orientation) = (false, 1);
        if bytes.get(..2) != Some(&[0xff, 0xd8]) {
            return Err(NotPrintable::NotJpeg);
        }
        let mut at = 2;
        loop {
            let (marker, body, next) = segment(bytes, at).ok_or(NotPrintable::NotJpeg)?;
            match marker {
                0xc0..=0xc2 => frame = Some(frame_of(body)?),
                // A table of codes, and extensions that hold no frame.
                0xc4 | 0xc8 => {}
                0xc3 | 0xc5..=0xc7 | 0xc9..=0xcf => return Err(NotPrintable::Coding),
                0xda => break,
                0xe1 => orientation = turned(body).unwrap_or(orientation),
                0xee => adobe |= body.starts_with(b"Adobe"),
                _ => {}
            }
            at = next;
        }
        let (size, components) = frame.ok_or(NotPrintable::NotJpeg)?;
        Ok(Self { size, components, adobe, orientation })
    }
}

/// The marker at `at`, what its segment holds, and where the next one begins.
fn segment(bytes: &[u8], at: usize) -> Option<(u8, &[u8], usize)> {
    if *bytes.get(at)? != 0xff {
        return None;
    }
    // Any number of fill bytes may stand before a marker.
    let fill = bytes.get(at..)?.iter().take_while(|byte| **byte == 0xff).count();
    let at = at.checked_add(fill)?;
    let marker = *bytes.get(at)?;
    // These stand alone, without a length: they do not come before an image's data.
    if matches!(marker, 0x00 | 0x01 | 0xd0..=0xd9) {
        return None;
    }
    let length = usize::from(big(bytes, at + 1)?);
    let body = bytes.get(at + 3..(at + 1).checked_add(length)?)?;
    Some((marker, body, at + 1 + length))
}

/// Columns and rows, and the number of components.
fn frame_of(body: &[u8]) -> Result<([u16; 2], u8), NotPrintable> {
    let read = || Some((*body.first()?, big(body, 1)?, big(body, 3)?, *body.get(5)?));
    let (bits, rows, columns, components) = read().ok_or(NotPrintable::NotJpeg)?;
    if bits != 8 || rows == 0 || columns == 0 || !matches!(components, 1 | 3 | 4) {
        return Err(NotPrintable::Shape);
    }
    Ok(([columns, rows], components))
}

fn big(bytes: &[u8], at: usize) -> Option<u16> {
    let pair = bytes.get(at..at.checked_add(2)?)?;
    Some(u16::from_be_bytes(pair.try_into().ok()?))
}

/// The orientation that an Exif segment names; `None` where it names none or is damaged.
fn turned(body: &[u8]) -> Option<u8> {
    let tiff = body.strip_prefix(b"Exif\0\0")?;
    let little = match tiff.get(..4)? {
        [b'I', b'I', 42, 0] => true,
        [b'M', b'M', 0, 42] => false,
        _ => return None,
    };
    let short = |at: usize| -> Option<u16> {
        let pair: [u8; 2] = tiff.get(at..at.checked_add(2)?)?.try_into().ok()?;
        Some(if little { u16::from_le_bytes(pair) } else { u16::from_be_bytes(pair) })
    };
    let long = |at: usize| -> Option<u32> {
        let four: [u8; 4] = tiff.get(at..at.checked_add(4)?)?.try_into().ok()?;
        Some(if little { u32::from_le_bytes(four) } else { u32::from_be_bytes(four) })
    };
    let directory = usize::try_from(long(4)?).ok()?;
    let entries = usize::from(short(directory)?);
    for entry in 0..entries {
        let at = directory.checked_add(2 + 12 * entry)?;
        // Tag 274, one SHORT.
        if short(at)? == 274 && short(at + 2)? == 3 {
            return u8::try_from(short(at + 8)?).ok().filter(|way| (1..=8).contains(way));
        }
    }
    None
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The head of a JPEG file with an image of nothing, for what is done without decoding it.
    pub(crate) fn jpeg(size: [u16; 2], components: u8, before: &[&[u8]]) -> Vec<u8> {
        let mut bytes = vec![0xff, 0xd8];
        for segment in before {
            bytes.extend_from_slice(segment);
        }
        let mut frame = vec![8];
        frame.extend(size[1].to_be_bytes());
        frame.extend(size[0].to_be_bytes());
        frame.push(components);
        for component in 0..components {
            frame.extend([component + 1, 0x11, 0]);
        }
        bytes.extend(marked(0xc0, &frame));
        bytes.extend(marked(0xda, &[components]));
        bytes.extend([0x12, 0x34, 0xff, 0xd9]);
        bytes
    }

    /// A picture of `blocks` by three quarters of it, each block of 8 by 8 one shade: an arrow that
    /// points up on a sky that gets darker to the right. Coded with one coefficient for each block.
    ///
    /// Source of the coding: ITU-T T.81, annex F.
    pub(crate) fn picture(blocks: u16, components: u8, before: &[&[u8]]) -> Vec<u8> {
        let rows = blocks * 3 / 4;
        let mut lengths = vec![0; 16];
        lengths[3] = 12;
        let dc: Vec<u8> = [&[0x00][..], &lengths, &(0..12).collect::<Vec<u8>>()].concat();
        lengths[3] = 0;
        lengths[0] = 1;
        let ac: Vec<u8> = [&[0x10][..], &lengths, &[0]].concat();
        // All divisors are 8, so that a block's coefficient is its shade less 128.
        let divisors: Vec<u8> = [&[0][..], &[8; 64]].concat();
        let tables = [marked(0xdb, &divisors), marked(0xc4, &dc), marked(0xc4, &ac)].concat();
        let before: Vec<u8> = [before.concat(), tables].concat();
        let head = jpeg([blocks * 8, rows * 8], components, &[&before]);
        let mut scan = vec![components];
        (0..components).for_each(|component| scan.extend([component + 1, 0]));
        scan.extend([0, 63, 0]);
        let begins = head.len() - 4 - marked(0xda, &[components]).len();
        let mut bytes = [&head[..begins], &marked(0xda, &scan)].concat();
        let (mut bits, mut before) = (Vec::new(), [0_i32; 4]);
        for row in 0..i32::from(rows) {
            for column in 0..i32::from(blocks) {
                let shades = shades(row, column, i32::from(blocks));
                for component in 0..usize::from(components) {
                    coefficient(&mut bits, shades[component] - before[component]);
                    before[component] = shades[component];
                }
            }
        }
        bits.resize(bits.len().next_multiple_of(8), true);
        for eight in bits.chunks(8) {
            let byte = eight.iter().fold(0_u8, |byte, bit| byte << 1 | u8::from(*bit));
            bytes.push(byte);
            // A byte of ones is followed by an empty one, so that it is no marker.
            bytes.extend((byte == 0xff).then_some(0));
        }
        [bytes, vec![0xff, 0xd9]].concat()
    }

    fn shades(row: i32, column: i32, blocks: i32) -> [i32; 4] {
        let (across, middle) = ((column - blocks / 2).abs(), blocks * 3 / 8);
        let head = row < middle && across * 2 < row;
        let shaft = row >= middle && across < blocks / 16;
        if head || shaft { [-40, -20, 50, 0] } else { [100 - column * 100 / blocks, 20, -10, 0] }
    }

    /// The difference to the block before, then that no other coefficient follows.
    fn coefficient(bits: &mut Vec<bool>, difference: i32) {
        let size = 32 - difference.unsigned_abs().leading_zeros();
        let value = if difference < 0 { difference - 1 } else { difference };
        bits.extend((0..4).rev().map(|bit| size >> bit & 1 == 1));
        bits.extend((0..size).rev().map(|bit| value >> bit & 1 == 1));
        bits.push(false);
    }

    pub(crate) fn marked(marker: u8, body: &[u8]) -> Vec<u8> {
        let mut bytes = vec![0xff, marker];
        bytes.extend(u16::try_from(body.len() + 2).unwrap().to_be_bytes());
        bytes.extend_from_slice(body);
        bytes
    }

    /// An Exif segment that says how the photo is turned, in either order of bytes.
    pub(crate) fn exif(orientation: u16, little: bool) -> Vec<u8> {
        let short = |value: u16| if little { value.to_le_bytes() } else { value.to_be_bytes() };
        let long = |value: u32| if little { value.to_le_bytes() } else { value.to_be_bytes() };
        let mut body = b"Exif\0\0".to_vec();
        body.extend_from_slice(if little { b"II" } else { b"MM" });
        body.extend(short(42));
        body.extend(long(8));
        body.extend(short(2));
        for (tag, value) in [(256_u16, 7_u16), (274, orientation)] {
            body.extend(short(tag));
            body.extend(short(3));
            body.extend(long(1));
            body.extend(short(value));
            body.extend([0, 0]);
        }
        body.extend(long(0));
        marked(0xe1, &body)
    }

    #[test]
    fn size_components_and_inks_are_read_from_the_head() {
        let photo = Photo::read(&jpeg([4000, 3000], 3, &[])).unwrap();
        assert_eq!((photo.stored, photo.samples), ([4000, 3000], Samples::Colour));
        assert_eq!(photo.orientation, 1);
        assert!((photo.ratio() - 4.0 / 3.0).abs() < 1e-9);
        // Any number of fill bytes may stand before a marker.
        let grey = jpeg([10, 20], 1, &[&marked(0xfe, b"words")[..], &[0xff, 0xff]]);
        assert_eq!(Photo::read(&grey).unwrap().samples, Samples::Grey);
        let inks = Photo::read(&jpeg([1, 1], 4, &[])).unwrap();
        assert_eq!(inks.samples, Samples::Inks { inverted: false });
        let adobe = marked(0xee, b"Adobe\0\x64\0\0\0\0\x02");
        let inks = Photo::read(&jpeg([1, 1], 4, &[&adobe])).unwrap();
        assert_eq!(inks.samples, Samples::Inks { inverted: true });
    }

    #[test]
    fn what_no_pdf_can_hold_is_refused() {
        assert_eq!(Photo::read(b"\x89PNG\r\n"), Err(NotPrintable::NotJpeg));
        assert_eq!(Photo::read(b""), Err(NotPrintable::NotJpeg));
        assert_eq!(Photo::read(&jpeg([0, 5], 3, &[])), Err(NotPrintable::Shape));
        assert_eq!(Photo::read(&jpeg([5, 5], 2, &[])), Err(NotPrintable::Shape));
        let arithmetic = marked(0xc9, &[8, 0, 1, 0, 1, 1, 1, 0x11, 0]);
        assert_eq!(Photo::read(&jpeg([5, 5], 3, &[&arithmetic])), Err(NotPrintable::Coding));
        let whole = jpeg([640, 480], 3, &[&exif(6, true)]);
        for cut in 0..whole.len() - 5 {
            assert!(Photo::read(&whole[..cut]).is_err(), "{cut}");
        }
    }

    /// Exif 2.3, tag 274: where the 0th row and the 0th column of the stored image are seen.
    #[test]
    fn a_turned_photo_stands_upright() {
        let (left, right, top, bottom) = ("left", "right", "top", "bottom");
        let table = [
            (1, top, left),
            (2, top, right),
            (3, bottom, right),
            (4, bottom, left),
            (5, left, top),
            (6, right, top),
            (7, right, bottom),
            (8, left, bottom),
        ];
        for (orientation, row, column) in table {
            for little in [true, false] {
                let bytes = jpeg([400, 300], 3, &[&exif(orientation, little)]);
                let photo = Photo::read(&bytes).unwrap();
                assert_eq!(u16::from(photo.orientation), orientation);
                let upright = if orientation < 5 { 4.0 / 3.0 } else { 3.0 / 4.0 };
                assert!((photo.ratio() - upright).abs() < 1e-9);
                let [a, b, c, d, e, f] = photo.placement([40.0, 30.0]);
                let seen = |u: f64, v: f64| [a * u + c * v + e, b * u + d * v + f];
                // The middle of the stored top row and of the stored left column.
                for (side, [x, y]) in [(row, seen(0.5, 1.0)), (column, seen(0.0, 0.5))] {
                    let at = match (x.round(), y.round()) {
                        (0.0, 15.0) => left,
                        (40.0, 15.0) => right,
                        (20.0, 30.0) => top,
                        (20.0, 0.0) => bottom,
                        other => panic!("{orientation}: {other:?}"),
                    };
                    assert_eq!(at, side, "{orientation}");
                }
            }
        }
        let odd = Photo::read(&jpeg([4, 3], 3, &[&exif(9, true)])).unwrap();
        assert_eq!(odd.orientation, 1);
    }

    proptest! {
        #[test]
        fn no_bytes_break_it(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
            let mut begun = vec![0xff, 0xd8, 0xff];
            begun.extend(&bytes);
            let _ = Photo::read(&bytes);
            let _ = Photo::read(&begun);
            let mut exif = b"Exif\0\0II*\0".to_vec();
            exif.extend(&bytes);
            let _ = turned(&exif);
        }
    }
}
