//! What people do with instruments: add, change, enter a calibration. A contractor does so for the own
//! firm's alone.

use serde_json::json;
use uuid::Uuid;

use crate::clock::Clock;
use crate::db::{StoreError, Writer};
use crate::instruments::model::{Instrument, InstrumentDraft, Statement};
use crate::instruments::store;
use crate::instruments::store::Edited;
use crate::journal::{Act, ActError, Begun, Entry, Intent};
use crate::people::permit::{KeepInstruments, Permit};
use crate::people::store::firm_named;

fn serial_taken(error: StoreError) -> ActError {
    match error {
        StoreError::Taken(columns) if columns.contains("instrument.serial") => ActError::Field {
            field: "serial",
            message: "this firm already has an instrument with this serial number".to_owned(),
        },
        other => ActError::Store(other),
    }
}

/// The row of the firm with this name, if the permit covers it. A contractor names no other firm than
/// the own one, whatever the form sent.
async fn covered_firm(
    act: &mut Act,
    permit: &Permit<KeepInstruments>,
    name: &str,
) -> Result<i64, ActError> {
    let firm_id = firm_named(act, name).await?;
    if permit.covers_firm(firm_id) {
        return Ok(firm_id);
    }
    Err(ActError::Field {
        field: "firm",
        message: format!("you keep the instruments of {} only", permit.person().firm),
    })
}

async fn covered(
    act: &mut Act,
    permit: &Permit<KeepInstruments>,
    uuid: Uuid,
) -> Result<Instrument, ActError> {
    let instrument = store::find(act.conn(), uuid).await?;
    instrument.filter(|known| permit.covers_firm(known.firm_id)).ok_or(ActError::Unknown)
}

/// Adds an instrument with what is stated of it; answers with its UUID.
///
/// # Errors
/// [`ActError`]; [`ActError::Field`] for a serial number that the firm already has.
pub async fn add(
    writer: &Writer,
    clock: &Clock,
    permit: &Permit<KeepInstruments>,
    intent: Intent,
    draft: &InstrumentDraft,
    statement: &Statement,
) -> Result<String, ActError> {
    let mut act = match Act::begin(writer, clock, intent).await? {
        Begun::Again(answer) => return Ok(answer),
        Begun::New(act) => act,
    };
    let firm_id = covered_firm(&mut act, permit, &draft.firm).await?;
    let (id, uuid) =
        store::insert(&mut act, firm_id, &draft.name, &draft.serial).await.map_err(serial_taken)?;
    let (calibration, _) = store::insert_calibration(&mut act, id, statement).await?;
    let what = json!({
        "instrument": uuid, "says": draft,
        "calibration": calibration, "calibration_number": "1", "states": statement,
    });
    act.commit(Entry { site_id: None, what, answer: uuid.to_string() }).await
}

/// What a form says of an instrument that is already known.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InstrumentChange {
    /// The version that the form was filled from.
    pub version: i64,
    /// Firm, name and serial number.
    pub draft: InstrumentDraft,
    /// Whether it is no longer offered in forms.
    pub retired: bool,
}

/// Changes an instrument; answers with its UUID.
///
/// # Errors
/// [`ActError`]; [`StoreError::Stale`] when somebody else changed it meanwhile, [`ActError::Unknown`]
/// for one that is not the contractor's firm's.
pub async fn change(
    writer: &Writer,
    clock: &Clock,
    permit: &Permit<KeepInstruments>,
    intent: Intent,
    uuid: Uuid,
    change: &InstrumentChange,
) -> Result<String, ActError> {
    let mut act = match Act::begin(writer, clock, intent).await? {
        Begun::Again(answer) => return Ok(answer),
        Begun::New(act) => act,
    };
    let known = covered(&mut act, permit, uuid).await?;
    let firm_id = covered_firm(&mut act, permit, &change.draft.firm).await?;
    let edited = Edited {
        version: change.version,
        firm_id,
        name: &change.draft.name,
        serial: &change.draft.serial,
        retired: change.retired,
    };
    store::update(&mut act, known.id, edited).await.map_err(serial_taken)?;
    let what = json!({"instrument": uuid, "says": change.draft, "retired": change.retired});
    act.commit(Entry { site_id: None, what, answer: uuid.to_string() }).await
}

/// Enters what a new certificate or data sheet states; the older statements stay. Answers with the
/// instrument's UUID.
///
/// # Errors
/// [`ActError`]; [`ActError::Unknown`] for an instrument that is not the contractor's firm's.
pub async fn calibrate(
    writer: &Writer,
    clock: &Clock,
    permit: &Permit<KeepInstruments>,
    intent: Intent,
    uuid: Uuid,
    statement: &Statement,
) -> Result<String, ActError> {
    let mut act = match Act::begin(writer, clock, intent).await? {
        Begun::Again(answer) => return Ok(answer),
        Begun::New(act) => act,
    };
    let known = covered(&mut act, permit, uuid).await?;
    let (calibration, number) = store::insert_calibration(&mut act, known.id, statement).await?;
    let what = json!({
        "instrument": uuid, "calibration": calibration,
        "calibration_number": number.to_string(), "states": statement,
    });
    act.commit(Entry { site_id: None, what, answer: uuid.to_string() }).await
}
