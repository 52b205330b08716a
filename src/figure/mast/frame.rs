//! Where everything of the mast drawing lies, so that no label meets another.

use crate::figure::axis::Axis;
use crate::figure::label::{Label, stack};
use crate::figure::picture::Paint;

use super::{KitPlace, Mast, Part, StructureKind, words};

/// From this width on the names of the parts stand beside the building.
const WIDE: f64 = 560.0;
const LEAST: f64 = 340.0;
/// Above the greatest height: room for the upper half of an antenna.
const HEADROOM: f64 = 34.0;
pub(super) const HUT_HEIGHT: f64 = 84.0;
/// From the ground line down to the tips of the electrodes.
const DEPTH: f64 = 58.0;
const GAP: f64 = 12.0;
/// Half of the drawn antenna.
const HALF_ANTENNA: f64 = 24.0;

/// A part of the key: its letter, its label and its place.
#[derive(Debug, Clone)]
pub(super) struct Key {
    pub tag: &'static str,
    pub part: Part,
    pub label: Label,
    pub at: [f64; 2],
}

/// Positions in pixels.
#[derive(Debug, Clone)]
pub(super) struct Frame {
    pub width: f64,
    pub height: f64,
    pub ground: f64,
    /// Metres above ground to pixels from the top; absent when no height is known.
    pub heights: Option<Axis>,
    pub scale_x: f64,
    pub conductor_x: f64,
    pub structure_x: f64,
    pub line_x: f64,
    pub antenna_x: f64,
    pub label_x: f64,
    pub hut_x: f64,
    pub hut_width: f64,
    pub structure_top: f64,
    pub antenna_y: f64,
    pub antenna_half: f64,
    pub antenna_label: (Label, f64),
    pub line_label: (Label, f64),
    pub structure_label: Label,
    pub keys: Vec<Key>,
}

struct Columns {
    wide: bool,
    width: f64,
    x: [f64; 6],
    hut: (f64, f64),
    label_width: f64,
    key: (f64, f64),
}

impl Columns {
    fn new(width: f64) -> Self {
        let width = if width.is_finite() { width.max(LEAST) } else { LEAST };
        if width >= WIDE {
            let key_width = ((width - 470.0) * 0.9).clamp(150.0, 300.0);
            let key_x = width - key_width;
            Self {
                wide: true,
                width,
                x: [44.0, 140.0, 172.0, 200.0, 222.0, 248.0],
                hut: (248.0, key_x - 36.0 - 248.0),
                label_width: key_x - 24.0 - 248.0,
                key: (key_x, key_width),
            }
        } else {
            Self {
                wide: false,
                width,
                x: [40.0, 120.0, 142.0, 164.0, 180.0, 199.0],
                hut: (196.0, width - 196.0 - 4.0),
                label_width: width - 199.0,
                key: (0.0, width),
            }
        }
    }

    /// The key's parts with the width of their labels, in the order they are set.
    fn keys(&self, input: &Mast) -> Vec<Key> {
        let label_width =
            if self.wide { self.key.1 - 20.0 } else { (self.key.1 - 20.0) / 2.0 - 20.0 };
        let mut parts = vec![
            ("A", words::part_or_missing(input.arrester.as_ref(), "Arrester")),
            ("M", words::part_or_missing(input.measuring_point.as_ref(), "Measuring point")),
            ("T", words::transmitter_part(input)),
            ("E", words::electrode_part(input)),
        ];
        if input.ground_kits.is_empty() {
            parts.push(("", words::kits_part(input)));
        }
        parts
            .into_iter()
            .map(|(tag, part)| Key {
                tag,
                label: part_label(&part, label_width),
                part,
                at: [0.0, 0.0],
            })
            .collect()
    }

    /// Height of the key when it stands beside the drawing.
    fn key_height(&self, keys: &[Key]) -> f64 {
        if self.wide { keys.iter().map(|key| key.label.height() + GAP).sum() } else { 0.0 }
    }

    /// Sets the key's places; gives the lowest pixel used.
    fn place(&self, keys: &mut [Key], bottom: f64) -> f64 {
        if self.wide {
            let mut y = bottom - self.key_height(keys) + GAP;
            for key in keys {
                key.at = [self.key.0, y];
                y += key.label.height() + GAP;
            }
            return bottom;
        }
        let right = self.key.0 + (self.key.1 - 20.0) / 2.0 + 20.0;
        let mut y = bottom + GAP;
        for pair in keys.chunks_mut(2) {
            let mut tallest: f64 = 0.0;
            for (key, x) in pair.iter_mut().zip([self.key.0, right]) {
                key.at = [x, y];
                tallest = tallest.max(key.label.height());
            }
            y += tallest + GAP;
        }
        y - GAP
    }
}

pub(super) fn part_label(part: &Part, width: f64) -> Label {
    Label::new(width).name(&part.name).facts(&part.facts).state(part.state.as_ref())
}

fn line_label(input: &Mast, width: f64) -> Label {
    let part = words::line_part(input);
    let power = input.feed_line.as_ref().and_then(words::line_power);
    let mut label = Label::new(width).name(&part.name);
    for fact in &part.facts {
        label = if power.as_ref() == Some(fact) {
            label.painted(fact, Paint::Sea)
        } else {
            label.fact(fact)
        };
    }
    label.state(part.state.as_ref())
}

/// Heights that can be drawn: above zero and finite.
fn drawable(height: Option<f64>) -> Option<f64> {
    height.filter(|metres| metres.is_finite() && *metres > 0.0)
}

impl Frame {
    pub(super) fn new(input: &Mast, width: f64) -> Self {
        let columns = Columns::new(width);
        let mut keys = columns.keys(input);
        let antenna_label = part_label(&words::antenna_part(input), columns.label_width);
        let line_label = line_label(input, columns.label_width);
        let structure_label = Label::new(columns.x[1] - 14.0)
            .name(words::structure_name(&input.structure))
            .fact(&words::structure_height(&input.structure))
            .facts(&input.structure.part.facts)
            .state(input.structure.part.state.as_ref());

        let labels = antenna_label.height() + line_label.height() + 2.0 * GAP;
        let least: f64 = if columns.wide { 372.0 } else { 350.0 };
        let ground = least.max(labels + HUT_HEIGHT + 8.0).max(columns.key_height(&keys) - DEPTH);
        let depth = DEPTH.max(structure_label.height() + 12.0);
        let height = columns.place(&mut keys, ground + depth) + 4.0;

        let (heights, structure_top, antenna_y) = heights(input, ground);
        let antenna_half = (ground - antenna_y - 4.0).clamp(4.0, HALF_ANTENNA);
        let wishes =
            [(antenna_y - 20.0, antenna_label.height()), (ground * 0.45, line_label.height())];
        let (antenna_top, line_top) = stack_pair(wishes, GAP, ground - HUT_HEIGHT - GAP);
        Self {
            width: columns.width,
            height,
            ground,
            heights,
            scale_x: columns.x[0],
            conductor_x: columns.x[1],
            structure_x: columns.x[2],
            line_x: columns.x[3],
            antenna_x: columns.x[4],
            label_x: columns.x[5],
            hut_x: columns.hut.0,
            hut_width: columns.hut.1,
            structure_top,
            antenna_y,
            antenna_half,
            antenna_label: (antenna_label, antenna_top),
            line_label: (line_label, line_top),
            structure_label,
            keys,
        }
    }

    /// The pixel row of the line inside the building and on its way there.
    pub(super) const fn line_y(&self) -> f64 {
        self.ground - 32.0
    }

    /// Where the three parts in the building stand: arrester, measuring point, transmitter.
    pub(super) fn hut_places(&self) -> [f64; 3] {
        let step = (self.hut_width - 20.0) / 3.0;
        [0.32, 1.22, 2.36].map(|share: f64| self.hut_x + 12.0 + share * step)
    }

    /// The pixel row of a ground kit on the structure.
    pub(super) fn kit_y(&self, place: KitPlace) -> f64 {
        let foot = self.ground - 50.0;
        match place {
            KitPlace::Top => (self.structure_top.max(self.antenna_y) + 18.0).min(foot - 22.0),
            KitPlace::Foot | KitPlace::Entry => foot,
        }
    }
}

/// The scale of heights, the structure's top and the antenna's centre, in pixels.
fn heights(input: &Mast, ground: f64) -> (Option<Axis>, f64, f64) {
    let structure = drawable(input.structure.height_m);
    let antenna = input.antenna.as_ref().and_then(|antenna| drawable(antenna.height_m));
    let authorised =
        input.antenna.as_ref().and_then(|antenna| drawable(antenna.authorised_height_m));
    let greatest = [structure, antenna, authorised].into_iter().flatten().fold(0.0, f64::max);
    if greatest <= 0.0 {
        let top = HEADROOM + 26.0;
        let above = if input.structure.kind == StructureKind::Roof { 40.0 } else { 0.0 };
        return (None, top + 2.0 * above, top);
    }
    let axis = Axis::new((0.0, greatest), (ground, HEADROOM));
    let structure_top = structure.or(antenna).unwrap_or(greatest * 0.8);
    let antenna_at = antenna.or(authorised).unwrap_or(structure_top);
    (Some(axis), axis.at(structure_top), axis.at(antenna_at))
}

/// Two labels in the order of their wishes.
fn stack_pair(wishes: [(f64, f64); 2], gap: f64, bottom: f64) -> (f64, f64) {
    let [first, second] = wishes;
    let swapped = second.0 < first.0;
    let ordered = if swapped { [second, first] } else { wishes };
    match stack(&ordered, gap, 2.0, bottom).as_slice() {
        [a, b] if swapped => (*b, *a),
        [a, b] => (*a, *b),
        _ => (first.0, second.0),
    }
}
