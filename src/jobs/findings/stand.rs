//! What follows from the stand's facts: where to start, what each trial says at the antenna input, and
//! what to do next.

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::clock::Date;
use crate::equipment::model::{AntennaSpec, Chain, Matching, Setting};
use crate::instruments::model::{CalibrationState, Instrument};
use crate::jobs::findings::known::Known;
use crate::jobs::model::{Decimal, Fact, NumberedTrial, Record};
use crate::measurements::model::PowerPair;
use crate::rf::element;
use crate::rf::line::{KnownLoss, at_load};
use crate::rf::meter::Meter;
use crate::rf::quantity::{DirectivityDb, Interval, Millimetres, Percent, Quantity, Swr, Typed};
use crate::rf::reflection::KnownReflection;
use crate::rf::tuning::{Adjustment, Antenna, Trial, Tuning};

/// What the stand's facts say.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StandFinding {
    /// What to do next, in a few words; empty while the chain has no antenna.
    pub headline: String,
    /// Why, and how.
    pub explanation: String,
    /// Whether tuning may stop here.
    pub stops: bool,
    /// Free-space and end-effect lengths with their units; empty while there is no antenna.
    pub lengths: Vec<(String, String)>,
    /// All trials, struck ones too.
    pub trials: Vec<TrialFinding>,
    /// The fitted curve: setting in mm, reflected share in percent.
    pub fit: Vec<[Decimal; 2]>,
    /// The band of the best setting, mm.
    pub best: Option<[Decimal; 2]>,
    /// The reflected share at which tuning may stop, percent.
    pub target_percent: Option<Decimal>,
    /// The setting at which the element stands, mm: of the last trial, or the one kept after it.
    pub present: Option<Decimal>,
    /// The chosen trial that holds.
    pub chosen: Option<Uuid>,
}

/// What one trial says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TrialFinding {
    /// The fact.
    pub fact: Uuid,
    /// Its number on the job.
    pub number: usize,
    /// Middle of both halves, mm.
    pub setting: Decimal,
    /// At the meter; `None` where the powers give no reflection.
    pub at_meter: Option<Known>,
    /// At the antenna input, with the jumper's loss taken out; `None` where that is withheld.
    pub at_antenna: Option<Known>,
    /// Why it is withheld.
    pub withheld: Option<String>,
    /// Whether it is struck.
    pub struck: bool,
    /// What is odd about it: range, calibration, setting.
    pub marks: Vec<String>,
}

pub(super) fn find(record: &Record) -> StandFinding {
    let loss = jumper_loss(record);
    let numbered = record.trials();
    let trials: Vec<TrialFinding> =
        numbered.iter().map(|trial| trial_finding(record, trial, &loss)).collect();
    let chosen = record.chosen().map(|(_, trial)| trial.fact.uuid);
    let present = present(record, &numbered)
        .and_then(|uuid| trials.iter().find(|trial| trial.fact == uuid))
        .map(|trial| trial.setting);
    let mut finding = StandFinding {
        headline: String::new(),
        explanation: String::new(),
        stops: false,
        lengths: Vec::new(),
        trials,
        fit: Vec::new(),
        best: None,
        target_percent: None,
        present,
        chosen,
    };
    match tuning(record, &numbered) {
        Some(tuning) => advise(&mut finding, &tuning, &numbered),
        None => (finding.headline, finding.explanation) = without_advice(record),
    }
    finding
}

/// What is said where the next setting is not reckoned.
fn without_advice(record: &Record) -> (String, String) {
    let said = |headline: &str, text: &str| (headline.to_owned(), text.to_owned());
    let Some((part, antenna)) = record.chain().and_then(Chain::antenna) else {
        return said("Enter the antenna in the RF chain first.", "");
    };
    if matches!(antenna.kind, AntennaSpec::FactoryTuned(_)) {
        return said(
            "It comes tuned by its maker.",
            "There is nothing to set on a stand. A check of it at low power in clear air is recorded as a trial with the setting as delivered.",
        );
    }
    let kind = part.spec.kind_shown();
    (
        format!("Set the {kind} as its maker says."),
        "The next setting is reckoned for half-wave dipoles alone. Record each setting with its powers: the SWR with its interval shows how it goes, and the best one is kept. A radiator's length stands under the upper half, that of its radials under the lower one; droop, coil, tap or strap go into the note.".to_owned(),
    )
}

/// The trial at whose setting the element stands: the last one made, or the one whose setting was kept
/// after it.
fn present(record: &Record, trials: &[NumberedTrial<'_>]) -> Option<Uuid> {
    let last = trials.iter().rev().find(|trial| trial.struck_by.is_none())?.fact;
    let kept = record.chosen().filter(|(fact, _)| fact.entered_at >= last.entered_at);
    Some(kept.map_or(last.uuid, |(_, trial)| trial.fact.uuid))
}

/// The loss between the stand's meter and the antenna input. Jumper losses are small and read off a
/// data sheet: 12 % is what flexible cables scatter between sources.
fn jumper_loss(record: &Record) -> KnownLoss {
    record.stand_setup().map_or_else(KnownLoss::none, |(_, setup)| {
        KnownLoss::new(setup.jumper_loss.value(), Percent::nearest(12.0))
    })
}

/// The task as the arithmetic takes it; `None` while the chain has no antenna.
fn tuning(record: &Record, trials: &[NumberedTrial<'_>]) -> Option<Tuning> {
    let (_, antenna) = record.chain()?.antenna()?;
    let AntennaSpec::HalfWaveDipole(dipole) = antenna.kind else { return None };
    let element = &dipole.element;
    let last = trials.iter().rev().find(|trial| trial.struck_by.is_none());
    let directivity = last
        .and_then(|trial| record.instrument_of(trial.fact))
        .and_then(|instrument| instrument.calibration.statement.directivity.as_ref())
        .map(Typed::<DirectivityDb>::value);
    Some(Tuning {
        antenna: Antenna {
            frequency: record.assignment()?.particulars.frequency.value(),
            diameter: element.element_diameter.value(),
            adjustment: match element.setting {
                Setting::Adjustable => {
                    let range =
                        Interval::between(element.shortest.value(), element.longest.value());
                    Adjustment::Adjustable(range)
                }
                Setting::CutToLength => Adjustment::CutToLength,
            },
            matching: match dipole.matching {
                Matching::Section => element::Matching::Section,
                Matching::None => element::Matching::Straight,
            },
        },
        directivity,
        target: target(dipole.matching),
    })
}

/// Where tuning may stop: near a match with a matching section, near the floor of 1.42 that a straight
/// dipole has on 50 Ω (NEC, 16 mm element at 98 MHz) without one. Common practice for a small adjustable
/// antenna, no source; the limit that acceptance holds against is the profile's.
fn target(matching: Matching) -> Swr {
    match matching {
        Matching::Section => Swr::fixed(1.1),
        Matching::None => Swr::fixed(1.45),
    }
}

fn advise(finding: &mut StandFinding, tuning: &Tuning, numbered: &[NumberedTrial<'_>]) {
    let trials: Vec<Trial> = numbered
        .iter()
        .zip(&finding.trials)
        .filter(|(_, trial)| !trial.struck)
        .map(|(numbered, trial)| Trial {
            upper: numbered.trial.upper.value(),
            lower: numbered.trial.lower.value(),
            seen: trial.at_antenna.map(|known| known.reflection()),
            step: numbered.trial.powers.powers().step(),
        })
        .collect();
    let advised = tuning.advise(&trials);
    finding.headline = advised.advice.headline();
    finding.explanation = advised.advice.explanation();
    finding.stops = advised.advice.stops();
    finding.lengths = lengths(tuning);
    finding.target_percent = Some(Decimal(tuning.target.reflection().share().percent().value()));
    let Some(fit) = advised.fit else { return };
    finding.best = Some([Decimal(fit.band.low().value()), Decimal(fit.band.high().value())]);
    let settings = || trials.iter().map(|trial| trial.setting().value());
    let ends = settings().chain([fit.band.low().value(), fit.band.high().value()]);
    let (low, high) =
        ends.fold((f64::INFINITY, 0.0_f64), |(low, high), mm| (low.min(mm), high.max(mm)));
    let room = ((high - low) * 0.1).max(2.0);
    let between =
        Interval::between(Millimetres::nearest(low - room), Millimetres::nearest(high + room));
    finding.fit = fit
        .curve(between, 41)
        .into_iter()
        .map(|(setting, share)| [Decimal(setting.value()), Decimal(share.percent().value())])
        .collect();
}

fn lengths(tuning: &Tuning) -> Vec<(String, String)> {
    let frequency = tuning.antenna.frequency;
    let whole = element::half_wave(frequency);
    let predicted = tuning.antenna.predicted();
    let both = |mm: Millimetres| format!("{:.0} mm ({})", mm.value(), element::inches(mm));
    vec![
        ("Half a wavelength in free space".to_owned(), both(whole)),
        (
            "Tip to tip with end effect".to_owned(),
            both(Millimetres::nearest(predicted.value() * 2.0)),
        ),
        ("Each half, from the middle of the gap".to_owned(), both(predicted)),
    ]
}

fn trial_finding(record: &Record, trial: &NumberedTrial<'_>, loss: &KnownLoss) -> TrialFinding {
    let mut marks = Vec::new();
    let at_meter = reflection_of(record, trial.fact, &trial.trial.powers, &mut marks);
    let at_antenna = at_meter.as_ref().map(|known| at_load(known, loss));
    let withheld = at_antenna.as_ref().and_then(|referred| {
        referred.as_ref().err().map(|withheld| format!("withheld: check the cable; {withheld}"))
    });
    let (upper, lower) = (trial.trial.upper.value().value(), trial.trial.lower.value().value());
    if (upper - lower).abs() > UNEVEN_MM {
        marks.push(format!("the halves differ by {:.1} mm", (upper - lower).abs()));
    }
    marks.extend(beyond_range(record, trial));
    TrialFinding {
        fact: trial.fact.uuid,
        number: trial.number,
        setting: Decimal((upper + lower) / 2.0),
        at_meter: at_meter.as_ref().map(Known::from),
        at_antenna: at_antenna.and_then(Result::ok).as_ref().map(Known::from),
        withheld,
        struck: trial.struck_by.is_some(),
        marks,
    }
}

/// A setting that the antenna, as declared when the trial was made, cannot have.
fn beyond_range(record: &Record, trial: &NumberedTrial<'_>) -> Option<String> {
    let (_, antenna) = record.chain_of(trial.fact)?.antenna()?;
    let element = antenna.element()?;
    let (least, most) = (element.shortest.value(), element.longest.value());
    let halves = [&trial.trial.upper, &trial.trial.lower];
    let beyond = halves.into_iter().find(|half| half.value() < least || half.value() > most)?;
    Some(format!(
        "{beyond} lies outside the antenna's range of {} to {}: check the setting or the range declared",
        element.shortest, element.longest
    ))
}

/// Halves that differ by more than this are pointed out. Common practice, no source.
const UNEVEN_MM: f64 = 2.0;

/// The reflection at the meter, with what is odd about the reading.
pub(super) fn reflection_of(
    record: &Record,
    fact: &Fact,
    pair: &PowerPair,
    marks: &mut Vec<String>,
) -> Option<KnownReflection> {
    let read = Read { instrument: record.instrument_of(fact), powers: pair };
    reflection_read(&read, fact.measured.at.date_in(&record.site.time_zone()), marks)
}

/// Two powers with the instrument that showed them.
#[derive(Debug, Clone, Copy)]
pub struct Read<'a> {
    /// The instrument with the calibration of its day.
    pub instrument: Option<&'a Instrument>,
    /// The powers.
    pub powers: &'a PowerPair,
}

/// The reflection that was read, with what is odd about it.
///
/// - `day`: of the reading, at the site
///
/// Returns `None` when instrument or range is not known, or the powers make no reflection.
pub fn reflection_read(
    read: &Read<'_>,
    day: Date,
    marks: &mut Vec<String>,
) -> Option<KnownReflection> {
    let Some(instrument) = read.instrument else {
        marks.push("no instrument is known for it".to_owned());
        return None;
    };
    let pair = read.powers;
    let statement = &instrument.calibration.statement;
    match statement.state_on(day) {
        CalibrationState::Current(_) => {}
        CalibrationState::Expired(days) => {
            marks.push(format!(
                "the meter's calibration had run out {days} days before: indicative"
            ));
        }
        CalibrationState::NotYet => {
            marks.push("the meter was calibrated only after this: indicative".to_owned());
        }
        CalibrationState::Unstated => {
            marks.push("no calibration of the meter is on the record: indicative".to_owned());
        }
    }
    let meter = statement.meter(pair.forward_range.value(), pair.reflected_range.value());
    let Some(meter) = meter else {
        marks.push("the instrument has no such range".to_owned());
        return None;
    };
    measured(&meter, pair, marks)
}

fn measured(meter: &Meter, pair: &PowerPair, marks: &mut Vec<String>) -> Option<KnownReflection> {
    let powers = pair.powers();
    marks.extend(meter.range_problems(&powers).iter().map(ToString::to_string));
    match meter.measure(&powers) {
        Ok(known) => {
            if known.point.value() >= 1.0 {
                marks.push("everything comes back: check for a short or an open line".to_owned());
            }
            Some(known)
        }
        Err(error) => {
            marks.push(error.to_string());
            None
        }
    }
}
