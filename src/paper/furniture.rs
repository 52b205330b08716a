//! What stands around the text on every page: running head, band, foot, and the end mark.

use crate::figure::typeface::Face;
use crate::figure::{Anchor, Fill, Paint, Shape, Stroke};

use super::{COLUMN, MARGIN, Meta, PAGE_HEIGHT, PAGE_WIDTH};

const HEAD: f64 = 8.4;
const RIGHT: f64 = PAGE_WIDTH - MARGIN;

fn words(at: [f64; 2], text: &str, face: Face, anchor: Anchor, paint: Paint) -> Shape {
    Shape::Text { at, text: text.to_owned(), size: HEAD, face, anchor, paint, struck: false }
}

fn level(y: f64, stroke: Stroke) -> Shape {
    Shape::Path {
        points: vec![[MARGIN, y], [RIGHT, y]],
        closed: false,
        fill: None,
        stroke: Some(stroke),
    }
}

/// The text, cut with an ellipsis where it is wider than `room`.
pub(super) fn cut(text: &str, face: Face, size: f64, room: f64) -> String {
    let line = text.replace('\n', " ");
    if face.measure(&line, size) <= room {
        return line;
    }
    let mut kept = String::new();
    let mut used = face.measure("…", size);
    for character in line.chars() {
        used += face.width_em(character) * size;
        if used > room {
            break;
        }
        kept.push(character);
    }
    format!("{}…", kept.trim_end())
}

/// Everything around the text of page `number` of `count`.
pub(super) fn around(meta: &Meta, number: usize, count: usize) -> Vec<Shape> {
    let half = COLUMN / 2.0 - 8.0;
    let right = cut(&meta.head_right, Face::Text, HEAD, half);
    let left_room = COLUMN - Face::Text.measure(&right, HEAD) - 16.0;
    let left = cut(&meta.head_left, Face::Strong, HEAD, left_room);
    let thin = Stroke::solid(Paint::Ink, 0.5);
    let mut shapes = vec![
        words([MARGIN, 42.0], &left, Face::Strong, Anchor::Start, Paint::Ink),
        words([RIGHT, 42.0], &right, Face::Text, Anchor::End, Paint::SoftInk),
        // The double rule of a log book's page.
        level(48.0, Stroke::solid(Paint::Ink, 1.1)),
        level(50.2, thin),
    ];
    if let Some(band) = &meta.band {
        shapes.extend(band_across(band));
    }
    let foot = PAGE_HEIGHT - 38.0;
    let page = format!("page {number} of {count}");
    let room = COLUMN - Face::Strong.measure(&page, HEAD) - 16.0;
    shapes.push(level(foot - 12.0, thin));
    shapes.push(words(
        [MARGIN, foot],
        &cut(&meta.foot, Face::Text, HEAD, room),
        Face::Text,
        Anchor::Start,
        Paint::SoftInk,
    ));
    shapes.push(words([RIGHT, foot], &page, Face::Strong, Anchor::End, Paint::Ink));
    shapes
}

/// The warning across the page below the running head.
fn band_across(band: &str) -> Vec<Shape> {
    let (top, height) = (55.0, 17.0);
    let text = cut(band, Face::Strong, HEAD, COLUMN - 20.0);
    vec![
        Shape::Path {
            points: vec![
                [MARGIN, top],
                [RIGHT, top],
                [RIGHT, top + height],
                [MARGIN, top + height],
            ],
            closed: true,
            fill: Some(Fill::tint(Paint::Oxide, 12)),
            stroke: Some(Stroke::solid(Paint::Oxide, 0.9)),
        },
        words([PAGE_WIDTH / 2.0, top + 11.6], &text, Face::Strong, Anchor::Middle, Paint::Oxide),
    ]
}

/// The mark after the last line: nothing of the report comes after it.
pub(super) fn end_mark(text: &str) -> Vec<Shape> {
    let text = cut(text, Face::Text, HEAD, COLUMN - 80.0);
    let middle = COLUMN / 2.0;
    let half = Face::Text.measure(&text, HEAD) / 2.0 + 10.0;
    let line = |from: f64, to: f64| Shape::Path {
        points: vec![[from, 8.0], [to, 8.0]],
        closed: false,
        fill: None,
        stroke: Some(Stroke::solid(Paint::SoftInk, 0.6)),
    };
    let mut shapes =
        vec![line(middle - half - 30.0, middle - half), line(middle + half, middle + half + 30.0)];
    if !text.is_empty() {
        shapes.push(Shape::Text {
            at: [middle, 11.0],
            text,
            size: HEAD,
            face: Face::Text,
            anchor: Anchor::Middle,
            paint: Paint::SoftInk,
            struck: false,
        });
    }
    shapes
}
