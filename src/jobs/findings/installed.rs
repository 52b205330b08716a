//! What follows from installed readings: at the meter, at the antenna input, and against the stand.

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::equipment::budget::Budget;
use crate::equipment::model::Chain;
use crate::jobs::findings::known::Known;
use crate::jobs::findings::stand::{StandFinding, reflection_of};
use crate::jobs::model::{Decimal, Fact, Record};
use crate::measurements::model::Reading;
use crate::rf::comparison::{
    CheckNext, Part, Question, ReadAt, Verdict, compare as compared, path_loss,
};
use crate::rf::line::{KnownLoss, at_input, at_load};
use crate::rf::power;
use crate::rf::quantity::{GainDbd, Interval, Megahertz, Quantity, Reflection, Watts};

/// What one installed reading says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ReadingFinding {
    /// The fact.
    pub fact: Uuid,
    /// At the measuring point.
    pub at_meter: Option<Known>,
    /// Referred to the antenna input; `None` where that is withheld.
    pub at_antenna: Option<Known>,
    /// Why it is withheld.
    pub withheld: Option<String>,
    /// Matched loss from the measuring point to the antenna input, dB.
    pub loss_db: Decimal,
    /// The ends of the loss, dB.
    pub loss_interval_db: [Decimal; 2],
    /// The least and greatest that the forward power may be, W.
    pub forward_interval_w: Option<[Decimal; 2]>,
    /// ERP from the measured forward power, the loss and the antenna's gain, W.
    pub erp_w: Option<Decimal>,
    /// The least and greatest ERP that meter and line allow, W.
    pub erp_interval_w: Option<[Decimal; 2]>,
    /// Power that reaches the antenna, W.
    pub at_antenna_w: Option<Decimal>,
    /// What is odd about it.
    pub marks: Vec<String>,
}

/// Stand against installed, at the measuring point.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ComparisonFinding {
    /// The reading that counts.
    pub reading: Uuid,
    /// The verdict in a few words.
    pub headline: String,
    /// What it rests on and what it does not show.
    pub explanation: String,
    /// Whether an explanation is asked for.
    pub wants_explanation: bool,
    /// Whether anything can be said at all.
    pub said: bool,
    /// What to check next, cheapest first.
    pub checks: Vec<String>,
    /// What was expected.
    pub prediction: Option<PredictionFinding>,
    /// The stand's reflection seen through the installed line.
    pub stand_at_meter: Option<Known>,
    /// Stand and installed at the antenna input, in words.
    pub at_antenna: String,
}

/// What was expected at the measuring point, as magnitudes of reflection.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PredictionFinding {
    /// Behind the nominal loss.
    pub point: Decimal,
    /// Root sum of squares.
    pub expected: [Decimal; 2],
    /// Plain sum.
    pub widest: [Decimal; 2],
    /// Whether both are wider in truth.
    pub at_least: bool,
}

pub(super) fn find(record: &Record) -> Vec<ReadingFinding> {
    record.readings().map(|(fact, reading)| reading_finding(record, fact, reading)).collect()
}

fn reading_finding(record: &Record, fact: &Fact, reading: &Reading) -> ReadingFinding {
    let mut marks = Vec::new();
    let known = reflection_of(record, fact, &reading.powers, &mut marks);
    let chain = record.chain_of(fact);
    let frequency = reading.frequency.value();
    let loss = chain.map_or_else(KnownLoss::none, |chain| {
        Budget::new(chain, frequency).loss_to_antenna(reading.point_position)
    });
    let referred = known.as_ref().map(|known| at_load(known, &loss));
    let withheld = referred.as_ref().and_then(|referred| {
        referred.as_ref().err().map(|withheld| format!("withheld: {withheld}"))
    });
    odd(record, reading, &mut marks);
    let forward = reading.powers.forward.value();
    // Fold-back voids the power evidence: no ERP follows from the reading.
    let gain = chain
        .filter(|_| !reading.fold_back)
        .and_then(Chain::antenna)
        .map(|(_, antenna)| antenna.plate.gain.value());
    let interval = forward_interval(record, fact, reading);
    let watts = |power: Watts| Decimal(power.value());
    let antenna_gain = GainDbd::nearest(0.0);
    ReadingFinding {
        fact: fact.uuid,
        at_meter: known.as_ref().map(Known::from),
        at_antenna: referred.and_then(Result::ok).as_ref().map(Known::from),
        withheld,
        loss_db: Decimal(loss.nominal().value()),
        loss_interval_db: [
            Decimal(loss.interval().low().value()),
            Decimal(loss.interval().high().value()),
        ],
        forward_interval_w: interval.map(watt_ends),
        erp_w: gain.map(|gain| watts(power::erp(forward, loss.nominal(), gain))),
        erp_interval_w: gain
            .zip(interval)
            .map(|(gain, interval)| watt_ends(power::erp_interval(interval, &loss, gain))),
        at_antenna_w: Some(watts(power::erp(forward, loss.nominal(), antenna_gain))),
        marks,
    }
}

fn watt_ends(interval: Interval<Watts>) -> [Decimal; 2] {
    [Decimal(interval.low().value()), Decimal(interval.high().value())]
}

/// What is odd about the circumstances of a reading.
fn odd(record: &Record, reading: &Reading, marks: &mut Vec<String>) {
    if reading.fold_back {
        marks.push("taken in fold-back: no evidence of power; the ratio holds".to_owned());
    }
    if let Some(reason) = &reading.out_of_sequence {
        marks.push(format!("out of sequence, before “ready for RF”: {reason}"));
    }
    let authorised = record.assignment().map(|assignment| &assignment.particulars.frequency);
    if let Some(authorised) = authorised {
        let apart = (authorised.value().value() - reading.frequency.value().value()).abs();
        if apart > 0.05 {
            marks.push(format!("read on {}, the assignment is {authorised}", reading.frequency));
        }
    }
}

/// The least and greatest that the forward power may be, by the meter's accuracy.
pub(super) fn forward_interval(
    record: &Record,
    fact: &Fact,
    reading: &Reading,
) -> Option<Interval<Watts>> {
    let statement = &record.instrument_of(fact)?.calibration.statement;
    let pair = &reading.powers;
    let meter = statement.meter(pair.forward_range.value(), pair.reflected_range.value())?;
    Some(meter.forward.interval(&pair.forward))
}

pub(super) fn compare(
    record: &Record,
    stand: &StandFinding,
    readings: &[ReadingFinding],
) -> Option<ComparisonFinding> {
    let (fact, reading) = record.installed()?;
    let finding = readings.iter().find(|finding| finding.fact == fact.uuid)?;
    let frequency = reading.frequency.value();
    let chosen = stand.chosen.and_then(|uuid| stand.trials.iter().find(|t| t.fact == uuid));
    let on_stand = chosen.and_then(|trial| trial.at_antenna);
    let parts = record
        .chain_of(fact)
        .map(|chain| path(chain, reading.point_position, frequency))
        .unwrap_or_default();
    let stand_frequency = chosen
        .and_then(|trial| record.assignment_of(record.fact(trial.fact)?))
        .or_else(|| record.assignment())?
        .particulars
        .frequency
        .value();
    let comparison = compared(&Question {
        stand: on_stand
            .map(|known| ReadAt { frequency: stand_frequency, reflection: known.reflection() }),
        installed: finding
            .at_meter
            .map(|known| ReadAt { frequency, reflection: known.reflection() }),
        parts: &parts,
        mast: None,
    });
    let through = path_loss(&parts);
    let verdict = &comparison.verdict;
    Some(ComparisonFinding {
        reading: fact.uuid,
        headline: verdict.headline(),
        explanation: verdict.explanation().to_owned(),
        wants_explanation: matches!(verdict, Verdict::Worse { .. } | Verdict::Better { .. }),
        said: !matches!(verdict, Verdict::CannotBeSaid(_)),
        checks: verdict.checks().iter().map(check_text).collect(),
        prediction: comparison.prediction.map(|prediction| PredictionFinding {
            point: Decimal(prediction.point.value()),
            expected: ends(prediction.expected),
            widest: ends(prediction.widest),
            at_least: prediction.at_least,
        }),
        stand_at_meter: on_stand.map(|known| Known::from(&at_input(&known.reflection(), &through))),
        at_antenna: at_antenna_words(on_stand, finding),
    })
}

/// The parts between a measuring point and the antenna input, as the prediction takes them.
fn path(chain: &Chain, from_position: i64, frequency: Megahertz) -> Vec<Part> {
    let budget = Budget::new(chain, frequency);
    let adding = budget.contributions(from_position);
    let end = chain.antenna().map_or(i64::MAX, |(part, _)| part.position);
    budget
        .between(from_position, end)
        .map(|part| Part {
            loss: budget.loss_of(&part.spec).unwrap_or_else(KnownLoss::none),
            adds: adding
                .iter()
                .find(|one| one.position == part.position)
                .map_or(Reflection::fixed(0.0), |one| one.reflection),
        })
        .collect()
}

fn ends(interval: Interval<Reflection>) -> [Decimal; 2] {
    [Decimal(interval.low().value()), Decimal(interval.high().value())]
}

fn check_text(next: &CheckNext) -> String {
    let climb = if next.climb { " Needs a climb, RF locked off." } else { "" };
    format!("{} Line: {}; antenna: {}.{climb}", next.check, next.line, next.antenna)
}

fn at_antenna_words(stand: Option<Known>, installed: &ReadingFinding) -> String {
    let stand = stand.map_or_else(
        || "not measured on the stand".to_owned(),
        |known| format!("{} on the stand", known.shown()),
    );
    let now = match (&installed.at_antenna, &installed.withheld) {
        (Some(known), _) => format!("{} installed", known.shown()),
        (None, Some(why)) => format!("installed {why}"),
        (None, None) => "not measured installed".to_owned(),
    };
    format!(
        "SWR at the antenna input: {stand}, {now} ({:.2} dB of line between).",
        installed.loss_db.0
    )
}
