//! The plot's field: axes, target, best band, fitted curve, and the words above it.

use crate::figure::axis::{Axis, plain, tick_texts};
use crate::figure::picture::{Anchor, Fill, Paint, Shape, Stroke};
use crate::figure::picture::{line, polygon, polyline, rect, text};
use crate::figure::typeface::Face;

use super::{Field, ROW, TrialPlot};

/// A word above the plot that belongs to one place on the axis.
pub(super) struct Flag {
    words: String,
    x: f64,
    anchor: Anchor,
    paint: Paint,
    row: f64,
    line: bool,
}

/// The words above the plot on as many rows as they need, the lowest first.
pub(super) fn flags(input: &TrialPlot, axis: &Axis, width: f64) -> (Vec<Flag>, f64) {
    let mut wanted = vec![Flag {
        words: "reflected share, %".to_owned(),
        x: 0.0,
        anchor: Anchor::Start,
        paint: Paint::Ink,
        row: 0.0,
        line: false,
    }];
    if let Some(present) = input.present.filter(|present| present.is_finite()) {
        wanted.push(Flag {
            words: format!("now {} {}", plain(present, 1), input.unit),
            x: axis.at(present),
            anchor: Anchor::Middle,
            paint: Paint::Ink,
            row: 0.0,
            line: true,
        });
    }
    if let Some([low, high]) = input.best {
        wanted.push(Flag {
            words: format!("best {} to {}", plain(low, 1), plain(high, 1)),
            x: axis.at(f64::midpoint(low, high)),
            anchor: Anchor::Middle,
            paint: Paint::Oxide,
            row: 0.0,
            line: false,
        });
    }
    let mut taken: Vec<(f64, f64, f64)> = Vec::new();
    let mut rows: f64 = 1.0;
    for flag in &mut wanted {
        let room = Face::Text.measure(&flag.words, 12.0) * 1.04;
        let left = match flag.anchor {
            Anchor::Middle => (flag.x - room / 2.0).clamp(0.0, (width - room).max(0.0)),
            Anchor::Start | Anchor::End => flag.x,
        };
        while taken.iter().any(|(row, from, to)| {
            (row - flag.row).abs() < 0.5 && left < to + 8.0 && left + room + 8.0 > *from
        }) {
            flag.row += 1.0;
        }
        taken.push((flag.row, left, left + room));
        rows = rows.max(flag.row + 1.0);
        if flag.anchor == Anchor::Middle {
            flag.anchor = Anchor::Start;
            // The line keeps the setting's place; only the words move.
            flag.x = left;
        }
    }
    (wanted, rows)
}

pub(super) fn draw_flags(flags: &[Flag], field: &Field, shapes: &mut Vec<Shape>) {
    for flag in flags {
        let baseline = field.top - 12.0 - flag.row * ROW;
        let face = if flag.line { Face::Strong } else { Face::Text };
        shapes.push(text([flag.x, baseline], &*flag.words, (face, 12.0), flag.anchor, flag.paint));
    }
}

pub(super) fn draw_field(input: &TrialPlot, field: &Field, shapes: &mut Vec<Shape>) {
    if let Some([low, high]) = input.best {
        let (left, right) = (field.x.at(low), field.x.at(high));
        shapes.push(rect(
            [left, field.top],
            [(right - left).max(2.0), field.bottom - field.top],
            Some(Fill::tint(Paint::Oxide, 16)),
            None,
        ));
    }
    draw_shares(input, field, shapes);
    draw_settings(input, field, shapes);
    if input.fit.len() > 1 {
        let points = input
            .fit
            .iter()
            .filter(|point| field.y.holds(point[1]))
            .map(|point| [field.x.at(point[0]), field.y.at(point[1])])
            .collect();
        shapes.push(polyline(points, Stroke::dashed(Paint::Sea, 1.8)));
    }
    if let Some(present) = input.present.filter(|present| present.is_finite()) {
        let x = field.x.at(present);
        shapes.push(line([x, field.top - 4.0], [x, field.bottom], Stroke::solid(Paint::Ink, 1.0)));
        shapes.push(polygon(
            vec![[x - 5.0, field.top - 8.0], [x + 5.0, field.top - 8.0], [x, field.top]],
            Some(Fill::solid(Paint::Ink)),
            None,
        ));
    }
    if input.trials.is_empty() {
        shapes.push(text(
            [f64::midpoint(field.left, field.right), f64::midpoint(field.top, field.bottom)],
            "no trial recorded yet",
            (Face::Text, 13.0),
            Anchor::Middle,
            Paint::SoftInk,
        ));
    }
}

fn draw_shares(input: &TrialPlot, field: &Field, shapes: &mut Vec<Shape>) {
    let target = input.target_percent.filter(|target| target.is_finite());
    let ticks = if input.trials.is_empty() { vec![0.0] } else { field.y.ticks(5.0) };
    for (tick, label) in ticks.iter().zip(tick_texts(&ticks)) {
        let y = field.y.at(*tick);
        let grid = Stroke::solid(Paint::Rule, 1.0);
        shapes.push(line([field.left, y], [field.right, y], grid));
        if target.is_none_or(|target| (field.y.at(target) - y).abs() > 15.0) {
            shapes.push(text(
                [field.left - 7.0, y + 4.0],
                label,
                (Face::Text, 11.5),
                Anchor::End,
                Paint::SoftInk,
            ));
        }
    }
    if let Some(target) = target {
        let y = field.y.at(target);
        shapes.push(line([field.left, y], [field.right, y], Stroke::solid(Paint::Oxide, 1.4)));
        for (words, face, base) in
            [("target".to_owned(), Face::Text, y - 1.0), (plain(target, 2), Face::Strong, y + 11.0)]
        {
            shapes.push(text(
                [field.left - 7.0, base],
                words,
                (face, 11.5),
                Anchor::End,
                Paint::Oxide,
            ));
        }
    }
}

fn draw_settings(input: &TrialPlot, field: &Field, shapes: &mut Vec<Shape>) {
    let axis = Stroke::solid(Paint::Ink, 1.2);
    let most = ((field.right - field.left) / 70.0).clamp(2.0, 8.0);
    let placed = !input.trials.is_empty() || input.present.is_some() || !input.fit.is_empty();
    let ticks = if placed { field.x.ticks(most) } else { Vec::new() };
    for (tick, label) in ticks.iter().zip(tick_texts(&ticks)) {
        let x = field.x.at(*tick);
        shapes.push(line([x, field.bottom], [x, field.bottom + 5.0], axis));
        shapes.push(text(
            [x, field.bottom + 19.0],
            label,
            (Face::Text, 11.5),
            Anchor::Middle,
            Paint::SoftInk,
        ));
    }
    shapes.push(polyline(
        vec![[field.left, field.top], [field.left, field.bottom], [field.right, field.bottom]],
        axis,
    ));
}
