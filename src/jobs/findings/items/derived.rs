//! The items that the record answers by itself: nobody can tick them.

use crate::instruments::model::CalibrationState;
use crate::jobs::findings::installed::{ReadingFinding, forward_interval};
use crate::jobs::findings::items::{Found, Sources};
use crate::jobs::findings::known::Known;
use crate::jobs::findings::stand::TrialFinding;
use crate::jobs::model::{Answer, Fact};
use crate::profiles::model::{Answering, LimitOf};
use crate::rf::decision::{self, Decision, Evidence, Rule};
use crate::rf::power;
use crate::rf::quantity::{Quantity, Swr};

impl Sources<'_> {
    pub(super) fn derived(&self, answering: Answering) -> Found {
        match answering {
            Answering::Tick | Answering::Value => Found::open(""),
            Answering::StandSetup => self.stand_setup(),
            Answering::CalibrationStand => {
                self.calibration(self.chosen().map(|(fact, _)| fact), "no setting chosen yet")
            }
            Answering::CalibrationInstalled => {
                let fact = self.record.installed().map(|(fact, _)| fact);
                self.calibration(fact, "no installed reading yet")
            }
            Answering::StandSwr => self.stand_swr(),
            Answering::ArresterVoltage => self.arrester_voltage(),
            Answering::RfSequence => self.rf_sequence(),
            Answering::InstalledSwr => self.installed_swr(),
            Answering::ChangeExplained => self.change_explained(),
            Answering::Power => self.power(),
            Answering::FoldBack => self.fold_back(),
            Answering::AsBuilt => self.as_built(),
            Answering::Exposure => self.exposure(),
        }
    }

    fn chosen(&self) -> Option<(&Fact, &TrialFinding)> {
        let uuid = self.stand.chosen?;
        let trial = self.stand.trials.iter().find(|trial| trial.fact == uuid)?;
        Some((self.record.fact(uuid)?, trial))
    }

    fn stand_setup(&self) -> Found {
        let Some((fact, setup)) = self.record.stand_setup() else {
            return Found::open("no stand set-up recorded");
        };
        let evidence = format!(
            "{} high, nearest metal {}, {}, {} ({})",
            setup.height,
            setup.nearest_metal,
            setup.orientation.shown(),
            setup.jumper,
            setup.jumper_loss
        );
        let answer = if setup.supply_protected { Answer::Passed } else { Answer::Failed };
        let supply = if setup.supply_protected {
            ""
        } else {
            "; check the supply: no residual-current device"
        };
        Found::of(answer, format!("{evidence}{supply}")).on(fact)
    }

    fn calibration(&self, fact: Option<&Fact>, none: &str) -> Found {
        let Some(fact) = fact else { return Found::open(none) };
        let Some(instrument) = self.record.instrument_of(fact) else {
            return Found::open("no instrument is known for the reading").on(fact);
        };
        let day = fact.measured.at.date_in(&self.record.site.time_zone());
        let statement = &instrument.calibration.statement;
        let who = format!("{} {}", instrument.name, instrument.serial);
        let due = statement.due_on.map(|due| due.shown()).unwrap_or_default();
        let (answer, words) = match statement.state_on(day) {
            CalibrationState::Current(_) => (Answer::Passed, format!("current until {due}")),
            CalibrationState::Expired(days) => {
                (Answer::Failed, format!("expired {due}, {days} days before the reading"))
            }
            CalibrationState::NotYet => {
                (Answer::Failed, "calibrated only after the reading".to_owned())
            }
            CalibrationState::Unstated => {
                (Answer::NotShown, "no due date on the record".to_owned())
            }
        };
        Found::of(answer, format!("{who}: {words}")).on(fact)
    }

    fn stand_swr(&self) -> Found {
        let Some((fact, trial)) = self.chosen() else {
            return Found::open("no setting chosen yet");
        };
        let found = match (&trial.at_antenna, &trial.withheld) {
            (Some(known), _) => {
                let limit = &self.record.profile.limits.stand_swr;
                self.limited(known, limit, &format!("trial {}: ", trial.number))
            }
            (None, Some(why)) => Found::of(Answer::NotShown, why.clone()),
            (None, None) => Found::of(Answer::NotShown, "the trial gives no reflection"),
        };
        let setup = self.record.stand_setup().map(|(fact, _)| fact.uuid);
        found.on(fact).resting_on(setup)
    }

    fn reading(&self) -> Option<(&Fact, &ReadingFinding)> {
        let (fact, _) = self.record.installed()?;
        Some((fact, self.readings.iter().find(|reading| reading.fact == fact.uuid)?))
    }

    fn installed_swr(&self) -> Found {
        let Some((fact, reading)) = self.reading() else {
            return Found::open("no installed reading yet");
        };
        let found = match &reading.at_meter {
            Some(known) => self.limited(known, &self.record.profile.limits.installed_swr, ""),
            None => Found::of(Answer::NotShown, "the reading gives no reflection"),
        };
        found.on(fact)
    }

    /// A reflection against an SWR limit by the decision rule.
    fn limited(&self, known: &Known, limit: &LimitOf<Swr>, before: &str) -> Found {
        let most = decision::Limit::AtMost(limit.value());
        let rule = Rule::Simple { who: () };
        let evidence = format!("{before}{}, limit at most {}", known.shown(), limit.text());
        match decision::decide(&Evidence::from(&known.reflection()), &most, &rule) {
            Decision::Passed => Found::of(Answer::Passed, evidence),
            Decision::Failed => Found::of(Answer::Failed, evidence),
            Decision::NotShown { point_within, .. } => {
                Found { point_within, ..Found::of(Answer::NotShown, evidence) }
            }
        }
    }

    fn change_explained(&self) -> Found {
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

    fn power(&self) -> Found {
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

    fn fold_back(&self) -> Found {
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

    fn rf_sequence(&self) -> Found {
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
