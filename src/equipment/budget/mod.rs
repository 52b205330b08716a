//! What a chain does to power and reflection: losses between its places, what radiates, what each
//! part may reflect by itself. Matched losses throughout; what a mismatch adds is in `rf::line`.

mod judge;
mod open;
mod rating;
mod structure;

pub(in crate::equipment) use judge::power_shown;
pub use rating::PartRating;
pub use structure::{MOST_PARTS, structure};

use uuid::Uuid;

use crate::equipment::model::{AntennaSpec, Chain, ChainPart, Element, Spec};
use crate::rf::decision::Evidence;
use crate::rf::element::{end_effect, half_wave};
use crate::rf::line::KnownLoss;
use crate::rf::power;
use crate::rf::quantity::{
    Celsius, GainDbd, Interval, Megahertz, Millimetres, Percent, Quantity, Reflection, Watts,
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
    others: Percent,
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
        Self { chain, frequency, temperature: TABLE_TEMPERATURE, others: Percent::fixed(100.0) }
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

    /// What a part takes at this frequency; see [`Spec::loss`].
    #[must_use]
    pub fn loss_of(&self, spec: &Spec) -> Option<KnownLoss> {
        spec.loss(self.frequency, self.temperature)
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
        self.between(from_position, to_position)
            .filter_map(|part| self.loss_of(&part.spec))
            .fold(KnownLoss::none(), |sum, loss| sum.plus(&loss))
    }

    /// The parts on the way from the output of the part at one position to the input of that at another.
    pub fn between(
        &self,
        from_position: i64,
        to_position: i64,
    ) -> impl Iterator<Item = &'c ChainPart> {
        let chain = self.chain;
        chain
            .parts
            .iter()
            .filter(move |part| chain.on_way(from_position, part) && part.position < to_position)
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
                words: match self.chain.leg(part.position) {
                    Some(leg) if leg > 1 => {
                        format!("output of the directional meter ({letter}), reserve transmitter")
                    }
                    _ => format!("output of the directional meter ({letter})"),
                },
            }
        };
        meters.iter().enumerate().map(point).collect()
    }

    /// What the parts between a measuring point and the antenna may add to the reflection there.
    #[must_use]
    pub fn contributions(&self, from_position: i64) -> Vec<Contribution> {
        let end = self.chain.antenna().map_or(i64::MAX, |(part, _)| part.position);
        self.between(from_position, end)
            .filter_map(|part| {
                Some(Contribution {
                    position: part.position,
                    part: part.named(),
                    reflection: part.spec.own_swr()?.reflection(),
                    loss_to: self.loss_between(from_position, part.position),
                })
            })
            .collect()
    }

    /// The power that arrives at the antenna input (at all branches of a splitter together) when this much is measured at a position's output.
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

    /// Where the antenna's halves are resonant in free space; `None` without an antenna.
    #[must_use]
    pub fn resonance(&self) -> Option<Resonance> {
        let (_, antenna) = self.chain.antenna()?;
        let AntennaSpec::HalfWaveDipole(dipole) = antenna.kind else { return None };
        Some(resonance(&dipole.element, self.frequency))
    }
}

fn with_gain(power: &Evidence<Watts>, loss: &KnownLoss, gain: GainDbd) -> Evidence<Watts> {
    Evidence {
        point: power::erp(power.point, loss.nominal(), gain),
        interval: power::erp_interval(power.interval, loss, gain),
        at_least: power.at_least,
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
