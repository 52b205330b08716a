//! The comparison plot: stand, predicted and installed, each an interval on one SWR axis at one
//! named point, with the limit that holds there.

use crate::figure::axis::{Axis, plain, round_step, tick_texts};
use crate::figure::label::Label;
use crate::figure::picture::{Anchor, Fill, Paint, Picture, Shape, Stroke};
use crate::figure::picture::{circle, line, polygon, polyline, rect, text};
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
const BAND: f64 = 24.0;

struct Field {
    axis: Axis,
    left: f64,
    right: f64,
    width: f64,
    wide: bool,
}

/// A row with its label and places.
struct Row<'a> {
    interval: &'a Interval,
    label: Label,
    top: f64,
    middle: f64,
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
    let mut top = 0.0;
    if let Some(heading) = &input.heading {
        for words in Face::Heading.wrap(heading, 16.0, width) {
            top += 21.0;
            shapes.push(text(
                [0.0, top - 4.0],
                words,
                (Face::Heading, 16.0),
                Anchor::Start,
                Paint::Ink,
            ));
        }
        top += 6.0;
    }
    top += 22.0;
    let (rows, bottom) = rows(input, &field, top + 8.0);
    draw_axis(input, &field, (top, bottom), &mut shapes);
    for row in rows {
        shapes.push(draw_row(row, &field));
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
    if at_least { format!("{words} or wider") } else { words }
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

fn rows<'a>(input: &'a ComparisonPlot, field: &Field, top: f64) -> (Vec<Row<'a>>, f64) {
    let room = if field.wide { field.left - 26.0 } else { field.width - 12.0 };
    let mut y = top;
    let rows = input
        .rows
        .iter()
        .map(|interval| {
            let paint = match interval.role {
                Role::Stand | Role::Predicted => Paint::Sea,
                Role::Installed => Paint::Ink,
            };
            let mut label =
                Label::new(room).name(&interval.name).painted(&row_words(interval), paint);
            if let Some(widest) = interval.widest {
                label = label.fact(&format!("at the widest {}", range_words(widest, false)));
            }
            if !interval.note.is_empty() {
                label = label.fact(&interval.note);
            }
            let row_top = y;
            let middle = if field.wide {
                let height = label.height().max(BAND + 12.0);
                y += height + 16.0;
                row_top + height / 2.0
            } else {
                y += label.height() + BAND + 24.0;
                row_top + label.height() + 6.0 + BAND / 2.0
            };
            Row { interval, label, top: row_top, middle }
        })
        .collect();
    (rows, y.max(top + 20.0))
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
    let (anchor, at) = if x + room + 6.0 < field.right {
        (Anchor::Start, x + 6.0)
    } else {
        (Anchor::End, x - 6.0)
    };
    shapes.push(text([at, top - 8.0], words, (Face::Strong, 12.0), anchor, Paint::Oxide));
    shapes.push(line([x, top - 20.0], [x, bottom], Stroke::solid(Paint::Oxide, 2.2)));
}

/// How a row's interval looks.
struct Look {
    fill: Option<Fill>,
    stroke: Stroke,
    paint: Paint,
}

const fn look(role: Role) -> Look {
    match role {
        Role::Stand => Look {
            fill: Some(Fill::tint(Paint::Sea, 24)),
            stroke: Stroke::solid(Paint::Sea, 1.8),
            paint: Paint::Sea,
        },
        Role::Predicted => {
            Look { fill: None, stroke: Stroke::dashed(Paint::Sea, 1.8), paint: Paint::Sea }
        }
        Role::Installed => Look {
            fill: Some(Fill::tint(Paint::Ink, 24)),
            stroke: Stroke::solid(Paint::Ink, 1.8),
            paint: Paint::Ink,
        },
    }
}

fn draw_row(row: Row<'_>, field: &Field) -> Shape {
    let mut parts = Vec::new();
    let y = row.middle;
    let look = look(row.interval.role);
    match row.interval.range {
        None => parts.push(line(
            [field.left, y],
            [field.right, y],
            Stroke { dash: Some([2.0, 5.0]), ..Stroke::solid(Paint::SoftInk, 1.0) },
        )),
        Some(range) => {
            if let Some(widest) = row.interval.widest {
                widest_band(widest, y, field, &mut parts);
            }
            band(range, y, row.interval.at_least, &look, field, &mut parts);
        }
    }
    if let Some(value) = row.interval.value
        && field.axis.holds(value)
    {
        parts.push(circle([field.axis.at(value), y], 5.0, Some(Fill::solid(look.paint)), None));
    }
    let label_at = [if field.wide { 0.0 } else { 4.0 }, row.top];
    if !field.wide {
        // Grid and limit pass behind the words, not through them.
        parts.push(rect(
            [0.0, row.top],
            [field.width, row.label.height() + 2.0],
            Some(Fill::tint(Paint::Paper, 88)),
            None,
        ));
    }
    parts.extend(row.label.draw(label_at));
    Shape::Group { href: row.interval.href.clone(), name: row.interval.name.clone(), shapes: parts }
}

/// The widest band of a prediction: a thin line with ends.
fn widest_band([low, high]: [f64; 2], y: f64, field: &Field, parts: &mut Vec<Shape>) {
    let (from, to) = (field.axis.at(low), field.axis.at(high));
    let thin = Stroke::solid(Paint::Sea, 1.2);
    parts.push(line([from, y], [to, y], thin));
    parts.push(line([from, y - 5.0], [from, y + 5.0], thin));
    if field.axis.holds(high) {
        parts.push(line([to, y - 5.0], [to, y + 5.0], thin));
    } else {
        parts.push(arrow(to, y, Paint::Sea));
    }
}

fn arrow(x: f64, y: f64, paint: Paint) -> Shape {
    polygon(vec![[x, y - 7.0], [x, y + 7.0], [x + 12.0, y]], Some(Fill::solid(paint)), None)
}

fn band(
    [low, high]: [f64; 2],
    y: f64,
    at_least: bool,
    look: &Look,
    field: &Field,
    parts: &mut Vec<Shape>,
) {
    let (from, to) = (field.axis.at(low), field.axis.at(high));
    let (top, bottom) = (y - BAND / 2.0, y + BAND / 2.0);
    let beyond = !field.axis.holds(high);
    if look.fill.is_none() {
        parts.push(rect(
            [from, top],
            [(to - from).max(1.0), BAND],
            Some(Fill::tint(Paint::Paper, 70)),
            Some(look.stroke),
        ));
    } else {
        parts.push(rect([from, top], [(to - from).max(1.0), BAND], look.fill, None));
        for (x, outward) in [(from, -1.0), (to, 1.0)] {
            if outward > 0.0 && beyond {
                continue;
            }
            parts.push(line(
                [x, top - 3.0],
                [x, bottom + 3.0],
                if at_least {
                    Stroke { dash: Some([2.0, 3.0]), ..look.stroke }
                } else {
                    look.stroke
                },
            ));
        }
    }
    if at_least {
        for (x, outward) in [(from - 3.0, -1.0), (to + 3.0, 1.0)] {
            if (outward > 0.0 && beyond) || (outward < 0.0 && low <= field.axis.low()) {
                continue;
            }
            parts.push(polyline(
                vec![[x, y - 6.0], [x + outward * 6.0, y], [x, y + 6.0]],
                Stroke::solid(look.paint, 1.6),
            ));
        }
    }
    if beyond {
        parts.push(arrow(to, y, look.paint));
    }
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
