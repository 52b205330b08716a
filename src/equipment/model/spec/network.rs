//! Parts that sort, join and share power: filter, combiner, splitter, switch, dummy load, choke.

use serde::{Deserialize, Serialize};

use crate::equipment::model::spec::in_line::{DcPath, InLine, Rated};
use crate::equipment::model::spec::{Declared, at_most};
use crate::rf::quantity::{IsolationDb, LossDb, Megahertz, Percent, Quantity, Swr, Typed, Watts};
use crate::words::words;

/// The most inputs that a combiner may have here.
pub const MOST_INPUTS: usize = 8;

/// A filter in the line: band-pass, notch or harmonic.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Filter {
    /// Loss at the carrier, what it reflects and stands.
    #[serde(flatten)]
    pub own: InLine,
    /// What a DC test sees.
    pub dc: DcPath,
}

/// One input of a combiner: it belongs to a carrier.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CombinerInput {
    /// The carrier it is tuned to.
    pub frequency: Typed<Megahertz>,
    /// From this input to the output.
    pub loss: Typed<LossDb>,
    /// Average power that this input takes; `None` where none is stated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rated_power: Option<Typed<Watts>>,
}

impl CombinerInput {
    fn shown(&self) -> String {
        let rated = self.rated_power.as_ref().map_or("not stated".to_owned(), ToString::to_string);
        format!("{}: {}, rated {rated}", self.frequency, self.loss)
    }
}

/// Several carriers on one line. From here on a chain may share its parts with other chains.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Combiner {
    /// Its inputs, at least two.
    pub inputs: Vec<CombinerInput>,
    /// How far the losses may lie to either side, per cent of each; `None` where none is stated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub loss_tolerance: Option<Typed<Percent>>,
    /// From one input to another; `None` where none is stated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub isolation: Option<Typed<IsolationDb>>,
    /// The highest SWR it has by itself.
    pub worst_swr: Typed<Swr>,
    /// What its output stands, all carriers together.
    #[serde(flatten)]
    pub rated: Rated,
    /// What a DC test sees.
    pub dc: DcPath,
}

impl Combiner {
    /// The input for a carrier: the one tuned nearest to it, since every carrier goes through one.
    #[must_use]
    pub fn input(&self, frequency: Megahertz) -> Option<&CombinerInput> {
        let apart =
            |input: &&CombinerInput| (input.frequency.value().value() - frequency.value()).abs();
        self.inputs.iter().min_by(|one, two| apart(one).total_cmp(&apart(two)))
    }

    pub(super) fn declared(&self) -> Declared {
        let inputs: Vec<String> = self.inputs.iter().map(CombinerInput::shown).collect();
        let mut rows = vec![("inputs", inputs.join("; "))];
        if let Some(tolerance) = &self.loss_tolerance {
            rows.push(("tolerance of the losses", format!("±\u{a0}{tolerance}")));
        }
        let isolation = self.isolation.as_ref();
        rows.push((
            "isolation between inputs",
            isolation.map_or("not stated".to_owned(), ToString::to_string),
        ));
        rows.push(("SWR by itself", at_most(&self.worst_swr)));
        self.rated.declare(&mut rows);
        rows.push(("DC test sees", self.dc.shown().to_owned()));
        rows
    }
}

/// Equal power to several like branches. The parts after it are one of them and stand for all: each carries
/// its share, and the antenna's gain is that of all together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Splitter {
    /// How many branches.
    pub ways: u8,
    /// Loss beyond the sharing itself, what it reflects, what its input stands.
    #[serde(flatten)]
    pub own: InLine,
    /// What a DC test sees.
    pub dc: DcPath,
}

/// A switch between transmitters, and to a dummy load: one of them is on the line at a time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Switch {
    /// Loss, what it reflects and stands.
    #[serde(flatten)]
    pub own: InLine,
}

/// A load that a switch puts in the antenna's place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DummyLoad {
    /// The most average power it takes; `None` where none is stated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rated_power: Option<Typed<Watts>>,
    /// The highest SWR it has.
    pub worst_swr: Typed<Swr>,
}

words! {
    /// What keeps current off the outside of a line.
    ChokeKind {
        /// Ferrite or turns over the line itself.
        Choke = "choke" / "choke on the line",
        /// From the line's one side on earth to an antenna with none.
        Balun = "balun" / "balun",
    }
}

/// A choke or balun at the antenna.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Choke {
    /// Which of the two.
    pub form: ChokeKind,
    /// Loss, what it reflects and stands.
    #[serde(flatten)]
    pub own: InLine,
    /// What a DC test sees.
    pub dc: DcPath,
}

macro_rules! declared_with_dc {
    ($($type:ident: $first:expr),+) => {
        $(impl $type {
            pub(super) fn declared(&self) -> Declared {
                let first: fn(&Self) -> Option<(&'static str, String)> = $first;
                let mut rows: Declared = first(self).into_iter().collect();
                self.own.declare(&mut rows);
                rows.push(("DC test sees", self.dc.shown().to_owned()));
                rows
            }
        })+
    };
}

declared_with_dc! {
    Filter: |_| None,
    Splitter: |splitter| Some(("branches", splitter.ways.to_string())),
    Choke: |choke| Some(("form", choke.form.shown().to_owned()))
}

impl Switch {
    pub(super) fn declared(&self) -> Declared {
        let mut rows = Declared::new();
        self.own.declare(&mut rows);
        rows
    }
}

impl DummyLoad {
    pub(super) fn declared(&self) -> Declared {
        let rated = self.rated_power.as_ref();
        vec![
            ("RF rating", rated.map_or("not stated".to_owned(), ToString::to_string)),
            ("SWR", at_most(&self.worst_swr)),
        ]
    }
}
