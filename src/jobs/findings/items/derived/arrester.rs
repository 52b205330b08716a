//! Whether the arrester stands the signal: a gas tube by the voltage rule, a stub or filter, which has no
//! spark-over, by its RF rating.

use uuid::Uuid;

use crate::equipment::budget::Budget;
use crate::equipment::model::{Chain, ChainPart};
use crate::jobs::findings::items::{Found, Sources};
use crate::jobs::model::Answer;
use crate::rf::power;
use crate::rf::quantity::{Quantity, Watts};
use crate::rf::rating::Fits;
use crate::sites::model::Assignment;

impl Sources<'_> {
    pub(super) fn arrester_voltage(&self) -> Found {
        let (Some(chain), Some(assignment)) = (self.record.chain(), self.record.assignment())
        else {
            return Found::open("no chain recorded");
        };
        let Some(part) = chain.protection() else {
            return Found::without("no arrester in the chain");
        };
        let limits = &self.record.profile.limits;
        let percent = limits.power_most_percent.value();
        // All transmitters at the top of their tolerance; losses up to the arrester are taken off.
        let most =
            power::allowed(assignment.particulars.power.value(), None, percent).allowed().high();
        let budget =
            Budget::new(chain, assignment.particulars.frequency.value()).others_at(percent);
        let found = self
            .gas_tube(chain, &budget, most)
            .unwrap_or_else(|| self.by_rating(part, &budget, most));
        beneath(chain, assignment)
            .into_iter()
            .fold(found, |found, uuid| found.resting_on(Some(uuid)))
    }

    fn gas_tube(&self, chain: &Chain, budget: &Budget<'_>, most: Watts) -> Option<Found> {
        let limits = &self.record.profile.limits;
        let (part, _) = chain.arrester()?;
        let check = budget.arrester_check(most, limits.installed_swr.value())?;
        let ratio = check.ratio.value();
        let holds = ratio >= limits.arrester_ratio.number();
        let answer = if holds { Answer::Passed } else { Answer::Failed };
        let evidence = format!(
            "lowest spark-over {:.0} V is {ratio:.2} × the peak of {:.0} V at {:.0} W out{} and SWR {}; wants {}",
            check.lowest.value(),
            check.peak.value(),
            most.value(),
            others(chain, part),
            limits.installed_swr.text(),
            limits.arrester_ratio.text()
        );
        Some(Found::of(answer, evidence))
    }

    fn by_rating(&self, part: &ChainPart, budget: &Budget<'_>, most: Watts) -> Found {
        let limits = &self.record.profile.limits;
        let ratings = budget.ratings(most, limits.installed_swr.value());
        let Some(rating) = ratings.iter().find(|rating| rating.position == part.position) else {
            return Found::open("the arrester carries no power in this chain");
        };
        let (mild, hard) = (rating.equivalent().low().value(), rating.equivalent().high().value());
        let stands = rating
            .rated_power
            .map_or("not stated".to_owned(), |rated| format!("{:.0} W", rated.value()));
        let answer = match rating.average {
            Fits::Yes => Answer::Passed,
            Fits::No => Answer::Failed,
            Fits::Between | Fits::NotStated => Answer::NotShown,
        };
        let evidence = format!(
            "{}: no spark-over; RF rating {stands}, {:.0} W out{} count there as {mild:.0} to {hard:.0} W with a match at SWR {}",
            part.spec.kind_shown(),
            most.value(),
            others(budget.chain(), part),
            limits.installed_swr.text()
        );
        Found::of(answer, evidence)
    }
}

/// The other carriers on the line, for an evidence.
fn others(chain: &Chain, part: &ChainPart) -> String {
    let all: Vec<String> = chain
        .others_at(part)
        .map(|other| format!("{} of {}", other.power, other.frequency))
        .collect();
    if all.is_empty() { String::new() } else { format!(", with {}", all.join(" and ")) }
}

/// The revisions that the answer rests on: those of the other carriers too.
fn beneath(chain: &Chain, assignment: &Assignment) -> Vec<Uuid> {
    let others = chain.others.iter();
    let others = others.flat_map(|other| [other.chain_revision, other.assignment_revision]);
    [chain.revision_uuid, assignment.revision_uuid].into_iter().chain(others).collect()
}
