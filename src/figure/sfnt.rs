//! Reads what is needed of a TrueType file: which glyph a character has, how wide it is, and
//! which glyph a figure takes when lining or tabular figures are asked for.
//!
//! Every read is checked: a damaged file gives fewer glyphs, never a panic.

use std::collections::BTreeMap;

/// The tables of one TrueType file, by tag, each a slice of the file.
#[derive(Debug, Clone, Copy)]
pub struct FontTables<'a> {
    bytes: &'a [u8],
}

/// What a font descriptor says of a font, in font units.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FontMetrics {
    /// Height above the baseline.
    pub ascent: i16,
    /// Depth below the baseline, negative.
    pub descent: i16,
    /// Left, lower, right and upper edge of all glyphs laid over each other.
    pub extent: [i16; 4],
    /// Weight class, 400 for regular.
    pub weight: u16,
}

fn u16_at(bytes: &[u8], at: usize) -> Option<u16> {
    let pair = bytes.get(at..at.checked_add(2)?)?;
    Some(u16::from_be_bytes([*pair.first()?, *pair.get(1)?]))
}

fn i16_at(bytes: &[u8], at: usize) -> Option<i16> {
    u16_at(bytes, at).map(u16::cast_signed)
}

fn u32_at(bytes: &[u8], at: usize) -> Option<u32> {
    let high = u32::from(u16_at(bytes, at)?);
    let low = u32::from(u16_at(bytes, at.checked_add(2)?)?);
    Some((high << 16) | low)
}

fn offset_at(bytes: &[u8], at: usize) -> Option<usize> {
    u16_at(bytes, at).map(usize::from)
}

fn long_offset_at(bytes: &[u8], at: usize) -> Option<usize> {
    usize::try_from(u32_at(bytes, at)?).ok()
}

impl<'a> FontTables<'a> {
    /// The tables of the file in `bytes`; a file that is no TrueType file has none.
    #[must_use]
    pub const fn new(bytes: &'a [u8]) -> Self {
        Self { bytes }
    }

    /// The table with this four-letter tag, or nothing when the file lacks it.
    #[must_use]
    pub fn table(&self, tag: &[u8; 4]) -> Option<&'a [u8]> {
        let count = offset_at(self.bytes, 4)?;
        (0..count).find_map(|index| {
            let record = 12 + 16 * index;
            if self.bytes.get(record..record + 4)? != tag {
                return None;
            }
            let start = long_offset_at(self.bytes, record + 8)?;
            let length = long_offset_at(self.bytes, record + 12)?;
            self.bytes.get(start..start.checked_add(length)?)
        })
    }

    /// Font units in one em, 1000 when the file does not say.
    #[must_use]
    pub fn units_per_em(&self) -> u16 {
        self.table(b"head")
            .and_then(|head| u16_at(head, 18))
            .filter(|units| *units > 0)
            .unwrap_or(1000)
    }

    /// What a font descriptor says of the font, in font units; nothing when a table is missing.
    #[must_use]
    pub fn metrics(&self) -> Option<FontMetrics> {
        let head = self.table(b"head")?;
        let hhea = self.table(b"hhea")?;
        Some(FontMetrics {
            ascent: i16_at(hhea, 4)?,
            descent: i16_at(hhea, 6)?,
            extent: [i16_at(head, 36)?, i16_at(head, 38)?, i16_at(head, 40)?, i16_at(head, 42)?],
            weight: u16_at(self.table(b"OS/2")?, 4)?,
        })
    }

    /// Advance widths by glyph, in font units.
    pub(super) fn advances(&self) -> Vec<u16> {
        let metrics = self.table(b"hhea").and_then(|hhea| offset_at(hhea, 34)).unwrap_or(0);
        let glyphs = self.table(b"maxp").and_then(|maxp| offset_at(maxp, 4)).unwrap_or(0);
        let Some(hmtx) = self.table(b"hmtx") else {
            return Vec::new();
        };
        (0..glyphs)
            .map_while(|glyph| u16_at(hmtx, 4 * glyph.min(metrics.saturating_sub(1))))
            .collect()
    }

    /// The glyph of each character of the basic plane (cmap format 4).
    pub(super) fn characters(&self) -> BTreeMap<char, u16> {
        self.table(b"cmap").and_then(read_cmap).unwrap_or_default()
    }

    /// What the single substitutions of a feature (`lnum`, `tnum`) put in place of a glyph.
    pub(super) fn substitutions(&self, feature: &[u8; 4]) -> BTreeMap<u16, u16> {
        let mut pairs = BTreeMap::new();
        if let Some(gsub) = self.table(b"GSUB") {
            read_feature(gsub, feature, &mut pairs);
        }
        pairs
    }
}

fn read_cmap(cmap: &[u8]) -> Option<BTreeMap<char, u16>> {
    let count = offset_at(cmap, 2)?;
    let subtable = (0..count).find_map(|index| {
        let record = 4 + 8 * index;
        let start = long_offset_at(cmap, record + 4)?;
        let subtable = cmap.get(start..)?;
        (u16_at(subtable, 0)? == 4).then_some(subtable)
    })?;
    let segments = offset_at(subtable, 6)? / 2;
    let (ends, starts) = (14, 16 + 2 * segments);
    let (deltas, ranges) = (16 + 4 * segments, 16 + 6 * segments);
    let mut glyphs = BTreeMap::new();
    for segment in 0..segments {
        let end = u16_at(subtable, ends + 2 * segment)?;
        let start = u16_at(subtable, starts + 2 * segment)?;
        let delta = u16_at(subtable, deltas + 2 * segment)?;
        let range_at = ranges + 2 * segment;
        let range = offset_at(subtable, range_at)?;
        for code in start..=end {
            let glyph = if range == 0 {
                code.wrapping_add(delta)
            } else {
                let at = range_at + range + 2 * usize::from(code - start);
                match u16_at(subtable, at) {
                    Some(0) | None => 0,
                    Some(glyph) => glyph.wrapping_add(delta),
                }
            };
            if let Some(character) = char::from_u32(u32::from(code))
                && glyph != 0
            {
                glyphs.insert(character, glyph);
            }
        }
    }
    Some(glyphs)
}

fn read_feature(gsub: &[u8], feature: &[u8; 4], pairs: &mut BTreeMap<u16, u16>) -> Option<()> {
    let features = gsub.get(offset_at(gsub, 6)?..)?;
    let lookups = gsub.get(offset_at(gsub, 8)?..)?;
    for index in 0..offset_at(features, 0)? {
        let record = 2 + 6 * index;
        if features.get(record..record + 4)? != feature {
            continue;
        }
        let table = features.get(offset_at(features, record + 4)?..)?;
        for entry in 0..offset_at(table, 2)? {
            let lookup = offset_at(table, 4 + 2 * entry)?;
            let lookup = lookups.get(offset_at(lookups, 2 + 2 * lookup)?..)?;
            read_lookup(lookup, pairs);
        }
    }
    Some(())
}

fn read_lookup(lookup: &[u8], pairs: &mut BTreeMap<u16, u16>) -> Option<()> {
    const SINGLE: u16 = 1;
    const EXTENSION: u16 = 7;
    let kind = u16_at(lookup, 0)?;
    for index in 0..offset_at(lookup, 4)? {
        let subtable = lookup.get(offset_at(lookup, 6 + 2 * index)?..)?;
        if kind == SINGLE {
            read_single(subtable, pairs);
        } else if kind == EXTENSION && u16_at(subtable, 2)? == SINGLE {
            read_single(subtable.get(long_offset_at(subtable, 4)?..)?, pairs);
        }
    }
    Some(())
}

fn read_single(subtable: &[u8], pairs: &mut BTreeMap<u16, u16>) -> Option<()> {
    let format = u16_at(subtable, 0)?;
    let covered = read_coverage(subtable.get(offset_at(subtable, 2)?..)?)?;
    for (index, glyph) in covered.into_iter().enumerate() {
        let other = if format == 1 {
            glyph.wrapping_add(u16_at(subtable, 4)?)
        } else {
            u16_at(subtable, 6 + 2 * index)?
        };
        pairs.entry(glyph).or_insert(other);
    }
    Some(())
}

fn read_coverage(coverage: &[u8]) -> Option<Vec<u16>> {
    let count = offset_at(coverage, 2)?;
    if u16_at(coverage, 0)? == 1 {
        return (0..count).map(|index| u16_at(coverage, 4 + 2 * index)).collect();
    }
    let mut glyphs = Vec::new();
    for index in 0..count {
        let record = 4 + 6 * index;
        glyphs.extend(u16_at(coverage, record)?..=u16_at(coverage, record + 2)?);
    }
    Some(glyphs)
}
