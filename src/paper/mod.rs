//! Reports as PDF: A4 pages with running head, foot, headings with bookmarks, text, tables and
//! pictures. Knows no concept; a report's own module fills it.
//!
//! The same calls give the same bytes. Fonts are embedded with only the glyphs that are used. Photos
//! are not held: their bytes are asked for one after the other while the file is written.

mod contents;
mod document;
mod draw;
mod file;
mod finished;
mod flow;
mod furniture;
mod outline;
mod photo;
mod pictures;
mod subset;
mod table;
mod words;

#[cfg(test)]
mod samples;

pub use document::{Document, Level};
pub use finished::Finished;
pub use photo::{NotPrintable, Photo};
pub use pictures::Plate;
pub use table::{Align, Column, Row, Table, Width};
pub use words::{STAND_IN, Words};

use time::OffsetDateTime;

/// Points in one pixel of a picture drawn at full size.
pub const POINTS_PER_PIXEL: f64 = 0.75;

/// Width of a page's text column in points.
const COLUMN: f64 = PAGE_WIDTH - 2.0 * MARGIN;

/// The width to draw a picture for, in pixels, so that it fills the text column at full size.
pub const COLUMN_PIXELS: f64 = COLUMN / POINTS_PER_PIXEL;

/// A4 in points (ISO 216: 210 mm by 297 mm).
const PAGE_WIDTH: f64 = 595.28;
const PAGE_HEIGHT: f64 = 841.89;
const MARGIN: f64 = 54.0;
const BODY_TOP: f64 = 84.0;
const BODY_HEIGHT: f64 = PAGE_HEIGHT - BODY_TOP - 62.0;

/// What is said of the report as a whole.
#[derive(Debug, Clone, PartialEq)]
pub struct Meta {
    /// Title, shown by a reader instead of the file's name.
    pub title: String,
    /// Who answers for the report.
    pub author: String,
    /// What it is about.
    pub subject: String,
    /// Language as a BCP 47 tag, such as "en".
    pub language: String,
    /// When the report was made. It is the only time in the file.
    pub made_at: OffsetDateTime,
    /// Left of the running head on every page.
    pub head_left: String,
    /// Right of the running head on every page.
    pub head_right: String,
    /// Left of the foot on every page; "page n of m" stands on the right.
    pub foot: String,
    /// A warning across every page, such as "not accepted".
    pub band: Option<String>,
    /// What the mark after the last line says, such as "end of report".
    pub end: String,
    /// The server's address, without a slash at its end. With it the links of pictures lead
    /// there; without it pictures have no links.
    pub base_url: Option<String>,
}

/// Why a report could not be made. None of these depends on what people typed.
#[derive(Debug, thiserror::Error)]
pub enum PaperError {
    /// A text reached the page without having been made safe for the fonts.
    #[error("no embedded font has the character {0:?}")]
    MissingGlyph(char),
    /// A font file in the program is damaged.
    #[error("the font {0} cannot be embedded")]
    Font(&'static str),
    /// The PDF library warned of something.
    #[error("the PDF library warned: {0}")]
    Warned(String),
    /// The PDF library wrote its table of objects otherwise than it used to.
    #[error("the PDF library's table of objects is not where it was expected")]
    Table,
    /// The PDF library failed.
    #[error("the PDF could not be written: {0}")]
    File(#[from] lopdf::Error),
    /// The PDF could not be written to memory.
    #[error("the PDF could not be written: {0}")]
    Write(#[from] std::io::Error),
}

/// Size of text and distance of its baselines, in points.
#[derive(Debug, Clone, Copy)]
struct Style {
    size: f64,
    leading: f64,
}

const BODY: Style = Style { size: 9.6, leading: 13.6 };
const SMALL: Style = Style { size: 8.2, leading: 11.2 };
const TABLE: Style = Style { size: 8.8, leading: 12.2 };
