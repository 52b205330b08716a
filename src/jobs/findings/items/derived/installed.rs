//! What the record answers of the installed readings.

use crate::jobs::findings::installed::{ReadingFinding, forward_interval};
use crate::jobs::findings::items::{Found, Sources};
use crate::jobs::model::{Answer, Fact};
use crate::rf::decision::{self, Decision, Evidence, Rule};
use crate::rf::power;
use crate::rf::quantity::Quantity;

impl Sources<'_> {
    fn reading(&self) -> Option<(&Fact, &ReadingFinding)> {
        let (fact, _) = self.record.installed()?;
        Some((fact, self.readings.iter().find(|reading| reading.fact == fact.uuid)?))
    }

    pub(super) fn installed_swr(&self) -> Found {
        let Some((fact, reading)) = self.reading() else {
            return Found::open("no installed reading yet");
        };
        let found = match &reading.at_meter {
            Some(known) => self.limited(known, &self.record.profile.limits.installed_swr, ""),
            None => Found::of(Answer::NotShown, "the reading gives no reflection"),
        };
        found.on(fact)
    }

    pub(super) fn change_explained(&self) -> Found {
        let (Some(comparison), Some((fact, _))) = (self.comparison, self.reading()) else {
            return Found::open("no installed reading yet");
        };
        let chosen = self.stand.chosen;
        let found = if !comparison.said {
            Found::of(Answer::NotShown, comparison.headline.clone())
        } else if !comparison.wants_explanation {
            Found::of(Answer::Passed, comparison.headline.clone())
        } else if let Some((explained, explanation)) = self.record.explanation(fact.uuid) {
            let words =
                format!("explained: {}; checked: {}", explanation.cause, explanation.checked);
            Found::of(Answer::Passed, words).on(explained)
        } else {
            Found::open("cause and what was checked are asked for")
        };
        found.on(fact).resting_on(chosen)
    }

    pub(super) fn power(&self) -> Found {
        let Some((fact, reading)) = self.record.installed() else {
            return Found::open("no installed reading yet");
        };
        let (Some(assignment), Some(interval)) =
            (self.record.assignment(), forward_interval(self.record, fact, reading))
        else {
            return Found::of(Answer::NotShown, "the meter's accuracy is not known").on(fact);
        };
        let authorised = assignment.particulars.power.value();
        let limits = &self.record.profile.limits;
        let small = authorised.value() <= limits.power_ceiling_only_w.value().value();
        let least = (!small).then(|| limits.power_least_percent.value());
        let allowed = power::allowed(authorised, least, limits.power_most_percent.value());
        let measured = &reading.powers.forward;
        let evidence = format!(
            "{measured} ({:.0} to {:.0} W), authorised {} W, {allowed} allowed",
            interval.low().value(),
            interval.high().value(),
            assignment.particulars.power.text()
        );
        let found = if reading.fold_back {
            Found::of(Answer::NotShown, format!("{evidence}; taken in fold-back, no evidence"))
        } else {
            let evidence_of = Evidence { point: measured.value(), interval, at_least: false };
            match decision::decide(&evidence_of, &allowed, &Rule::Simple { who: () }) {
                Decision::Passed => Found::of(Answer::Passed, evidence),
                Decision::Failed => Found::of(Answer::Failed, evidence),
                Decision::NotShown { point_within, .. } => {
                    Found { point_within, ..Found::of(Answer::NotShown, evidence) }
                }
            }
        };
        found.on(fact).resting_on(Some(assignment.revision_uuid))
    }

    pub(super) fn fold_back(&self) -> Found {
        let Some((fact, reading)) = self.record.installed() else {
            return Found::open("no installed reading yet");
        };
        let found = if reading.fold_back {
            Found::of(Answer::Failed, "folding back; check SWR, heat, mains and drive")
        } else {
            Found::of(Answer::Passed, "not folding back")
        };
        found.on(fact)
    }

    pub(super) fn rf_sequence(&self) -> Found {
        let early: Vec<(&Fact, String)> = self
            .record
            .readings()
            .filter_map(|(fact, reading)| {
                let reason = reading.out_of_sequence.as_ref()?;
                Some((fact, format!("{}: {reason}", fact.measured.shown())))
            })
            .collect();
        if !early.is_empty() {
            let words: Vec<&str> = early.iter().map(|(_, words)| words.as_str()).collect();
            let found = Found::of(Answer::Failed, words.join("; "));
            // Each of them: a concession for one reading covers no second one.
            return early.iter().fold(found, |found, (fact, _)| found.on(fact));
        }
        match self.record.installed() {
            Some((fact, _)) => Found::of(Answer::Passed, "no reading before the gate").on(fact),
            None => Found::open("no installed reading yet"),
        }
    }
}
