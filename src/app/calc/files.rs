//! Sweeps and series in files.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use super::BadInput;
use super::answer::Answer;
use super::options::{Fault, SweepOf, TrendOf, WindowKind};
use crate::clock::{Date, parse_rfc3339};
use crate::rf::fault::{LookedAlong, Window, profile};
use crate::rf::line::LossModel;
use crate::rf::quantity::{Celsius, Decibels, Hertz, Quantity};
use crate::rf::sweep::{Sweep, SweepPoint};
use crate::rf::touchstone;
use crate::rf::trend::{FEWEST, Point, mann_kendall, score, theil_sen, theil_sen_interval};

/// The largest file that is read.
const MOST_BYTES: u64 = 64 * 1024 * 1024;

fn bytes(path: &Path) -> Result<Vec<u8>, BadInput> {
    let wrong = |error: std::io::Error| BadInput(format!("{}: {error}", path.display()));
    let mut read = Vec::new();
    let file = File::open(path).map_err(wrong)?;
    let size = file.take(MOST_BYTES + 1).read_to_end(&mut read).map_err(wrong)?;
    if u64::try_from(size).is_ok_and(|size| size <= MOST_BYTES) {
        return Ok(read);
    }
    Err(BadInput(format!("{}: larger than {MOST_BYTES} bytes", path.display())))
}

fn touchstone(path: &Path) -> Result<Sweep, BadInput> {
    let name = path.file_name().map(|name| name.to_string_lossy().into_owned());
    touchstone::read(&bytes(path)?, name.as_deref().unwrap_or_default())
        .map_err(|error| BadInput(format!("{}: {error}", path.display())))
}

/// Return loss and SWR of a point under two names.
fn at(answer: Answer, loss: &'static str, swr: &'static str, point: SweepPoint) -> Answer {
    let loss_of = point.return_loss().map_or(f64::INFINITY, Decibels::value);
    let swr_of = point.swr().map_or(f64::NAN, Quantity::value);
    answer
        .number(loss, loss_of, Decibels::UNIT, "nothing comes back: the return loss is infinite")
        .number(
            swr,
            swr_of,
            "",
            "as much comes back as went in, or more: the SWR is infinite or there is none",
        )
}

pub(super) fn sweep(asked: &SweepOf) -> Result<Answer, BadInput> {
    let sweep = touchstone(&asked.file)?;
    let Some(best) = sweep.best() else { return Err(BadInput("the file has no point".to_owned())) };
    let megahertz = |frequency: Hertz| frequency.value() / 1e6;
    let (low, high) = sweep.span();
    let answer =
        Answer::from_source("the file; between points a straight line in the complex plane")
            .count("points", sweep.points().len())
            .number("start_mhz", megahertz(low), "MHz", "")
            .number("stop_mhz", megahertz(high), "MHz", "")
            .number("best_frequency_mhz", megahertz(best.frequency), "MHz", "");
    let answer = at(answer, "best_return_loss_db", "best_swr", best);
    let Some(wanted) = asked.at_mhz else { return Ok(answer) };
    let outside = format!("{wanted} lies outside the sweep");
    Ok(match sweep.at(Hertz::nearest(wanted.value() * 1e6)) {
        Some(point) => at(answer, "return_loss_db_at", "swr_at", point),
        None => answer.unsaid("return_loss_db_at", &outside).unsaid("swr_at", &outside),
    })
}

pub(super) fn fault(asked: &Fault) -> Result<Answer, BadInput> {
    let sweep = touchstone(&asked.file)?;
    let loss = asked.conductor_loss.zip(asked.dielectric_loss);
    let line = LookedAlong {
        velocity_factor: asked.velocity_factor,
        loss: loss.map(|(conductor, dielectric)| LossModel::of(conductor, dielectric)),
        temperature: Celsius::fixed(20.0),
    };
    let window = match asked.window {
        WindowKind::Rectangular => Window::Rectangular,
        WindowKind::Hann => Window::Hann,
        WindowKind::Blackman => Window::Blackman,
    };
    let found = profile(&sweep, &line, window)
        .map_err(|error| BadInput(format!("{}: {error}", asked.file.display())))?;
    let peaks = found.peaks.iter().map(|peak| (peak.distance.value(), peak.return_loss.value()));
    let source =
        "d = VF · c · t/2; resolution VF · c/2B (wider by the window), range VF · c/(2 · step)";
    Ok(Answer::from_source(source)
        .quantity("resolution_m", found.resolution, "")
        .quantity("range_m", found.range, "")
        .peaks("peaks", peaks.collect()))
}

/// Days of a mean Julian year.
const DAYS_PER_YEAR: f64 = 365.25;

pub(super) fn trend(asked: &TrendOf) -> Result<Answer, BadInput> {
    let points = series(&asked.file)?;
    let test = mann_kendall(&points);
    let few =
        format!("fewer than {FEWEST} readings, or all alike: nothing can be said of significance");
    let per_year = |slope: f64| slope * DAYS_PER_YEAR;
    let unsaid = f64::NAN;
    let between = theil_sen_interval(&points).unwrap_or((unsaid, unsaid));
    let source = "Theil 1950, Sen 1968 (95 %); Mann 1945, Kendall 1975; a year of 365.25 days";
    Ok(Answer::from_source(source)
        .number("slope_per_year", theil_sen(&points).map_or(unsaid, per_year), "", "all on one day")
        .number("slope_low", per_year(between.0), "", &few)
        .number("slope_high", per_year(between.1), "", &few)
        .number("kendall_s", score(&points), "", "")
        .number("z", test.map_or(unsaid, |test| test.z), "", &few)
        .number("p_value", test.map_or(unsaid, |test| test.probability), "", &few))
}

/// The readings of a file, in order of time.
fn series(path: &Path) -> Result<Vec<Point>, BadInput> {
    let wrong =
        |line: u64, why: String| BadInput(format!("{}: line {line}: {why}", path.display()));
    let text = bytes(path)?;
    let text = text.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(&text);
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .trim(csv::Trim::All)
        .comment(Some(b'#'))
        .from_reader(text);
    let mut points: Vec<Point> = Vec::new();
    for (at, row) in reader.records().enumerate() {
        let row = row.map_err(|error| BadInput(format!("{}: {error}", path.display())))?;
        let line = row.position().map_or(1, csv::Position::line);
        let (Some(date), Some(value), 2) = (row.get(0), row.get(1), row.len()) else {
            return Err(wrong(line, format!("{} columns; date and value are wanted", row.len())));
        };
        let Some(day) = day(date) else {
            if at == 0 && value.parse::<f64>().is_err() {
                continue;
            }
            return Err(wrong(line, format!("“{}” is not an RFC 3339 date", short(date))));
        };
        let number = value.parse::<f64>().ok().filter(|number| number.is_finite());
        let Some(value) = number else {
            return Err(wrong(line, format!("“{}” is not a finite number", short(value))));
        };
        if points.last().is_some_and(|before| day < before.day) {
            return Err(wrong(line, "the date is before the one above it".to_owned()));
        }
        points.push(Point { day, value });
        if points.len() > MOST_READINGS {
            return Err(wrong(line, format!("more than {MOST_READINGS} readings are not read")));
        }
    }
    if points.len() < 2 {
        return Err(BadInput(format!("{}: at least two readings are wanted", path.display())));
    }
    Ok(points)
}

/// All pairs are looked at: more readings than this would take minutes.
const MOST_READINGS: usize = 5_000;

/// At most so much of a wrong cell is repeated.
fn short(text: &str) -> String {
    text.chars().take(40).collect()
}

/// Days since 1970 of an RFC 3339 date, or date and time.
fn day(text: &str) -> Option<f64> {
    const SECONDS: f64 = 86_400.0;
    if let Ok(date) = Date::parse(text) {
        let epoch = Date::parse("1970-01-01").ok()?;
        return Some(f64::from(epoch.days_until(date)));
    }
    let seconds = parse_rfc3339(text)?.at.seconds();
    // Seconds of any calendar fit 53 bits; two halves avoid a lossy cast.
    let (days, rest) = (seconds.div_euclid(86_400), seconds.rem_euclid(86_400));
    Some(f64::from(i32::try_from(days).ok()?) + f64::from(i32::try_from(rest).ok()?) / SECONDS)
}
