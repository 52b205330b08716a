//! The three faces of the product, measured from the same files that pages serve and reports
//! embed, so that a label takes the same room in both.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use crate::figure::sfnt::FontTables;

/// A face that text is set in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Face {
    /// Fira Sans Regular: running text and figures.
    Text,
    /// Fira Sans SemiBold: names, column heads.
    Strong,
    /// Vollkorn SemiBold: headings.
    Heading,
}

/// One font file with what was read from it once.
#[derive(Debug)]
pub struct Font {
    /// The whole TrueType file.
    pub bytes: &'static [u8],
    /// PostScript name.
    pub name: &'static str,
    units_per_em: f64,
    glyphs: BTreeMap<char, u16>,
    advances: Vec<u16>,
}

static TEXT: LazyLock<Font> = LazyLock::new(|| {
    Font::read(
        include_bytes!("../../static/fonts/FiraSans-Regular.ttf"),
        "FiraSans-Regular",
        &[b"lnum", b"tnum"],
    )
});
static STRONG: LazyLock<Font> = LazyLock::new(|| {
    Font::read(
        include_bytes!("../../static/fonts/FiraSans-SemiBold.ttf"),
        "FiraSans-SemiBold",
        &[b"lnum", b"tnum"],
    )
});
static HEADING: LazyLock<Font> = LazyLock::new(|| {
    Font::read(
        include_bytes!("../../static/fonts/Vollkorn-SemiBold.ttf"),
        "Vollkorn-SemiBold",
        &[b"lnum"],
    )
});

impl Font {
    fn read(bytes: &'static [u8], name: &'static str, figures: &[&[u8; 4]]) -> Self {
        let tables = FontTables::new(bytes);
        let mut glyphs = tables.characters();
        for feature in figures {
            let others = tables.substitutions(feature);
            for figure in '0'..='9' {
                if let Some(glyph) = glyphs.get_mut(&figure)
                    && let Some(other) = others.get(glyph)
                {
                    *glyph = *other;
                }
            }
        }
        Self {
            bytes,
            name,
            units_per_em: f64::from(tables.units_per_em()),
            glyphs,
            advances: tables.advances(),
        }
    }

    /// The glyph of a character; figures give their lining glyph, in the text faces the tabular
    /// one. Nothing when the font lacks the character.
    #[must_use]
    pub fn glyph(&self, character: char) -> Option<u16> {
        self.glyphs.get(&character).copied()
    }

    /// Advance width of a glyph in font units, 0 for a glyph the font does not have.
    #[must_use]
    pub fn advance(&self, glyph: u16) -> u16 {
        self.advances.get(usize::from(glyph)).copied().unwrap_or(0)
    }
}

impl Face {
    /// All faces, in the order in which a report embeds them.
    pub const ALL: [Self; 3] = [Self::Text, Self::Strong, Self::Heading];

    /// The font file behind the face, read at its first use.
    #[must_use]
    pub fn font(self) -> &'static Font {
        match self {
            Self::Text => &TEXT,
            Self::Strong => &STRONG,
            Self::Heading => &HEADING,
        }
    }

    /// The face and glyph that a character is set in: this face's own, else another's that has
    /// it. Nothing when no face has the character.
    #[must_use]
    pub fn setting(self, character: char) -> Option<(Self, u16)> {
        let others = match self {
            Self::Text => [self, Self::Strong, Self::Heading],
            Self::Strong => [self, Self::Text, Self::Heading],
            Self::Heading => [self, Self::Strong, Self::Text],
        };
        others.into_iter().find_map(|face| {
            let glyph = face.font().glyph(character)?;
            Some((face, glyph))
        })
    }

    /// Width of one character in em; 1 for a character that no face has, so that whatever stands
    /// in for it has room.
    #[must_use]
    pub fn width_em(self, character: char) -> f64 {
        self.setting(character).map_or(1.0, |(face, glyph)| {
            let font = face.font();
            f64::from(font.advance(glyph)) / font.units_per_em
        })
    }

    /// Width of `text` at `size`, in the unit of `size`; kerning is left out.
    #[must_use]
    pub fn measure(self, text: &str, size: f64) -> f64 {
        size * text.chars().map(|character| self.width_em(character)).sum::<f64>()
    }

    /// Breaks `text` into lines of at most `width` (same unit as `size`): at spaces, else after
    /// a slash, dash or full stop within a word, else between any two characters, without a
    /// hyphen so that codes and addresses stay as they are. At least one line comes back, and each line
    /// holds at least one character however narrow the column.
    #[must_use]
    pub fn wrap(self, text: &str, size: f64, width: f64) -> Vec<String> {
        let mut lines = Vec::new();
        let mut line = String::new();
        for word in words(text) {
            let joined = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
            if self.measure(&joined, size) <= width {
                line = joined;
                continue;
            }
            if !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            line = self.break_word(word, size, width, &mut lines);
        }
        if !line.is_empty() || lines.is_empty() {
            lines.push(line);
        }
        lines
    }

    /// Pushes the full lines of a word that may be wider than the column; gives back its rest.
    fn break_word(self, word: &str, size: f64, width: f64, lines: &mut Vec<String>) -> String {
        let mut rest = word;
        while self.measure(rest, size) > width {
            let (head, tail) = self.split_word(rest, size, width);
            if tail.is_empty() {
                break;
            }
            lines.push(head.to_owned());
            rest = tail;
        }
        rest.to_owned()
    }

    /// The part of a word that fits `width`, at least one character, and the rest.
    pub(crate) fn split_word(self, word: &str, size: f64, width: f64) -> (&str, &str) {
        let mut fits = 0;
        let mut good = 0;
        let mut used = 0.0;
        for (at, character) in word.char_indices() {
            used += self.width_em(character) * size;
            if fits > 0 && used > width {
                break;
            }
            fits = at + character.len_utf8();
            if matches!(character, '/' | '-' | '–' | '.' | '_' | ',') {
                good = fits;
            }
        }
        word.split_at(if good > 0 { good } else { fits })
    }
}

/// The words between spaces at which a line may end; a no-break space is none.
pub(crate) fn words(text: &str) -> impl Iterator<Item = &str> {
    text.split(|character: char| {
        character.is_whitespace() && !matches!(character, '\u{a0}' | '\u{202f}')
    })
    .filter(|word| !word.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_face_has_the_signs_of_the_trade() {
        for face in Face::ALL {
            for sign in "aZ09 .,;:()%°±½×µμΩλφ≤≥≈−–—·é→".chars() {
                assert!(face.font().glyph(sign).is_some(), "{face:?} lacks {sign:?}");
            }
        }
    }

    #[test]
    fn figures_are_of_one_width_in_the_text_faces() {
        for face in [Face::Text, Face::Strong] {
            let widths: Vec<u16> = ('0'..='9')
                .map(|figure| face.font().advance(face.font().glyph(figure).unwrap()))
                .collect();
            assert!(widths.iter().all(|width| *width == widths[0]), "{widths:?}");
        }
    }

    #[test]
    fn headings_take_lining_figures() {
        let plain = FontTables::new(Face::Heading.font().bytes).characters();
        assert_ne!(Face::Heading.font().glyph('3'), plain.get(&'3').copied());
    }

    #[test]
    fn no_line_is_wider_than_its_column_and_nothing_is_lost() {
        let text = "a https://example.invalid/sites/TRN-014/averyveryverylongunbrokenname Ω end";
        for width in [30.0, 60.0, 200.0, 900.0] {
            let lines = Face::Text.wrap(text, 12.0, width);
            for line in &lines {
                assert!(Face::Text.measure(line, 12.0) <= width, "{line:?} at {width}");
            }
            let joined: String = lines.concat().split_whitespace().collect();
            let all: String = text.split_whitespace().collect();
            assert_eq!(joined, all);
        }
        assert_eq!(Face::Text.wrap("", 12.0, 10.0), [""]);
        assert_eq!(Face::Text.wrap("WW", 12.0, 1.0), ["W", "W"]);
    }
}
