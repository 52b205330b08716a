//! The contents: a line for each chapter and section, laid out before anybody knows the pages, which
//! are set in afterwards.

use crate::figure::typeface::Face;
use crate::figure::{Anchor, Paint, Shape, Stroke};

use super::flow::{Flow, Heading, Slab};
use super::furniture::cut;
use super::{COLUMN, Level, MARGIN};

/// Room for a page's number at the right.
const NUMBER_ROOM: f64 = 22.0;

struct Look {
    size: f64,
    leading: f64,
    before: f64,
    /// Where the number begins, and where the words.
    indents: [f64; 2],
    face: Face,
    paint: Paint,
}

fn look(level: Level) -> Look {
    let chapter = level == Level::Chapter;
    Look {
        size: if chapter { 9.8 } else { 9.0 },
        leading: if chapter { 13.4 } else { 12.0 },
        before: if chapter { 3.6 } else { 0.0 },
        indents: if chapter { [0.0, 22.0] } else { [22.0, 50.0] },
        face: if chapter { Face::Strong } else { Face::Text },
        paint: if chapter { Paint::Ink } else { Paint::SoftInk },
    }
}

/// A line for every chapter and section among the slabs, its page still open.
pub(super) fn slabs(all: &[Slab]) -> Vec<Slab> {
    let headings: Vec<(usize, &Heading)> = all
        .iter()
        .filter_map(|slab| slab.heading.as_ref())
        .enumerate()
        .filter(|(_, heading)| heading.level != Level::Title)
        .collect();
    let mut lines: Vec<Slab> =
        headings.iter().map(|(place, heading)| line(*place, heading)).collect();
    for (slab, pair) in lines.iter_mut().zip(headings.windows(2)) {
        // A chapter's line stays with its first section's.
        let levels = pair.iter().map(|(_, heading)| heading.level);
        slab.keep_next = levels.eq([Level::Chapter, Level::Section]);
    }
    lines
}

fn line(place: usize, heading: &Heading) -> Slab {
    let look = look(heading.level);
    let right = COLUMN - NUMBER_ROOM;
    let [number_at, text_at] = look.indents;
    let text = cut(&heading.text, look.face, look.size, right - text_at);
    let end = text_at + look.face.measure(&text, look.size) + 6.0;
    let mut shapes = vec![
        words([number_at, look.size], heading.number.clone(), &look, Anchor::Start),
        words([text_at, look.size], text, &look, Anchor::Start),
    ];
    if end < right {
        let dots = Stroke { paint: Paint::SoftInk, width: 0.7, dash: Some([0.7, 3.3]) };
        shapes.push(Shape::Path {
            points: vec![[end, look.size], [right, look.size]],
            closed: false,
            fill: None,
            stroke: Some(dots),
        });
    }
    Slab {
        height: look.leading,
        before: look.before,
        shapes,
        listed: Some(place),
        ..Slab::default()
    }
}

fn words(at: [f64; 2], text: String, look: &Look, anchor: Anchor) -> Shape {
    let (size, face, paint) = (look.size, look.face, look.paint);
    Shape::Text { at, text, size, face, anchor, paint, struck: false }
}

/// Sets the pages into the lines.
pub(super) fn number(flow: &mut Flow) {
    for page in &mut flow.pages {
        for lead in &page.leads {
            let Some(bookmark) = flow.bookmarks.get(lead.heading) else { continue };
            let look = look(bookmark.heading.level);
            let at = [MARGIN + COLUMN, lead.sides[1] + look.size];
            let number = (bookmark.page + 1).to_string();
            page.shapes.push(words(at, number, &look, Anchor::End));
        }
    }
}
