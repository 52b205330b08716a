//! The rows of the plot: names and figures, and each interval as a band.

use crate::figure::label::Label;
use crate::figure::picture::{Fill, Paint, Shape, Stroke};
use crate::figure::picture::{circle, line, polygon, polyline, rect};

use super::{ComparisonPlot, Field, Interval, Role, range_words, row_words};

const BAND: f64 = 24.0;

/// A row with its label and places.
pub(super) struct Row<'a> {
    interval: &'a Interval,
    label: Label,
    top: f64,
    middle: f64,
}

pub(super) fn rows<'a>(input: &'a ComparisonPlot, field: &Field, top: f64) -> (Vec<Row<'a>>, f64) {
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
    (rows, y.max(top + 30.0))
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

pub(super) fn draw_row(row: Row<'_>, field: &Field) -> Shape {
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
                widest_band(widest, range, y, field, &mut parts);
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

/// The widest band of a prediction: thin lines from the band's ends to ends of their own.
fn widest_band(
    [low, high]: [f64; 2],
    band: [f64; 2],
    y: f64,
    field: &Field,
    parts: &mut Vec<Shape>,
) {
    let (from, to) = (field.axis.at(low), field.axis.at(high));
    let (band_from, band_to) = (field.axis.at(band[0]), field.axis.at(band[1]));
    let thin = Stroke::solid(Paint::Sea, 1.2);
    if from < band_from - 0.5 {
        parts.push(line([from, y], [band_from, y], thin));
        parts.push(line([from, y - 5.0], [from, y + 5.0], thin));
    }
    if !field.axis.holds(high) {
        parts.push(line([band_to, y], [to, y], thin));
        parts.push(arrow(to, y, Paint::Sea));
    } else if to > band_to + 0.5 {
        parts.push(line([band_to, y], [to, y], thin));
        parts.push(line([to, y - 5.0], [to, y + 5.0], thin));
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
