//! Cuts a TrueType file down to the glyphs a report uses, so that a report stays small. Glyph
//! numbers stay as they are; an unused glyph becomes an empty one.

use std::collections::BTreeSet;

use crate::figure::FontTables;

/// Bits of a composite glyph's component (OpenType specification, `glyf` table).
const WORDS: u16 = 0x0001;
const SCALE: u16 = 0x0008;
const MORE: u16 = 0x0020;
const XY_SCALE: u16 = 0x0040;
const TWO_BY_TWO: u16 = 0x0080;

fn u16_at(bytes: &[u8], at: usize) -> Option<u16> {
    let pair = bytes.get(at..at.checked_add(2)?)?;
    Some(u16::from_be_bytes([*pair.first()?, *pair.get(1)?]))
}

fn u32_at(bytes: &[u8], at: usize) -> Option<u32> {
    Some((u32::from(u16_at(bytes, at)?) << 16) | u32::from(u16_at(bytes, at + 2)?))
}

/// The outlines of a font with where each begins.
struct Outlines<'a> {
    glyf: &'a [u8],
    offsets: Vec<usize>,
}

impl<'a> Outlines<'a> {
    fn read(tables: &FontTables<'a>) -> Option<Self> {
        let long = u16_at(tables.table(b"head")?, 50)? == 1;
        let count = usize::from(u16_at(tables.table(b"maxp")?, 4)?);
        let loca = tables.table(b"loca")?;
        let offsets = (0..=count)
            .map(|glyph| {
                if long {
                    usize::try_from(u32_at(loca, 4 * glyph)?).ok()
                } else {
                    Some(2 * usize::from(u16_at(loca, 2 * glyph)?))
                }
            })
            .collect::<Option<Vec<_>>>()?;
        Some(Self { glyf: tables.table(b"glyf")?, offsets })
    }

    fn glyph(&self, glyph: u16) -> Option<&'a [u8]> {
        let index = usize::from(glyph);
        self.glyf.get(*self.offsets.get(index)?..*self.offsets.get(index + 1)?)
    }

    /// The glyphs that a composite glyph is made of.
    fn components(&self, glyph: u16) -> Vec<u16> {
        let mut parts = Vec::new();
        let Some(outline) = self.glyph(glyph) else { return parts };
        // A negative number of contours says that the glyph is composite.
        if u16_at(outline, 0).is_none_or(|contours| contours < 0x8000) {
            return parts;
        }
        let mut at = 10;
        while let (Some(flags), Some(part)) = (u16_at(outline, at), u16_at(outline, at + 2)) {
            parts.push(part);
            at += if flags & WORDS == 0 { 6 } else { 8 };
            at += match flags {
                flags if flags & SCALE != 0 => 2,
                flags if flags & XY_SCALE != 0 => 4,
                flags if flags & TWO_BY_TWO != 0 => 8,
                _ => 0,
            };
            if flags & MORE == 0 {
                break;
            }
        }
        parts
    }

    fn closure(&self, used: &BTreeSet<u16>) -> BTreeSet<u16> {
        let mut all = BTreeSet::from([0]);
        let mut open: Vec<u16> = used.iter().copied().collect();
        while let Some(glyph) = open.pop() {
            if all.insert(glyph) {
                open.extend(self.components(glyph));
            }
        }
        all
    }
}

/// The file with only the glyphs in `used`, the glyphs they are made of, and the one for
/// "missing"; nothing when the file is not one with TrueType outlines.
pub(super) fn subset(bytes: &[u8], used: &BTreeSet<u16>) -> Option<Vec<u8>> {
    let tables = FontTables::new(bytes);
    let outlines = Outlines::read(&tables)?;
    let kept = outlines.closure(used);
    let count = u16::try_from(outlines.offsets.len().checked_sub(1)?).ok()?;

    let mut glyf = Vec::new();
    let mut loca = Vec::new();
    for glyph in 0..count {
        loca.extend(u32::try_from(glyf.len()).ok()?.to_be_bytes());
        if kept.contains(&glyph) {
            glyf.extend_from_slice(outlines.glyph(glyph)?);
            while glyf.len() % 4 != 0 {
                glyf.push(0);
            }
        }
    }
    loca.extend(u32::try_from(glyf.len()).ok()?.to_be_bytes());

    let mut head = tables.table(b"head")?.to_vec();
    head.get_mut(8..12)?.fill(0);
    head.get_mut(50..52)?.copy_from_slice(&1_u16.to_be_bytes());
    let hmtx = metrics(&tables, &kept)?;
    let mut written: Vec<(&[u8; 4], Vec<u8>)> = Vec::new();
    for tag in [b"cvt ", b"fpgm", b"glyf", b"head", b"hhea", b"hmtx", b"loca", b"maxp", b"prep"] {
        let table = match tag {
            b"glyf" => Some(std::mem::take(&mut glyf)),
            b"loca" => Some(std::mem::take(&mut loca)),
            b"head" => Some(std::mem::take(&mut head)),
            b"hmtx" => Some(hmtx.clone()),
            other => tables.table(other).map(<[u8]>::to_vec),
        };
        written.extend(table.map(|table| (tag, table)));
    }
    assemble(written)
}

/// The advance widths with those of unused glyphs emptied, so that they deflate to nothing.
fn metrics(tables: &FontTables<'_>, kept: &BTreeSet<u16>) -> Option<Vec<u8>> {
    let mut hmtx = tables.table(b"hmtx")?.to_vec();
    let long = u16_at(tables.table(b"hhea")?, 34)?;
    // The last long entry also holds for all glyphs after it.
    for glyph in 0..long.saturating_sub(1) {
        if !kept.contains(&glyph) {
            let at = 4 * usize::from(glyph);
            hmtx.get_mut(at..at + 4)?.fill(0);
        }
    }
    Some(hmtx)
}

fn checksum(table: &[u8]) -> u32 {
    table.chunks(4).fold(0, |sum: u32, chunk| {
        let mut word = [0; 4];
        for (place, byte) in word.iter_mut().zip(chunk) {
            *place = *byte;
        }
        sum.wrapping_add(u32::from_be_bytes(word))
    })
}

fn assemble(tables: Vec<(&[u8; 4], Vec<u8>)>) -> Option<Vec<u8>> {
    let count = u16::try_from(tables.len()).ok()?;
    let entry = count.checked_ilog2()?;
    let range = 16 * (1_u16 << entry);
    let mut file = vec![0, 1, 0, 0];
    for number in [count, range, u16::try_from(entry).ok()?, 16 * count - range] {
        file.extend(number.to_be_bytes());
    }
    let mut start = file.len() + 16 * tables.len();
    for (tag, table) in &tables {
        file.extend_from_slice(*tag);
        for number in
            [checksum(table), u32::try_from(start).ok()?, u32::try_from(table.len()).ok()?]
        {
            file.extend(number.to_be_bytes());
        }
        start += table.len().next_multiple_of(4);
    }
    for (_, table) in tables {
        file.extend(table);
        while file.len() % 4 != 0 {
            file.push(0);
        }
    }
    Some(file)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figure::typeface::Face;

    #[test]
    fn a_subset_keeps_the_used_glyphs_and_is_small() {
        for face in Face::ALL {
            let font = face.font();
            let used: BTreeSet<u16> =
                "Täst Ω λ ≤ é ½ 0123".chars().filter_map(|sign| font.glyph(sign)).collect();
            let small = subset(font.bytes, &used).unwrap();
            assert!(small.len() < 60_000, "{face:?}: {}", small.len());
            let (old, new) = (FontTables::new(font.bytes), FontTables::new(&small));
            let (old, new) = (Outlines::read(&old).unwrap(), Outlines::read(&new).unwrap());
            for glyph in old.closure(&used) {
                let (a, b) = (old.glyph(glyph).unwrap(), new.glyph(glyph).unwrap());
                assert_eq!(a, &b[..a.len()]);
            }
            let unused = font.glyph('Q').unwrap();
            assert!(new.glyph(unused).unwrap().is_empty());
        }
    }

    #[test]
    fn a_file_that_is_no_font_has_no_subset() {
        for bytes in [&b""[..], b"\0\x01\0\0\0\x02", &[0xff; 64]] {
            assert!(subset(bytes, &BTreeSet::from([5])).is_none());
        }
    }
}
