//! Labels: a name, facts and a state, wrapped to a column, and columns of labels that keep
//! clear of each other.

use crate::figure::marks::{self, State};
use crate::figure::picture::{Anchor, Paint, Shape, text};
use crate::figure::typeface::Face;

/// Browsers set text a little wider than the font file says (hinting, fallback).
const SLACK: f64 = 0.97;

/// Lines of text under each other, with the state last.
#[derive(Debug, Clone)]
pub(super) struct Label {
    width: f64,
    height: f64,
    shapes: Vec<Shape>,
}

impl Label {
    pub(super) const fn new(width: f64) -> Self {
        Self { width, height: 0.0, shapes: Vec::new() }
    }

    pub(super) const fn height(&self) -> f64 {
        self.height
    }

    /// The part's name.
    pub(super) fn name(mut self, words: &str) -> Self {
        self.push(words, Face::Strong, 13.0, Paint::Ink, 0.0);
        self
    }

    /// One fact in the second ink.
    pub(super) fn fact(mut self, words: &str) -> Self {
        self.push(words, Face::Text, 12.0, Paint::SoftInk, 0.0);
        self
    }

    /// Facts in the second ink, each on its own line.
    pub(super) fn facts(self, facts: &[String]) -> Self {
        facts.iter().fold(self, |label, fact| label.fact(fact))
    }

    /// A fact in a colour that means something.
    pub(super) fn painted(mut self, words: &str, paint: Paint) -> Self {
        self.push(words, Face::Text, 12.0, paint, 0.0);
        self
    }

    /// The state: its mark, then its word.
    pub(super) fn state(mut self, state: Option<&State>) -> Self {
        if let Some(state) = state {
            let top = self.height;
            self.push(&state.word, Face::Text, 12.0, Paint::Ink, 16.0);
            self.shapes.extend(marks::shapes(state.mark, [0.0, top + 2.5], 12.0));
        }
        self
    }

    fn push(&mut self, words: &str, face: Face, size: f64, paint: Paint, indent: f64) {
        let room = (self.width - indent) * SLACK;
        for row in face.wrap(words, size, room) {
            let baseline = self.height + size + 1.0;
            self.shapes.push(text([indent, baseline], row, (face, size), Anchor::Start, paint));
            self.height += (size * 1.32).round();
        }
    }

    /// The shapes with the label's upper left corner at `at`.
    pub(super) fn draw(self, at: [f64; 2]) -> Vec<Shape> {
        self.shapes.iter().map(|shape| shape.transformed(1.0, at)).collect()
    }
}

/// A picture's heading over its whole width, added to its shapes; gives how much height it takes.
pub(super) fn heading(words: Option<&str>, width: f64, shapes: &mut Vec<Shape>) -> f64 {
    let Some(words) = words else { return 0.0 };
    let mut top = 0.0;
    for row in Face::Heading.wrap(words, 16.0, width) {
        top += 21.0;
        let at = [0.0, top - 4.0];
        shapes.push(text(at, row, (Face::Heading, 16.0), Anchor::Start, Paint::Ink));
    }
    top + 6.0
}

/// Tops for labels that each wish a top, in the order given from above to below, `gap` apart and
/// between `top` and `bottom`; when they need more room than that, they go on below `bottom`.
pub(super) fn stack(wishes: &[(f64, f64)], gap: f64, top: f64, bottom: f64) -> Vec<f64> {
    let mut tops: Vec<f64> = Vec::with_capacity(wishes.len());
    let mut free = top;
    for (wish, height) in wishes {
        let place = wish.max(free);
        tops.push(place);
        free = place + height + gap;
    }
    let mut limit = bottom;
    for (place, (_, height)) in tops.iter_mut().zip(wishes).rev() {
        *place = place.min(limit - height);
        limit = *place - gap;
    }
    let mut free = top;
    for (place, (_, height)) in tops.iter_mut().zip(wishes) {
        *place = place.max(free);
        free = *place + height + gap;
    }
    tops
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn labels_never_overlap(
            wishes in prop::collection::vec((-50.0..500.0f64, 5.0..90.0f64), 1..8),
        ) {
            let tops = stack(&wishes, 4.0, 0.0, 400.0);
            for (index, pair) in tops.windows(2).enumerate() {
                prop_assert!(pair[0] + wishes[index].1 + 4.0 <= pair[1] + 1e-9);
            }
            prop_assert!(tops[0] >= 0.0);
            let all: f64 = wishes.iter().map(|wish| wish.1 + 4.0).sum();
            if all <= 400.0 {
                let last = wishes.len() - 1;
                prop_assert!(tops[last] + wishes[last].1 <= 400.0 + 1e-9);
            }
        }
    }
}
