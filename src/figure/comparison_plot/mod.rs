//! The comparison plot: stand, predicted and installed, each an interval on one SWR axis at one
//! named point, with the limit that holds there.

mod rows;

use crate::figure::axis::{Axis, plain, round_step, tick_texts};
use crate::figure::label::heading;
use crate::figure::picture::{Anchor, Paint, Picture, Shape, Stroke, line, text};
use crate::figure::table::Table;
use crate::figure::typeface::Face;

/// What a row says.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Role {
    /// What was read on the stand.
    #[default]
    Stand,
    /// What is expected at the point.
    Predicted,
    /// What was read installed.
    Installed,
}

/// One row: an interval of SWR.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Interval {
    /// What the row says.
    pub role: Role,
    /// Its name, such as "Installed".
    pub name: String,
    /// More to say, such as "19 Mar 2031, dry".
    pub note: String,
    /// The value as read.
    pub value: Option<f64>,
    /// Least and greatest SWR that it may be; the greatest may be infinite. Absent when it was
    /// not measured.
    pub range: Option<[f64; 2]>,
    /// The widest band, for what is predicted; its greatest may be infinite.
    pub widest: Option<[f64; 2]>,
    /// Whether the interval is a least one, because something of it is not stated: drawn with
    /// open ends.
    pub at_least: bool,
    /// Where a press on the row leads.
    pub href: Option<String>,
}

/// Everything the plot shows.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ComparisonPlot {
    /// A heading drawn above the plot; a page that has its own leaves it out.
    pub heading: Option<String>,
    /// The point where all of this holds, such as "the measuring point in the building".
    pub point_name: String,
    /// The rows from above to below.
    pub rows: Vec<Interval>,
    /// Greatest SWR that is allowed at this point.
    pub limit: Option<f64>,
}

/// Greater values are drawn as an arrow at the axis' end.
const GREATEST: f64 = 5.0;

struct Field {
    axis: Axis,
    left: f64,
    right: f64,
    width: f64,
    wide: bool,
}

/// Draws the plot in a column of `width` pixels (at least 280): from 560 the names stand beside
/// the intervals, below that above them.
#[must_use]
pub fn draw(input: &ComparisonPlot, width: f64) -> Picture {
    let width = if width.is_finite() { width.max(280.0) } else { 280.0 };
    let wide = width >= 560.0;
    let left = if wide { 220.0 } else { 10.0 };
    let right = width - 18.0;
    let axis = Axis::new((1.0, greatest(input)), (left, right));
    let field = Field { axis, left, right, width, wide };
    let mut shapes = Vec::new();
    let mut top = heading(input.heading.as_deref(), width, &mut shapes);
    top += 22.0;
    let (rows, bottom) = rows::rows(input, &field, top + 8.0);
    if rows.is_empty() {
        shapes.push(text(
            [0.0, top + 22.0],
            "no reading recorded yet",
            (Face::Text, 13.0),
            Anchor::Start,
            Paint::SoftInk,
        ));
    }
    draw_axis(input, &field, (top, bottom), &mut shapes);
    for row in rows {
        shapes.push(rows::draw_row(row, &field));
    }
    let mut below = bottom + 22.0;
    for words in Face::Text.wrap(&axis_name(input), 12.0, field.right - field.left) {
        below += 16.0;
        shapes.push(text(
            [f64::midpoint(field.left, field.right), below],
            words,
            (Face::Text, 12.0),
            Anchor::Middle,
            Paint::Ink,
        ));
    }
    Picture {
        kind: "comparison-plot",
        width,
        height: below + 6.0,
        title: format!("Stand against installed: {}", axis_name(input)),
        description: description(input),
        shapes,
    }
}

fn axis_name(input: &ComparisonPlot) -> String {
    if input.point_name.is_empty() {
        "SWR".to_owned()
    } else {
        format!("SWR at {}", input.point_name)
    }
}

/// The SWR at the axis' end.
fn greatest(input: &ComparisonPlot) -> f64 {
    let most = input
        .rows
        .iter()
        .flat_map(|row| {
            row.value
                .into_iter()
                .chain(row.range.into_iter().flatten())
                .chain(row.widest.into_iter().flatten())
        })
        .chain(input.limit)
        .filter(|swr| swr.is_finite())
        .fold(1.3, f64::max)
        .min(GREATEST);
    let most = 1.0 + (most - 1.0) * 1.08;
    let step = round_step((most - 1.0) / 6.0);
    (1.0 + ((most - 1.0) / step).ceil() * step).min(GREATEST)
}

/// An SWR as people write it.
fn swr(value: f64) -> String {
    if !value.is_finite() {
        plain(value, 1)
    } else if value < 10.0 {
        format!("{value:.2}")
    } else {
        format!("{value:.1}")
    }
}

fn range_words([low, high]: [f64; 2], at_least: bool) -> String {
    let words = if high.is_finite() {
        format!("{} to {}", swr(low), swr(high))
    } else {
        format!("{} and more", swr(low))
    };
    if at_least { format!("{words}, or wider") } else { words }
}

fn row_words(row: &Interval) -> String {
    match (row.value, row.range) {
        (Some(value), Some(range)) => {
            format!("{} ({})", swr(value), range_words(range, row.at_least))
        }
        (Some(value), None) => swr(value),
        (None, Some(range)) => range_words(range, row.at_least),
        (None, None) => match row.role {
            Role::Predicted => "not known".to_owned(),
            Role::Stand | Role::Installed => "not measured".to_owned(),
        },
    }
}

fn draw_axis(
    input: &ComparisonPlot,
    field: &Field,
    (top, bottom): (f64, f64),
    shapes: &mut Vec<Shape>,
) {
    let most = ((field.right - field.left) / 60.0).clamp(3.0, 9.0);
    let ticks = field.axis.ticks(most);
    for (tick, label) in ticks.iter().zip(tick_texts(&ticks)) {
        let x = field.axis.at(*tick);
        shapes.push(line([x, top], [x, bottom + 4.0], Stroke::solid(Paint::Rule, 1.0)));
        shapes.push(text(
            [x, bottom + 18.0],
            label,
            (Face::Text, 12.0),
            Anchor::Middle,
            Paint::SoftInk,
        ));
    }
    shapes.push(line([field.left, bottom], [field.right, bottom], Stroke::solid(Paint::Ink, 1.2)));
    let Some(limit) = input.limit.filter(|limit| limit.is_finite()) else {
        return;
    };
    let x = field.axis.at(limit);
    let words = format!("limit at this point {}", swr(limit));
    let room = Face::Strong.measure(&words, 12.0) * 1.04;
    let beyond = !field.axis.holds(limit);
    let words = if beyond { format!("{words}, beyond this axis") } else { words };
    let (anchor, at) = if x + room + 6.0 < field.right {
        (Anchor::Start, x + 6.0)
    } else {
        (Anchor::End, (x - 6.0).max(room))
    };
    shapes.push(text([at, top - 8.0], words, (Face::Strong, 12.0), anchor, Paint::Oxide));
    if beyond {
        return;
    }
    shapes.push(line([x, top - 20.0], [x, bottom], Stroke::solid(Paint::Oxide, 2.2)));
}

/// The rows as a table.
#[must_use]
pub fn table(input: &ComparisonPlot) -> Table {
    let mut table =
        Table::new(&axis_name(input), ["Row", "SWR", "Least", "Greatest", "Widest", "Remark"]);
    let dash = || "—".to_owned();
    for row in &input.rows {
        let mut remark = row.note.clone();
        if row.at_least {
            if !remark.is_empty() {
                remark.push_str("; ");
            }
            remark.push_str("the interval is at least this wide");
        }
        table.row([
            row.name.clone(),
            row.value.map_or_else(dash, swr),
            row.range.map_or_else(dash, |range| swr(range[0])),
            row.range.map_or_else(dash, |range| swr(range[1])),
            row.widest.map_or_else(dash, |widest| range_words(widest, false)),
            remark,
        ]);
    }
    if let Some(limit) = input.limit {
        table.row([
            "Limit at this point".to_owned(),
            dash(),
            dash(),
            swr(limit),
            dash(),
            String::new(),
        ]);
    }
    table
}

fn description(input: &ComparisonPlot) -> String {
    let mut sentences: Vec<String> =
        input.rows.iter().map(|row| format!("{}: {}.", row.name, row_words(row))).collect();
    if let Some(limit) = input.limit {
        sentences.push(format!("The limit at this point is {}.", swr(limit)));
    }
    sentences.join(" ")
}
