//! The forms that make and change an instrument and enter its calibrations.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use uuid::Uuid;

use crate::instruments::form::{FIELDS_OF_RANGES, full_scale_field};
use crate::instruments::model::Instrument;
use crate::instruments::pages::paths::{
    EditInstrumentPath, InstrumentPath, NewCalibrationPath, NewInstrumentPath,
};
use crate::instruments::{acts, form, store};
use crate::journal::ActError;
use crate::people::model::Role;
use crate::people::permit::{KeepInstruments, Permit};
use crate::people::store::firms;
use crate::web::{AppState, Fields, PageError, Sent, Shell, page_with, see_other};

/// The firm's field: chosen or written, or for a contractor the own one.
struct FirmField {
    own: Option<String>,
    known: Vec<String>,
}

impl FirmField {
    async fn of(app: &AppState, permit: &Permit<KeepInstruments>) -> Result<Self, PageError> {
        let person = permit.person();
        if person.role == Role::Contractor {
            return Ok(Self { own: Some(person.firm.clone()), known: Vec::new() });
        }
        let mut snapshot = app.snapshot().await?;
        let known = firms(snapshot.conn()).await?;
        Ok(Self { own: None, known: known.into_iter().map(|(_, name)| name).collect() })
    }
}

/// What the newest statement says, as hints: "was 5"; or how to fill a first one in.
struct Was {
    accuracy: String,
    directivity: String,
}

#[derive(Template)]
#[template(path = "instruments/new.html")]
struct NewPage {
    shell: Shell,
    fields: Fields,
    action: String,
    firm: FirmField,
    was: Was,
    ranges: Vec<(String, String)>,
}

#[derive(Template)]
#[template(path = "instruments/edit.html")]
struct EditPage {
    shell: Shell,
    fields: Fields,
    serial: String,
    title: String,
    href: String,
    action: String,
    firm: FirmField,
}

#[derive(Template)]
#[template(path = "instruments/calibration.html")]
struct CalibrationPage {
    shell: Shell,
    fields: Fields,
    serial: String,
    line: String,
    href: String,
    action: String,
    was: Was,
    ranges: Vec<(String, String)>,
}

/// Field and label of each full scale.
fn range_fields() -> Vec<(String, String)> {
    FIELDS_OF_RANGES
        .map(|number| (full_scale_field(number), format!("Full scale {number}")))
        .collect()
}

async fn new_form(
    app: &AppState,
    permit: &Permit<KeepInstruments>,
    status: StatusCode,
    fields: Fields,
) -> Result<Response, PageError> {
    let was = Was {
        accuracy: "of full scale, such as 5".to_owned(),
        directivity: "such as 30".to_owned(),
    };
    let template = NewPage {
        shell: Shell::of(permit.person(), "/instruments"),
        fields,
        action: NewInstrumentPath.to_string(),
        firm: FirmField::of(app, permit).await?,
        was,
        ranges: range_fields(),
    };
    page_with(status, &template)
}

/// The form for a new instrument.
///
/// # Errors
/// [`PageError`].
pub async fn new_page(
    _: NewInstrumentPath,
    permit: Permit<KeepInstruments>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    let fields = Fields::empty(&app.clock).with("firm", &permit.person().firm);
    new_form(&app, &permit, StatusCode::OK, fields).await
}

fn to_instrument(answer: &str) -> Result<Response, PageError> {
    let instrument = Uuid::parse_str(answer).map_err(|_| PageError::NotFound)?;
    see_other(&InstrumentPath { instrument })
}

/// Adds an instrument with its first statement.
///
/// # Errors
/// [`PageError`].
pub async fn add(
    _: NewInstrumentPath,
    permit: Permit<KeepInstruments>,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, PageError> {
    let refused = StatusCode::UNPROCESSABLE_ENTITY;
    let (draft, statement) = match form::new_instrument(&sent.fields, app.clock.now()) {
        Ok(new) => new,
        Err(fields) => return new_form(&app, &permit, refused, fields).await,
    };
    let intent = sent.intent(permit.person().actor(), "instrument added");
    match acts::add(&app.writer, &app.clock, &permit, intent, &draft, &statement).await {
        Ok(answer) => to_instrument(&answer),
        Err(ActError::Field { field, message }) => {
            new_form(&app, &permit, refused, sent.fields.refusing(field, message)).await
        }
        Err(error) => Err(PageError::of_act(error, sent.fields)),
    }
}

/// The instrument, if this person may keep it: everyone may know of it, so anyone else is told that it
/// is not theirs to change.
async fn kept(
    app: &AppState,
    permit: &Permit<KeepInstruments>,
    uuid: Uuid,
) -> Result<Instrument, PageError> {
    let mut snapshot = app.snapshot().await?;
    let instrument = store::find(snapshot.conn(), uuid).await?.ok_or(PageError::NotFound)?;
    if permit.covers_firm(instrument.firm_id) { Ok(instrument) } else { Err(PageError::Forbidden) }
}

async fn edit_form(
    app: &AppState,
    permit: &Permit<KeepInstruments>,
    instrument: &Instrument,
    status: StatusCode,
    fields: Fields,
) -> Result<Response, PageError> {
    let uuid = instrument.uuid;
    let template = EditPage {
        shell: Shell::of(permit.person(), "/instruments"),
        fields,
        serial: instrument.serial.clone(),
        title: format!("Edit {} {}", instrument.name, instrument.serial),
        href: InstrumentPath { instrument: uuid }.to_string(),
        action: EditInstrumentPath { instrument: uuid }.to_string(),
        firm: FirmField::of(app, permit).await?,
    };
    page_with(status, &template)
}

/// The form that changes an instrument.
///
/// # Errors
/// [`PageError`].
pub async fn edit_page(
    path: EditInstrumentPath,
    permit: Permit<KeepInstruments>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    let instrument = kept(&app, &permit, path.instrument).await?;
    let fields = form::of_instrument(Fields::empty(&app.clock), &instrument);
    edit_form(&app, &permit, &instrument, StatusCode::OK, fields).await
}

/// Changes an instrument.
///
/// # Errors
/// [`PageError`].
pub async fn change(
    path: EditInstrumentPath,
    permit: Permit<KeepInstruments>,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, PageError> {
    let instrument = kept(&app, &permit, path.instrument).await?;
    let refused = StatusCode::UNPROCESSABLE_ENTITY;
    let change = match form::changed_instrument(&sent.fields) {
        Ok(change) => change,
        Err(fields) => return edit_form(&app, &permit, &instrument, refused, fields).await,
    };
    let intent = sent.intent(permit.person().actor(), "instrument changed");
    let uuid = instrument.uuid;
    match acts::change(&app.writer, &app.clock, &permit, intent, uuid, &change).await {
        Ok(answer) => to_instrument(&answer),
        Err(ActError::Field { field, message }) => {
            let fields = sent.fields.refusing(field, message);
            edit_form(&app, &permit, &instrument, refused, fields).await
        }
        Err(error) => Err(PageError::of_act(error, sent.fields)),
    }
}

fn calibration_form(
    permit: &Permit<KeepInstruments>,
    instrument: &Instrument,
    status: StatusCode,
    fields: Fields,
) -> Result<Response, PageError> {
    let (uuid, stated) = (instrument.uuid, &instrument.calibration.statement);
    let directivity = stated.directivity.as_ref().map_or("not stated", |typed| typed.text());
    let template = CalibrationPage {
        shell: Shell::of(permit.person(), "/instruments"),
        fields,
        serial: instrument.serial.clone(),
        line: format!(
            "{}, serial number {} · {}",
            instrument.name, instrument.serial, instrument.firm
        ),
        href: InstrumentPath { instrument: uuid }.to_string(),
        action: NewCalibrationPath { instrument: uuid }.to_string(),
        was: Was {
            accuracy: format!("was {}", stated.accuracy.text()),
            directivity: format!("was {directivity}"),
        },
        ranges: range_fields(),
    };
    page_with(status, &template)
}

/// The form for a new calibration.
///
/// # Errors
/// [`PageError`].
pub async fn calibration_page(
    path: NewCalibrationPath,
    permit: Permit<KeepInstruments>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    let instrument = kept(&app, &permit, path.instrument).await?;
    let stated = &instrument.calibration.statement;
    let fields = form::of_ranges(Fields::empty(&app.clock), stated);
    calibration_form(&permit, &instrument, StatusCode::OK, fields)
}

/// Enters a new calibration.
///
/// # Errors
/// [`PageError`].
pub async fn calibrate(
    path: NewCalibrationPath,
    permit: Permit<KeepInstruments>,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, PageError> {
    let instrument = kept(&app, &permit, path.instrument).await?;
    let refused = StatusCode::UNPROCESSABLE_ENTITY;
    let statement = match form::calibration(&sent.fields, app.clock.now()) {
        Ok(statement) => statement,
        Err(fields) => return calibration_form(&permit, &instrument, refused, fields),
    };
    let intent = sent.intent(permit.person().actor(), "calibration entered");
    let uuid = instrument.uuid;
    match acts::calibrate(&app.writer, &app.clock, &permit, intent, uuid, &statement).await {
        Ok(answer) => to_instrument(&answer),
        Err(ActError::Field { field, message }) => {
            let fields = sent.fields.refusing(field, message);
            calibration_form(&permit, &instrument, refused, fields)
        }
        Err(error) => Err(PageError::of_act(error, sent.fields)),
    }
}
