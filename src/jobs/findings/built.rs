//! What was authorised, what was designed, and what was built: one row for each figure, differences first.

mod judged;
mod rows;
mod words;

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::jobs::findings::installed::ReadingFinding;
use crate::jobs::model::{Answer, Record};
use crate::words::words;

words! {
    /// A figure that is authorised.
    #[derive(PartialOrd, Ord)]
    BuiltWhat {
        /// The carrier's frequency.
        Frequency = "frequency" / "Frequency",
        /// Transmitter output power.
        Power = "power" / "Transmitter power",
        /// Effective radiated power, both planes together.
        Erp = "erp" / "ERP, both planes",
        /// Height of the antenna's centre above ground.
        Height = "height" / "Height of the antenna’s centre",
        /// Where the antenna stands.
        Position = "position" / "Position",
        /// The number of bays.
        Bays = "bays" / "Bays",
        /// The plane of the field.
        Polarization = "polarization" / "Polarization",
        /// Where a directional antenna points.
        Bearing = "bearing" / "Bearing, from true north",
    }
}

/// One figure three times, and what follows.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BuiltRow {
    /// Which figure.
    pub what: BuiltWhat,
    /// As the authority's paper has it; empty where the record does not say.
    pub authorised: String,
    /// As the chain declares it; empty where it does not.
    pub designed: String,
    /// As it was measured or seen; empty where it was not.
    pub built: String,
    /// Built less authorised; empty where there is none to say.
    pub difference: String,
    /// How much of it is allowed, and where that is from.
    pub tolerance: String,
    /// Whether what was built lies within; `None` where it was not measured or nothing is authorised.
    pub answer: Option<Answer>,
    /// For "not shown": whether the value by itself is within.
    pub point_within: bool,
    /// The answer in words.
    pub verdict: String,
    /// What to check of the design; empty where it agrees with what is authorised.
    pub design: String,
    /// The facts beneath it, by name.
    pub facts: Vec<Uuid>,
}

impl BuiltRow {
    /// Whether something is authorised that was not measured.
    #[must_use]
    pub fn open(&self) -> bool {
        self.answer.is_none() && !self.authorised.is_empty()
    }

    /// Differences first: outside, then not shown, then a design that differs, then not measured.
    fn rank(&self) -> u8 {
        match self.answer {
            Some(Answer::Failed) => 0,
            Some(Answer::NotShown) if !self.point_within => 1,
            _ if !self.design.is_empty() => 2,
            Some(Answer::NotShown) => 3,
            None if self.open() => 4,
            Some(_) => 5,
            None => 6,
        }
    }
}

/// All figures.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BuiltFinding {
    /// Differences first.
    pub rows: Vec<BuiltRow>,
    /// What stands out, in a sentence.
    pub headline: String,
    /// Where the tolerances are from.
    pub source: String,
}

impl BuiltFinding {
    /// The row of a figure.
    #[must_use]
    pub fn row(&self, what: BuiltWhat) -> Option<&BuiltRow> {
        self.rows.iter().find(|row| row.what == what)
    }
}

/// `None` without an assignment.
pub(super) fn find(record: &Record, readings: &[ReadingFinding]) -> Option<BuiltFinding> {
    let mut rows = rows::of(record, readings)?;
    rows.sort_by_key(|row| (row.rank(), row.what));
    let headline = headline(&rows);
    let power = record.assignment()?.particulars.power.value();
    let limits = &record.profile.limits;
    let source = format!(
        "{}; power: {}, taken for ERP too, which has no rule of its own",
        limits.built_rule(power).source,
        limits.power_source
    );
    Some(BuiltFinding { rows, headline, source })
}

fn headline(rows: &[BuiltRow]) -> String {
    let named = |pick: &dyn Fn(&BuiltRow) -> bool| {
        let names: Vec<String> =
            rows.iter().filter(|row| pick(row)).map(|row| lower(row.what)).collect();
        names.join(", ")
    };
    let outside = named(&|row| row.answer == Some(Answer::Failed));
    if !outside.is_empty() {
        return format!("Check what differs from the authorised: {outside}.");
    }
    let design = named(&|row| !row.design.is_empty());
    if !design.is_empty() {
        return format!("Check the design against the authorised: {design}.");
    }
    let open = named(&BuiltRow::open);
    if !open.is_empty() {
        return format!("Not measured yet: {open}.");
    }
    let unshown = named(&|row| row.answer == Some(Answer::NotShown));
    if !unshown.is_empty() {
        return format!("Measured, but not shown to be within tolerance: {unshown}.");
    }
    "Every authorised figure on the record was measured and lies within its tolerance.".to_owned()
}

fn lower(what: BuiltWhat) -> String {
    match what {
        BuiltWhat::Erp => "ERP".to_owned(),
        BuiltWhat::Bearing => "bearing".to_owned(),
        what => what.shown().to_lowercase(),
    }
}

#[cfg(test)]
mod tests;
