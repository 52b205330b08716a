//! The ways through a chain: the legs of main and reserve transmitter up to their switch, the branch of a
//! carrier up to its combiner and the parts it shares after it, what a DC test sees.

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::equipment::model::{Chain, ChainPart, DcPath, DcState, DummyLoad, Spec};
use crate::rf::quantity::{Megahertz, Typed, Watts};

/// The carrier of another assignment that comes onto this chain's line in a combiner.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OtherCarrier {
    /// The number of its assignment at the site.
    pub assignment: i64,
    /// The revision of that assignment.
    pub assignment_revision: Uuid,
    /// The revision of its chain.
    pub chain_revision: Uuid,
    /// Its station's name.
    pub station_name: String,
    /// Its frequency.
    pub frequency: Typed<Megahertz>,
    /// Its authorised transmitter output power.
    pub power: Typed<Watts>,
    /// Its own parts, up to the combiner; what follows is shared.
    pub branch: Vec<ChainPart>,
    /// The combiner where it comes in.
    pub joins_at: Uuid,
}

impl OtherCarrier {
    /// "99.2 MHz, Gull Radio".
    #[must_use]
    pub fn named(&self) -> String {
        format!("{}, {}", self.frequency, self.station_name)
    }
}

/// What a DC test on the line towards the antenna sees, and which part makes it so.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DcSeen<'c> {
    /// A short or open.
    pub state: DcState,
    /// The part where the test ends: the antenna, or one before it that is a short or blocks DC by itself.
    pub by: &'c ChainPart,
}

impl Chain {
    /// All transmitters: the main one and then the reserves.
    pub fn transmitters(&self) -> impl Iterator<Item = &ChainPart> {
        self.parts.iter().filter(|part| matches!(part.spec, Spec::Transmitter(_)))
    }

    /// The dummy load, where a switch has one.
    #[must_use]
    pub fn dummy_load(&self) -> Option<(&ChainPart, &DummyLoad)> {
        self.parts.iter().find_map(|part| match &part.spec {
            Spec::DummyLoad(load) => Some((part, load)),
            _ => None,
        })
    }

    /// The first part that leads surges to ground, of whatever kind.
    #[must_use]
    pub fn protection(&self) -> Option<&ChainPart> {
        self.parts.iter().find(|part| part.spec.is_arrester())
    }

    /// Whether a part lies on the way from a position to the antenna: after it, not on another transmitter's
    /// leg, and not the load beside the way.
    #[must_use]
    pub fn on_way(&self, from_position: i64, part: &ChainPart) -> bool {
        let same_leg = match (self.leg(from_position), self.leg(part.position)) {
            (_, None) => true,
            (from, leg) => from == leg,
        };
        part.position > from_position && same_leg && !matches!(part.spec, Spec::DummyLoad(_))
    }

    /// Whether power from a transmitter comes to a part.
    #[must_use]
    pub fn feeds(&self, transmitter: &ChainPart, part: &ChainPart) -> bool {
        self.on_way(transmitter.position, part)
            || (matches!(part.spec, Spec::DummyLoad(_)) && part.position > transmitter.position)
    }

    /// The leg before the switch on which a position lies, from 1; `None` after it and without one.
    #[must_use]
    pub fn leg(&self, position: i64) -> Option<usize> {
        let is_switch = |part: &&ChainPart| matches!(part.spec, Spec::ChangeoverSwitch(_));
        let switch = self.parts.iter().find(is_switch)?.position;
        let before = self.transmitters().filter(|part| part.position <= position).count();
        (position < switch).then_some(before.max(1))
    }

    /// The parts from a combiner on, itself included; none when the chain does not hold it.
    #[must_use]
    pub fn shared_from(&self, combiner: Uuid) -> &[ChainPart] {
        let place = self.parts.iter().position(|part| part.uuid == combiner);
        place.and_then(|place| self.parts.get(place..)).unwrap_or_default()
    }

    /// The parts up to a combiner, without it; all when the chain does not hold it.
    #[must_use]
    pub fn branch_to(&self, combiner: Uuid) -> &[ChainPart] {
        let place = self.parts.iter().position(|part| part.uuid == combiner);
        self.parts.get(..place.unwrap_or(self.parts.len())).unwrap_or_default()
    }

    /// The chain as another carrier passes it: its own branch, then what is shared.
    #[must_use]
    pub fn of_other(&self, other: &OtherCarrier) -> Self {
        let all = other.branch.iter().chain(self.shared_from(other.joins_at));
        let parts =
            (1..).zip(all).map(|(position, part)| ChainPart { position, ..part.clone() }).collect();
        Self { parts, others: Vec::new(), ..self.clone() }
    }

    /// The first combiner that this chain and another list of parts both hold: from it on they share.
    #[must_use]
    pub fn shared_combiner(&self, others: &[ChainPart]) -> Option<Uuid> {
        let combiner = |part: &&ChainPart| matches!(part.spec, Spec::Combiner(_));
        let both = |part: &&ChainPart| others.iter().any(|other| other.uuid == part.uuid);
        self.parts.iter().filter(combiner).find(both).map(|part| part.uuid)
    }

    /// The carriers that are on the line at a part.
    pub fn others_at<'c>(
        &'c self,
        part: &'c ChainPart,
    ) -> impl Iterator<Item = &'c OtherCarrier> + 'c {
        let shares = move |other: &&OtherCarrier| {
            self.shared_from(other.joins_at).iter().any(|one| one.uuid == part.uuid)
        };
        self.others.iter().filter(shares)
    }

    /// What a DC test from a part's output towards the antenna sees; `None` where no antenna ends the line.
    #[must_use]
    pub fn dc_seen_from(&self, position: i64) -> Option<DcSeen<'_>> {
        for part in self.parts.iter().filter(|part| self.on_way(position, part)) {
            let state = match (part.spec.dc_path(), part.spec.dc_at_terminals()) {
                (_, Some(state)) => state,
                (DcPath::Short, None) => DcState::Short,
                (DcPath::Open, None) => DcState::Open,
                (DcPath::Through, None) => continue,
            };
            return Some(DcSeen { state, by: part });
        }
        None
    }
}
