//! An assignment's readings over years: one list from its jobs and its routine readings, and what may be
//! said of a trend. Pure.

use crate::clock::{Date, Measured, Zone};
use crate::equipment::budget::Budget;
use crate::jobs::dossier::Dossier;
use crate::jobs::findings::{Known, Read, reflection_read, swr_of};
use crate::jobs::model::Decimal;
use crate::maintenance::model::Routine;
use crate::rf::line::{KnownLoss, at_load};
use crate::rf::quantity::{Percent, Quantity};
use crate::rf::trend::{FEWEST, Point, mann_kendall, theil_sen, theil_sen_interval};

/// One reading of the history.
#[derive(Debug, Clone, PartialEq)]
pub struct Seen {
    /// When.
    pub measured: Measured,
    /// The number of the job it belongs to; `None` for a routine reading.
    pub job: Option<i64>,
    /// What was read, in words.
    pub said: String,
    /// At the antenna input.
    pub at_antenna: Option<Known>,
    /// Why it is withheld there.
    pub withheld: String,
    /// What is odd about it.
    pub marks: Vec<String>,
    /// The revision of the chain it was read on.
    pub chain: Option<i64>,
    /// The frequency, MHz.
    pub frequency_mhz: f64,
    /// Who read it.
    pub by: String,
    /// Why it was struck; empty while it holds.
    pub struck: String,
    /// Its name outside.
    pub uuid: uuid::Uuid,
}

/// Readings in order of time with what may be said of them.
#[derive(Debug, Clone, PartialEq)]
pub struct History {
    /// The readings, the earliest first.
    pub seen: Vec<Seen>,
    /// From which one on they are alike: same chain, same frequency as the last.
    pub alike_from: usize,
    /// What may be said, in a few words.
    pub headline: String,
    /// What it rests on.
    pub text: String,
    /// The trend's ends, days since 1970 and SWR, where one is shown.
    pub trend: Option<[(f64, f64); 2]>,
}

/// Frequencies nearer than this are one: a channel is 0.1 MHz wide.
const SAME_MHZ: f64 = 0.05;

/// Whether two readings were taken on one frequency.
#[must_use]
pub fn same_frequency(one: &Seen, other: &Seen) -> bool {
    (one.frequency_mhz - other.frequency_mhz).abs() <= SAME_MHZ
}

const DAYS_PER_YEAR: f64 = 365.25;
/// A date at which a limit is reached is said only of a series as long as this, years.
const LONG_ENOUGH_YEARS: f64 = 2.0;
const LEVEL: Percent = Percent::fixed(5.0);

/// The history of an assignment.
///
/// - `jobs`: the dossiers of its jobs, frozen or live
/// - `limit_swr`: the greatest SWR allowed at the antenna input
#[must_use]
pub fn history(
    jobs: &[Dossier],
    routines: &[Routine],
    zone: &Zone,
    limit_swr: Option<f64>,
) -> History {
    let mut seen: Vec<Seen> = jobs.iter().flat_map(installed).collect();
    seen.extend(routines.iter().map(|routine| routine_seen(routine, zone)));
    seen.sort_by_key(|one| one.measured.at);
    let holding: Vec<&Seen> = seen.iter().filter(|one| one.struck.is_empty()).collect();
    let alike_from = holding.last().map_or(0, |last| {
        let unlike = |one: &Seen| one.chain != last.chain || !same_frequency(one, last);
        seen.iter().rposition(|one| one.struck.is_empty() && unlike(one)).map_or(0, |at| at + 1)
    });
    let alike: Vec<&Seen> =
        seen.iter().skip(alike_from).filter(|one| one.struck.is_empty()).collect();
    let (headline, text, trend) = said(&alike, limit_swr);
    History { alike_from, headline, text, trend, seen }
}

/// The installed readings of a job that hold, as its findings have them.
fn installed(dossier: &Dossier) -> Vec<Seen> {
    let record = &dossier.record;
    let of = |finding: &crate::jobs::findings::ReadingFinding| {
        let fact = record.fact(finding.fact)?;
        let (_, reading) = record.readings().find(|(one, _)| one.uuid == fact.uuid)?;
        Some(Seen {
            measured: fact.measured,
            job: Some(record.job.number),
            said: reading.powers.shown(),
            at_antenna: finding.at_antenna,
            withheld: finding.withheld.clone().unwrap_or_default(),
            marks: finding.marks.clone(),
            chain: record.chain_of(fact).map(|chain| chain.revision),
            frequency_mhz: reading.frequency.value().value(),
            by: record.name(fact.by),
            struck: String::new(),
            uuid: fact.uuid,
        })
    };
    dossier.findings.readings.iter().filter_map(of).collect()
}

fn routine_seen(routine: &Routine, zone: &Zone) -> Seen {
    let reading = &routine.reading;
    let frequency = reading.frequency.value();
    let loss = routine.chain.as_ref().map_or_else(KnownLoss::none, |chain| {
        Budget::new(chain, frequency).loss_to_antenna(reading.point_position)
    });
    let mut marks = Vec::new();
    let read = Read { instrument: routine.instrument.as_ref(), powers: &reading.powers };
    let day = routine.measured.at.date_in(zone);
    let known = reflection_read(&read, day, &mut marks);
    let referred = known.as_ref().map(|known| at_load(known, &loss));
    let withheld = match &referred {
        Some(Err(why)) => format!("withheld: {why}"),
        Some(Ok(_)) | None => String::new(),
    };
    if reading.fold_back {
        marks.push("taken in fold-back: no evidence of power; the ratio holds".to_owned());
    }
    if !reading.note.is_empty() {
        marks.push(reading.note.clone());
    }
    Seen {
        measured: routine.measured,
        job: None,
        said: reading.powers.shown(),
        at_antenna: referred.and_then(Result::ok).as_ref().map(Known::from),
        withheld,
        marks,
        chain: routine.chain.as_ref().map(|chain| chain.revision),
        frequency_mhz: frequency.value(),
        by: routine.by.clone(),
        struck: routine.struck.clone().unwrap_or_default(),
        uuid: routine.uuid,
    }
}

/// Days since 1970 of a reading.
#[must_use]
pub fn day_of(measured: Measured) -> f64 {
    let seconds = measured.at.seconds();
    i32::try_from(seconds / 86_400).map_or(0.0, f64::from)
}

type Said = (String, String, Option<[(f64, f64); 2]>);

/// What may be said of readings that are alike.
fn said(alike: &[&Seen], limit_swr: Option<f64>) -> Said {
    let known: Vec<(&Seen, Known)> =
        alike.iter().filter_map(|one| Some((*one, one.at_antenna?))).collect();
    let (Some((_, first)), true) = (known.first(), known.len() > 1) else {
        let text =
            "With a second reading on the same chain and frequency, the two can be compared.";
        return ("Nothing to compare yet.".to_owned(), text.to_owned(), None);
    };
    let common = known.iter().fold((first.low.0, first.high.0), |(low, high), (_, one)| {
        (low.max(one.low.0), high.min(one.high.0))
    });
    let points: Vec<Point> = known
        .iter()
        .map(|(seen, one)| Point { day: day_of(seen.measured), value: one.point.0 })
        .collect();
    let test = mann_kendall(&points).filter(|test| test.significant(LEVEL));
    let steady = common.0 <= common.1;
    let Some(test) = test else {
        return (steady_words(steady), without_trend(&points, steady, common), None);
    };
    let slope = theil_sen(&points).unwrap_or_default() * DAYS_PER_YEAR;
    let between = theil_sen_interval(&points)
        .map(|(low, high)| {
            let year = |slope: f64| slope * DAYS_PER_YEAR;
            format!(" ({:+.3} to {:+.3}, 95 %)", year(low), year(high))
        })
        .unwrap_or_default();
    let direction = if slope > 0.0 { "rises" } else { "falls" };
    let headline = if steady {
        format!(
            "The readings' order shows that reflection {direction}, by less than the instruments can show."
        )
    } else {
        format!("Reflection at the antenna input {direction}: check what changed.")
    };
    let chance = if test.probability < 0.001 {
        "below 0.001".to_owned()
    } else {
        format!("{:.3}", test.probability)
    };
    let mut text = format!(
        "{} readings on the same chain and frequency: {slope:+.3} of magnitude a year{between}, Mann and Kendall's p {chance}. Check joints, arrester and line before the antenna; water shows in wet weather first, and a falling reflection may be a line whose loss grows.",
        points.len()
    );
    if let Some(reached) = limit_reached(&points, slope, limit_swr).filter(|_| !steady) {
        text.push(' ');
        text.push_str(&reached);
    }
    (headline, text, trend_ends(&points, slope))
}

fn steady_words(steady: bool) -> String {
    if steady {
        "No change that these instruments can show.".to_owned()
    } else {
        "The readings differ by more than the instruments explain, without a trend: check what changed between them.".to_owned()
    }
}

fn without_trend(points: &[Point], steady: bool, common: (f64, f64)) -> String {
    let count = points.len();
    let mut text = if steady {
        let swr = |reflection: f64| swr_of(Decimal(reflection));
        format!("All {count} allow an SWR of {:.2} to {:.2}.", swr(common.0), swr(common.1))
    } else {
        format!("{count} readings on the same chain and frequency.")
    };
    if count < FEWEST {
        text.push_str(&format!(" Of a trend nothing is said below {FEWEST} readings."));
    } else {
        text.push_str(" No trend is significant at 5 % (Mann and Kendall).");
    }
    text
}

/// Middle of the points, to draw the slope through.
fn trend_ends(points: &[Point], slope_per_year: f64) -> Option<[(f64, f64); 2]> {
    let (first, last) = (points.first()?, points.last()?);
    let mut heights: Vec<f64> = points
        .iter()
        .map(|point| point.value - slope_per_year / DAYS_PER_YEAR * (point.day - first.day))
        .collect();
    heights.sort_by(f64::total_cmp);
    let start = *heights.get(heights.len() / 2)?;
    let at = |day: f64| {
        let reflection = start + slope_per_year / DAYS_PER_YEAR * (day - first.day);
        (day, swr_of(Decimal(reflection.clamp(0.0, 0.999))))
    };
    Some([at(first.day), at(last.day)])
}

/// When a rising trend would reach the limit, of a series that is long enough.
fn limit_reached(points: &[Point], slope_per_year: f64, limit_swr: Option<f64>) -> Option<String> {
    let limit = limit_swr.filter(|swr| *swr > 1.0)?;
    let (first, last) = (points.first()?, points.last()?);
    if slope_per_year <= 0.0 || (last.day - first.day) / DAYS_PER_YEAR < LONG_ENOUGH_YEARS {
        return None;
    }
    let wanted = (limit - 1.0) / (limit + 1.0);
    let [_, (_, now)] = trend_ends(points, slope_per_year)?;
    let reflection = (now - 1.0) / (now + 1.0);
    let years = (wanted - reflection) / slope_per_year;
    if years <= 0.0 {
        return Some(format!("The trend lies above the limit of {limit:.2} already."));
    }
    if years > 20.0 {
        return Some(format!("At this rate the limit of {limit:.2} is more than 20 years away."));
    }
    Some(format!(
        "At this rate the limit of {limit:.2} would be reached in about {years:.1} years; compare like seasons."
    ))
}

/// The years along a plot's axis: days since 1970 and their names; months where the span is short.
#[must_use]
pub fn ticks(seen: &[Seen], zone: &Zone) -> Vec<(f64, String)> {
    let (Some(first), Some(last)) = (seen.first(), seen.last()) else { return Vec::new() };
    let year = |measured: Measured| {
        let date = measured.at.date_in(zone).to_string();
        date.get(..4).and_then(|year| year.parse::<i32>().ok()).unwrap_or_default()
    };
    let (from, to) = (year(first.measured), year(last.measured));
    let epoch = Date::parse("1970-01-01").ok();
    let day = |text: String| {
        let date = Date::parse(&text).ok()?;
        Some(f64::from(epoch?.days_until(date)))
    };
    let days = day_of(last.measured) - day_of(first.measured);
    let every = match () {
        () if to - from >= 3 => 12,
        () if days > 400.0 => 3,
        () => 1,
    };
    (from - 1..=to + 1)
        .flat_map(|year| (1..=12).step_by(every).map(move |month| (year, month)))
        .filter_map(|(year, month)| {
            let name = if month == 1 { year.to_string() } else { format!("{year}-{month:02}") };
            Some((day(format!("{year}-{month:02}-01"))?, name))
        })
        .collect()
}
