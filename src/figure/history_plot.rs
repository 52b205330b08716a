//! The history plot: SWR at the antenna input over years, each reading with its interval, the events
//! that explain steps, and the limit that holds there.

use crate::figure::axis::{Axis, plain, round_step, tick_texts};
use crate::figure::label::heading;
use crate::figure::picture::{Anchor, Fill, Paint, Picture, Shape, Stroke};
use crate::figure::picture::{circle, line, polyline, rect, text};
use crate::figure::table::Table;
use crate::figure::typeface::Face;

/// One reading.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Reading {
    /// When, in days from any day that all share.
    pub day: f64,
    /// When, in words.
    pub when: String,
    /// Why it was taken: "installed", "routine".
    pub occasion: String,
    /// Whether it belongs to a job's acceptance: drawn as a square.
    pub installed: bool,
    /// SWR at the antenna input; absent where that is withheld.
    pub swr: Option<f64>,
    /// Least and greatest SWR that it may be; the greatest may be infinite.
    pub range: Option<[f64; 2]>,
    /// Whether it is compared with its neighbours; others are drawn pale.
    pub alike: bool,
    /// More to say.
    pub note: String,
}

/// Something that explains a step.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Event {
    /// When, in the readings' days.
    pub day: f64,
    /// A few words.
    pub words: String,
}

/// Everything the plot shows.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct HistoryPlot {
    /// A heading drawn above the plot.
    pub heading: Option<String>,
    /// The readings in order of time.
    pub readings: Vec<Reading>,
    /// The events in order of time.
    pub events: Vec<Event>,
    /// Years or months along the axis: where they begin, and their names.
    pub ticks: Vec<(f64, String)>,
    /// Greatest SWR that is allowed at the antenna input.
    pub limit: Option<f64>,
    /// The trend's two ends, day and SWR, where one is shown.
    pub trend: Option<[(f64, f64); 2]>,
}

/// Greater values are drawn at the axis' end.
const GREATEST: f64 = 5.0;
const HEIGHT: f64 = 230.0;
const AXIS_NAME: &str = "SWR at the antenna input";

struct Field {
    days: Axis,
    swr: Axis,
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
}

/// Draws the plot in a column of `width` pixels (at least 280).
#[must_use]
pub fn draw(input: &HistoryPlot, width: f64) -> Picture {
    let width = if width.is_finite() { width.max(280.0) } else { 280.0 };
    let mut shapes = Vec::new();
    let mut top = heading(input.heading.as_deref(), width, &mut shapes);
    top += 16.0;
    shapes.push(said(
        [0.0, top],
        AXIS_NAME.to_owned(),
        (Face::Text, 12.0),
        Anchor::Start,
        Paint::Ink,
    ));
    top += 12.0;
    let bottom = top + HEIGHT;
    let (left, right) = (36.0, width - 14.0);
    let field = Field {
        days: Axis::new(span(input), (left + 8.0, right - 8.0)),
        swr: Axis::new((1.0, greatest(input)), (bottom, top)),
        left,
        right,
        top,
        bottom,
    };
    draw_axes(input, &field, &mut shapes);
    draw_events(input, &field, &mut shapes);
    if let Some([from, to]) = input.trend {
        let at = |(day, swr): (f64, f64)| [field.days.at(day), field.swr.at(swr)];
        shapes.push(polyline(vec![at(from), at(to)], Stroke::dashed(Paint::Sea, 1.8)));
    }
    for reading in &input.readings {
        draw_reading(reading, &field, &mut shapes);
    }
    if input.readings.is_empty() {
        shapes.push(nothing_yet(&field));
    }
    Picture {
        kind: "history-plot",
        width,
        height: bottom + 28.0,
        title: format!("{AXIS_NAME} over time"),
        description: description(input),
        shapes,
    }
}

fn said(at: [f64; 2], words: String, face: (Face, f64), anchor: Anchor, paint: Paint) -> Shape {
    text(at, words, face, anchor, paint)
}

fn nothing_yet(field: &Field) -> Shape {
    let at = [field.left + 10.0, f64::midpoint(field.top, field.bottom)];
    said(at, "no reading yet".to_owned(), (Face::Text, 13.0), Anchor::Start, Paint::SoftInk)
}

/// The days that the axis covers: all readings and events, a little room, a month at least.
fn span(input: &HistoryPlot) -> (f64, f64) {
    let days = || {
        let readings = input.readings.iter().map(|reading| reading.day);
        readings.chain(input.events.iter().map(|event| event.day)).filter(|day| day.is_finite())
    };
    let (low, high) =
        (days().fold(f64::INFINITY, f64::min), days().fold(f64::NEG_INFINITY, f64::max));
    if !low.is_finite() {
        return (0.0, 30.0);
    }
    // A month begins within any 32 days, so that the axis has a name.
    let room = ((high - low) * 0.03).max(16.0);
    (low - room, high + room)
}

fn greatest(input: &HistoryPlot) -> f64 {
    let most = input
        .readings
        .iter()
        .flat_map(|reading| reading.swr.into_iter().chain(reading.range.into_iter().flatten()))
        .chain(input.limit)
        .filter(|swr| swr.is_finite())
        .fold(1.3, f64::max)
        .min(GREATEST);
    let step = round_step((most - 1.0) / 5.0);
    (1.0 + ((most - 1.0) * 1.06 / step).ceil() * step).min(GREATEST)
}

fn draw_axes(input: &HistoryPlot, field: &Field, shapes: &mut Vec<Shape>) {
    let ticks = field.swr.ticks(6.0);
    for (tick, label) in ticks.iter().zip(tick_texts(&ticks)) {
        let y = field.swr.at(*tick);
        shapes.push(line([field.left, y], [field.right, y], Stroke::solid(Paint::Rule, 1.0)));
        shapes.push(said(
            [field.left - 6.0, y + 4.0],
            label,
            (Face::Text, 12.0),
            Anchor::End,
            Paint::SoftInk,
        ));
    }
    let mut free = field.left;
    for (day, name) in &input.ticks {
        if !field.days.holds(*day) {
            continue;
        }
        let x = field.days.at(*day);
        shapes.push(line([x, field.top], [x, field.bottom + 4.0], Stroke::solid(Paint::Rule, 1.0)));
        let half = Face::Text.measure(name, 12.0) / 2.0;
        if x - half < free || x + half > field.right + 12.0 {
            continue;
        }
        shapes.push(said(
            [x, field.bottom + 18.0],
            name.clone(),
            (Face::Text, 12.0),
            Anchor::Middle,
            Paint::SoftInk,
        ));
        free = x + half + 8.0;
    }
    shapes.push(line(
        [field.left, field.bottom],
        [field.right, field.bottom],
        Stroke::solid(Paint::Ink, 1.2),
    ));
    if let Some(limit) = input.limit.filter(|limit| field.swr.holds(*limit)) {
        let y = field.swr.at(limit);
        shapes.push(line([field.left, y], [field.right, y], Stroke::solid(Paint::Oxide, 1.8)));
        let words = format!("limit {}", plain(limit, 2));
        shapes.push(said(
            [field.right, y - 5.0],
            words,
            (Face::Strong, 12.0),
            Anchor::End,
            Paint::Oxide,
        ));
    }
}

fn draw_events(input: &HistoryPlot, field: &Field, shapes: &mut Vec<Shape>) {
    let mut free = field.left;
    for event in &input.events {
        let x = field.days.at(event.day);
        shapes.push(line([x, field.top], [x, field.bottom], Stroke::dashed(Paint::SoftInk, 1.0)));
        let room = Face::Text.measure(&event.words, 11.0);
        let at = if x + 4.0 + room > field.right { field.right - room } else { x + 4.0 };
        // Words that would lie over the ones before are left to the table.
        if at >= free {
            shapes.push(said(
                [at, field.top + 9.0],
                event.words.clone(),
                (Face::Text, 11.0),
                Anchor::Start,
                Paint::SoftInk,
            ));
            free = at + room + 8.0;
        }
    }
}

fn draw_reading(reading: &Reading, field: &Field, shapes: &mut Vec<Shape>) {
    let paint = if reading.alike { Paint::Ink } else { Paint::SoftInk };
    let x = field.days.at(reading.day);
    if let Some([low, high]) = reading.range {
        let (from, to) = (field.swr.at(low), field.swr.at(high));
        shapes.push(line([x, from], [x, to], Stroke::solid(paint, 1.4)));
        let cap = |y: f64| line([x - 3.5, y], [x + 3.5, y], Stroke::solid(paint, 1.4));
        shapes.push(cap(from));
        if field.swr.holds(high) {
            shapes.push(cap(to));
        }
    }
    let Some(swr) = reading.swr else { return };
    let y = field.swr.at(swr);
    let fill = Some(Fill::solid(if reading.alike { Paint::Ink } else { Paint::Paper }));
    let edge = Some(Stroke::solid(paint, 1.4));
    shapes.push(if reading.installed {
        rect([x - 4.0, y - 4.0], [8.0, 8.0], fill, edge)
    } else {
        circle([x, y], 4.0, fill, edge)
    });
}

fn description(input: &HistoryPlot) -> String {
    let count = input.readings.len();
    match (input.readings.first(), input.readings.last()) {
        (Some(first), Some(last)) if count > 1 => {
            format!("{count} readings from {} to {}.", first.when, last.when)
        }
        (Some(only), _) => format!("One reading, {}.", only.when),
        _ => "No reading yet.".to_owned(),
    }
}

/// The same numbers: readings and events in order of time.
#[must_use]
pub fn table(input: &HistoryPlot) -> Table {
    let mut table = Table::new(
        "SWR at the antenna input over time",
        ["When", "What", "SWR", "Least", "Greatest", "Remark"],
    );
    let dash = || "—".to_owned();
    let swr = |swr: f64| plain(swr, 2);
    let mut rows: Vec<(f64, [String; 6])> = Vec::new();
    for reading in &input.readings {
        let cells = [
            reading.when.clone(),
            reading.occasion.clone(),
            reading.swr.map_or_else(dash, swr),
            reading.range.map_or_else(dash, |range| swr(range[0])),
            reading.range.map_or_else(dash, |range| swr(range[1])),
            reading.note.clone(),
        ];
        rows.push((reading.day, cells));
    }
    rows.sort_by(|one, other| one.0.total_cmp(&other.0));
    for (_, cells) in rows {
        table.row(cells);
    }
    table
}
