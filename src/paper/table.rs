//! Tables: repeated heads, aligned columns, rules between rows, rows struck through.

use crate::figure;
use crate::figure::{Paint, Stroke};

use super::Style;
use super::flow::{Slab, placed, rule};
use super::words::{Line, Replacements, Words};

/// How a column's cells lie in it.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Align {
    /// From the left.
    #[default]
    Start,
    /// In the middle.
    Middle,
    /// To the right, as figures are.
    End,
}

/// How wide a column is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Width {
    /// As wide as its widest cell, but never more than two fifths of the table.
    Fit,
    /// A share of what the other columns leave.
    Share(f64),
}

/// A column.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Its head with the unit.
    pub head: Words,
    /// Its width.
    pub width: Width,
    /// How its cells lie.
    pub align: Align,
}

impl Column {
    /// A column of text that takes a share of the room.
    pub fn text(head: impl Into<Words>, share: f64) -> Self {
        Self { head: head.into(), width: Width::Share(share), align: Align::Start }
    }

    /// A column of short text, as wide as its widest cell.
    pub fn fit(head: impl Into<Words>) -> Self {
        Self { head: head.into(), width: Width::Fit, align: Align::Start }
    }

    /// A column of figures, as wide as its widest cell.
    pub fn figures(head: impl Into<Words>) -> Self {
        Self { head: head.into(), width: Width::Fit, align: Align::End }
    }
}

/// A row.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Row {
    /// The cells; missing ones at the end are empty, further ones are left out.
    pub cells: Vec<Words>,
    /// Whether a correction has struck the row.
    pub struck: bool,
}

/// A table whose head is repeated on every page it reaches.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Table {
    /// The columns.
    pub columns: Vec<Column>,
    /// The rows.
    pub rows: Vec<Row>,
    /// Whether the column heads are drawn.
    pub headless: bool,
}

impl Table {
    /// A table with these columns and no row yet.
    #[must_use]
    pub const fn new(columns: Vec<Column>) -> Self {
        Self { columns, rows: Vec::new(), headless: false }
    }

    /// Adds a row.
    pub fn row<I>(&mut self, cells: I)
    where
        I: IntoIterator,
        I::Item: Into<Words>,
    {
        let cells = cells.into_iter().map(Into::into).collect();
        self.rows.push(Row { cells, struck: false });
    }

    /// Adds a row that a correction has struck.
    pub fn struck_row<I>(&mut self, cells: I)
    where
        I: IntoIterator,
        I::Item: Into<Words>,
    {
        let cells = cells.into_iter().map(Into::into).collect();
        self.rows.push(Row { cells, struck: true });
    }

    pub(super) fn clean(&mut self, replaced: &mut Replacements) {
        for column in &mut self.columns {
            column.head = std::mem::take(&mut column.head).cleaned(replaced).all_strong();
        }
        for row in &mut self.rows {
            for cell in &mut row.cells {
                *cell = std::mem::take(cell).cleaned(replaced);
                if row.struck {
                    *cell = std::mem::take(cell).all_struck();
                }
            }
        }
    }
}

/// The numbers of a picture, as its table gives them.
impl From<&figure::Table> for Table {
    fn from(numbers: &figure::Table) -> Self {
        let columns = numbers
            .heads
            .iter()
            .enumerate()
            .map(|(index, head)| {
                let figures = numbers.rows.iter().all(|row| {
                    row.get(index).is_some_and(|cell| {
                        cell.starts_with(|first: char| first.is_ascii_digit() || first == '—')
                            && cell.len() < 12
                    })
                });
                if figures { Column::figures(head) } else { Column::text(head, 1.0) }
            })
            .collect();
        let mut table = Self::new(columns);
        for (index, row) in numbers.rows.iter().enumerate() {
            if numbers.struck.contains(&index) {
                table.struck_row(row);
            } else {
                table.row(row);
            }
        }
        table
    }
}

const GAP: f64 = 12.0;
const PAD: f64 = 3.4;

/// Left edge and width of each column.
fn places(table: &Table, style: &Style, width: f64) -> Vec<(f64, f64)> {
    let gaps = GAP * u32::try_from(table.columns.len().saturating_sub(1)).map_or(0.0, f64::from);
    let room = (width - gaps).max(1.0);
    let mut widths: Vec<f64> = table
        .columns
        .iter()
        .enumerate()
        .map(|(index, column)| match column.width {
            Width::Share(_) => 0.0,
            Width::Fit => {
                table
                .rows
                .iter()
                .filter_map(|row| row.cells.get(index))
                .chain((!table.headless).then_some(&column.head))
                .map(|cell| cell.natural_width(style.size))
                .fold(8.0, f64::max)
                .min(room * 0.4)
                // A hair more, so that the widest cell does not break by rounding.
                + 0.01
            }
        })
        .collect();
    let shares: f64 = table
        .columns
        .iter()
        .map(|column| match column.width {
            Width::Share(share) => share.max(0.01),
            Width::Fit => 0.0,
        })
        .sum();
    let fitted: f64 = widths.iter().sum();
    let least = if shares > 0.0 { room * 0.25 } else { 0.0 };
    if fitted > room - least {
        let shrink = (room - least) / fitted;
        for width in &mut widths {
            *width *= shrink;
        }
    }
    let left: f64 = room - widths.iter().sum::<f64>();
    for (width, column) in widths.iter_mut().zip(&table.columns) {
        if let Width::Share(share) = column.width {
            *width = left * share.max(0.01) / shares;
        }
    }
    let mut x = 0.0;
    widths
        .into_iter()
        .map(|width| {
            let place = (x, width);
            x += width + GAP;
            place
        })
        .collect()
}

/// A row of at most this many lines is not cut; a longer one may be cut every few lines.
const WHOLE: usize = 24;
const PIECE: usize = 6;

/// The table as slabs: its head, then its rows, long rows in pieces.
pub(super) fn slabs(table: &Table, style: &Style, width: f64) -> Vec<Slab> {
    let places = places(table, style, width);
    let mut slabs = Vec::new();
    let mut head = None;
    if !table.headless && !table.columns.is_empty() {
        let cells: Vec<Vec<Line>> = table
            .columns
            .iter()
            .zip(&places)
            .map(|(column, (_, room))| column.head.lines(style.size, *room))
            .collect();
        let mut slab = lines_slab(table, style, &places, &cells, PAD);
        slab.height += PAD;
        slab.shapes.push(rule(slab.height - 0.5, width, Stroke::solid(Paint::Ink, 1.0)));
        slab.keep_next = true;
        head = Some(slab.clone());
        slabs.push(slab);
    }
    let count = table.rows.len();
    for (index, row) in table.rows.iter().enumerate() {
        let mut cells: Vec<Vec<Line>> = row
            .cells
            .iter()
            .zip(&places)
            .map(|(cell, (_, room))| cell.lines(style.size, *room))
            .collect();
        let mut above = PAD;
        let long = cells.iter().any(|lines| lines.len() > WHOLE);
        while long && cells.iter().any(|lines| lines.len() > PIECE) {
            let (now, later): (Vec<_>, Vec<_>) =
                cells.into_iter().map(|lines| split_lines(lines, PIECE)).unzip();
            let mut slab = lines_slab(table, style, &places, &now, above);
            slab.head = above_piece(head.as_ref(), above);
            slabs.push(slab);
            cells = later;
            above = 0.0;
        }
        let mut slab = lines_slab(table, style, &places, &cells, above);
        slab.height += PAD;
        slab.shapes.push(rule(slab.height - 0.3, width, Stroke::solid(Paint::Rule, 0.6)));
        slab.head = above_piece(head.as_ref(), above);
        // Neither the first row nor the last one stands alone on a page.
        slab.keep_next = index + 1 < count && (index == 0 || index + 2 == count);
        slabs.push(slab);
    }
    slabs
}

fn split_lines(mut lines: Vec<Line>, most: usize) -> (Vec<Line>, Vec<Line>) {
    let later = if lines.len() > most { lines.split_off(most) } else { Vec::new() };
    (lines, later)
}

/// The head as it comes again above a piece, which may have no room of its own above it.
fn above_piece(head: Option<&Slab>, above: f64) -> Option<Box<Slab>> {
    head.map(|head| Box::new(Slab { height: head.height + PAD - above, ..head.clone() }))
}

/// Lines of cells beside each other, `above` from the top.
fn lines_slab(
    table: &Table,
    style: &Style,
    places: &[(f64, f64)],
    cells: &[Vec<Line>],
    above: f64,
) -> Slab {
    let mut slab = Slab::default();
    let mut height = style.leading;
    for ((lines, (x, room)), column) in cells.iter().zip(places).zip(&table.columns) {
        let mut base = above + style.size * 0.95;
        for line in lines {
            let shift = match column.align {
                Align::Start => 0.0,
                Align::Middle => (room - line.width) / 2.0,
                Align::End => room - line.width,
            };
            slab.shapes.extend(placed(&line.shapes, [x + shift.max(0.0), base]));
            base += style.leading;
        }
        height = height.max(u32::try_from(lines.len()).map_or(1.0, f64::from) * style.leading);
    }
    slab.height = height + above;
    slab
}
