//! The list of instruments, and the page of one.

use askama::Template;
use axum::extract::State;
use axum::response::Response;

use crate::clock::{Date, Zone};
use crate::instruments::model::{Calibration, CalibrationState, Instrument, SOON_DAYS};
use crate::instruments::pages::paths::{
    EditInstrumentPath, InstrumentPath, InstrumentsPath, NewCalibrationPath, NewInstrumentPath,
};
use crate::instruments::store;
use crate::people::permit::{KeepInstruments, Permit, See};
use crate::web::{AppState, PageError, Shell, page};
use crate::words::upper_first;

struct Row {
    href: String,
    name: String,
    serial: String,
    firm: String,
    ranges: String,
    accuracy: String,
    directivity: String,
    mark: &'static str,
    state: String,
}

impl Row {
    fn of(instrument: &Instrument, today: Date) -> Self {
        let stated = &instrument.calibration.statement;
        Self {
            href: InstrumentPath { instrument: instrument.uuid }.to_string(),
            name: instrument.name.clone(),
            serial: instrument.serial.clone(),
            firm: instrument.firm.clone(),
            ranges: stated.ranges_shown(),
            accuracy: stated.accuracy.text().to_owned(),
            directivity: stated.directivity_shown(),
            mark: stated.state_on(today).mark(),
            state: stated.state_shown(today),
        }
    }
}

#[derive(Template)]
#[template(path = "instruments/list.html")]
struct ListPage {
    shell: Shell,
    headline: String,
    next: String,
    new_href: Option<String>,
    rows: Vec<Row>,
    retired: Vec<Row>,
}

/// The calendar date on which a state is told: an instrument hangs at no site, so the day is UTC's.
fn today(app: &AppState) -> Date {
    app.clock.now().date_in(&Zone::stored("UTC"))
}

/// What to do next about the instruments in use that are this person's to keep.
///
/// - `others`: there are instruments in use that other firms keep
fn next(kept: &[&Instrument], others: bool, keeps: bool, today: Date) -> (String, String) {
    let told = |headline: &str, text: String| (headline.to_owned(), text);
    if !keeps {
        return told(
            "For reading.",
            "Contractors, engineers and managers keep these; a reading shows how its meter stood on the day.".to_owned(),
        );
    }
    if kept.is_empty() {
        return told(
            "Add the directional power meter you measure with.",
            "A reading names its meter and range, so that its error can be told from a change of the antenna.".to_owned(),
        );
    }
    let named = |instrument: &&&Instrument| format!("{} {}", instrument.name, instrument.serial);
    let state = |one: &&Instrument| one.calibration.statement.state_on(today);
    let out: Vec<String> = kept
        .iter()
        .filter(|one| !matches!(state(one), CalibrationState::Current(_)))
        .map(|one| named(&one))
        .collect();
    if !out.is_empty() {
        return told(
            "Have these calibrated, or enter the certificate:",
            format!(
                "{}. What is measured meanwhile is marked as out of calibration.",
                out.join("; ")
            ),
        );
    }
    let first = kept.iter().min_by_key(|one| one.calibration.statement.due_on);
    let until = first.map(|one| {
        let due = one.calibration.statement.due_on.map(Date::shown).unwrap_or_default();
        upper_first(&format!("{} comes first, due {due}.", named(&one)))
    });
    let which = if others { "Your firm's are all in date." } else { "All are in date." };
    told(which, until.unwrap_or_default())
}

/// All instruments.
///
/// # Errors
/// [`PageError`].
pub async fn list(
    _: InstrumentsPath,
    permit: Permit<See>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    let mut snapshot = app.snapshot().await?;
    let instruments = store::list(snapshot.conn()).await?;
    drop(snapshot);
    let today = today(&app);
    let keeper = Permit::<KeepInstruments>::of(permit.person().clone()).ok();
    let kept: Vec<&Instrument> = instruments
        .iter()
        .filter(|one| !one.retired && keeper.as_ref().is_some_and(|k| k.covers_firm(one.firm_id)))
        .collect();
    let others = instruments.iter().filter(|one| !one.retired).count() > kept.len();
    let (headline, next) = next(&kept, others, keeper.is_some(), today);
    let rows = |retired: bool| {
        let shown = instruments.iter().filter(|one| one.retired == retired);
        shown.map(|one| Row::of(one, today)).collect()
    };
    page(&ListPage {
        shell: Shell::of(permit.person(), "/instruments"),
        headline,
        next,
        new_href: keeper.map(|_| NewInstrumentPath.to_string()),
        rows: rows(false),
        retired: rows(true),
    })
}

struct CalibrationRow {
    number: String,
    certificate: String,
    calibrated_on: String,
    due_on: String,
    accuracy: String,
    directivity: String,
    ranges: String,
    entered: String,
}

impl From<&Calibration> for CalibrationRow {
    fn from(calibration: &Calibration) -> Self {
        let stated = &calibration.statement;
        let date = |date: Option<Date>| date.map_or_else(|| "not stated".to_owned(), Date::shown);
        let certificate = &stated.certificate;
        Self {
            number: calibration.number.to_string(),
            certificate: if certificate.is_empty() { "none" } else { certificate }.to_owned(),
            calibrated_on: date(stated.calibrated_on),
            due_on: date(stated.due_on),
            accuracy: stated.accuracy.to_string(),
            directivity: stated.directivity_shown(),
            ranges: stated.ranges_shown(),
            entered: Zone::stored("UTC").measured(calibration.entered_at).shown(),
        }
    }
}

#[derive(Template)]
#[template(path = "instruments/instrument.html")]
struct InstrumentPage {
    shell: Shell,
    name: String,
    line: String,
    headline: &'static str,
    next: String,
    mark: &'static str,
    state: String,
    retired: bool,
    now: CalibrationRow,
    older: Vec<CalibrationRow>,
    edit_href: Option<String>,
    calibration_href: Option<String>,
}

fn headline(state: CalibrationState) -> &'static str {
    match state {
        CalibrationState::Current(..=SOON_DAYS) => "Have it calibrated soon.",
        CalibrationState::Current(_) => "In date.",
        CalibrationState::Expired(_) => "Calibration has run out.",
        CalibrationState::NotYet => "Not yet calibrated today.",
        CalibrationState::Unstated => "No calibration is stated.",
    }
}

fn advice(instrument: &Instrument, state: CalibrationState) -> String {
    if instrument.retired {
        return "It is no longer offered in forms; what was measured with it stays.".to_owned();
    }
    let (name, stated) =
        ("Readings name it by firm and serial number.", &instrument.calibration.statement);
    match state {
        CalibrationState::Current(_) if stated.directivity.is_some() => name.to_owned(),
        CalibrationState::Current(_) => "Look for its directivity in the data sheet of the coupler or element: without it every interval is a least one.".to_owned(),
        _ => "Enter the certificate when there is one. Until then what is measured with it is marked, and a check against a known load on the same day serves as indicative.".to_owned(),
    }
}

/// One instrument with its calibrations.
///
/// # Errors
/// [`PageError`].
pub async fn instrument_page(
    path: InstrumentPath,
    permit: Permit<See>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    let mut snapshot = app.snapshot().await?;
    let instrument =
        store::find(snapshot.conn(), path.instrument).await?.ok_or(PageError::NotFound)?;
    let calibrations = store::calibrations(snapshot.conn(), instrument.id).await?;
    drop(snapshot);
    let stated = &instrument.calibration.statement;
    let (today, uuid) = (today(&app), instrument.uuid);
    let state = stated.state_on(today);
    let keeps = Permit::<KeepInstruments>::of(permit.person().clone())
        .is_ok_and(|keeper| keeper.covers_firm(instrument.firm_id));
    page(&InstrumentPage {
        shell: Shell::of(permit.person(), "/instruments"),
        name: instrument.name.clone(),
        line: format!("serial number {} · {}", instrument.serial, instrument.firm),
        headline: if instrument.retired { "Retired." } else { headline(state) },
        next: advice(&instrument, state),
        mark: state.mark(),
        state: stated.state_shown(today),
        retired: instrument.retired,
        now: CalibrationRow::from(&instrument.calibration),
        older: calibrations.iter().skip(1).map(CalibrationRow::from).collect(),
        edit_href: keeps.then(|| EditInstrumentPath { instrument: uuid }.to_string()),
        calibration_href: keeps.then(|| NewCalibrationPath { instrument: uuid }.to_string()),
    })
}
