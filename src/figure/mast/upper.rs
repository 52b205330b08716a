//! Above ground: the height scale, the structure, the antenna and the feed line.

use crate::figure::axis::tick_texts;
use crate::figure::picture::{Anchor, Fill, Paint, Shape, Stroke};
use crate::figure::picture::{circle, line, polygon, polyline, rect, text};
use crate::figure::typeface::Face;

use super::frame::Frame;
use super::{Mast, StructureKind, group, words};

/// The scale of heights on the left and the ground line.
pub(super) fn scale(_input: &Mast, frame: &Frame) -> Vec<Shape> {
    let mut shapes = Vec::new();
    let rule = Stroke::solid(Paint::SoftInk, 1.0);
    if let Some(axis) = frame.heights {
        let ticks = axis.ticks(6.0);
        for (tick, label) in ticks.iter().zip(tick_texts(&ticks)) {
            let y = axis.at(*tick);
            shapes.push(line([frame.scale_x - 4.0, y], [frame.scale_x, y], rule));
            shapes.push(text(
                [frame.scale_x - 8.0, y + 4.0],
                format!("{label} m"),
                (Face::Text, 11.0),
                Anchor::End,
                Paint::SoftInk,
            ));
        }
        shapes.push(line(
            [frame.scale_x, axis.at(axis.high())],
            [frame.scale_x, frame.ground],
            rule,
        ));
    }
    let end = frame.hut_x + frame.hut_width + 4.0;
    let mut x = frame.scale_x + 8.0;
    while x + 4.0 < end {
        shapes.push(line(
            [x + 4.0, frame.ground + 1.0],
            [x, frame.ground + 6.0],
            Stroke::solid(Paint::Rule, 1.0),
        ));
        x += 9.0;
    }
    shapes.push(line(
        [frame.scale_x, frame.ground],
        [end, frame.ground],
        Stroke::solid(Paint::Ink, 1.5),
    ));
    shapes
}

/// The structure with its name below the ground line on the left.
pub(super) fn structure(input: &Mast, frame: &Frame) -> Vec<Shape> {
    let (x, top, ground) = (frame.structure_x, frame.structure_top, frame.ground);
    let known = input.structure.height_m.is_some();
    let outline =
        if known { Stroke::solid(Paint::Ink, 1.4) } else { Stroke::dashed(Paint::SoftInk, 1.4) };
    let brace = Stroke::solid(Paint::SoftInk, 0.8);
    let mut shapes = match input.structure.kind {
        StructureKind::Mast => lattice(x, top, ground, (8.0, 8.0), outline, known.then_some(brace)),
        StructureKind::Tower => {
            lattice(x, top, ground, (5.0, 16.0), outline, known.then_some(brace))
        }
        StructureKind::Pole => {
            let width = if known { 5.0 } else { 1.4 };
            vec![line([x, top], [x, ground], Stroke { width, ..outline })]
        }
        StructureKind::Roof => house(x, top, ground, outline),
    };
    // An antenna above its structure stands on a tube.
    let tube_top = frame.antenna_y - 8.0;
    if frame.antenna_y < top + 2.0 && input.antenna.is_some() {
        shapes.push(line([x, tube_top], [x, top], Stroke::solid(Paint::Ink, 3.0)));
    }
    shapes.extend(frame.structure_label.clone().draw([0.0, ground + 10.0]));
    vec![group(
        input.structure.part.href.as_ref(),
        words::structure_name(&input.structure).to_owned(),
        shapes,
    )]
}

fn lattice(
    x: f64,
    top: f64,
    ground: f64,
    (upper, lower): (f64, f64),
    outline: Stroke,
    brace: Option<Stroke>,
) -> Vec<Shape> {
    let half = |y: f64| {
        let share = if ground > top { (y - top) / (ground - top) } else { 0.0 };
        upper + share * (lower - upper)
    };
    let mut shapes = Vec::new();
    if let Some(brace) = brace {
        let panels = ((ground - top) / 16.0).round().clamp(1.0, 40.0);
        let mut points = Vec::new();
        let mut index = 0.0;
        let mut side = -1.0;
        while index <= panels {
            let y = top + (ground - top) * index / panels;
            points.push([x + side * half(y), y]);
            side = -side;
            index += 1.0;
        }
        shapes.push(polyline(points, brace));
    }
    shapes.push(polygon(
        vec![[x - upper, top], [x + upper, top], [x + lower, ground], [x - lower, ground]],
        None,
        Some(outline),
    ));
    shapes
}

fn house(x: f64, top: f64, ground: f64, outline: Stroke) -> Vec<Shape> {
    let mut shapes = vec![rect(
        [x - 18.0, top],
        [34.0, ground - top],
        Some(Fill::solid(Paint::Wash)),
        Some(outline),
    )];
    let mut y = top + 12.0;
    while y + 22.0 < ground {
        for left in [x - 12.0, x + 3.0] {
            shapes.push(rect([left, y], [7.0, 9.0], None, Some(Stroke::solid(Paint::Rule, 1.0))));
        }
        y += 24.0;
    }
    shapes
}

/// The antenna at its height, with the authorised height across it.
pub(super) fn antenna(input: &Mast, frame: &Frame) -> Vec<Shape> {
    let mut shapes = authorised_height(input, frame);
    let (x, y, half) = (frame.antenna_x, frame.antenna_y, frame.antenna_half);
    let placed = input.antenna.as_ref().is_some_and(|antenna| antenna.height_m.is_some());
    let mut parts = Vec::new();
    if placed {
        let rod = Stroke::solid(Paint::Ink, 4.0);
        parts.push(line([x, y - half], [x, y - 3.0], rod));
        parts.push(line([x, y + 3.0], [x, y + half], rod));
    } else {
        let rod = Stroke::dashed(Paint::SoftInk, 2.0);
        parts.push(line([x, y - half], [x, y + half], rod));
    }
    parts.extend(leader([x + 6.0, y], [frame.label_x - 5.0, frame.antenna_label.1 + 9.0]));
    let (label, top) = frame.antenna_label.clone();
    parts.extend(label.draw([frame.label_x, top]));
    let href = match &input.antenna {
        Some(antenna) => antenna.part.href.as_ref(),
        None => input.record_href.as_ref(),
    };
    let name = input.antenna.as_ref().map_or("Antenna", words::antenna_name).to_owned();
    shapes.push(group(href, name, parts));
    shapes
}

fn authorised_height(input: &Mast, frame: &Frame) -> Vec<Shape> {
    let Some(axis) = frame.heights else {
        return Vec::new();
    };
    let allowed = input
        .antenna
        .as_ref()
        .and_then(|antenna| antenna.authorised_height_m)
        .filter(|height| *height > 0.0);
    let Some(allowed) = allowed else {
        return Vec::new();
    };
    let y = axis.at(allowed);
    let x = frame.scale_x;
    vec![
        polygon(
            vec![[x + 9.0, y - 5.0], [x + 9.0, y + 5.0], [x + 1.0, y]],
            Some(Fill::solid(Paint::Oxide)),
            None,
        ),
        line(
            [frame.conductor_x + 4.0, y],
            [frame.antenna_x + 14.0, y],
            Stroke { dash: Some([3.0, 3.0]), ..Stroke::solid(Paint::Oxide, 1.2) },
        ),
    ]
}

/// A thin line from a part to its label, level where it can be.
fn leader(from: [f64; 2], to: [f64; 2]) -> Option<Shape> {
    ((from[1] - to[1]).abs() > 12.0).then(|| {
        polyline(
            vec![from, [f64::midpoint(from[0], to[0]), to[1]], to],
            Stroke::solid(Paint::SoftInk, 0.8),
        )
    })
}

/// The feed line from the antenna to the building.
pub(super) fn feed_line(input: &Mast, frame: &Frame) -> Vec<Shape> {
    let recorded = input.feed_line.is_some();
    let y = frame.antenna_y;
    let mut shapes = vec![line(
        [frame.structure_x, y],
        [frame.antenna_x, y],
        if input.antenna.is_some() {
            Stroke::solid(Paint::Ink, 2.0)
        } else {
            Stroke::dashed(Paint::SoftInk, 1.2)
        },
    )];
    let stroke =
        if recorded { Stroke::solid(Paint::Sea, 3.5) } else { Stroke::dashed(Paint::SoftInk, 1.6) };
    let mut parts = vec![polyline(
        vec![
            [frame.antenna_x - 3.0, y],
            [frame.line_x, y],
            [frame.line_x, frame.line_y()],
            [frame.hut_x, frame.line_y()],
        ],
        stroke,
    )];
    if recorded {
        parts.push(circle([frame.antenna_x, y], 3.2, Some(Fill::solid(Paint::Sea)), None));
    }
    let (label, top) = frame.line_label.clone();
    let level = top + 9.0;
    if level > y + frame.antenna_half + 6.0 && level < frame.line_y() - 4.0 {
        parts.push(line(
            [frame.line_x + 4.0, level],
            [frame.label_x - 5.0, level],
            Stroke::solid(Paint::SoftInk, 0.8),
        ));
    }
    parts.extend(label.draw([frame.label_x, top]));
    let href = match &input.feed_line {
        Some(line) => line.part.href.as_ref(),
        None => input.record_href.as_ref(),
    };
    shapes.push(group(href, words::line_part(input).name, parts));
    shapes
}
