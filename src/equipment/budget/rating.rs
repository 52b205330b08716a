//! Every part against what it must stand where it sits: power and peak voltage of all carriers on it at the
//! worst standing wave allowed at the measuring point.

use crate::equipment::budget::{Budget, UNITY};
use crate::equipment::model::{Chain, ChainPart, Combiner, GasTubeArrester, Spec};
use crate::rf::arrester::{GasTube, VOLTAGE_RULE, VoltageCheck, check_volts};
use crate::rf::line::KnownLoss;
use crate::rf::power;
use crate::rf::quantity::{Interval, Percent, Quantity, Reflection, Swr, Typed, Volts, Watts};
use crate::rf::rating::{Fits, Load, average, behind, matched_equivalent, sum_of_peaks, voltage};

/// Where at a part is reckoned.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Side {
    Input,
    Output,
}

/// One part, or one side of it, against its ratings.
#[derive(Debug, Clone, PartialEq)]
pub struct PartRating {
    /// Its position.
    pub position: i64,
    /// What it is and which one.
    pub part: String,
    /// Which side of it, where it has several: "input for 98.4 MHz"; empty otherwise.
    pub side: String,
    /// What the carriers bring there, the chain's own first.
    pub loads: Vec<Load>,
    /// The average power rating for a perfect match, where one is stated.
    pub rated_power: Option<Watts>,
    /// Against the average power.
    pub average: Fits,
    /// The peak voltage rating, where one is stated; of a gas tube what the voltage rule leaves of its
    /// lowest spark-over.
    pub rated_peak: Option<Volts>,
    /// Against the sum of peaks; `None` where no peak voltage is asked, as of the two ends of a chain.
    pub voltage: Option<Fits>,
}

impl PartRating {
    /// Forward power of all carriers together.
    #[must_use]
    pub fn forward(&self) -> Watts {
        Watts::nearest(self.loads.iter().map(|load| load.forward.value()).sum())
    }

    /// The power with a perfect match that heats alike: by the milder and the harder rule of derating.
    #[must_use]
    pub fn equivalent(&self) -> Interval<Watts> {
        matched_equivalent(&self.loads)
    }

    /// The sum of the peaks.
    #[must_use]
    pub fn peak(&self) -> Volts {
        sum_of_peaks(&self.loads)
    }

    /// The worst SWR that is allowed there for the chain's own carrier.
    #[must_use]
    pub fn worst(&self) -> Swr {
        self.loads.first().map_or(Swr::fixed(1.0), |load| load.reflection.swr())
    }
}

impl Budget<'_> {
    /// The part of another carrier's authorised power at which it is taken, per cent: 105 where the top of a
    /// tolerance is asked. 100 by itself.
    #[must_use]
    pub fn others_at(self, percent: Percent) -> Self {
        Self { others: percent, ..self }
    }

    /// The greatest forward power that comes to a part when the transmitters make this much: through the
    /// least loss, and after a splitter one branch's share.
    #[must_use]
    pub fn forward_at(&self, part: &ChainPart, output: Watts) -> Watts {
        let chain = self.chain();
        let from = |transmitter: &ChainPart| {
            let loss = self.loss_between(transmitter.position, part.position).interval().low();
            power::erp(output, loss, UNITY)
        };
        let feeding = chain.transmitters().filter(|transmitter| chain.feeds(transmitter, part));
        let whole = feeding.map(from).fold(
            Watts::fixed(0.0),
            |most, one| {
                if one > most { one } else { most }
            },
        );
        Watts::nearest(whole.value() / self.branches_before(part))
    }

    /// How many branches the power is shared among before a part.
    fn branches_before(&self, part: &ChainPart) -> f64 {
        let ways = self.chain().parts.iter().filter(|one| one.position < part.position);
        ways.map(|one| match &one.spec {
            Spec::Splitter(splitter) => f64::from(splitter.ways.max(1)),
            _ => 1.0,
        })
        .product()
    }

    /// The greatest reflection allowed at a part's input when this much is allowed at the measuring point:
    /// behind the meter more, by the loss between. The meter that counts is the first on the way; parts
    /// before it, and a chain without one, have the limit itself.
    #[must_use]
    pub fn reflection_allowed_at(&self, part: &ChainPart, limit: Swr) -> Reflection {
        let first =
            self.chain().meters().find(|(meter, _)| self.chain().on_way(meter.position, part));
        match first {
            Some((meter, _)) => {
                let between = self.loss_between(meter.position, part.position).interval().high();
                behind(limit.reflection(), between)
            }
            None => limit.reflection(),
        }
    }

    /// What the chain's own carrier and the others bring to a part's input; to a combiner's input its own
    /// alone.
    ///
    /// - `output`: the transmitter's forward power; others are taken at their authorised power, see
    ///   [`Budget::others_at`]
    /// - `limit`: the worst SWR allowed at the measuring point of each carrier
    #[must_use]
    pub fn loads_at(&self, part: &ChainPart, output: Watts, limit: Swr) -> Vec<Load> {
        self.loads(part, Side::Input, output, limit)
    }

    fn loads(&self, part: &ChainPart, side: Side, output: Watts, limit: Swr) -> Vec<Load> {
        let own = self.load(part, side, output, limit);
        // A combiner's inputs are separate: the other carriers are on the line behind it.
        let separate = side == Side::Input && matches!(part.spec, Spec::Combiner(_));
        let others = self.chain().others_at(part).filter(|_| !separate).filter_map(|other| {
            let chain = self.chain().of_other(other);
            let budget = Budget::new(&chain, other.frequency.value()).at(self.temperature);
            let place = chain.parts.iter().find(|one| one.uuid == part.uuid)?;
            let power = other.power.value().value() * self.others.value() / 100.0;
            Some(budget.load(place, side, Watts::nearest(power), limit))
        });
        std::iter::once(own).chain(others).collect()
    }

    fn load(&self, part: &ChainPart, side: Side, output: Watts, limit: Swr) -> Load {
        let (forward, reflection) =
            (self.forward_at(part, output), self.reflection_allowed_at(part, limit));
        let own = match side {
            Side::Input => KnownLoss::none(),
            Side::Output => self.loss_of(&part.spec).unwrap_or_else(KnownLoss::none),
        };
        Load {
            forward: power::erp(forward, own.interval().low(), UNITY),
            reflection: behind(reflection, own.interval().high()),
        }
    }

    /// Every part that carries power against its ratings, in order; a combiner twice, at its input and its
    /// output.
    ///
    /// - `output`, `limit`: as for [`Budget::loads_at`]
    #[must_use]
    pub fn ratings(&self, output: Watts, limit: Swr) -> Vec<PartRating> {
        let parts = self.chain().parts.iter();
        parts.flat_map(|part| self.ratings_of(part, output, limit)).collect()
    }

    fn ratings_of(&self, part: &ChainPart, output: Watts, limit: Swr) -> Vec<PartRating> {
        let loads = || self.loads_at(part, output, limit);
        let matched = |forward: Watts| vec![Load { forward, reflection: Reflection::fixed(0.0) }];
        let rating =
            |loads: Vec<Load>, rated: Option<Watts>, peak: Option<Option<Volts>>| PartRating {
                position: part.position,
                part: part.named(),
                side: String::new(),
                average: average(rated, &loads),
                rated_power: rated,
                rated_peak: peak.flatten(),
                voltage: peak.map(|peak| voltage(peak, &loads)),
                loads,
            };
        let rated = part.spec.rated_power(self.frequency());
        match &part.spec {
            // Judged by itself against the assigned power.
            Spec::Transmitter(_) => Vec::new(),
            Spec::DummyLoad(_) => {
                vec![rating(matched(self.forward_at(part, output)), rated, None)]
            }
            Spec::GasTubeArrester(tube) => {
                vec![rating(loads(), rated, Some(Some(left_by_the_rule(tube))))]
            }
            Spec::Combiner(combiner) => {
                let mut input = rating(loads(), self.input_rating(combiner), Some(None));
                input.side = format!("input for {}", self.frequency());
                input.voltage = None;
                let through = self.loads(part, Side::Output, output, limit);
                let mut out = rating(through, rated, Some(part.spec.rated_peak()));
                "output".clone_into(&mut out.side);
                vec![input, out]
            }
            spec if spec.antenna().is_some() => {
                let all = loads().into_iter().map(|load| load.forward.value()).sum();
                vec![rating(matched(Watts::nearest(all)), antenna_rating(self.chain()), None)]
            }
            spec => vec![rating(loads(), rated, Some(spec.rated_peak()))],
        }
    }

    fn input_rating(&self, combiner: &Combiner) -> Option<Watts> {
        let input = combiner.input(self.frequency())?;
        input.rated_power.as_ref().map(Typed::value)
    }

    /// The arrester's voltage rule for the first gas tube; `None` without one. It is one condition of
    /// several: the RF rating and hold-over are asked too. Peaks of combined carriers add.
    ///
    /// - `output`, `limit`: as for [`Budget::loads_at`]
    #[must_use]
    pub fn arrester_check(&self, output: Watts, limit: Swr) -> Option<VoltageCheck> {
        let (part, arrester) = self.chain().arrester()?;
        let peak = sum_of_peaks(&self.loads_at(part, output, limit));
        Some(check_volts(&tube(arrester), peak))
    }

    /// What comes back to the transmitter from the other carriers through a combiner, each less the
    /// isolation: by whose carrier, and how much; nothing where no isolation is stated.
    #[must_use]
    pub fn foreign_power(&self) -> Vec<(String, Watts)> {
        let chain = self.chain();
        let found = chain.others.iter().filter_map(|other| {
            let combiner = chain.parts.iter().find(|part| part.uuid == other.joins_at)?;
            let Spec::Combiner(spec) = &combiner.spec else { return None };
            let isolation = spec.isolation.as_ref()?.value().value();
            let whole = chain.of_other(other);
            let place = whole.parts.iter().find(|part| part.uuid == other.joins_at)?;
            let arrives =
                Budget::new(&whole, other.frequency.value()).forward_at(place, other.power.value());
            let back = arrives.value() * 10.0_f64.powf(-isolation / 10.0);
            Some((other.named(), Watts::nearest(back)))
        });
        found.collect()
    }
}

fn tube(arrester: &GasTubeArrester) -> GasTube {
    GasTube { spark_over: arrester.sparkover.value(), tolerance: arrester.tolerance.value() }
}

/// The peak voltage that the voltage rule leaves of a tube's lowest spark-over.
fn left_by_the_rule(arrester: &GasTubeArrester) -> Volts {
    Volts::nearest(tube(arrester).lowest().value() / VOLTAGE_RULE.value())
}

fn antenna_rating(chain: &Chain) -> Option<Watts> {
    let (_, antenna) = chain.antenna()?;
    antenna.plate.rated_power.as_ref().map(Typed::value)
}
