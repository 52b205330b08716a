//! A report from top to bottom, block by block.

use crate::figure::typeface::Face;
use crate::figure::{Anchor, Paint, Shape, Stroke};

use super::flow::{Flow, Heading, Page, Slab, ground, paragraph_slabs, placed, rule};
use super::table::{self, Column, Table};
use super::words::{Replacements, Words};
use super::{
    BODY, COLUMN, Finished, MARGIN, Meta, PaperError, SMALL, Style, TABLE, contents, file,
    furniture,
};

/// How high a heading stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Level {
    /// The report's title, once.
    Title,
    /// A chapter; it is numbered, stands in the contents and has a bookmark.
    Chapter,
    /// A section of a chapter, numbered within it, in the contents too, its bookmark below the chapter's.
    Section,
    /// A part of a section; it has no number and no bookmark.
    Part,
}

/// A report being filled.
#[derive(Debug, Clone)]
pub struct Document {
    meta: Meta,
    pub(super) slabs: Vec<Slab>,
    pub(super) replaced: Replacements,
    new_page: bool,
    /// The last chapter's number, and the last section's within it.
    numbers: [u32; 2],
    /// Where the contents stand among the slabs.
    contents_at: Option<usize>,
}

/// So much of a page a chapter wants below its beginning.
const CHAPTER_ROOM: f64 = 150.0;

impl Document {
    /// An empty report.
    #[must_use]
    pub fn new(meta: Meta) -> Self {
        let mut replaced = Replacements::default();
        let meta = Meta {
            head_left: replaced.clean(&meta.head_left),
            head_right: replaced.clean(&meta.head_right),
            foot: replaced.clean(&meta.foot),
            band: meta.band.map(|band| replaced.clean(&band)),
            end: replaced.clean(&meta.end),
            ..meta
        };
        Self {
            meta,
            slabs: Vec::new(),
            replaced,
            new_page: false,
            numbers: [0, 0],
            contents_at: None,
        }
    }

    /// A heading; it stays with what follows. Chapters and sections are numbered.
    pub fn heading(&mut self, level: Level, text: &str) {
        let (size, leading, before, face) = match level {
            Level::Title => (21.0, 25.0, 0.0, Face::Heading),
            Level::Chapter => (15.5, 19.5, 26.0, Face::Heading),
            Level::Section => (11.8, 15.4, 16.0, Face::Heading),
            Level::Part => (9.8, 13.6, 11.0, Face::Strong),
        };
        let (number, text) = (self.next_number(level), self.replaced.clean(text));
        let heading = Heading { level, number, text };
        // A number stays with the first word, a little apart from it.
        let shown =
            heading.words().replacen(' ', "\u{a0}\u{a0}", usize::from(!heading.number.is_empty()));
        let words = match face {
            Face::Heading => Words::new().headed(&shown),
            _ => Words::new().strong(&shown),
        };
        let mut first = paragraph_slabs(words.lines(size, COLUMN), Style { size, leading }, before);
        for slab in &mut first {
            slab.keep_next = true;
        }
        if let Some(slab) = first.first_mut().filter(|_| level != Level::Part) {
            slab.heading = Some(heading);
            slab.room = if level == Level::Chapter { CHAPTER_ROOM } else { 0.0 };
        }
        if let Some(last) = first.last_mut().filter(|_| level == Level::Chapter) {
            last.shapes.push(rule(last.height, COLUMN, Stroke::solid(Paint::Ink, 0.8)));
            last.height += 4.0;
        }
        self.add(first);
    }

    /// What stands before a chapter's or a section's words; nothing before other headings, nor before a
    /// section that comes ahead of the first chapter.
    fn next_number(&mut self, level: Level) -> String {
        let [chapter, section] = &mut self.numbers;
        match level {
            Level::Chapter => {
                *chapter += 1;
                *section = 0;
                chapter.to_string()
            }
            Level::Section if *chapter > 0 => {
                *section += 1;
                format!("{chapter}.{section}")
            }
            _ => String::new(),
        }
    }

    /// The contents stand here: every chapter and section with its page, each line a link.
    pub fn contents(&mut self) {
        self.contents_at = Some(self.slabs.len());
    }

    /// A paragraph of running text.
    pub fn paragraph(&mut self, words: impl Into<Words>) {
        self.text(words.into(), BODY, 6.0, 0.0, None);
    }

    /// A paragraph of small text, such as a note below a table; it stays with what it follows.
    pub fn small(&mut self, words: impl Into<Words>) {
        if let Some(last) = self.slabs.last_mut() {
            last.keep_next = true;
        }
        self.text(words.into(), SMALL, 4.0, 0.0, None);
    }

    /// A point of a list, set in behind a dash.
    pub fn item(&mut self, words: impl Into<Words>) {
        let dash = Shape::Text {
            at: [2.0, BODY.size],
            text: "–".to_owned(),
            size: BODY.size,
            face: Face::Text,
            anchor: Anchor::Start,
            paint: Paint::Oxide,
            struck: false,
        };
        self.text(words.into(), BODY, 3.0, 12.0, Some(dash));
    }

    /// A caution: running text beside a bar of oxide.
    pub fn caution(&mut self, words: impl Into<Words>) {
        let words = words.into().cleaned(&mut self.replaced);
        let lines = words.lines(BODY.size, COLUMN - 12.0);
        let mut slabs = paragraph_slabs(lines, BODY, 8.0);
        for slab in &mut slabs {
            slab.shapes = placed(&slab.shapes, [12.0, 0.0]).collect();
            slab.shapes.push(Shape::Path {
                points: vec![[1.5, 0.5], [1.5, slab.height + 0.5]],
                closed: false,
                fill: None,
                stroke: Some(Stroke::solid(Paint::Oxide, 2.4)),
            });
            slab.keep_next = true;
        }
        if let Some(last) = slabs.last_mut() {
            last.keep_next = false;
        }
        self.add(slabs);
    }

    pub(super) fn text(
        &mut self,
        words: Words,
        style: Style,
        before: f64,
        indent: f64,
        lead: Option<Shape>,
    ) {
        let words = words.cleaned(&mut self.replaced);
        if words.is_empty() {
            return;
        }
        let lines = words.lines(style.size, COLUMN - indent);
        let mut slabs = paragraph_slabs(lines, style, before);
        for slab in &mut slabs {
            slab.shapes = placed(&slab.shapes, [indent, 0.0]).collect();
        }
        if let Some(first) = slabs.first_mut() {
            first.shapes.extend(lead);
        }
        self.add(slabs);
    }

    /// Names with their values, one under the other.
    pub fn facts<N, V>(&mut self, facts: impl IntoIterator<Item = (N, V)>)
    where
        N: AsRef<str>,
        V: Into<Words>,
    {
        let mut table = Table::new(vec![Column::fit(""), Column::text("", 1.0)]);
        table.headless = true;
        for (name, value) in facts {
            table.row([Words::new().soft(name.as_ref()), value.into()]);
        }
        self.table(table);
    }

    /// A table; its head comes again on every page it reaches.
    pub fn table(&mut self, table: Table) {
        let mut table = table;
        table.clean(&mut self.replaced);
        let mut slabs = table::slabs(&table, &TABLE, COLUMN);
        if let Some(first) = slabs.first_mut() {
            first.before = 6.0;
        }
        self.add(slabs);
    }

    /// The verdict: a box of wash between two rules, with a headline and words below it.
    pub fn verdict(&mut self, headline: &str, words: impl Into<Words>) {
        const INSET: f64 = 11.0;
        let headline = self.replaced.clean(headline);
        let words = words.into().cleaned(&mut self.replaced);
        let room = COLUMN - 2.0 * INSET;
        let head_style = Style { size: 14.5, leading: 19.0 };
        let body_style = Style { size: 10.2, leading: 14.6 };
        let mut slabs = paragraph_slabs(
            Words::new().headed(&headline).lines(head_style.size, room),
            head_style,
            0.0,
        );
        if !words.is_empty() {
            slabs.extend(paragraph_slabs(words.lines(body_style.size, room), body_style, 0.0));
        }
        let rule_ink = Stroke::solid(Paint::Ink, 1.4);
        let count = slabs.len();
        for (index, slab) in slabs.iter_mut().enumerate() {
            let top = if index == 0 { 9.0 } else { 0.0 };
            let bottom = if index + 1 == count { 10.0 } else { 0.0 };
            slab.height += top + bottom;
            let mut shapes = vec![ground(COLUMN, slab.height)];
            shapes.extend(placed(&slab.shapes, [INSET, top]));
            if index == 0 {
                shapes.push(rule(0.0, COLUMN, rule_ink));
            }
            if index + 1 == count {
                shapes.push(rule(slab.height, COLUMN, rule_ink));
            }
            slab.shapes = shapes;
            slab.before = if index == 0 { 10.0 } else { 0.0 };
            slab.keep_next = index + 1 < count;
        }
        self.add(slabs);
    }

    /// Keeps everything that `fill` adds on one page, where a page can hold it.
    pub fn keep_together(&mut self, fill: impl FnOnce(&mut Self)) {
        let start = self.slabs.len();
        fill(self);
        let end = self.slabs.len().saturating_sub(1);
        for slab in self.slabs.iter_mut().take(end).skip(start) {
            slab.keep_next = true;
        }
    }

    /// Leaves `points` free; nothing at the top of a page.
    pub fn space(&mut self, points: f64) {
        self.add(vec![Slab { before: points.max(0.0), ..Slab::default() }]);
    }

    /// What follows begins on a new page.
    pub fn page_break(&mut self) {
        self.new_page = true;
    }

    pub(super) fn add(&mut self, mut slabs: Vec<Slab>) {
        if let Some(first) = slabs.first_mut() {
            first.new_page = std::mem::take(&mut self.new_page);
        }
        self.slabs.append(&mut slabs);
    }

    /// Lays the report out and makes the file, all but the photos' own bytes.
    ///
    /// # Errors
    ///
    /// A damaged font in the program, or a warning or failure of the PDF library; never anything
    /// that people typed.
    pub fn finish(mut self) -> Result<Finished, PaperError> {
        self.say_what_was_replaced();
        self.end_mark();
        if let Some(at) = self.contents_at {
            let lines = contents::slabs(&self.slabs);
            self.slabs.splice(at..at, lines);
        }
        let mut flow = Flow::new(&self.slabs, MARGIN);
        contents::number(&mut flow);
        let count = flow.pages.len();
        for (index, page) in flow.pages.iter_mut().enumerate() {
            let mut shapes = furniture::around(&self.meta, index + 1, count);
            shapes.append(&mut page.shapes);
            *page = Page { shapes, ..std::mem::take(page) };
        }
        let file = file::write(&self.meta, &flow)?;
        Ok(Finished { file, pages: count, replaced: self.replaced.counts.into_iter().collect() })
    }

    fn say_what_was_replaced(&mut self) {
        if self.replaced.counts.is_empty() {
            return;
        }
        let signs: Vec<String> = self
            .replaced
            .counts
            .iter()
            .take(40)
            .map(|(sign, count)| {
                let times = if *count == 1 { String::new() } else { format!(" ({count} times)") };
                format!("U+{:04X}{times}", u32::from(*sign))
            })
            .collect();
        let more = match self.replaced.counts.len().saturating_sub(40) {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        let words = format!(
            "□ stands for a character that the fonts of this report lack: {}{more}. The record \
             itself keeps it as it was typed.",
            signs.join(", ")
        );
        let from = self.slabs.len().saturating_sub(1);
        self.text(Words::new().soft(&words), SMALL, 14.0, 0.0, None);
        // The last words of the report go with the note, so that it does not stand alone.
        for slab in self.slabs.iter_mut().skip(from) {
            slab.keep_next = true;
        }
    }

    fn end_mark(&mut self) {
        if let Some(last) = self.slabs.last_mut() {
            last.keep_next = true;
        }
        self.slabs.push(Slab {
            height: 16.0,
            before: 12.0,
            shapes: furniture::end_mark(&self.meta.end),
            ..Slab::default()
        });
    }
}
