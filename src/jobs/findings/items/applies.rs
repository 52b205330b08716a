//! Whether an item applies, from facts alone. What is not known leaves the item open.

use uuid::Uuid;

use crate::equipment::model::{Chain, DcState};
use crate::jobs::findings::items::Sources;
use crate::profiles::model::Condition;
use crate::rf::quantity::Quantity;
use crate::sites::model::Structure;

/// Whether an item applies.
pub(super) enum Applies {
    /// It does, or what would tell is not known yet.
    Yes,
    /// It does not, for this reason, by these revisions.
    No(String, Option<Uuid>),
}

impl Applies {
    fn unless(beside: bool, why: impl Into<String>, by: Option<Uuid>) -> Self {
        if beside { Self::No(why.into(), by) } else { Self::Yes }
    }
}

impl Sources<'_> {
    pub(super) fn applies(&self, condition: Condition) -> Applies {
        match condition {
            Condition::Always => Applies::Yes,
            Condition::Climbing => self.climbing(),
            Condition::ErpAbove => self.erp_above(),
            Condition::ArresterFitted => {
                self.unless_chain(|chain| chain.arrester().is_none(), "no arrester in the chain")
            }
            Condition::AntennaShortAtDc => self.unless_chain(
                |chain| dc_state(chain) == Some(DcState::Open),
                "the antenna is open at DC",
            ),
            Condition::StandTuned => self.unless_chain(
                |chain| has_stand(chain) == Some(false),
                "the antenna comes set from its maker",
            ),
            Condition::FactoryTuned => self.unless_chain(
                |chain| has_stand(chain) == Some(true),
                "the antenna is set on a stand",
            ),
            // No part that a line can hold joins its conductors.
            Condition::LineOpenAtDc => Applies::Yes,
            Condition::Pressurised => {
                self.unless_chain(|chain| chain.feed_line().is_some(), "the line holds no pressure")
            }
            Condition::OtherStations => Applies::unless(
                self.record.neighbours.is_empty(),
                "no other station on the site",
                None,
            ),
        }
    }

    /// Not where the chain says so; without a chain it is not known.
    fn unless_chain(&self, beside: impl Fn(&Chain) -> bool, why: &str) -> Applies {
        let Some(chain) = self.record.chain() else { return Applies::Yes };
        Applies::unless(beside(chain), why, Some(chain.revision_uuid))
    }

    fn climbing(&self) -> Applies {
        let Some(bound) = &self.record.profile.limits.climbing_above_m else { return Applies::Yes };
        let site = &self.record.site;
        let climbed = matches!(site.structure, Structure::Mast | Structure::Tower)
            || site.structure_height.value().value() > bound.value().value();
        let why = format!(
            "{} of {}, reached from the ground (bound {} m)",
            site.structure.shown(),
            site.structure_height,
            bound.text()
        );
        Applies::unless(!climbed, why, None)
    }

    fn erp_above(&self) -> Applies {
        let (Some(bound), Some(assignment)) =
            (&self.record.profile.limits.exposure_above_erp_w, self.record.assignment())
        else {
            return Applies::Yes;
        };
        let erp = &assignment.particulars.erp;
        let why = format!("authorised ERP {erp}, asked for above {} W", bound.text());
        let below = erp.value().value() <= bound.value().value();
        Applies::unless(below, why, Some(assignment.revision_uuid))
    }
}

/// What a DC test sees at the antenna's terminals, as declared.
fn dc_state(chain: &Chain) -> Option<DcState> {
    chain.antenna().map(|(_, antenna)| antenna.plate.dc_state)
}

/// Whether the antenna is set on a stand; `None` where the chain has none.
fn has_stand(chain: &Chain) -> Option<bool> {
    chain.antenna().map(|(_, antenna)| antenna.has_stand())
}
