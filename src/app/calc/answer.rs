//! What a calculation found, told as a table or as JSON.

use serde_json::{Map, Value, json};

use crate::rf::quantity::Quantity;

/// One figure.
#[derive(Debug, Clone, PartialEq)]
enum Figure {
    /// A finite number with its unit.
    Number(f64, &'static str),
    /// A count.
    Count(usize),
    /// Yes or no.
    Yes(bool),
    /// Infinite, or it cannot be said.
    Unsaid(String),
    /// Distance in metres and return loss in dB.
    Peaks(Vec<(f64, f64)>),
}

/// What was found, with where the formula is from.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Answer {
    figures: Vec<(&'static str, Figure)>,
    source: &'static str,
}

impl Answer {
    pub fn from_source(source: &'static str) -> Self {
        Self { figures: Vec::new(), source }
    }

    fn with(mut self, name: &'static str, figure: Figure) -> Self {
        self.figures.push((name, figure));
        self
    }

    /// A quantity; an infinite one is left unsaid, for this reason.
    pub fn quantity<Q: Quantity>(self, name: &'static str, value: Q, if_infinite: &str) -> Self {
        self.number(name, value.value(), Q::UNIT, if_infinite)
    }

    /// A number with its unit.
    pub fn number(
        self,
        name: &'static str,
        value: f64,
        unit: &'static str,
        if_infinite: &str,
    ) -> Self {
        if value.is_finite() {
            return self.with(name, Figure::Number(value, unit));
        }
        self.unsaid(name, if_infinite)
    }

    pub fn count(self, name: &'static str, count: usize) -> Self {
        self.with(name, Figure::Count(count))
    }

    pub fn yes(self, name: &'static str, yes: bool) -> Self {
        self.with(name, Figure::Yes(yes))
    }

    pub fn unsaid(self, name: &'static str, why: &str) -> Self {
        self.with(name, Figure::Unsaid(why.to_owned()))
    }

    pub fn peaks(self, name: &'static str, peaks: Vec<(f64, f64)>) -> Self {
        self.with(name, Figure::Peaks(peaks))
    }

    /// One object; `reason` says why a figure is null.
    pub fn json(&self) -> String {
        let mut object = Map::new();
        let mut reasons: Vec<&str> = Vec::new();
        for (name, figure) in &self.figures {
            let value = match figure {
                Figure::Number(number, _) => json!(number),
                Figure::Count(count) => json!(count),
                Figure::Yes(yes) => json!(yes),
                Figure::Unsaid(why) => {
                    if !reasons.contains(&why.as_str()) {
                        reasons.push(why);
                    }
                    Value::Null
                }
                Figure::Peaks(peaks) => peaks
                    .iter()
                    .map(|(distance, loss)| json!({ "distance_m": distance, "return_loss_db": loss }))
                    .collect(),
            };
            object.insert((*name).to_owned(), value);
        }
        if !reasons.is_empty() {
            object.insert("reason".to_owned(), json!(reasons.join("; ")));
        }
        Value::Object(object).to_string()
    }

    /// Names, figures, units; then the source.
    pub fn table(&self) -> String {
        let width =
            self.figures.iter().map(|(name, _)| label(name).len()).max().unwrap_or_default();
        let mut lines: Vec<String> = Vec::new();
        for (name, figure) in &self.figures {
            let label = label(name);
            let shown = match figure {
                Figure::Number(number, unit) => format!("{} {unit}", six(*number)),
                Figure::Count(count) => count.to_string(),
                Figure::Yes(yes) => if *yes { "yes" } else { "no" }.to_owned(),
                Figure::Unsaid(why) => format!("— ({why})"),
                Figure::Peaks(peaks) if peaks.is_empty() => "none".to_owned(),
                Figure::Peaks(peaks) => {
                    let one = |(distance, loss): &(f64, f64)| {
                        format!("{distance:.2} m, return loss {loss:.2} dB")
                    };
                    let next = format!("\n{:width$}  ", "");
                    peaks.iter().map(one).collect::<Vec<_>>().join(&next)
                }
            };
            lines.push(format!("{label:width$}  {}", shown.trim_end()));
        }
        lines.push(format!("\nSource: {}", self.source));
        lines.join("\n")
    }
}

/// A name in words, without the unit that the figure carries itself.
fn label(name: &str) -> String {
    const UNITS: [&str; 7] = ["_ohm_m", "_ohm", "_mhz", "_db", "_w", "_v", "_m"];
    let bare = UNITS.iter().find_map(|unit| name.strip_suffix(unit)).unwrap_or(name);
    bare.replace("_db_", "_").replace('_', " ")
}

/// Six significant figures, without an exponent between a millionth and a thousand million.
fn six(number: f64) -> String {
    let size = number.abs();
    if size > 0.0 && !(1e-6..1e9).contains(&size) {
        return format!("{number:.5e}");
    }
    let whole = format!("{size:.0}").len();
    let decimals = if size >= 1.0 { 6_usize.saturating_sub(whole) } else { 6 };
    format!("{number:.decimals$}")
}
