//! The gate rail: a job's stages as one line that runs through its gates.

use crate::figure::picture::{Anchor, Fill, Paint, Picture, Shape, Stroke};
use crate::figure::picture::{circle, line, text};
use crate::figure::table::Table;
use crate::figure::typeface::Face;

/// How a gate stands.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Gate {
    /// Released.
    Passed,
    /// Nothing is in its way; it waits for its release.
    Ready,
    /// Something is in its way.
    Blocked,
    /// Released once, but a fact beneath it has changed.
    Lapsed,
    /// Its stage has not come yet.
    #[default]
    Ahead,
}

/// A stage with the gate at its end.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Stage {
    /// The stage's name.
    pub name: String,
    /// How its gate stands.
    pub gate: Gate,
    /// The gate's state in words, such as "released 12 Mar" or "2 checks open".
    pub word: String,
    /// Where a press on the stage leads.
    pub href: Option<String>,
}

/// Everything the rail shows.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct GateRail {
    /// The stages in their order.
    pub stages: Vec<Stage>,
    /// The stage the job is in, counted from 0; past the last when all gates are passed.
    pub present: usize,
}

const RAIL: f64 = 9.0;

/// Draws the rail in a column of `width` pixels (at least 280): from 560 with every stage's
/// name, below that with the present one's.
#[must_use]
pub fn draw(input: &GateRail, width: f64) -> Picture {
    let width = if width.is_finite() { width.max(280.0) } else { 280.0 };
    let count = f64::from(u16::try_from(input.stages.len().max(1)).unwrap_or(u16::MAX));
    let pitch = (width - 12.0) / count;
    let wide = width >= 560.0;
    let names: Vec<Vec<String>> = input
        .stages
        .iter()
        .map(|stage| Face::Strong.wrap(&stage.name, 13.0, pitch - 16.0))
        .collect();
    let above = if wide { names.iter().map(Vec::len).max().unwrap_or(0) } else { 0 };
    let y = 16.0 * f64::from(u16::try_from(above).unwrap_or(0)) + 20.0;
    let mut shapes = Vec::new();
    let mut lowest = y + 18.0;
    let mut x = 2.0;
    for (index, (stage, name)) in input.stages.iter().zip(&names).enumerate() {
        let mut parts = segment(stage, index, input.present, (x, x + pitch, y));
        if wide {
            let under = stage_words(stage, name, index == input.present, (x, pitch, y), &mut parts);
            lowest = lowest.max(under);
        }
        shapes.push(Shape::Group {
            href: stage.href.clone(),
            name: format!("{}: {}", stage.name, word(stage)),
            shapes: parts,
        });
        x += pitch;
    }
    if !wide {
        lowest = present_words(input, width, y, &mut shapes);
    }
    Picture {
        kind: "gate-rail",
        width,
        height: lowest + 4.0,
        title: "Stages and gates".to_owned(),
        description: description(input),
        shapes,
    }
}

/// The stretch of line of one stage with its gate at the end.
fn segment(
    stage: &Stage,
    index: usize,
    present: usize,
    (from, to, y): (f64, f64, f64),
) -> Vec<Shape> {
    let now = index == present;
    let track = match (stage.gate, now) {
        (_, true) => Stroke::solid(Paint::Oxide, 4.0),
        (Gate::Passed, false) => Stroke::solid(Paint::Sea, 4.0),
        _ => Stroke { dash: Some([2.0, 4.0]), ..Stroke::solid(Paint::SoftInk, 1.6) },
    };
    let mut parts = vec![line([from + 6.0, y], [to - 6.0, y], track)];
    let post = Stroke::solid(
        match stage.gate {
            Gate::Ahead => Paint::SoftInk,
            _ if now => Paint::Oxide,
            Gate::Lapsed => Paint::Oxide,
            _ => Paint::Ink,
        },
        2.4,
    );
    match stage.gate {
        Gate::Passed => {
            parts.push(line([to, y - RAIL], [to, y - 4.0], post));
            parts.push(line([to, y + 4.0], [to, y + RAIL], post));
            parts.push(line([to - 6.0, y], [to + 6.0, y], Stroke::solid(Paint::Sea, 4.0)));
        }
        Gate::Ready => {
            parts.push(line([to, y - RAIL], [to, y - 4.0], post));
            parts.push(line([to, y + 4.0], [to, y + RAIL], post));
            parts.push(circle([to, y], 2.2, Some(Fill::solid(Paint::Oxide)), None));
        }
        Gate::Blocked | Gate::Ahead => {
            parts.push(line([to, y - RAIL], [to, y + RAIL], post));
        }
        Gate::Lapsed => {
            parts.push(line([to - 5.0, y - RAIL], [to + 5.0, y + RAIL], post));
            parts.push(line([to + 5.0, y - RAIL], [to - 5.0, y + RAIL], post));
        }
    }
    parts
}

/// The stage's name above and its gate's word below; gives the lowest pixel used.
fn stage_words(
    stage: &Stage,
    name: &[String],
    now: bool,
    (x, pitch, y): (f64, f64, f64),
    parts: &mut Vec<Shape>,
) -> f64 {
    let lines = f64::from(u16::try_from(name.len()).unwrap_or(0));
    let mut base = y - 16.0 - (lines - 1.0) * 16.0;
    let (face, paint) = if now { (Face::Strong, Paint::Ink) } else { (Face::Text, Paint::SoftInk) };
    for words in name {
        parts.push(text([x + 6.0, base], &**words, (face, 13.0), Anchor::Start, paint));
        base += 16.0;
    }
    let mut base = y + 8.0;
    for words in Face::Text.wrap(&stage.word, 12.0, pitch - 16.0) {
        base += 15.0;
        parts.push(text([x + 6.0, base], words, (Face::Text, 12.0), Anchor::Start, paint));
    }
    base + 4.0
}

/// On a narrow rail: which stage it is, and how its gate stands.
fn present_words(input: &GateRail, width: f64, y: f64, shapes: &mut Vec<Shape>) -> f64 {
    let mut base = y + 14.0;
    let (first, second) = match input.stages.get(input.present) {
        Some(stage) => (
            format!("Stage {} of {}: {}", input.present + 1, input.stages.len(), stage.name),
            stage.word.clone(),
        ),
        None if input.stages.is_empty() => ("No stages".to_owned(), String::new()),
        None => ("All gates passed".to_owned(), String::new()),
    };
    for (words, face, size) in [(first, Face::Strong, 13.0), (second, Face::Text, 12.0)] {
        if words.is_empty() {
            continue;
        }
        for row in face.wrap(&words, size, width * 0.97) {
            base += 17.0;
            shapes.push(text([2.0, base], row, (face, size), Anchor::Start, Paint::Ink));
        }
    }
    base + 4.0
}

const fn gate_word(gate: Gate) -> &'static str {
    match gate {
        Gate::Passed => "passed",
        Gate::Ready => "ready to be released",
        Gate::Blocked => "blocked",
        Gate::Lapsed => "lapsed",
        Gate::Ahead => "ahead",
    }
}

/// The gate's state in the words given for it, else in those of this picture.
fn word(stage: &Stage) -> &str {
    if stage.word.is_empty() { gate_word(stage.gate) } else { &stage.word }
}

/// The stages as rows.
#[must_use]
pub fn table(input: &GateRail) -> Table {
    let mut table = Table::new("Stages and gates", ["Stage", "Gate", "Remark"]);
    for (index, stage) in input.stages.iter().enumerate() {
        let gate = if index == input.present {
            format!("{} (present stage)", gate_word(stage.gate))
        } else {
            gate_word(stage.gate).to_owned()
        };
        table.row([stage.name.clone(), gate, stage.word.clone()]);
    }
    table
}

fn description(input: &GateRail) -> String {
    let stages: Vec<String> =
        input.stages.iter().map(|stage| format!("{}: {}", stage.name, word(stage))).collect();
    match input.stages.get(input.present) {
        Some(stage) => format!("The job is in the stage {}. {}.", stage.name, stages.join("; ")),
        None if input.stages.is_empty() => "The job has no stages.".to_owned(),
        None => format!("All gates are passed. {}.", stages.join("; ")),
    }
}
