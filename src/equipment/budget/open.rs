//! What the ratings of a chain leave to check, and what nobody has stated: open questions.

use crate::equipment::budget::{Budget, PartRating, power_shown};
use crate::equipment::model::{OtherCarrier, Spec, keys};
use crate::problem::Problem;
use crate::rf::quantity::{Quantity, Swr};
use crate::rf::rating::Fits;
use crate::sites::model::Particulars;

/// How far a combiner's input may lie beside the carrier: the last digit of a channel raster of 0.1 MHz.
const INPUT_BESIDE_MHZ: f64 = 0.05;

impl Budget<'_> {
    /// What the ratings say at the assigned power: what is exceeded, what lies between two rules of
    /// derating, and what is not stated.
    pub(super) fn rating_problems(&self, assigned: &Particulars, limit: Swr) -> Vec<Problem> {
        let ratings = self.ratings(assigned.power.value(), limit);
        let mut found: Vec<Problem> = ratings.iter().flat_map(|one| self.exceeded(one)).collect();
        let arrester = self.chain().protection().map(|part| part.position);
        found.extend(unstated(&ratings, arrester));
        found.extend(self.combiner_problems());
        found
    }

    fn exceeded(&self, rating: &PartRating) -> Vec<Problem> {
        let mut found = Vec::new();
        let part = side(rating);
        let key = |field: &str| self.field_of(rating.position, field);
        let stands = rating.rated_power.map(power_shown).unwrap_or_default();
        let (mild, hard) = (rating.equivalent().low(), rating.equivalent().high());
        let arrives = arriving(rating);
        match rating.average {
            Fits::No if rating.worst().value() <= 1.0 => {
                let text = format!("{arrives} at the {part}, rated {stands}: check the rating");
                found.push(Problem::warning("CHAIN_RATING", Some(&key("rated_power_w")), text));
            }
            Fits::No => {
                let text = format!(
                    "{arrives} at the {part}, rated {stands} with a match; at an SWR of {:.2} there they \
                     count as {} to {}: check the rating at this frequency",
                    rating.worst(),
                    power_shown(mild),
                    power_shown(hard)
                );
                found.push(Problem::warning("CHAIN_RATING", Some(&key("rated_power_w")), text));
            }
            Fits::Between => {
                let text = format!(
                    "{arrives} at the {part}; at an SWR of {:.2} there they count as {} to {} with a match \
                     by the rule taken, and {stands} is stated: check the maker's own derating",
                    rating.worst(),
                    power_shown(mild),
                    power_shown(hard)
                );
                found.push(Problem::info(
                    "CHAIN_RATING_DERATING",
                    Some(&key("rated_power_w")),
                    text,
                ));
            }
            Fits::Yes | Fits::NotStated => {}
        }
        // The tube's own rule has its own finding.
        let tube = matches!(
            self.chain().part(rating.position).map(|part| &part.spec),
            Some(Spec::GasTubeArrester(_))
        );
        if let (Some(Fits::No), Some(peak), false) = (rating.voltage, rating.rated_peak, tube) {
            let text = format!(
                "the peaks {} come to {:.0} at the {part}, which stands {peak:.0}: check the voltage rating",
                of_carriers(rating.loads.len()),
                rating.peak()
            );
            found.push(Problem::warning("CHAIN_PEAK_RATING", Some(&key("rated_peak_v")), text));
        }
        found
    }

    /// A combiner without an input for the chain's carrier, or with one too few.
    fn combiner_problems(&self) -> Vec<Problem> {
        let mut found = Vec::new();
        for part in &self.chain().parts {
            let Spec::Combiner(combiner) = &part.spec else { continue };
            let inputs = self.field_of(part.position, "in1_mhz");
            let beside = |frequency: f64| {
                combiner.inputs.iter().all(|input| {
                    (input.frequency.value().value() - frequency).abs() > INPUT_BESIDE_MHZ
                })
            };
            if beside(self.frequency().value()) {
                let text = format!(
                    "the {} has no input for {}: the loss of the one nearest to it is taken; check its \
                     inputs",
                    part.named(),
                    self.frequency()
                );
                found.push(Problem::warning("CHAIN_COMBINER_INPUT", Some(&inputs), text));
            }
            let missing: Vec<String> = self
                .chain()
                .others_at(part)
                .filter(|other| beside(other.frequency.value().value()))
                .map(OtherCarrier::named)
                .collect();
            if !missing.is_empty() {
                let text = format!(
                    "the {} has no input for {}, which shares this line: check its inputs",
                    part.named(),
                    missing.join(" and ")
                );
                found.push(Problem::warning("CHAIN_COMBINER_OTHER", Some(&inputs), text));
            }
        }
        found
    }

    /// The name of a field of the part at a position in the form of this chain.
    pub(super) fn field_of(&self, position: i64, field: &str) -> String {
        let parts = &self.chain().parts;
        let place = parts.iter().position(|part| part.position == position);
        let key = place.and_then(|place| keys(parts).into_iter().nth(place)).unwrap_or_default();
        format!("{key}_{field}")
    }
}

/// "the filter, input side" as a finding names it.
fn side(rating: &PartRating) -> String {
    match rating.side.as_str() {
        "" => rating.part.clone(),
        side => format!("{side} of the {}", rating.part),
    }
}

fn arriving(rating: &PartRating) -> String {
    match rating.loads.len() {
        0 | 1 => format!("{} arrive", power_shown(rating.forward())),
        count => format!("{} of {count} carriers arrive", power_shown(rating.forward())),
    }
}

fn of_carriers(count: usize) -> String {
    if count > 1 { format!("of {count} carriers together") } else { "of the carrier".to_owned() }
}

/// What is not stated, in one note for each kind of rating: nobody can say whether these parts fit.
///
/// - `arrester`: the position of the first arrester, whose average rating has a warning of its own
fn unstated(ratings: &[PartRating], arrester: Option<i64>) -> Vec<Problem> {
    let names = |open: &dyn Fn(&PartRating) -> bool| -> Vec<String> {
        ratings.iter().filter(|rating| open(rating)).map(side).collect()
    };
    let mut found = Vec::new();
    let average =
        names(&|rating| rating.average == Fits::NotStated && Some(rating.position) != arrester);
    if !average.is_empty() {
        let text = format!(
            "no RF power rating is stated for: {}. Whether they fit is open; check their data sheets",
            average.join("; ")
        );
        found.push(Problem::info("CHAIN_RATING_OPEN", None, text));
    }
    let peak = names(&|rating| rating.voltage == Some(Fits::NotStated) && rating.loads.len() > 1);
    if !peak.is_empty() {
        let text = format!(
            "several carriers share the line, and no peak voltage is stated for: {}. Whether they fit is \
             open; check their data sheets",
            peak.join("; ")
        );
        found.push(Problem::info("CHAIN_PEAK_OPEN", None, text));
    }
    found
}
