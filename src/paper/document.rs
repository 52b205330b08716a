//! A report from top to bottom, block by block.

use crate::figure::typeface::Face;
use crate::figure::{Anchor, Paint, Picture, Shape, Stroke};

use super::flow::{Flow, Slab, ground, paragraph_slabs, placed, rule};
use super::table::{self, Column, Table};
use super::words::{Replacements, Words};
use super::{
    BODY, BODY_HEIGHT, COLUMN, Finished, MARGIN, Meta, POINTS_PER_PIXEL, PaperError, SMALL, Style,
    TABLE, file, furniture,
};

/// How high a heading stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Level {
    /// The report's title, once.
    Title,
    /// A section.
    Section,
    /// A part of a section; it has no bookmark.
    Part,
}

/// A report being filled.
#[derive(Debug, Clone)]
pub struct Document {
    meta: Meta,
    slabs: Vec<Slab>,
    replaced: Replacements,
    new_page: bool,
}

/// Between two pictures beside each other.
const PICTURE_GAP: f64 = 14.0;
/// Room to sign above a line.
const SIGNING: f64 = 36.0;

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
        Self { meta, slabs: Vec::new(), replaced, new_page: false }
    }

    /// A heading; it stays with what follows. Titles and sections get a bookmark.
    pub fn heading(&mut self, level: Level, text: &str) {
        let (size, leading, before, face) = match level {
            Level::Title => (21.0, 25.0, 0.0, Face::Heading),
            Level::Section => (13.5, 17.0, 20.0, Face::Heading),
            Level::Part => (10.0, 14.0, 12.0, Face::Strong),
        };
        let text = self.replaced.clean(text);
        let words = match face {
            Face::Heading => Words::new().headed(&text),
            _ => Words::new().strong(&text),
        };
        let lines = words.lines(size, COLUMN);
        let mut first = paragraph_slabs(lines, Style { size, leading }, before);
        if let (Some(slab), true) = (first.first_mut(), level != Level::Part) {
            slab.bookmark = Some(text);
        }
        for slab in &mut first {
            slab.keep_next = true;
        }
        if level == Level::Section
            && let Some(last) = first.last_mut()
        {
            last.shapes.push(rule(last.height, COLUMN, Stroke::solid(Paint::Rule, 0.8)));
            last.height += 3.0;
        }
        self.add(first);
    }

    /// A paragraph of running text.
    pub fn paragraph(&mut self, words: impl Into<Words>) {
        self.text(words.into(), BODY, 6.0, 0.0, None);
    }

    /// A paragraph of small text, such as a note below a table.
    pub fn small(&mut self, words: impl Into<Words>) {
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

    fn text(&mut self, words: Words, style: Style, before: f64, indent: f64, lead: Option<Shape>) {
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

    /// A picture at full size, made smaller where it is wider than the column or higher than a
    /// page, with a caption below.
    pub fn figure(&mut self, picture: &Picture, caption: Option<&str>) {
        let (shapes, [width, height]) = self.fitted(picture, COLUMN);
        let left = (COLUMN - width) / 2.0;
        let mut slab = Slab {
            height,
            before: 10.0,
            shapes: placed(&shapes, [left, 0.0]).collect(),
            ..Slab::default()
        };
        if let Some(caption) = caption {
            slab.keep_next = true;
            self.add(vec![slab]);
            self.text(Words::new().soft(caption), SMALL, 4.0, 0.0, None);
        } else {
            self.add(vec![slab]);
        }
    }

    /// Two pictures beside each other, each in half of the column.
    pub fn figures_beside(&mut self, left: &Picture, right: &Picture) {
        let room = (COLUMN - PICTURE_GAP) / 2.0;
        let (mut shapes, [_, left_height]) = self.fitted(left, room);
        let (others, [_, right_height]) = self.fitted(right, room);
        shapes.extend(placed(&others, [room + PICTURE_GAP, 0.0]));
        self.add(vec![Slab {
            height: left_height.max(right_height),
            before: 10.0,
            shapes,
            ..Slab::default()
        }]);
    }

    /// The picture's shapes in points within `room`, and the width and height they take.
    fn fitted(&mut self, picture: &Picture, room: f64) -> (Vec<Shape>, [f64; 2]) {
        let scale = POINTS_PER_PIXEL
            .min(room / picture.width.max(1.0))
            .min((BODY_HEIGHT - 40.0) / picture.height.max(1.0));
        let shapes = picture
            .shapes
            .iter()
            .map(|shape| self.replaced.clean_shape(shape).transformed(scale, [0.0, 0.0]))
            .collect();
        (shapes, [picture.width * scale, picture.height * scale])
    }

    /// Lines to sign on paper, on one page: for each of `who` one for name, signature and date.
    pub fn signatures(&mut self, who: &[&str]) {
        self.keep_together(|report| {
            for role in who {
                report.signature(role);
            }
        });
    }

    fn signature(&mut self, role: &str) {
        let room = COLUMN * 0.7;
        let label = self.replaced.clean(&format!("{role}: name, signature, date"));
        let lines = Words::new().soft(&label).lines(SMALL.size, room);
        let mut slabs = paragraph_slabs(lines, SMALL, 0.0);
        if let Some(first) = slabs.first_mut() {
            first.shapes = placed(&first.shapes, [0.0, SIGNING]).collect();
            first.shapes.push(rule(SIGNING - 3.0, room, Stroke::solid(Paint::Ink, 0.6)));
            first.height += SIGNING;
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

    fn add(&mut self, mut slabs: Vec<Slab>) {
        if let Some(first) = slabs.first_mut() {
            first.new_page = std::mem::take(&mut self.new_page);
        }
        self.slabs.append(&mut slabs);
    }

    /// Lays the report out and writes the file.
    ///
    /// # Errors
    ///
    /// A damaged font in the program, or a warning or failure of the PDF library; never anything
    /// that people typed.
    pub fn finish(mut self) -> Result<Finished, PaperError> {
        self.say_what_was_replaced();
        self.end_mark();
        let flow = Flow::new(&self.slabs, MARGIN);
        let count = flow.pages.len();
        let pages: Vec<Vec<Shape>> = flow
            .pages
            .into_iter()
            .enumerate()
            .map(|(index, body)| {
                let mut shapes = furniture::around(&self.meta, index + 1, count);
                shapes.extend(body);
                shapes
            })
            .collect();
        let bytes = file::write(&self.meta, &pages, &flow.bookmarks)?;
        Ok(Finished { bytes, pages: count, replaced: self.replaced.counts.into_iter().collect() })
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
        self.text(Words::new().soft(&words), SMALL, 14.0, 0.0, None);
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
