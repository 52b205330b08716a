//! The trials as points with the meter's bars, and their numbers.

use crate::figure::axis::plain;
use crate::figure::picture::{Anchor, Fill, Paint, Shape, Stroke};
use crate::figure::picture::{circle, line, polygon, rect};
use crate::figure::typeface::Face;

use super::{Field, RIGHT, Trial, TrialPlot};

/// Left, top, right and bottom of something drawn.
type Extent = [f64; 4];

fn overlap(a: Extent, b: Extent) -> bool {
    a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3]
}

pub(super) fn draw_trials(input: &TrialPlot, field: &Field, shapes: &mut Vec<Shape>) {
    let mut taken: Vec<Extent> = input
        .trials
        .iter()
        .map(|trial| {
            let (x, y) = (field.x.at(trial.setting), field.y.at(trial.share_percent));
            [x - 4.5, y - 4.5, x + 4.5, y + 4.5]
        })
        .collect();
    let mut order: Vec<&Trial> = input.trials.iter().collect();
    order.sort_by_key(|trial| (!trial.struck, trial.number));
    for trial in order {
        let mut parts = Vec::new();
        bar(trial, field, &mut parts);
        number(trial, field, &mut taken, &mut parts);
        shapes.push(Shape::Group {
            href: trial.href.clone(),
            name: format!(
                "Trial {}: {} % at {} {}",
                trial.number,
                plain(trial.share_percent, 2),
                plain(trial.setting, 2),
                input.unit
            ),
            shapes: parts,
        });
    }
}

/// The meter's bar and the point itself.
fn bar(trial: &Trial, field: &Field, parts: &mut Vec<Shape>) {
    let (x, y) = (field.x.at(trial.setting), field.y.at(trial.share_percent));
    let paint = if trial.struck { Paint::SoftInk } else { Paint::Ink };
    let stroke = if trial.struck { Stroke::dashed(paint, 1.0) } else { Stroke::solid(paint, 1.3) };
    let low = field.y.at(trial.low_percent.min(trial.share_percent));
    let high = field.y.at(trial.high_percent.max(trial.share_percent));
    parts.push(line([x, low], [x, high], stroke));
    let beyond = !field.y.holds(trial.high_percent);
    if beyond {
        parts.push(polygon(
            vec![[x - 4.0, high + 7.0], [x + 4.0, high + 7.0], [x, high - 1.0]],
            Some(Fill::solid(paint)),
            None,
        ));
    }
    for (end, outward) in [(low, 1.0), (high, -1.0)] {
        if trial.at_least {
            parts.push(line(
                [x, end + outward * 2.0],
                [x, (end + outward * 9.0).clamp(field.top, field.bottom)],
                Stroke { dash: Some([1.5, 2.0]), ..Stroke::solid(paint, 1.3) },
            ));
        } else if !(beyond && outward < 0.0) {
            parts.push(line([x - 4.0, end], [x + 4.0, end], stroke));
        }
    }
    if trial.struck {
        parts.push(circle([x, y], 4.0, Some(Fill::solid(Paint::Paper)), Some(stroke)));
        let cross = Stroke::solid(paint, 1.3);
        parts.push(line([x - 5.0, y - 5.0], [x + 5.0, y + 5.0], cross));
        parts.push(line([x - 5.0, y + 5.0], [x + 5.0, y - 5.0], cross));
    } else {
        parts.push(circle([x, y], 4.0, Some(Fill::solid(Paint::Ink)), None));
    }
}

/// The trial's number beside its point, clear of all other points and numbers.
fn number(trial: &Trial, field: &Field, taken: &mut Vec<Extent>, parts: &mut Vec<Shape>) {
    let words = trial.number.to_string();
    let (x, y) = (field.x.at(trial.setting), field.y.at(trial.share_percent));
    let room = Face::Strong.measure(&words, 12.0) + 2.0;
    let extent = |dx: f64, dy: f64| -> Extent {
        let (middle, base) = (x + dx, y + dy);
        [middle - room / 2.0, base - 5.5, middle + room / 2.0, base + 5.5]
    };
    let side = room / 2.0 + 7.0;
    let mut places = vec![(side, -8.0), (-side, -8.0), (side, 9.0), (-side, 9.0)];
    for distance in [18.0, 30.0, 42.0, 54.0, 66.0] {
        for (right, down) in [
            (0.7, -0.7),
            (-0.7, -0.7),
            (0.7, 0.7),
            (-0.7, 0.7),
            (1.0, 0.0),
            (-1.0, 0.0),
            (0.3, -1.0),
            (-0.3, -1.0),
        ] {
            places.push((right * distance + right * side, down * distance));
        }
    }
    let free = places.iter().copied().find(|(dx, dy)| {
        let place = extent(*dx, *dy);
        place[0] > field.left + 1.0
            && place[2] < field.right + RIGHT
            && place[1] > field.top - 6.0
            && place[3] < field.bottom - 1.0
            && !taken.iter().any(|other| overlap(place, *other))
    });
    let (dx, dy) = free.unwrap_or((side, -8.0));
    taken.push(extent(dx, dy));
    if dx.abs() > side + 1.0 || dy.abs() > 12.0 {
        parts.push(line(
            [x, y],
            [x + dx - dx.signum() * room / 2.0, y + dy],
            Stroke::solid(Paint::SoftInk, 0.7),
        ));
    }
    // The curve and other bars pass behind the number.
    parts.push(rect(
        [x + dx - room / 2.0, y + dy - 6.0],
        [room, 12.0],
        Some(Fill::tint(Paint::Paper, 75)),
        None,
    ));
    parts.push(Shape::Text {
        at: [x + dx, y + dy + 4.0],
        text: words,
        size: 12.0,
        face: Face::Strong,
        anchor: Anchor::Middle,
        paint: if trial.struck { Paint::SoftInk } else { Paint::Ink },
        struck: trial.struck,
    });
}
