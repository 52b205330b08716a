//! The drawn marks that stand beside a state's word, so that no state is told by colour alone.

use crate::figure::picture::{Fill, Paint, Picture, Shape, Stroke};
use crate::figure::picture::{circle, line, polygon, polyline, rect};

/// A drawn mark; the word beside it says what it means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Mark {
    /// A tick: passed.
    Tick,
    /// A filled square with a cross: failed.
    Cross,
    /// A ring: open, or not shown.
    Ring,
    /// A dash: not applicable.
    Dash,
    /// A diamond: under concession.
    Diamond,
    /// A small flag: deferred to a snag.
    Flag,
    /// Two rings joined: not measurable here, another method used instead.
    Link,
}

/// A state as it is shown: a word with its mark.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct State {
    /// The mark.
    pub mark: Mark,
    /// The word, such as "passed" or "not recorded".
    pub word: String,
}

impl State {
    /// A state from its mark and word.
    #[must_use]
    pub fn new(mark: Mark, word: impl Into<String>) -> Self {
        Self { mark, word: word.into() }
    }
}

impl Mark {
    /// Every mark.
    pub const ALL: [Self; 7] =
        [Self::Tick, Self::Cross, Self::Ring, Self::Dash, Self::Diamond, Self::Flag, Self::Link];

    const fn kind(self) -> &'static str {
        match self {
            Self::Tick => "tick",
            Self::Cross => "cross",
            Self::Ring => "ring",
            Self::Dash => "dash",
            Self::Diamond => "diamond",
            Self::Flag => "flag",
            Self::Link => "link",
        }
    }
}

/// The mark by itself, 16 pixels square, for use beside its word.
#[must_use]
pub fn picture(mark: Mark) -> Picture {
    Picture {
        kind: mark.kind(),
        width: 16.0,
        height: 16.0,
        title: String::new(),
        description: String::new(),
        shapes: shapes(mark, [0.0, 0.0], 16.0),
    }
}

/// The mark's shapes in a square of `size` with its upper left corner at `at`.
#[must_use]
pub fn shapes(mark: Mark, [x, y]: [f64; 2], size: f64) -> Vec<Shape> {
    let unit = size / 16.0;
    let at = |px: f64, py: f64| [x + px * unit, y + py * unit];
    let ink = |width: f64| Stroke::solid(Paint::Ink, width * unit);
    match mark {
        Mark::Tick => vec![polyline(
            vec![at(2.0, 8.5), at(6.2, 12.8), at(14.0, 3.6)],
            Stroke::solid(Paint::Green, 2.6 * unit),
        )],
        Mark::Cross => {
            let paper = Stroke::solid(Paint::Paper, 2.0 * unit);
            vec![
                rect(at(1.5, 1.5), [13.0 * unit, 13.0 * unit], Some(Fill::solid(Paint::Ink)), None),
                line(at(4.8, 4.8), at(11.2, 11.2), paper),
                line(at(11.2, 4.8), at(4.8, 11.2), paper),
            ]
        }
        Mark::Ring => vec![circle(at(8.0, 8.0), 5.6 * unit, None, Some(ink(1.9)))],
        Mark::Dash => {
            vec![line(at(2.5, 8.0), at(13.5, 8.0), Stroke::solid(Paint::SoftInk, 2.2 * unit))]
        }
        Mark::Diamond => vec![polygon(
            vec![at(8.0, 1.4), at(14.6, 8.0), at(8.0, 14.6), at(1.4, 8.0)],
            None,
            Some(Stroke::solid(Paint::Oxide, 1.9 * unit)),
        )],
        Mark::Flag => vec![
            line(at(3.5, 1.0), at(3.5, 15.0), ink(1.9)),
            polygon(
                vec![at(4.0, 2.0), at(14.0, 5.5), at(4.0, 9.0)],
                Some(Fill::tint(Paint::Oxide, 30)),
                Some(Stroke::solid(Paint::Oxide, 1.5 * unit)),
            ),
        ],
        Mark::Link => vec![
            circle(at(5.3, 8.0), 3.9 * unit, None, Some(ink(1.7))),
            circle(at(10.7, 8.0), 3.9 * unit, None, Some(ink(1.7))),
        ],
    }
}
