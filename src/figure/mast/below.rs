//! The building and the ground: grounding conductors and kits, entry, arrester, measuring point,
//! transmitter, electrodes, and the key that names them.

use crate::figure::label::{Label, stack};
use crate::figure::picture::{Anchor, Fill, Paint, Shape, Stroke};
use crate::figure::picture::{circle, line, polygon, rect, text};
use crate::figure::typeface::Face;

use super::frame::{Frame, HUT_HEIGHT, Key};
use super::{GroundKit, KitPlace, Mast, group, words};

const BUS_DEPTH: f64 = 30.0;
const ROD: f64 = 24.0;

/// Electrode system, the conductors down to it, and the ground kits.
pub(super) fn grounding(input: &Mast, frame: &Frame) -> Vec<Shape> {
    let bus = frame.ground + BUS_DEPTH;
    let [arrester_x, _, transmitter_x] = frame.hut_places();
    let known = input.electrode.is_some();
    let heavy =
        if known { Stroke::solid(Paint::Oxide, 3.0) } else { Stroke::dashed(Paint::SoftInk, 1.4) };
    let mut parts = vec![line([frame.conductor_x, bus], [transmitter_x, bus], heavy)];
    for x in [frame.conductor_x, frame.structure_x + 30.0, arrester_x] {
        parts.push(line([x, bus], [x, bus + ROD], heavy));
    }
    parts.push(tag([transmitter_x + 10.0, bus + 4.0], "E"));
    let mut shapes =
        vec![group(electrode_href(input), "Ground electrode system".to_owned(), parts)];
    shapes.push(line(
        [frame.structure_x, frame.ground],
        [frame.structure_x, bus],
        Stroke { width: heavy.width.min(2.0), ..heavy },
    ));
    shapes.extend(kits(input, frame, bus));
    shapes
}

fn electrode_href(input: &Mast) -> Option<&String> {
    match &input.electrode {
        Some(electrode) => electrode.part.href.as_ref(),
        None => input.record_href.as_ref(),
    }
}

/// The ground kits with the conductor they share, names on the left.
fn kits(input: &Mast, frame: &Frame, bus: f64) -> Vec<Shape> {
    let mut on_structure: Vec<&GroundKit> =
        input.ground_kits.iter().filter(|kit| kit.place != KitPlace::Entry).collect();
    on_structure.sort_by_key(|kit| kit.place);
    on_structure.dedup_by_key(|kit| kit.place);
    let thin = Stroke::solid(Paint::Oxide, 1.6);
    let mut shapes = Vec::new();
    if let Some(highest) = on_structure.first() {
        shapes.push(line(
            [frame.conductor_x, frame.kit_y(highest.place)],
            [frame.conductor_x, bus],
            thin,
        ));
    }
    let width = frame.conductor_x - frame.scale_x - 17.0;
    let labels: Vec<Label> = on_structure
        .iter()
        .map(|kit| {
            Label::new(width)
                .painted(words::kit_name(kit.place), Paint::Oxide)
                .state(kit.state.as_ref())
        })
        .collect();
    let wishes: Vec<(f64, f64)> = on_structure
        .iter()
        .zip(&labels)
        .map(|(kit, label)| (frame.kit_y(kit.place) - 10.0, label.height()))
        .collect();
    let tops = stack(&wishes, 2.0, 0.0, frame.ground - 2.0);
    for ((kit, label), top) in on_structure.iter().zip(labels).zip(tops) {
        let y = frame.kit_y(kit.place);
        let mut parts = vec![
            line([frame.conductor_x - 4.0, y], [frame.line_x, y], thin),
            circle([frame.line_x, y], 3.2, Some(Fill::solid(Paint::Oxide)), None),
        ];
        parts.extend(label.draw([frame.scale_x + 12.0, top]));
        shapes.push(group(kit.href.as_ref(), words::kit_name(kit.place).to_owned(), parts));
    }
    shapes.extend(entry_kit(input, frame, bus, thin));
    shapes
}

fn entry_kit(input: &Mast, frame: &Frame, bus: f64, stroke: Stroke) -> Option<Shape> {
    let kit = input.ground_kits.iter().find(|kit| kit.place == KitPlace::Entry)?;
    let x = frame.hut_x - 8.0;
    Some(group(
        kit.href.as_ref(),
        words::kit_name(kit.place).to_owned(),
        vec![
            line([x, frame.line_y()], [x, bus], stroke),
            circle([x, frame.line_y()], 3.2, Some(Fill::solid(Paint::Oxide)), None),
        ],
    ))
}

fn tag(at: [f64; 2], letter: &str) -> Shape {
    text(at, letter, (Face::Strong, 11.0), Anchor::Middle, Paint::Ink)
}

/// The building with what stands in it, and the key.
pub(super) fn building(input: &Mast, frame: &Frame) -> Vec<Shape> {
    let (x, width) = (frame.hut_x, frame.hut_width);
    let top = frame.ground - HUT_HEIGHT + 14.0;
    let mut shapes = vec![
        // A lean-to roof; the line's way in stays open.
        polygon(
            vec![
                [x, frame.ground],
                [x, top + 8.0],
                [x - 6.0, top + 9.0],
                [x + width + 4.0, top - 4.0],
                [x + width, top - 3.0],
                [x + width, frame.ground],
            ],
            None,
            Some(Stroke::solid(Paint::Ink, 1.4)),
        ),
        inner_line(input, frame),
    ];
    shapes.push(arrester(input, frame));
    shapes.push(measuring_point(input, frame));
    shapes.push(transmitter(input, frame));
    for key in &frame.keys {
        shapes.push(key_entry(input, key));
    }
    shapes
}

/// The jumper from the building's wall to the transmitter.
fn inner_line(input: &Mast, frame: &Frame) -> Shape {
    let stroke = if input.feed_line.is_some() && input.transmitter.is_some() {
        Stroke::solid(Paint::Sea, 3.5)
    } else {
        Stroke::dashed(Paint::SoftInk, 1.6)
    };
    let [_, _, transmitter_x] = frame.hut_places();
    line([frame.hut_x, frame.line_y()], [transmitter_x, frame.line_y()], stroke)
}

fn outline(known: bool, paint: Paint) -> Stroke {
    if known { Stroke::solid(paint, 1.6) } else { Stroke::dashed(Paint::SoftInk, 1.4) }
}

fn arrester(input: &Mast, frame: &Frame) -> Shape {
    let [x, _, _] = frame.hut_places();
    let y = frame.line_y();
    let known = input.arrester.is_some();
    let mut parts = Vec::new();
    if known {
        parts.push(line([x, y], [x, frame.ground + BUS_DEPTH], Stroke::solid(Paint::Oxide, 1.6)));
    }
    parts.push(rect(
        [x - 8.0, y - 8.0],
        [16.0, 16.0],
        Some(Fill::solid(Paint::Paper)),
        Some(outline(known, Paint::Oxide)),
    ));
    if known {
        for points in [
            vec![[x - 4.0, y - 6.0], [x + 4.0, y - 6.0], [x, y - 1.0]],
            vec![[x - 4.0, y + 6.0], [x + 4.0, y + 6.0], [x, y + 1.0]],
        ] {
            parts.push(polygon(points, Some(Fill::solid(Paint::Oxide)), None));
        }
    }
    parts.push(tag([x, y - 14.0], "A"));
    let href = match &input.arrester {
        Some(part) => part.href.as_ref(),
        None => input.record_href.as_ref(),
    };
    group(href, "Arrester".to_owned(), parts)
}

fn measuring_point(input: &Mast, frame: &Frame) -> Shape {
    let [_, x, _] = frame.hut_places();
    let y = frame.line_y();
    let known = input.measuring_point.is_some();
    let mut parts = vec![circle(
        [x, y],
        8.5,
        Some(Fill::solid(Paint::Paper)),
        Some(outline(known, Paint::Ink)),
    )];
    if known {
        parts.push(line([x - 3.0, y + 4.0], [x + 4.0, y - 4.5], Stroke::solid(Paint::Ink, 1.4)));
    }
    parts.push(tag([x, y - 14.0], "M"));
    let href = match &input.measuring_point {
        Some(part) => part.href.as_ref(),
        None => input.record_href.as_ref(),
    };
    group(href, "Measuring point".to_owned(), parts)
}

fn transmitter(input: &Mast, frame: &Frame) -> Shape {
    let [_, _, x] = frame.hut_places();
    let y = frame.line_y();
    let known = input.transmitter.is_some();
    let mut parts = Vec::new();
    if known {
        parts.push(line([x, y], [x, frame.ground + BUS_DEPTH], Stroke::solid(Paint::Oxide, 1.6)));
    }
    parts.push(rect(
        [x - 28.0, y - 10.0],
        [56.0, 34.0],
        Some(Fill::solid(Paint::Paper)),
        Some(outline(known, Paint::Ink)),
    ));
    if let Some(transmitter) = &input.transmitter {
        let (made, allowed) = words::transmitter_power(transmitter);
        let made = made.unwrap_or_else(|| "—".to_owned());
        let base = if allowed.is_some() { y + 4.0 } else { y + 11.0 };
        parts.push(text([x, base], made, (Face::Strong, 11.0), Anchor::Middle, Paint::Ink));
        if let Some(allowed) = allowed {
            parts.push(text(
                [x, base + 13.0],
                allowed,
                (Face::Text, 11.0),
                Anchor::Middle,
                Paint::SoftInk,
            ));
        }
    }
    parts.push(tag([x, y - 14.0], "T"));
    let href = match &input.transmitter {
        Some(transmitter) => transmitter.part.href.as_ref(),
        None => input.record_href.as_ref(),
    };
    group(href, "Transmitter".to_owned(), parts)
}

fn key_entry(input: &Mast, key: &Key) -> Shape {
    let [x, y] = key.at;
    let mut parts =
        vec![text([x, y + 14.0], key.tag, (Face::Strong, 13.0), Anchor::Start, Paint::SoftInk)];
    if key.tag.is_empty() {
        parts.clear();
    }
    parts.extend(key.label.clone().draw([x + 20.0, y]));
    let recorded = match key.tag {
        "A" => input.arrester.is_some(),
        "M" => input.measuring_point.is_some(),
        "T" => input.transmitter.is_some(),
        "E" => input.electrode.is_some(),
        _ => false,
    };
    let href = if recorded { key.part.href.as_ref() } else { input.record_href.as_ref() };
    group(href, key.part.name.clone(), parts)
}
