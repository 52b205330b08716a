//! The SQL of instruments, their calibrations and their ranges.

use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::clock::{Date, Utc};
use crate::db::{StoreError, typed_column};
use crate::instruments::model::{Calibration, Instrument, Statement};
use crate::journal::Act;
use crate::rf::quantity::{DirectivityDb, Quantity, Typed, Watts};

/// An instrument joined with one of its calibrations; the ranges are a JSON list of stored texts.
struct Row {
    id: i64,
    uuid: Uuid,
    firm_id: i64,
    firm: String,
    name: String,
    serial: String,
    retired: bool,
    version: i64,
    calibration_id: i64,
    calibration_uuid: Uuid,
    number: i64,
    certificate: String,
    calibrated_on: Option<String>,
    due_on: Option<String>,
    accuracy_typed: String,
    directivity_typed: Option<String>,
    entered_at: Utc,
    ranges: String,
}

fn date_column(stored: Option<String>) -> Result<Option<Date>, StoreError> {
    stored
        .map(|text| {
            Date::parse(&text)
                .map_err(|why| StoreError::Unreadable { what: "calibration date", why })
        })
        .transpose()
}

fn ranges_column(stored: &str) -> Result<Vec<Typed<Watts>>, StoreError> {
    let texts: Vec<String> = serde_json::from_str(stored)
        .map_err(|error| StoreError::Unreadable { what: "ranges", why: error.to_string() })?;
    texts.iter().map(|text| typed_column(text)).collect()
}

impl TryFrom<Row> for Instrument {
    type Error = StoreError;

    fn try_from(row: Row) -> Result<Self, StoreError> {
        let directivity: Option<Typed<DirectivityDb>> =
            row.directivity_typed.as_deref().map(typed_column).transpose()?;
        Ok(Self {
            id: row.id,
            uuid: row.uuid,
            firm_id: row.firm_id,
            firm: row.firm,
            name: row.name,
            serial: row.serial,
            retired: row.retired,
            version: row.version,
            calibration: Calibration {
                id: row.calibration_id,
                uuid: row.calibration_uuid,
                number: row.number,
                entered_at: row.entered_at,
                statement: Statement {
                    certificate: row.certificate,
                    calibrated_on: date_column(row.calibrated_on)?,
                    due_on: date_column(row.due_on)?,
                    accuracy: typed_column(&row.accuracy_typed)?,
                    directivity,
                    ranges: ranges_column(&row.ranges)?,
                },
            },
        })
    }
}

macro_rules! select_instrument {
    ($tail:literal $(, $arg:expr)*) => {
        sqlx::query_as!(
            Row,
            r#"SELECT instrument.id, instrument.uuid, instrument.firm_id, firm.name AS firm, instrument.name,
                      instrument.serial, instrument.retired, instrument.version, calibration.id AS calibration_id,
                      calibration.uuid AS calibration_uuid, calibration.number, calibration.certificate,
                      calibration.calibrated_on, calibration.due_on, calibration.accuracy_typed,
                      calibration.directivity_typed, calibration.entered_at,
                      (SELECT json_group_array(range.full_scale_typed ORDER BY range.full_scale_w)
                       FROM meter_range range WHERE range.calibration_id = calibration.id) AS "ranges!: String"
               FROM instrument JOIN firm ON firm.id = instrument.firm_id
               JOIN calibration ON calibration.instrument_id = instrument.id "# + $tail
            $(, $arg)*
        )
    };
}

/// All instruments with their newest calibration: those in use first, by firm, name and serial number.
///
/// # Errors
/// [`StoreError`].
pub async fn list(conn: &mut SqliteConnection) -> Result<Vec<Instrument>, StoreError> {
    let rows = select_instrument!(
        "WHERE calibration.number =
           (SELECT max(other.number) FROM calibration other WHERE other.instrument_id = instrument.id)
         ORDER BY instrument.retired, firm.name, instrument.name, instrument.serial"
    )
    .fetch_all(conn)
    .await?;
    rows.into_iter().map(Instrument::try_from).collect()
}

/// All instruments once for each of their calibrations, newest first: what a reading of any day is entered
/// with. Instruments in use come first, by firm, name and serial number.
///
/// # Errors
/// [`StoreError`].
pub async fn every_calibration(conn: &mut SqliteConnection) -> Result<Vec<Instrument>, StoreError> {
    let rows = select_instrument!(
        "ORDER BY instrument.retired, firm.name, instrument.name, instrument.serial, calibration.number DESC"
    )
    .fetch_all(conn)
    .await?;
    rows.into_iter().map(Instrument::try_from).collect()
}

/// The instrument with this name outside, with its newest calibration.
///
/// # Errors
/// [`StoreError`].
pub async fn find(
    conn: &mut SqliteConnection,
    uuid: Uuid,
) -> Result<Option<Instrument>, StoreError> {
    select_instrument!("WHERE instrument.uuid = $1 ORDER BY calibration.number DESC LIMIT 1", uuid)
        .fetch_optional(conn)
        .await?
        .map(Instrument::try_from)
        .transpose()
}

/// The instrument with exactly the calibration that a fact pinned.
///
/// # Errors
/// [`StoreError`].
pub async fn by_calibration(
    conn: &mut SqliteConnection,
    calibration_id: i64,
) -> Result<Option<Instrument>, StoreError> {
    select_instrument!("WHERE calibration.id = $1", calibration_id)
        .fetch_optional(conn)
        .await?
        .map(Instrument::try_from)
        .transpose()
}

/// Everything that was ever stated of an instrument, newest first.
///
/// # Errors
/// [`StoreError`].
pub async fn calibrations(
    conn: &mut SqliteConnection,
    instrument_id: i64,
) -> Result<Vec<Calibration>, StoreError> {
    let rows = select_instrument!(
        "WHERE instrument.id = $1 ORDER BY calibration.number DESC",
        instrument_id
    )
    .fetch_all(conn)
    .await?;
    rows.into_iter()
        .map(|row| Instrument::try_from(row).map(|instrument| instrument.calibration))
        .collect()
}

/// Writes a new instrument, without a calibration yet; gives its row and its name outside.
///
/// # Errors
/// [`StoreError::Taken`] for a serial number that the firm already has.
pub async fn insert(
    act: &mut Act,
    firm_id: i64,
    name: &str,
    serial: &str,
) -> Result<(i64, Uuid), StoreError> {
    let uuid = act.new_uuid();
    let made = sqlx::query!(
        "INSERT INTO instrument (uuid, firm_id, name, serial) VALUES ($1, $2, $3, $4)",
        uuid,
        firm_id,
        name,
        serial
    )
    .execute(act.conn())
    .await?;
    Ok((made.last_insert_rowid(), uuid))
}

/// What an edit says of an instrument.
#[derive(Debug, Clone, Copy)]
pub struct Edited<'a> {
    /// The version that the form was filled from.
    pub version: i64,
    /// The row of the firm that owns it.
    pub firm_id: i64,
    /// What it is.
    pub name: &'a str,
    /// Its serial number.
    pub serial: &'a str,
    /// Whether it is no longer offered in forms.
    pub retired: bool,
}

/// Changes an instrument whose version is still the one that was read.
///
/// # Errors
/// [`StoreError::Stale`], [`StoreError::Taken`] for the serial number.
pub async fn update(
    act: &mut Act,
    instrument_id: i64,
    edited: Edited<'_>,
) -> Result<(), StoreError> {
    let changed = sqlx::query!(
        "UPDATE instrument SET firm_id = $1, name = $2, serial = $3, retired = $4, version = version + 1
         WHERE id = $5 AND version = $6",
        edited.firm_id,
        edited.name,
        edited.serial,
        edited.retired,
        instrument_id,
        edited.version
    )
    .execute(act.conn())
    .await?;
    if changed.rows_affected() == 1 { Ok(()) } else { Err(StoreError::Stale) }
}

/// Writes what a certificate or data sheet states as the instrument's next calibration; gives its name
/// outside and its number.
///
/// # Errors
/// [`StoreError`].
pub async fn insert_calibration(
    act: &mut Act,
    instrument_id: i64,
    statement: &Statement,
) -> Result<(Uuid, i64), StoreError> {
    let (uuid, by, now) = (act.new_uuid(), act.id(), act.now());
    let number = sqlx::query_scalar!(
        r#"SELECT coalesce(max(number), 0) + 1 AS "number!: i64" FROM calibration WHERE instrument_id = $1"#,
        instrument_id
    )
    .fetch_one(act.conn())
    .await?;
    let calibrated_on = statement.calibrated_on.map(|date| date.to_string());
    let due_on = statement.due_on.map(|date| date.to_string());
    let (accuracy, accuracy_typed) =
        (statement.accuracy.value().value(), statement.accuracy.to_string());
    let directivity = statement.directivity.as_ref().map(|typed| typed.value().value());
    let directivity_typed = statement.directivity.as_ref().map(Typed::to_string);
    let made = sqlx::query!(
        "INSERT INTO calibration (uuid, act, instrument_id, number, certificate, calibrated_on, due_on,
                                  accuracy_percent, accuracy_typed, directivity_db, directivity_typed, entered_at)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)",
        uuid,
        by,
        instrument_id,
        number,
        statement.certificate,
        calibrated_on,
        due_on,
        accuracy,
        accuracy_typed,
        directivity,
        directivity_typed,
        now
    )
    .execute(act.conn())
    .await?;
    insert_ranges(act, made.last_insert_rowid(), &statement.ranges).await?;
    Ok((uuid, number))
}

async fn insert_ranges(
    act: &mut Act,
    calibration_id: i64,
    ranges: &[Typed<Watts>],
) -> Result<(), StoreError> {
    for range in ranges {
        let (full_scale, full_scale_typed) = (range.value().value(), range.to_string());
        sqlx::query!(
            "INSERT INTO meter_range (calibration_id, full_scale_w, full_scale_typed) VALUES ($1, $2, $3)",
            calibration_id,
            full_scale,
            full_scale_typed
        )
        .execute(act.conn())
        .await?;
    }
    Ok(())
}
