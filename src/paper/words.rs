//! Text for a report: words in several styles with marks among them, made safe for the embedded
//! fonts, and broken into lines.

use std::collections::BTreeMap;

use crate::figure::typeface::{Face, words};
use crate::figure::{Anchor, Mark, Paint, Shape, State, marks};

/// Words of several styles, with marks among them, in the order they are read.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Words {
    spans: Vec<Span>,
}

#[derive(Debug, Clone, PartialEq)]
enum Span {
    Text { text: String, style: Style },
    Mark(Mark),
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Style {
    face: Face,
    paint: Paint,
    struck: bool,
}

const PLAIN: Style = Style { face: Face::Text, paint: Paint::Ink, struck: false };

impl From<&str> for Words {
    fn from(text: &str) -> Self {
        Self::new().plain(text)
    }
}

impl From<String> for Words {
    fn from(text: String) -> Self {
        Self::new().plain(&text)
    }
}

impl From<&String> for Words {
    fn from(text: &String) -> Self {
        Self::new().plain(text)
    }
}

impl From<&State> for Words {
    fn from(state: &State) -> Self {
        Self::new().state(state)
    }
}

impl Words {
    /// No words yet.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    fn push(mut self, text: &str, style: Style) -> Self {
        self.spans.push(Span::Text { text: text.to_owned(), style });
        self
    }

    /// Running text. Spaces are kept where spans meet; a line break in the text breaks the line.
    #[must_use]
    pub fn plain(self, text: &str) -> Self {
        self.push(text, PLAIN)
    }

    /// Words that matter.
    #[must_use]
    pub fn strong(self, text: &str) -> Self {
        self.push(text, Style { face: Face::Strong, ..PLAIN })
    }

    /// Words in the face of headings.
    #[must_use]
    pub fn headed(self, text: &str) -> Self {
        self.push(text, Style { face: Face::Heading, ..PLAIN })
    }

    /// Second text.
    #[must_use]
    pub fn soft(self, text: &str) -> Self {
        self.push(text, Style { paint: Paint::SoftInk, ..PLAIN })
    }

    /// Words in a colour that means something.
    #[must_use]
    pub fn painted(self, text: &str, paint: Paint) -> Self {
        self.push(text, Style { paint, ..PLAIN })
    }

    /// Words that a correction has struck through.
    #[must_use]
    pub fn struck(self, text: &str) -> Self {
        self.push(text, Style { paint: Paint::SoftInk, struck: true, ..PLAIN })
    }

    /// A mark by itself; its word must follow.
    #[must_use]
    pub fn mark(mut self, mark: Mark) -> Self {
        self.spans.push(Span::Mark(mark));
        self
    }

    /// A state: its mark and its word.
    #[must_use]
    pub fn state(self, state: &State) -> Self {
        self.mark(state.mark).plain(&state.word)
    }

    /// Whether there is nothing to read.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.spans.iter().all(|span| match span {
            Span::Text { text, .. } => text.trim().is_empty(),
            Span::Mark(_) => false,
        })
    }

    /// The same words with a line through all of them.
    pub(super) fn all_struck(mut self) -> Self {
        for span in &mut self.spans {
            if let Span::Text { style, .. } = span {
                style.struck = true;
                style.paint = Paint::SoftInk;
            }
        }
        self
    }

    /// The same words in the strong face, for column heads.
    pub(super) fn all_strong(mut self) -> Self {
        for span in &mut self.spans {
            if let Span::Text { style, .. } = span {
                style.face = Face::Strong;
            }
        }
        self
    }

    /// The same words made safe for the fonts.
    pub(super) fn cleaned(mut self, replaced: &mut Replacements) -> Self {
        for span in &mut self.spans {
            if let Span::Text { text, .. } = span {
                *text = replaced.clean(text);
            }
        }
        self
    }

    /// Width on one line at `size`.
    pub(super) fn natural_width(&self, size: f64) -> f64 {
        self.lines(size, f64::INFINITY).iter().map(|line| line.width).fold(0.0, f64::max)
    }

    /// The words broken into lines of at most `width`; at least one line.
    pub(super) fn lines(&self, size: f64, width: f64) -> Vec<Line> {
        let mut setter = Setter::new(size, width);
        for span in &self.spans {
            match span {
                Span::Mark(mark) => setter.mark(*mark),
                Span::Text { text, style } => setter.text(text, *style),
            }
        }
        setter.finish()
    }
}

/// A set line: shapes on a baseline at 0, beginning at 0.
#[derive(Debug, Clone, Default)]
pub(super) struct Line {
    pub shapes: Vec<Shape>,
    pub width: f64,
}

/// Fills line after line.
struct Setter {
    size: f64,
    width: f64,
    lines: Vec<Line>,
    line: Line,
    /// The run of text being gathered on the line, with where it began.
    run: Option<(String, Style, f64)>,
    /// Whether a space stands between the last word and the next.
    space: bool,
}

impl Setter {
    fn new(size: f64, width: f64) -> Self {
        Self {
            size,
            width: width.max(size),
            lines: Vec::new(),
            line: Line::default(),
            run: None,
            space: false,
        }
    }

    fn mark(&mut self, mark: Mark) {
        let room = self.size * 1.3;
        if self.line.width > 0.0 {
            if self.line.width + room + self.size > self.width {
                self.break_line();
            } else {
                self.flush_run();
                self.line.width += self.size * 0.3;
            }
        }
        let corner = [self.line.width, -self.size * 0.8];
        self.line.shapes.extend(marks::shapes(mark, corner, self.size * 0.92));
        self.line.width += room;
        self.space = false;
    }

    fn text(&mut self, text: &str, style: Style) {
        for (index, paragraph) in text.split('\n').enumerate() {
            if index > 0 {
                self.break_line();
            }
            if paragraph.starts_with(char::is_whitespace) {
                self.space = true;
            }
            for (index, word) in words(paragraph).enumerate() {
                self.word(word, style, self.space || index > 0);
                self.space = false;
            }
            self.space = paragraph.ends_with(char::is_whitespace);
        }
    }

    fn word(&mut self, word: &str, style: Style, spaced: bool) {
        let gap =
            if spaced && self.line.width > 0.0 { style.face.measure(" ", self.size) } else { 0.0 };
        let room = style.face.measure(word, self.size);
        if self.line.width + gap + room <= self.width {
            self.append(word, style, gap);
            return;
        }
        if self.line.width > 0.0 {
            self.break_line();
        }
        let mut rest = word;
        while style.face.measure(rest, self.size) > self.width {
            let (head, tail) = style.face.split_word(rest, self.size, self.width);
            if tail.is_empty() {
                break;
            }
            self.append(head, style, 0.0);
            self.break_line();
            rest = tail;
        }
        self.append(rest, style, 0.0);
    }

    fn append(&mut self, word: &str, style: Style, gap: f64) {
        let room = style.face.measure(word, self.size);
        match &mut self.run {
            Some((text, other, _)) if *other == style => {
                if gap > 0.0 {
                    text.push(' ');
                }
                text.push_str(word);
            }
            _ => {
                self.flush_run();
                self.run = Some((word.to_owned(), style, self.line.width + gap));
            }
        }
        self.line.width += gap + room;
    }

    fn flush_run(&mut self) {
        if let Some((text, style, x)) = self.run.take() {
            self.line.shapes.push(Shape::Text {
                at: [x, 0.0],
                text,
                size: self.size,
                face: style.face,
                anchor: Anchor::Start,
                paint: style.paint,
                struck: style.struck,
            });
        }
    }

    fn break_line(&mut self) {
        self.flush_run();
        self.lines.push(std::mem::take(&mut self.line));
        self.space = false;
    }

    fn finish(mut self) -> Vec<Line> {
        self.flush_run();
        if !self.line.shapes.is_empty() || self.lines.is_empty() {
            self.lines.push(self.line);
        }
        self.lines
    }
}

/// What stands in a report for a character that no embedded font has.
pub const STAND_IN: char = '□';

/// Counts the characters that the fonts lack, and makes text safe for them.
///
/// People's names and notes may hold anything. Spaces of all kinds become a space or a no-break
/// space; invisible signs (soft hyphen, joiners, direction marks) go; signs with a twin that the
/// fonts have (ohm, micro, diameter) become it. Whatever else no font has is set as [`STAND_IN`]
/// and counted, so that the report can say so instead of failing.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Replacements {
    pub counts: BTreeMap<char, usize>,
}

impl Replacements {
    pub(super) fn clean(&mut self, text: &str) -> String {
        text.chars().filter_map(|character| self.clean_one(character)).collect()
    }

    /// The shape with its words made safe.
    pub(super) fn clean_shape(&mut self, shape: &Shape) -> Shape {
        match shape {
            Shape::Text { at, text, size, face, anchor, paint, struck } => Shape::Text {
                at: *at,
                text: self.clean(text),
                size: *size,
                face: *face,
                anchor: *anchor,
                paint: *paint,
                struck: *struck,
            },
            Shape::Group { href, name, shapes } => Shape::Group {
                href: href.clone(),
                name: name.clone(),
                shapes: shapes.iter().map(|shape| self.clean_shape(shape)).collect(),
            },
            other => other.clone(),
        }
    }

    fn clean_one(&mut self, character: char) -> Option<char> {
        let twin = match character {
            '\n' => return Some('\n'),
            '\t'
            | '\u{1680}'
            | '\u{2000}'..='\u{2006}'
            | '\u{2008}'..='\u{200a}'
            | '\u{205f}'
            | '\u{3000}'
            | '\u{2028}'
            | '\u{2029}' => ' ',
            '\u{2007}' | '\u{202f}' => '\u{a0}',
            '\u{ad}'
            | '\u{200b}'..='\u{200f}'
            | '\u{202a}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}'
            | '\u{fe00}'..='\u{fe0f}'
            | '\u{feff}' => return None,
            control if control.is_control() => return None,
            '\u{2126}' => 'Ω',
            '\u{b5}' => 'μ',
            '\u{212b}' => 'Å',
            '\u{2300}' => 'Ø',
            '\u{2010}' | '\u{2011}' => '-',
            other => other,
        };
        if Face::Text.setting(twin).is_some() {
            return Some(twin);
        }
        *self.counts.entry(character).or_default() += 1;
        Some(STAND_IN)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn texts(lines: &[Line]) -> Vec<String> {
        lines
            .iter()
            .map(|line| {
                line.shapes
                    .iter()
                    .filter_map(|shape| match shape {
                        Shape::Text { text, .. } => Some(text.as_str()),
                        _ => None,
                    })
                    .collect::<Vec<_>>()
                    .join("|")
            })
            .collect()
    }

    #[test]
    fn spaces_between_styles_are_kept_and_glued_words_stay_glued() {
        let words =
            Words::new().strong("Lengthen both halves.").plain(" Now").soft("712").plain(" mm");
        assert_eq!(texts(&words.lines(10.0, 900.0)), ["Lengthen both halves.|Now|712|mm"]);
        let line = &words.lines(10.0, 900.0)[0];
        let natural = Face::Strong.measure("Lengthen both halves.", 10.0)
            + Face::Text.measure(" Now712 mm", 10.0);
        assert!((line.width - natural).abs() < 1e-9);
    }

    #[test]
    fn a_written_line_break_breaks_the_line() {
        assert_eq!(
            texts(&Words::from("one\ntwo\n\nthree").lines(10.0, 900.0)),
            ["one", "two", "", "three"]
        );
    }

    #[test]
    fn signs_with_a_twin_become_it_and_unknown_ones_are_counted() {
        let mut replaced = Replacements::default();
        let text =
            replaced.clean("5\u{a0}\u{2126} 3\u{b5}s soft\u{ad}hyphen\ttab\u{202e} 塔 📡📡 é λ ≤");
        assert_eq!(text, "5\u{a0}Ω 3μs softhyphen tab □ □□ é λ ≤");
        assert_eq!(replaced.counts, BTreeMap::from([('塔', 1), ('📡', 2)]));
    }

    proptest! {
        #[test]
        fn any_text_can_be_set_and_fits(text in "\\PC{0,80}", width in 20.0..300.0f64) {
            let mut replaced = Replacements::default();
            let clean = replaced.clean(&text);
            for character in clean.chars() {
                prop_assert!(Face::Text.setting(character).is_some());
            }
            for line in Words::from(clean).lines(9.0, width) {
                prop_assert!(line.width <= width.max(9.0) + 9.0);
            }
        }
    }
}
