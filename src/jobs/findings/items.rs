//! The answer to each item: a person's where a person answers, derived where the record can answer.

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::equipment::budget::Budget;
use crate::equipment::model::Chain;
use crate::instruments::model::CalibrationState;
use crate::jobs::findings::installed::{ComparisonFinding, ReadingFinding, forward_interval};
use crate::jobs::findings::known::Known;
use crate::jobs::findings::stand::{StandFinding, TrialFinding};
use crate::jobs::model::{Answer, Answered, Fact, Record};
use crate::profiles::model::{Answering, Condition, Item, Limit, LimitOf, Stage};
use crate::rf::decision::{self, Decision, Evidence, Rule};
use crate::rf::power;
use crate::rf::quantity::{Quantity, Swr};

/// What is known of an item.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ItemFinding {
    /// The item's id.
    pub id: String,
    /// The stage it belongs to.
    pub stage: Stage,
    /// The question.
    pub text: String,
    /// The answer; `None` while it is open.
    pub answer: Option<Answer>,
    /// What the answer rests on, in words.
    pub evidence: String,
    /// Whether the server answers it.
    pub derived: bool,
    /// For "not shown": whether the point value by itself is within the limit.
    pub point_within: bool,
    /// The facts, revisions and calibrations beneath it, by name, sorted.
    pub rests_on: Vec<Uuid>,
    /// The persons whose facts stand beneath it.
    pub doers: Vec<Uuid>,
    /// The fact to correct: the person's answer, or the measurement beneath.
    pub fact: Option<Uuid>,
}

/// An answer on the way.
#[derive(Debug, Default)]
struct Found {
    answer: Option<Answer>,
    evidence: String,
    point_within: bool,
    rests_on: Vec<Uuid>,
    doers: Vec<Uuid>,
    fact: Option<Uuid>,
}

impl Found {
    fn open(evidence: impl Into<String>) -> Self {
        Self { evidence: evidence.into(), ..Self::default() }
    }

    fn of(answer: Answer, evidence: impl Into<String>) -> Self {
        Self { answer: Some(answer), evidence: evidence.into(), ..Self::default() }
    }

    /// The same, resting on a fact and on what it pins.
    fn on(mut self, fact: &Fact) -> Self {
        self.rests_on.push(fact.uuid);
        self.rests_on.extend(fact.calibration);
        self.doers.extend(fact.by);
        self.fact = self.fact.or(Some(fact.uuid));
        self
    }

    fn resting_on(mut self, revision: Option<Uuid>) -> Self {
        self.rests_on.extend(revision);
        self
    }
}

/// What all derived items look at.
struct Sources<'a> {
    record: &'a Record,
    stand: &'a StandFinding,
    readings: &'a [ReadingFinding],
    comparison: Option<&'a ComparisonFinding>,
}

pub(super) fn find(
    record: &Record,
    stand: &StandFinding,
    readings: &[ReadingFinding],
    comparison: Option<&ComparisonFinding>,
) -> Vec<ItemFinding> {
    let sources = Sources { record, stand, readings, comparison };
    record.profile.items.iter().map(|item| sources.finding(item)).collect()
}

impl Sources<'_> {
    fn finding(&self, item: &Item) -> ItemFinding {
        let mut found = if self.applies(item.when) {
            match item.answer {
                Answering::Tick | Answering::Value => self.answered(item),
                derived => self.conceded(item, self.derived(derived)),
            }
        } else {
            Found::of(Answer::NotApplicable, "no arrester in the chain")
                .resting_on(self.record.chain().map(|chain| chain.revision_uuid))
        };
        found.rests_on.sort();
        found.rests_on.dedup();
        found.doers.sort();
        found.doers.dedup();
        ItemFinding {
            id: item.id.clone(),
            stage: item.stage,
            text: item.text.clone(),
            answer: found.answer,
            evidence: found.evidence,
            derived: item.answer.is_derived(),
            point_within: found.point_within,
            rests_on: found.rests_on,
            doers: found.doers,
            fact: found.fact,
        }
    }

    fn applies(&self, condition: Condition) -> bool {
        match condition {
            Condition::Always => true,
            Condition::ArresterFitted => self.record.chain().and_then(Chain::arrester).is_some(),
        }
    }

    fn answered(&self, item: &Item) -> Found {
        let Some((fact, answered)) = self.record.answered(&item.id) else {
            return Found::open("not answered yet");
        };
        let given = |answer| Found::of(answer, words(answered)).on(fact);
        let by_value = answered.answer == Answer::Passed || answered.answer == Answer::Failed;
        match (&item.limit, answered.number) {
            (Some(limit), Some(number)) if by_value => self.judged(limit, number.0, answered, fact),
            _ => given(answered.answer),
        }
    }

    /// A value against its limit, judged anew from the number each time.
    fn judged(&self, limit: &Limit, number: f64, answered: &Answered, fact: &Fact) -> Found {
        let value = answered.value.clone().unwrap_or_default();
        let (holds, against, revision) = match limit {
            Limit::AtMost(most) => {
                (number <= most.number(), format!("limit at most {}", most.text()), None)
            }
            Limit::NearAuthorisedHeightM(room) => {
                let Some(assignment) = self.record.assignment() else {
                    return Found::open(value).on(fact);
                };
                let height = &assignment.particulars.height;
                let apart = (number - height.value().value()).abs();
                (
                    // A millimetre of room: 30.5 + 1 is not exactly 31.5 in binary.
                    apart <= room.number() + 1e-3,
                    format!("authorised {height} ± {} m", room.text()),
                    Some(assignment.revision_uuid),
                )
            }
        };
        let answer = if holds { Answer::Passed } else { Answer::Failed };
        let note = with_note(answered);
        Found::of(answer, format!("{value}, {against}{note}")).on(fact).resting_on(revision)
    }

    /// A derived answer that did not pass stands under a concession, if a manager granted one.
    fn conceded(&self, item: &Item, found: Found) -> Found {
        let settled = matches!(found.answer, Some(Answer::Passed | Answer::NotApplicable));
        let Some((fact, answered)) = self.record.answered(&item.id).filter(|_| !settled) else {
            return found;
        };
        if answered.answer != Answer::UnderConcession {
            return found;
        }
        let evidence = format!("{}; {}", found.evidence, words(answered));
        Found { answer: Some(Answer::UnderConcession), evidence, ..found }.on(fact)
    }

    fn derived(&self, answering: Answering) -> Found {
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
        let early = self.record.readings().find(|(_, reading)| reading.out_of_sequence.is_some());
        if let Some((fact, reading)) = early {
            let reason = reading.out_of_sequence.clone().unwrap_or_default();
            let words = format!("{}: {reason}", fact.measured.shown());
            return Found::of(Answer::Failed, words).on(fact);
        }
        match self.record.installed() {
            Some((fact, _)) => Found::of(Answer::Passed, "no reading before the gate").on(fact),
            None => Found::open("no installed reading yet"),
        }
    }

    fn arrester_voltage(&self) -> Found {
        let (Some(chain), Some(assignment)) = (self.record.chain(), self.record.assignment())
        else {
            return Found::open("no chain recorded");
        };
        let limits = &self.record.profile.limits;
        // The transmitter at the top of its tolerance; losses up to the arrester are taken off.
        let most = power::allowed(
            assignment.particulars.power.value(),
            None,
            limits.power_most_percent.value(),
        )
        .allowed()
        .high();
        let budget = Budget::new(chain, assignment.particulars.frequency.value());
        let Some(check) = budget.arrester_check(most, limits.installed_swr.value()) else {
            return Found::of(Answer::NotApplicable, "no arrester in the chain");
        };
        let ratio = check.ratio.value();
        let holds = ratio >= limits.arrester_ratio.number();
        let answer = if holds { Answer::Passed } else { Answer::Failed };
        let evidence = format!(
            "lowest spark-over {:.0} V is {ratio:.2} × the peak of {:.0} V at {:.0} W out and SWR {}; wants {}",
            check.lowest.value(),
            check.peak.value(),
            most.value(),
            limits.installed_swr.text(),
            limits.arrester_ratio.text()
        );
        Found::of(answer, evidence)
            .resting_on(Some(chain.revision_uuid))
            .resting_on(Some(assignment.revision_uuid))
    }
}

fn with_note(answered: &Answered) -> String {
    if answered.note.is_empty() { String::new() } else { format!("; {}", answered.note) }
}

/// A person's answer in words.
fn words(answered: &Answered) -> String {
    let mut words = match (&answered.value, answered.method.is_empty()) {
        (Some(value), true) => value.clone(),
        (Some(value), false) => format!("{value}, by {}", answered.method),
        (None, false) => format!("not measurable here; method used instead: {}", answered.method),
        (None, true) => String::new(),
    };
    let mut say = |more: &str| {
        if !more.is_empty() {
            if !words.is_empty() {
                words.push_str("; ");
            }
            words.push_str(more);
        }
    };
    say(&answered.note);
    if !answered.owner.is_empty() {
        say(&format!("owner {}", answered.owner));
    }
    if let Some(due) = answered.due_on {
        say(&format!("by {}", due.shown()));
    }
    words
}
