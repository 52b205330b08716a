//! What the record answers of the stand, and of the meters that were read.

use crate::clock::Date;
use crate::instruments::model::{CalibrationState, Instrument};
use crate::jobs::findings::items::{Found, Sources};
use crate::jobs::findings::stand::TrialFinding;
use crate::jobs::model::{Answer, Fact, How};
use crate::profiles::model::Item;

impl Sources<'_> {
    pub(super) fn chosen(&self) -> Option<(&Fact, &TrialFinding)> {
        let uuid = self.stand.chosen?;
        let trial = self.stand.trials.iter().find(|trial| trial.fact == uuid)?;
        Some((self.record.fact(uuid)?, trial))
    }

    pub(super) fn stand_setup(&self) -> Found {
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

    pub(super) fn calibration(&self, item: &Item, fact: Option<&Fact>, none: &str) -> Found {
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
        let evidence = format!("{who}: {words}");
        if answer != Answer::Passed
            && item.same_day_check
            && let Some(checked) = self.checked_on_the_day(instrument, day, &evidence)
        {
            return checked.on(fact);
        }
        Found::of(answer, evidence).on(fact)
    }

    /// What a check of the meter on this day says in place of a calibration in date: the last one counts.
    fn checked_on_the_day(
        &self,
        instrument: &Instrument,
        day: Date,
        evidence: &str,
    ) -> Option<Found> {
        let zone = self.record.site.time_zone();
        let mut checks = self.record.same_day_checks(instrument.uuid);
        let (fact, check) = checks.rfind(|(fact, _)| fact.measured.at.date_in(&zone) == day)?;
        let statement = &self.record.instrument_of(fact)?.calibration.statement;
        let said = format!(
            "{evidence}; checked that day against {}, {}: {} read, {} expected, {:.3} W may lie between",
            check.against.shown(),
            check.reference,
            check.read,
            check.expected,
            check.allowed_w(statement)
        );
        let found = if check.agrees(statement) {
            Found { how: Some(How::Indicative), ..Found::of(Answer::Passed, said) }
        } else {
            Found::of(Answer::Failed, said)
        };
        Some(found.on(fact))
    }

    pub(super) fn stand_swr(&self) -> Found {
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
}
