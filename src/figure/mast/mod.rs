//! The mast drawing: the site in elevation, to scale in height, from the antenna down the feed
//! line into the building and on into the ground. Each part can be a link and shows its state.

mod below;
mod frame;
mod upper;
mod words;

use crate::figure::marks::State;
use crate::figure::picture::{Picture, Shape};
use crate::figure::table::Table;

use frame::Frame;

/// What is said of a part of the site.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Part {
    /// The part's name, such as "Half-wave dipole" or "½ in foam".
    pub name: String,
    /// More to say of it, each on its own line.
    pub facts: Vec<String>,
    /// Its state, if it has one to show.
    pub state: Option<State>,
    /// Where a press on it leads.
    pub href: Option<String>,
}

/// What carries the antenna.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum StructureKind {
    /// A guyed or short mast of constant width.
    #[default]
    Mast,
    /// A self-supporting tower that narrows upwards.
    Tower,
    /// A single tube.
    Pole,
    /// A house's roof.
    Roof,
}

/// The structure.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Structure {
    /// Name and state.
    pub part: Part,
    /// Its kind.
    pub kind: StructureKind,
    /// Height above ground in metres; a roof's height for a roof.
    pub height_m: Option<f64>,
}

/// What the antenna looks like.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
#[non_exhaustive]
pub enum AntennaKind {
    /// A vertical half-wave dipole held off the structure.
    #[default]
    HalfWaveDipole,
}

/// The antenna.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Antenna {
    /// Name, facts such as the ERP, and state.
    pub part: Part,
    /// Its kind.
    pub kind: AntennaKind,
    /// Height of its centre above ground in metres, as built.
    pub height_m: Option<f64>,
    /// Height above ground that is authorised, in metres.
    pub authorised_height_m: Option<f64>,
}

/// The feed line.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct FeedLine {
    /// Name and state.
    pub part: Part,
    /// Length in metres.
    pub length_m: Option<f64>,
    /// Loss of the whole line in dB at the frequency of use.
    pub loss_db: Option<f64>,
    /// Power into the line in watts.
    pub power_in_w: Option<f64>,
    /// Power out of the line at its far end in watts.
    pub power_out_w: Option<f64>,
}

/// Where a ground kit sits on the feed line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum KitPlace {
    /// Below the antenna.
    Top,
    /// At the foot of the structure, before the line turns away.
    Foot,
    /// Where the line enters the building.
    Entry,
}

/// A ground kit on the feed line.
#[derive(Debug, Clone, PartialEq)]
pub struct GroundKit {
    /// Where it sits.
    pub place: KitPlace,
    /// Its state, if it has one to show.
    pub state: Option<State>,
    /// Where a press on it leads.
    pub href: Option<String>,
}

/// The transmitter.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Transmitter {
    /// Name and state.
    pub part: Part,
    /// Power it makes, in watts.
    pub power_w: Option<f64>,
    /// Power that is authorised for it, in watts: "296 W of 300".
    pub authorised_power_w: Option<f64>,
}

/// The ground electrode system.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Electrode {
    /// Name, facts such as method, date and soil, and state.
    pub part: Part,
    /// The last measured resistance with its unit, such as "4.1 Ω"; absent when not measured.
    pub last_value: Option<String>,
}

/// Everything the drawing shows. A part that is absent is drawn broken and said to be not
/// recorded.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Mast {
    /// The site's name.
    pub site: String,
    /// What carries the antenna.
    pub structure: Structure,
    /// The antenna.
    pub antenna: Option<Antenna>,
    /// The feed line.
    pub feed_line: Option<FeedLine>,
    /// The ground kits that are there, in any order.
    pub ground_kits: Vec<GroundKit>,
    /// The arrester.
    pub arrester: Option<Part>,
    /// The measuring point: the meter and where it sits.
    pub measuring_point: Option<Part>,
    /// The transmitter.
    pub transmitter: Option<Transmitter>,
    /// The ground electrode system.
    pub electrode: Option<Electrode>,
    /// Where a press on a part that is not recorded leads.
    pub record_href: Option<String>,
}

/// Draws the site for a column of `width` pixels: from 560 the names of the parts in the
/// building stand beside it, below that under it. Widths below 340 are drawn as 340.
#[must_use]
pub fn draw(input: &Mast, width: f64) -> Picture {
    let frame = Frame::new(input, width);
    let mut shapes = upper::scale(input, &frame);
    shapes.extend(upper::structure(input, &frame));
    shapes.extend(upper::feed_line(input, &frame));
    shapes.extend(below::grounding(input, &frame));
    shapes.extend(upper::antenna(input, &frame));
    shapes.extend(below::building(input, &frame));
    Picture {
        kind: "mast",
        width: frame.width,
        height: frame.height,
        title: format!("{} in elevation", words::site(input)),
        description: words::description(input),
        shapes,
    }
}

/// The same facts as rows of part, facts, state.
#[must_use]
pub fn table(input: &Mast) -> Table {
    words::table(input)
}

fn group(href: Option<&String>, name: String, shapes: Vec<Shape>) -> Shape {
    Shape::Group { href: href.cloned(), name, shapes }
}
