//! What a browser sent about instruments -> drafts and statements, a message for each field; and back,
//! the fields of a form filled from what is known.

use crate::clock::{Utc, Zone};
use crate::instruments::acts::InstrumentChange;
use crate::instruments::model::{
    ACCURACY, DIRECTIVITY, FULL_SCALE, Instrument, InstrumentDraft, MOST_RANGES, Statement,
};
use crate::rf::quantity::{DirectivityDb, Typed, Watts};
use crate::web::{Checking, Fields};

/// Somewhere on Earth the calendar is so far ahead of UTC: a certificate of today may come from there.
const AHEAD_SECONDS: i64 = 14 * 3600;

/// The numbers of the fields of full scales.
pub const FIELDS_OF_RANGES: std::ops::RangeInclusive<usize> = 1..=MOST_RANGES;

/// The field of a full scale, counted from 1.
#[must_use]
pub fn full_scale_field(number: usize) -> String {
    format!("full_scale_{number}_w")
}

fn draft(checking: &mut Checking) -> Option<InstrumentDraft> {
    let (firm, name, serial) =
        (checking.line("firm"), checking.line("name"), checking.line("serial"));
    Some(InstrumentDraft { firm: firm?, name: name?, serial: serial? })
}

/// The stated directivity, or that none is stated: one of the two must be said, since an empty field
/// says neither.
fn directivity(checking: &mut Checking) -> Option<Option<Typed<DirectivityDb>>> {
    let unstated = checking.ticked("directivity_unstated");
    match (checking.raw("directivity_db").is_empty(), unstated) {
        (true, true) => Some(None),
        (true, false) => {
            let message = "write it as the certificate or data sheet has it, or tick below that it is not stated";
            checking.refuse("directivity_db", message);
            None
        }
        (false, true) => {
            let message = "a figure is written and “not stated” is ticked; take one of them back";
            checking.refuse("directivity_db", message);
            None
        }
        (false, false) => checking.typed_within("directivity_db", DIRECTIVITY).map(Some),
    }
}

fn ranges(checking: &mut Checking) -> Option<Vec<Typed<Watts>>> {
    let mut ranges: Vec<Typed<Watts>> = Vec::new();
    let mut all_read = true;
    for number in FIELDS_OF_RANGES {
        let field = full_scale_field(number);
        if checking.raw(&field).is_empty() {
            continue;
        }
        let Some(range) = checking.typed_within(&field, FULL_SCALE) else {
            all_read = false;
            continue;
        };
        if ranges.iter().any(|known| known.value() == range.value()) {
            checking.refuse(&field, format!("{range} is already there"));
            all_read = false;
        }
        ranges.push(range);
    }
    if ranges.is_empty() && all_read {
        let message = "write at least one full scale, in W; a meter with one scale has one";
        checking.refuse(&full_scale_field(1), message);
        return None;
    }
    ranges.sort_by(|one, other| {
        one.value().partial_cmp(&other.value()).unwrap_or(std::cmp::Ordering::Equal)
    });
    all_read.then_some(ranges)
}

fn statement(checking: &mut Checking, now: Utc) -> Option<Statement> {
    let certificate = checking.line_or_empty("certificate");
    let calibrated_on = checking.date_or_empty("calibrated_on");
    let due_on = checking.date_or_empty("due_on");
    let today = now.plus_seconds(AHEAD_SECONDS).date_in(&Zone::stored("UTC"));
    if let Some(Some(done)) = calibrated_on
        && done > today
    {
        checking.refuse("calibrated_on", format!("{} is yet to come", done.shown()));
    }
    match (calibrated_on, due_on) {
        (Some(None), Some(Some(_))) => {
            checking
                .refuse("calibrated_on", "write the day of calibration too, or leave both empty");
        }
        (Some(Some(done)), Some(Some(due))) if due < done => {
            let message = format!("{} is before the day of calibration", due.shown());
            checking.refuse("due_on", message);
        }
        _ => {}
    }
    let accuracy = checking.typed_within("accuracy_percent", ACCURACY);
    let directivity = directivity(checking);
    let ranges = ranges(checking);
    Some(Statement {
        certificate: certificate?,
        calibrated_on: calibrated_on?,
        due_on: due_on?,
        accuracy: accuracy?,
        directivity: directivity?,
        ranges: ranges?,
    })
}

/// A new instrument with what is stated of it.
///
/// # Errors
/// The fields with their messages.
pub fn new_instrument(fields: &Fields, now: Utc) -> Result<(InstrumentDraft, Statement), Fields> {
    let mut checking = fields.check();
    let (draft, statement) = (draft(&mut checking), statement(&mut checking, now));
    checking.finish(draft.zip(statement))
}

/// A changed instrument, with the version that the form was filled from.
///
/// # Errors
/// The fields with their messages.
pub fn changed_instrument(fields: &Fields) -> Result<InstrumentChange, Fields> {
    let mut checking = fields.check();
    let (version, draft) = (checking.whole("version"), draft(&mut checking));
    let retired = checking.ticked("retired");
    let change =
        version.zip(draft).map(|(version, draft)| InstrumentChange { version, draft, retired });
    checking.finish(change)
}

/// A new calibration.
///
/// # Errors
/// The fields with their messages.
pub fn calibration(fields: &Fields, now: Utc) -> Result<Statement, Fields> {
    let mut checking = fields.check();
    let statement = statement(&mut checking, now);
    checking.finish(statement)
}

/// The fields filled from an instrument as it is known.
#[must_use]
pub fn of_instrument(empty: Fields, instrument: &Instrument) -> Fields {
    let filled = empty
        .with("version", instrument.version)
        .with("firm", &instrument.firm)
        .with("name", &instrument.name)
        .with("serial", &instrument.serial);
    if instrument.retired { filled.with("retired", "yes") } else { filled }
}

/// The fields of a new calibration filled with what does not change from one to the next: the full
/// scales. What a certificate states anew is left to be read off it.
#[must_use]
pub fn of_ranges(empty: Fields, statement: &Statement) -> Fields {
    statement
        .ranges
        .iter()
        .zip(1..)
        .fold(empty, |filled, (range, number)| filled.with(&full_scale_field(number), range.text()))
}
