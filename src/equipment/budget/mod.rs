//! What a chain does to power and reflection: losses between its places, what radiates, what each
//! part may reflect by itself. Matched losses throughout; what a mismatch adds is in `rf::line`.

mod judge;

pub(in crate::equipment) use judge::power_shown;
pub use judge::structure;

use uuid::Uuid;

use crate::equipment::model::{AntennaSpec, Chain, ChainPart, Element, Spec};
use crate::rf::arrester::{GasTube, VoltageCheck, check};
use crate::rf::decision::Evidence;
use crate::rf::element::{end_effect, half_wave};
use crate::rf::line::KnownLoss;
use crate::rf::power;
use crate::rf::quantity::{
    Celsius, GainDbd, Interval, LossDb, Megahertz, Millimetres, Percent, Quantity, Reflection, Swr,
    Watts,
};

/// The temperature of loss tables: the line's own, where nobody says another.
pub const TABLE_TEMPERATURE: Celsius = Celsius::fixed(20.0);

/// No gain and no loss of gain: an ERP at 0 dBd is the power itself.
const UNITY: GainDbd = GainDbd::fixed(0.0);

/// A chain at one frequency and temperature of its lines.
#[derive(Debug, Clone, Copy)]
pub struct Budget<'c> {
    chain: &'c Chain,
    frequency: Megahertz,
    temperature: Celsius,
}

/// What one part takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PartLoss {
    /// Its position.
    pub position: i64,
    /// Its matched loss; `None` for the two ends of the chain, which have none.
    pub loss: Option<KnownLoss>,
}

/// A place in the chain where an instrument reads.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MeasuringPoint {
    /// The position of the meter: the point is its output.
    pub position: i64,
    /// The meter's name outside.
    pub part: Uuid,
    /// The point in words: "output of the directional meter (M)".
    pub words: String,
}

/// What a part between a measuring point and the antenna may add to the reflection by itself.
#[derive(Debug, Clone, PartialEq)]
pub struct Contribution {
    /// Its position.
    pub position: i64,
    /// What it is and which one.
    pub part: String,
    /// The greatest reflection it may have, seen at its own input.
    pub reflection: Reflection,
    /// The loss from the measuring point to its input.
    pub loss_to: KnownLoss,
}

/// Where an antenna's half is resonant against the range in which it can be set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Resonance {
    /// The resonant length of each half in free space, with the tolerance of its computation.
    pub half: Interval<Millimetres>,
    /// The computed length itself.
    pub nominal: Millimetres,
}

impl<'c> Budget<'c> {
    /// The chain at a frequency, its lines at [`TABLE_TEMPERATURE`].
    #[must_use]
    pub fn new(chain: &'c Chain, frequency: Megahertz) -> Self {
        Self { chain, frequency, temperature: TABLE_TEMPERATURE }
    }

    /// The same with its lines at another temperature.
    #[must_use]
    pub fn at(self, temperature: Celsius) -> Self {
        Self { temperature, ..self }
    }

    /// The chain.
    #[must_use]
    pub fn chain(&self) -> &'c Chain {
        self.chain
    }

    /// The frequency.
    #[must_use]
    pub fn frequency(&self) -> Megahertz {
        self.frequency
    }

    /// What a part takes. A line has its declared tolerance; the loss of a meter, arrester or joint is
    /// taken as stated, since a data sheet gives none.
    #[must_use]
    pub fn loss_of(&self, spec: &Spec) -> Option<KnownLoss> {
        match spec {
            Spec::DirectionalMeter(meter) => Some(as_stated(meter.loss.value())),
            Spec::GasTubeArrester(arrester) => Some(as_stated(arrester.loss.value())),
            Spec::Connectors(connectors) => Some(as_stated(connectors.loss.value())),
            Spec::Jumper(line) | Spec::FeedLine(line) => {
                let length = line.length.value();
                let loss = line.model().loss(self.frequency, length, self.temperature);
                Some(KnownLoss::new(loss, line.tolerance.value()))
            }
            // The two ends of the chain.
            _ => None,
        }
    }

    /// What each part takes, in order.
    #[must_use]
    pub fn losses(&self) -> Vec<PartLoss> {
        let of =
            |part: &ChainPart| PartLoss { position: part.position, loss: self.loss_of(&part.spec) };
        self.chain.parts.iter().map(of).collect()
    }

    /// The loss from the output of the part at one position to the input of the part at another.
    #[must_use]
    pub fn loss_between(&self, from_position: i64, to_position: i64) -> KnownLoss {
        let between =
            |part: &&ChainPart| from_position < part.position && part.position < to_position;
        self.chain
            .parts
            .iter()
            .filter(between)
            .filter_map(|part| self.loss_of(&part.spec))
            .fold(KnownLoss::none(), |sum, loss| sum.plus(&loss))
    }

    /// The loss from the output of the part at a position (the measuring point) to the antenna input;
    /// to the end of the chain where there is no antenna.
    #[must_use]
    pub fn loss_to_antenna(&self, from_position: i64) -> KnownLoss {
        let end = self.chain.antenna().map_or(i64::MAX, |(part, _)| part.position);
        self.loss_between(from_position, end)
    }

    /// The measuring points: the output of each directional meter.
    #[must_use]
    pub fn measuring_points(&self) -> Vec<MeasuringPoint> {
        let meters: Vec<&ChainPart> = self.chain.meters().map(|(part, _)| part).collect();
        let point = |(index, part): (usize, &&ChainPart)| {
            let letter = if meters.len() > 1 { format!("M{}", index + 1) } else { "M".to_owned() };
            MeasuringPoint {
                position: part.position,
                part: part.uuid,
                words: format!("output of the directional meter ({letter})"),
            }
        };
        meters.iter().enumerate().map(point).collect()
    }

    /// What the parts between a measuring point and the antenna may add to the reflection there.
    #[must_use]
    pub fn contributions(&self, from_position: i64) -> Vec<Contribution> {
        let end = self.chain.antenna().map_or(i64::MAX, |(part, _)| part.position);
        let parts = self.chain.parts.iter();
        parts
            .filter(|part| from_position < part.position && part.position < end)
            .filter_map(|part| {
                Some(Contribution {
                    position: part.position,
                    part: part.named(),
                    reflection: worst_swr(&part.spec)?.reflection(),
                    loss_to: self.loss_between(from_position, part.position),
                })
            })
            .collect()
    }

    /// The power that arrives at the antenna input when this much is measured at a position's output.
    ///
    /// - `power`: forward, or net where the antenna reflects much
    #[must_use]
    pub fn power_at_antenna(&self, power: &Evidence<Watts>, from_position: i64) -> Evidence<Watts> {
        with_gain(power, &self.loss_to_antenna(from_position), UNITY)
    }

    /// The power radiated over a half-wave dipole; `None` without an antenna.
    ///
    /// - `power`: as for [`Budget::power_at_antenna`]
    #[must_use]
    pub fn erp(&self, power: &Evidence<Watts>, from_position: i64) -> Option<Evidence<Watts>> {
        let (_, antenna) = self.chain.antenna()?;
        Some(with_gain(power, &self.loss_to_antenna(from_position), antenna.plate.gain.value()))
    }

    /// The power at a position's output that radiates a wanted ERP; `None` without an antenna.
    #[must_use]
    pub fn power_for_erp(&self, wanted: Watts, from_position: i64) -> Option<Watts> {
        let (_, antenna) = self.chain.antenna()?;
        let loss = self.loss_to_antenna(from_position).nominal();
        Some(power::power_for_erp(wanted, loss, antenna.plate.gain.value()))
    }

    /// The arrester's voltage rule; `None` without an arrester. It is one condition of several: the
    /// RF rating, hold-over and other carriers on the line are asked too.
    ///
    /// - `output`: the transmitter's forward power
    /// - `worst`: the worst SWR allowed at the arrester
    #[must_use]
    pub fn arrester_check(&self, output: Watts, worst: Swr) -> Option<VoltageCheck> {
        let (part, arrester) = self.chain.arrester()?;
        let tube = GasTube {
            spark_over: arrester.sparkover.value(),
            tolerance: arrester.tolerance.value(),
        };
        Some(check(&tube, self.greatest_at(part, output), worst))
    }

    /// Where the antenna's halves are resonant in free space; `None` without an antenna.
    #[must_use]
    pub fn resonance(&self) -> Option<Resonance> {
        let (_, antenna) = self.chain.antenna()?;
        let AntennaSpec::HalfWaveDipole(dipole) = antenna.kind else { return None };
        Some(resonance(&dipole.element, self.frequency))
    }

    /// The greatest power that can arrive at a part when the transmitter makes this much.
    fn greatest_at(&self, part: &ChainPart, output: Watts) -> Watts {
        let from = self.chain.transmitter().map_or(0, |(transmitter, _)| transmitter.position);
        power::erp(output, self.loss_between(from, part.position).interval().low(), UNITY)
    }
}

fn as_stated(loss: LossDb) -> KnownLoss {
    KnownLoss::new(loss, Percent::fixed(0.0))
}

fn with_gain(power: &Evidence<Watts>, loss: &KnownLoss, gain: GainDbd) -> Evidence<Watts> {
    Evidence {
        point: power::erp(power.point, loss.nominal(), gain),
        interval: power::erp_interval(power.interval, loss, gain),
        at_least: power.at_least,
    }
}

/// The highest SWR that a part has by itself, where one is declared.
fn worst_swr(spec: &Spec) -> Option<Swr> {
    match spec {
        Spec::GasTubeArrester(arrester) => Some(arrester.worst_swr.value()),
        Spec::Jumper(line) | Spec::FeedLine(line) => Some(line.worst_swr.value()),
        Spec::Connectors(connectors) => Some(connectors.worst_swr.value()),
        _ => None,
    }
}

fn resonance(element: &Element, frequency: Megahertz) -> Resonance {
    let effect = end_effect(frequency, element.element_diameter.value());
    let nominal = half_wave(frequency).value() * effect.factor.value() / 2.0;
    let part = effect.tolerance.value() / 100.0;
    Resonance {
        half: Interval::between(
            Millimetres::nearest(nominal * (1.0 - part)),
            Millimetres::nearest(nominal * (1.0 + part)),
        ),
        nominal: Millimetres::nearest(nominal),
    }
}

#[cfg(test)]
mod tests;
