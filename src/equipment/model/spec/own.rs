//! What a part brings of its own, asked alike of every kind: loss, reflection, ratings, DC.

use crate::equipment::model::spec::{DcPath, DcState, InLine, Spec};
use crate::rf::line::KnownLoss;
use crate::rf::quantity::{Celsius, LossDb, Megahertz, Percent, Swr, Typed, Volts, Watts};

fn known(loss: &Typed<LossDb>, tolerance: Option<&Typed<Percent>>) -> KnownLoss {
    KnownLoss::new(loss.value(), tolerance.map_or(Percent::fixed(0.0), Typed::value))
}

impl Spec {
    fn in_line(&self) -> Option<&InLine> {
        match self {
            Self::ChangeoverSwitch(spec) => Some(&spec.own),
            Self::Filter(spec) => Some(&spec.own),
            Self::Splitter(spec) => Some(&spec.own),
            Self::Choke(spec) => Some(&spec.own),
            Self::StubArrester(spec) => Some(&spec.own),
            Self::FilterArrester(spec) => Some(&spec.own),
            _ => None,
        }
    }

    /// Its matched loss on the way to the antenna; `None` for what is not on that way or ends it. A loss
    /// whose tolerance is not stated is taken as stated. A splitter's is what it takes beyond sharing.
    ///
    /// - `temperature`: of lines; what is declared of other parts holds at any
    #[must_use]
    pub fn loss(&self, frequency: Megahertz, temperature: Celsius) -> Option<KnownLoss> {
        if let Some(own) = self.in_line() {
            return Some(known(&own.loss, own.loss_tolerance.as_ref()));
        }
        match self {
            Self::DirectionalMeter(spec) => Some(known(&spec.loss, spec.loss_tolerance.as_ref())),
            Self::GasTubeArrester(spec) => Some(known(&spec.loss, spec.loss_tolerance.as_ref())),
            Self::Connectors(spec) => Some(known(&spec.loss, spec.loss_tolerance.as_ref())),
            Self::Combiner(spec) => {
                Some(known(&spec.input(frequency)?.loss, spec.loss_tolerance.as_ref()))
            }
            Self::Jumper(line) | Self::FeedLine(line) => {
                let loss = line.model().loss(frequency, line.length.value(), temperature);
                Some(KnownLoss::new(loss, line.tolerance.value()))
            }
            _ => None,
        }
    }

    /// The highest SWR it has by itself, where one is declared; of antenna and dummy load none, as theirs is
    /// what is measured.
    #[must_use]
    pub fn own_swr(&self) -> Option<Swr> {
        match self {
            Self::GasTubeArrester(spec) => Some(spec.worst_swr.value()),
            Self::Jumper(line) | Self::FeedLine(line) => Some(line.worst_swr.value()),
            Self::Connectors(spec) => Some(spec.worst_swr.value()),
            Self::Combiner(spec) => Some(spec.worst_swr.value()),
            _ => self.in_line().map(|own| own.worst_swr.value()),
        }
    }

    /// The average power it stands with a perfect match; of a combiner its output, of an antenna see
    /// its own plate. `None` where none is stated.
    #[must_use]
    pub fn rated_power(&self, frequency: Megahertz) -> Option<Watts> {
        let stated = |power: &Option<Typed<Watts>>| power.as_ref().map(Typed::value);
        match self {
            Self::Transmitter(spec) => Some(spec.rated_power.value()),
            Self::DirectionalMeter(spec) => stated(&spec.rated.rated_power),
            Self::GasTubeArrester(spec) => stated(&spec.rated_power),
            Self::Jumper(line) | Self::FeedLine(line) => line.rated_at(frequency),
            Self::Connectors(spec) => stated(&spec.rated.rated_power),
            Self::Combiner(spec) => stated(&spec.rated.rated_power),
            Self::DummyLoad(spec) => stated(&spec.rated_power),
            _ => stated(&self.in_line()?.rated.rated_power),
        }
    }

    /// The peak voltage it stands; `None` where none is stated.
    #[must_use]
    pub fn rated_peak(&self) -> Option<Volts> {
        let rated = match self {
            Self::DirectionalMeter(spec) => &spec.rated,
            Self::Jumper(line) | Self::FeedLine(line) => &line.rated,
            Self::Connectors(spec) => &spec.rated,
            Self::Combiner(spec) => &spec.rated,
            _ => &self.in_line()?.rated,
        };
        rated.rated_peak.as_ref().map(Typed::value)
    }

    /// What a DC test from the transmitter's side sees at it; the antenna's own state ends the line.
    #[must_use]
    pub fn dc_path(&self) -> DcPath {
        match self {
            Self::Filter(spec) => spec.dc,
            Self::Combiner(spec) => spec.dc,
            Self::Splitter(spec) => spec.dc,
            Self::Choke(spec) => spec.dc,
            Self::FilterArrester(spec) => spec.dc,
            Self::StubArrester(_) => DcPath::Short,
            _ => DcPath::Through,
        }
    }

    /// What a DC test sees at an antenna's terminals; `None` for what is no antenna.
    #[must_use]
    pub fn dc_at_terminals(&self) -> Option<DcState> {
        Some(self.antenna()?.plate.dc_state)
    }

    /// Whether it leads surges to ground.
    #[must_use]
    pub fn is_arrester(&self) -> bool {
        matches!(self, Self::GasTubeArrester(_) | Self::StubArrester(_) | Self::FilterArrester(_))
    }
}
