//! What stands before the data: the option line, and the keywords of version 2.

use super::lines::{Line, Token};
use super::{TouchstoneError, number, wrong};

/// How a pair of numbers stands for a complex one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Format {
    RealImaginary,
    MagnitudeAngle,
    DecibelAngle,
}

/// What the numbers are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Parameter {
    S,
    Y,
    Z,
}

/// Which part of the matrix is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Matrix {
    Full,
    Triangle,
}

/// What a file says of its data.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Header {
    /// 1 or 2; the second digit changes nothing that is read here.
    pub version: u8,
    pub ports: usize,
    /// Hz of one step of the frequency column.
    pub unit: f64,
    pub parameter: Parameter,
    pub format: Format,
    /// Reference resistance of port 1, Ω.
    pub reference: f64,
    pub matrix: Matrix,
    /// How many frequencies version 2 announces.
    pub frequencies: Option<usize>,
}

impl Header {
    /// What an impedance is divided by to be relative to the reference: version 1 has done it already.
    pub fn scale_ohm(&self) -> f64 {
        if self.version == 1 { 1.0 } else { self.reference }
    }

    /// Reads all before the data; gives the lines of the data too.
    ///
    /// - `ports`: what the file's ending says
    pub fn read(lines: &[Line], ports: Option<usize>) -> Result<(Self, &[Line]), TouchstoneError> {
        let mut header = Self {
            version: 1,
            ports: ports.unwrap_or(1),
            unit: 1e9,
            parameter: Parameter::S,
            format: Format::MagnitudeAngle,
            reference: 50.0,
            matrix: Matrix::Full,
            frequencies: None,
        };
        let is_second = lines.first().and_then(keyword).is_some_and(|(name, _)| name == "version");
        let data = if is_second { header.second(lines)? } else { header.first(lines)? };
        if header.ports > 1 && header.parameter != Parameter::S {
            let line = lines.first().map_or(1, |line| line.number);
            return wrong(line, "of more than one port only S data is read");
        }
        Ok((header, data))
    }

    /// Version 1: one option line before the data, later ones ignored.
    fn first<'l>(&mut self, lines: &'l [Line]) -> Result<&'l [Line], TouchstoneError> {
        let mut rest = lines;
        if let Some((first, after)) = lines.split_first()
            && is_option(first)
        {
            self.option(first)?;
            rest = after;
        }
        if let Some(line) = rest.iter().find(|line| keyword(line).is_some()) {
            return wrong(
                line.number,
                "a keyword in brackets needs “[Version] 2.0” before all else",
            );
        }
        // A second option line may stand at the head of the data; elsewhere it is no number.
        while let Some((line, after)) = rest.split_first()
            && is_option(line)
        {
            rest = after;
        }
        Ok(rest)
    }

    /// Version 2: keywords, the option line among them, then `[Network Data]`.
    fn second<'l>(&mut self, lines: &'l [Line]) -> Result<&'l [Line], TouchstoneError> {
        let mut at = 0;
        let mut ports_said = false;
        let mut option_said = false;
        while let Some(line) = lines.get(at) {
            at += 1;
            if is_option(line) {
                if !option_said {
                    self.option(line)?;
                    option_said = true;
                }
                continue;
            }
            let Some((name, values)) = keyword(line) else {
                return wrong(line.number, "data before “[Network Data]”");
            };
            match name.as_str() {
                "version" => self.version(line, values)?,
                "number of ports" => {
                    self.ports = count(line, values)?;
                    ports_said = true;
                }
                "number of frequencies" => self.frequencies = Some(count(line, values)?),
                "reference" => at = self.reference(lines, at, line, values)?,
                "matrix format" => self.matrix = matrix(line, values)?,
                "begin information" => at = after_information(lines, at, line)?,
                "network data" => {
                    if !ports_said {
                        return wrong(line.number, "“[Number of Ports]” is missing");
                    }
                    return Ok(data_of(lines.get(at..).unwrap_or_default()));
                }
                "two-port data order"
                | "two-port order"
                | "number of noise frequencies"
                | "mixed-mode order" => {}
                _ => return wrong(line.number, format!("the keyword “[{name}]” is not known")),
            }
        }
        wrong(lines.last().map_or(1, |line| line.number), "“[Network Data]” is missing")
    }

    fn version(&mut self, line: &Line, values: &[Token]) -> Result<(), TouchstoneError> {
        match values {
            [version] if matches!(version.text.as_str(), "2.0" | "2.1") => {
                self.version = 2;
                Ok(())
            }
            [version] if matches!(version.text.as_str(), "1.0" | "1.1") => Ok(()),
            _ => wrong(line.number, "the version is none of 1.0, 1.1, 2.0 and 2.1"),
        }
    }

    /// The references of the ports, in the keyword's line or the ones after it; gives the next line.
    fn reference(
        &mut self,
        lines: &[Line],
        mut at: usize,
        line: &Line,
        values: &[Token],
    ) -> Result<usize, TouchstoneError> {
        let mut found: Vec<f64> = Vec::new();
        for value in values {
            found.push(number(value, line.number)?);
        }
        while found.len() < self.ports
            && let Some(next) = lines.get(at)
            && keyword(next).is_none()
            && !is_option(next)
        {
            for value in &next.tokens {
                found.push(number(value, next.number)?);
            }
            at += 1;
        }
        match found.first() {
            Some(first) if *first > 0.0 && found.len() == self.ports => self.reference = *first,
            _ => return wrong(line.number, "“[Reference]” wants one positive value for each port"),
        }
        Ok(at)
    }

    /// `# MHz S RI R 50`, in any order.
    fn option(&mut self, line: &Line) -> Result<(), TouchstoneError> {
        let words: Vec<String> = option_words(line);
        let mut at = words.iter();
        while let Some(word) = at.next() {
            match word.as_str() {
                "hz" => self.unit = 1.0,
                "khz" => self.unit = 1e3,
                "mhz" => self.unit = 1e6,
                "ghz" => self.unit = 1e9,
                "s" => self.parameter = Parameter::S,
                "y" => self.parameter = Parameter::Y,
                "z" => self.parameter = Parameter::Z,
                "g" | "h" => return wrong(line.number, "G and H data are not read"),
                "ri" => self.format = Format::RealImaginary,
                "ma" => self.format = Format::MagnitudeAngle,
                "db" => self.format = Format::DecibelAngle,
                "r" => {
                    let value = at.next().and_then(|text| text.parse::<f64>().ok());
                    match value {
                        Some(ohm) if ohm.is_finite() && ohm > 0.0 => self.reference = ohm,
                        _ => return wrong(line.number, "after R comes a positive resistance in Ω"),
                    }
                    // Version 1.1 gives each port its own; port 1's is the first.
                    let others = at.as_slice().iter();
                    let more = others.take_while(|text| text.parse::<f64>().is_ok()).count();
                    at = at.as_slice().get(more..).unwrap_or_default().iter();
                }
                _ => {
                    return wrong(line.number, format!("“{word}” is not known in the option line"));
                }
            }
        }
        Ok(())
    }
}

fn is_option(line: &Line) -> bool {
    line.tokens.first().is_some_and(|token| token.text.starts_with('#'))
}

/// The words after `#`, which may stand close to the first.
fn option_words(line: &Line) -> Vec<String> {
    let lower = |token: &Token| token.text.to_ascii_lowercase();
    let words = line.tokens.iter().map(lower);
    words
        .map(|word| word.trim_start_matches('#').to_owned())
        .filter(|word| !word.is_empty())
        .collect()
}

/// The name in brackets, in lower case with single spaces, and the words after it.
fn keyword(line: &Line) -> Option<(String, &[Token])> {
    if !line.tokens.first()?.text.starts_with('[') {
        return None;
    }
    let end = line.tokens.iter().position(|token| token.text.ends_with(']'))?;
    let words: Vec<&str> =
        line.tokens.get(..=end)?.iter().map(|token| token.text.as_str()).collect();
    let name = words.join(" ").trim_matches(['[', ']', ' ']).to_ascii_lowercase();
    Some((name, line.tokens.get(end + 1..).unwrap_or_default()))
}

fn count(line: &Line, values: &[Token]) -> Result<usize, TouchstoneError> {
    match values {
        [value] => match value.text.parse::<usize>() {
            Ok(count) if (1..=super::MOST_POINTS).contains(&count) => Ok(count),
            _ => wrong(line.number, format!("“{}” is not a count", value.shown())),
        },
        _ => wrong(line.number, "one count is wanted here"),
    }
}

fn matrix(line: &Line, values: &[Token]) -> Result<Matrix, TouchstoneError> {
    let word = values.first().map(|token| token.text.to_ascii_lowercase());
    match word.as_deref() {
        Some("full") => Ok(Matrix::Full),
        Some("lower" | "upper") => Ok(Matrix::Triangle),
        _ => wrong(line.number, "the matrix format is none of Full, Lower and Upper"),
    }
}

/// The line after `[End Information]`.
fn after_information(lines: &[Line], from: usize, line: &Line) -> Result<usize, TouchstoneError> {
    let ends = |line: &Line| keyword(line).is_some_and(|(name, _)| name == "end information");
    match lines.iter().skip(from).position(ends) {
        Some(at) => Ok(from + at + 1),
        None => wrong(line.number, "“[End Information]” is missing"),
    }
}

/// The lines up to the next keyword: `[Noise Data]` or `[End]`.
fn data_of(lines: &[Line]) -> &[Line] {
    let end = lines.iter().position(|line| keyword(line).is_some()).unwrap_or(lines.len());
    lines.get(..end).unwrap_or_default()
}
