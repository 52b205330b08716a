//! Touchstone files: the reflection at port 1 of a one-port, or S11 of an n-port.
//! Versions 1.0 to 2.1 as the IBIS Open Forum's specification allows; errors name line and cause.

mod header;
mod lines;

use num_complex::Complex64;

use crate::rf::quantity::{Hertz, Quantity};
use crate::rf::sweep::{Sweep, SweepPoint};
use header::{Format, Header, Matrix, Parameter};
use lines::{Line, Token, split};

/// The most points that are read: far beyond any analyser, and small in memory.
pub const MOST_POINTS: usize = 1_000_000;

/// What is wrong with a file, and in which line.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("line {line}: {cause}")]
pub struct TouchstoneError {
    /// The line, from 1.
    pub line: usize,
    /// The cause, in words.
    pub cause: String,
}

fn wrong<T>(line: usize, cause: impl Into<String>) -> Result<T, TouchstoneError> {
    Err(TouchstoneError { line, cause: cause.into() })
}

/// Reads a file's bytes.
///
/// - `name`: the file's name, for the number of ports that version 1 says by its ending (`.s1p`,
///   `.s2p`); another ending counts as one port
///
/// Source: Touchstone File Format Specification 1.0, 1.1, 2.0 and 2.1, IBIS Open Forum (from memory
/// and from rendered copies): option line in any order, defaults GHz S MA R 50, later option lines
/// ignored; impedances and admittances of version 1 are relative to R, of version 2 in Ω and S.
///
/// # Errors
/// [`TouchstoneError`] with the line: no text, a number that is none or not finite, frequencies that
/// do not rise, rows cut short, keywords or parameters that are not read, no data.
pub fn read(bytes: &[u8], name: &str) -> Result<Sweep, TouchstoneError> {
    let lines = split(bytes)?;
    let (header, data) = Header::read(&lines, ports_of(name))?;
    let rows = rows(&header, data)?;
    let last_line = lines.last().map_or(1, |line| line.number);
    if let Some(wanted) = header.frequencies
        && wanted != rows.len()
    {
        return wrong(
            last_line,
            format!("{} frequencies were announced, {} are there", wanted, rows.len()),
        );
    }
    let mut points: Vec<SweepPoint> = Vec::with_capacity(rows.len());
    for row in rows {
        let point = row.point(&header)?;
        if points.last().is_some_and(|before| point.frequency <= before.frequency) {
            return wrong(row.line, "the frequency is not above the one before it");
        }
        points.push(point);
    }
    if points.is_empty() {
        return wrong(last_line, "the file has no data");
    }
    Sweep::new(points, header.reference)
        .map_err(|error| TouchstoneError { line: last_line, cause: error.to_string() })
}

/// The number of ports that a file's ending says: `.s4p` is 4; 1 where it says nothing.
fn ports_of(name: &str) -> Option<usize> {
    let ending = name.rsplit_once('.')?.1.to_ascii_lowercase();
    let ports = ending.strip_prefix('s')?.strip_suffix('p')?.parse().ok()?;
    (1..=64).contains(&ports).then_some(ports)
}

/// One frequency's numbers, of which only those of port 1 are kept.
#[derive(Debug, Clone, Copy)]
struct Row {
    line: usize,
    frequency: f64,
    pair: (f64, f64),
}

impl Row {
    fn point(&self, header: &Header) -> Result<SweepPoint, TouchstoneError> {
        let hertz = self.frequency * header.unit;
        let frequency = Hertz::new(hertz)
            .map_err(|error| TouchstoneError { line: self.line, cause: error.to_string() })?;
        let value = complex(header.format, self.pair);
        let reflection = match header.parameter {
            Parameter::S => value,
            Parameter::Z => from_impedance(value / header.scale_ohm()),
            Parameter::Y => from_impedance((value * header.scale_ohm()).inv()),
        };
        if !(reflection.re.is_finite() && reflection.im.is_finite()) {
            return wrong(self.line, "these values make no finite reflection");
        }
        Ok(SweepPoint { frequency, reflection })
    }
}

fn complex(format: Format, (first, second): (f64, f64)) -> Complex64 {
    let turned = |size: f64| Complex64::from_polar(1.0, second.to_radians()) * size;
    match format {
        Format::RealImaginary => Complex64::new(first, second),
        // A negative magnitude points the other way, as files of some instruments have it.
        Format::MagnitudeAngle => turned(first),
        Format::DecibelAngle => turned(10.0_f64.powf(first / 20.0)),
    }
}

/// Reflection of an impedance relative to the reference; 1 for an open circuit.
fn from_impedance(relative: Complex64) -> Complex64 {
    if !relative.re.is_finite() || !relative.im.is_finite() {
        return Complex64::new(1.0, 0.0);
    }
    (relative - 1.0) / (relative + 1.0)
}

/// How many numbers belong to one frequency, itself included.
fn row_length(header: &Header) -> usize {
    let n = header.ports;
    match header.matrix {
        Matrix::Full => 1 + 2 * n * n,
        Matrix::Triangle => 1 + n * (n + 1),
    }
}

/// The rows of the data: a one- or two-port's on a line each, a larger one's over several lines.
fn rows(header: &Header, data: &[Line]) -> Result<Vec<Row>, TouchstoneError> {
    let wanted = row_length(header);
    let mut rows = Vec::new();
    let mut open: Vec<f64> = Vec::new();
    let mut begun = 0;
    for line in data {
        if is_noise(header, line, &rows) {
            break;
        }
        if header.ports <= 2 && line.tokens.len() != wanted {
            let (has, is) = (line.tokens.len(), header.ports);
            let ports = if is == 1 { "one-port" } else { "two-port" };
            return wrong(
                line.number,
                format!("{has} values; a row of a {ports} has {wanted}, the frequency first"),
            );
        }
        for token in &line.tokens {
            if open.is_empty() {
                begun = line.number;
            }
            open.push(number(token, line.number)?);
            if let [frequency, first, second, ..] = open[..]
                && open.len() == wanted
            {
                rows.push(Row { line: begun, frequency, pair: (first, second) });
                open.clear();
            }
        }
        if rows.len() > MOST_POINTS {
            return wrong(line.number, format!("more than {MOST_POINTS} points are not read"));
        }
    }
    if !open.is_empty() {
        let has = open.len();
        return wrong(
            begun,
            format!("the last row has {has} of {wanted} values: the file is cut short"),
        );
    }
    Ok(rows)
}

/// A two-port's noise data follow its network data in version 1, from where the frequency falls.
fn is_noise(header: &Header, line: &Line, rows: &[Row]) -> bool {
    let falls = || {
        let first = line.tokens.first().and_then(|token| token.text.parse::<f64>().ok());
        first.zip(rows.last()).is_some_and(|(frequency, row)| frequency <= row.frequency)
    };
    header.ports == 2 && line.tokens.len() == 5 && falls()
}

fn number(token: &Token, line: usize) -> Result<f64, TouchstoneError> {
    match token.text.parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(value),
        Ok(_) => wrong(line, format!("“{}” is not a finite number", token.shown())),
        Err(_) => wrong(line, format!("“{}” is not a number", token.shown())),
    }
}

#[cfg(test)]
mod tests;
