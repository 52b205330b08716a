//! Installed readings, and the explanations of what they differ by.

use std::collections::BTreeMap;

use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::db::{StoreError, typed_column, word_column};
use crate::journal::Act;
use crate::measurements::model::{
    Circumstances, Explanation, Occasion, PowerPair, Reading, Weather,
};
use crate::measurements::store::{Recording, columns, full_scale, insert_fact, optional};
use crate::rf::quantity::Quantity;

/// Writes a reading.
///
/// # Errors
/// [`StoreError`].
pub async fn insert_reading(
    act: &mut Act,
    recording: &Recording,
    at: &Circumstances,
    reading: &Reading,
) -> Result<Uuid, StoreError> {
    let (fact, uuid) = insert_fact(act, recording, "reading", at).await?;
    let occasion = reading.occasion.word();
    let weather = reading.weather.word();
    let (frequency, frequency_typed) = columns(&reading.frequency);
    let (forward, forward_typed) = columns(&reading.powers.forward);
    let (reflected, reflected_typed) = columns(&reading.powers.reflected);
    let forward_range = reading.powers.forward_range.value().value();
    let reflected_range = reading.powers.reflected_range.value().value();
    let (set, set_typed) = optional(reading.power_set.as_ref());
    let (made, made_typed) = optional(reading.power_made.as_ref());
    let (temperature, temperature_typed) = optional(reading.temperature.as_ref());
    sqlx::query!(
        "INSERT INTO reading (fact_id, occasion, point_position, frequency_mhz, frequency_typed, forward_w,
                              forward_typed, reflected_w, reflected_typed, reflected_below, forward_range_w,
                              reflected_range_w, power_set_w, power_set_typed, power_made_w, power_made_typed,
                              fold_back, temperature_c, temperature_typed, weather, others_off, out_of_sequence, note)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, $21,
                 $22, $23)",
        fact,
        occasion,
        reading.point_position,
        frequency,
        frequency_typed,
        forward,
        forward_typed,
        reflected,
        reflected_typed,
        reading.powers.reflected_below,
        forward_range,
        reflected_range,
        set,
        set_typed,
        made,
        made_typed,
        reading.fold_back,
        temperature,
        temperature_typed,
        weather,
        reading.others_off,
        reading.out_of_sequence,
        reading.note
    )
    .execute(act.conn())
    .await?;
    Ok(uuid)
}

/// The readings of a job by fact row.
///
/// # Errors
/// [`StoreError`].
pub async fn readings(
    conn: &mut SqliteConnection,
    job_id: i64,
) -> Result<BTreeMap<i64, Reading>, StoreError> {
    let rows = sqlx::query_as!(
        ReadingRow,
        "SELECT r.fact_id, r.occasion, r.point_position, r.frequency_typed, r.forward_typed, r.reflected_typed, r.reflected_below, r.forward_range_w, r.reflected_range_w, r.power_set_typed, r.power_made_typed, r.fold_back, r.temperature_typed, r.weather, r.others_off, r.out_of_sequence, r.note
         FROM reading r JOIN fact ON fact.id = r.fact_id WHERE fact.job_id = $1",
        job_id
    )
    .fetch_all(conn)
    .await?;
    rows.into_iter().map(ReadingRow::reading).collect()
}

/// The readings of an assignment that belong to no job, by fact row.
///
/// # Errors
/// [`StoreError`].
pub async fn routine_readings(
    conn: &mut SqliteConnection,
    assignment_id: i64,
) -> Result<BTreeMap<i64, Reading>, StoreError> {
    let rows = sqlx::query_as!(
        ReadingRow,
        "SELECT r.fact_id, r.occasion, r.point_position, r.frequency_typed, r.forward_typed, r.reflected_typed, r.reflected_below, r.forward_range_w, r.reflected_range_w, r.power_set_typed, r.power_made_typed, r.fold_back, r.temperature_typed, r.weather, r.others_off, r.out_of_sequence, r.note
         FROM reading r JOIN fact ON fact.id = r.fact_id
         JOIN assignment_revision pinned ON pinned.id = fact.assignment_revision_id
         WHERE fact.job_id IS NULL AND pinned.assignment_id = $1",
        assignment_id
    )
    .fetch_all(conn)
    .await?;
    rows.into_iter().map(ReadingRow::reading).collect()
}

struct ReadingRow {
    fact_id: i64,
    occasion: String,
    point_position: i64,
    frequency_typed: String,
    forward_typed: String,
    reflected_typed: String,
    reflected_below: bool,
    forward_range_w: f64,
    reflected_range_w: f64,
    power_set_typed: Option<String>,
    power_made_typed: Option<String>,
    fold_back: bool,
    temperature_typed: Option<String>,
    weather: String,
    others_off: Option<bool>,
    out_of_sequence: Option<String>,
    note: String,
}

impl ReadingRow {
    /// The row of the fact with what was read.
    fn reading(self) -> Result<(i64, Reading), StoreError> {
        let row = self;
        let reading = Reading {
            occasion: word_column("occasion", Occasion::from_word, &row.occasion)?,
            point_position: row.point_position,
            frequency: typed_column(&row.frequency_typed)?,
            powers: PowerPair {
                forward: typed_column(&row.forward_typed)?,
                reflected: typed_column(&row.reflected_typed)?,
                reflected_below: row.reflected_below,
                forward_range: full_scale(row.forward_range_w)?,
                reflected_range: full_scale(row.reflected_range_w)?,
            },
            power_set: row.power_set_typed.as_deref().map(typed_column).transpose()?,
            power_made: row.power_made_typed.as_deref().map(typed_column).transpose()?,
            fold_back: row.fold_back,
            temperature: row.temperature_typed.as_deref().map(typed_column).transpose()?,
            weather: word_column("weather", Weather::from_word, &row.weather)?,
            others_off: row.others_off,
            out_of_sequence: row.out_of_sequence,
            note: row.note,
        };
        Ok((row.fact_id, reading))
    }
}

/// Writes an explanation.
///
/// # Errors
/// [`StoreError`].
pub async fn insert_explanation(
    act: &mut Act,
    recording: &Recording,
    at: &Circumstances,
    reading_row: i64,
    explanation: &Explanation,
) -> Result<Uuid, StoreError> {
    let (fact, uuid) = insert_fact(act, recording, "explanation", at).await?;
    sqlx::query!(
        "INSERT INTO explanation (fact_id, reading_fact_id, cause, checked) VALUES ($1, $2, $3, $4)",
        fact,
        reading_row,
        explanation.cause,
        explanation.checked
    )
    .execute(act.conn())
    .await?;
    Ok(uuid)
}

/// The explanations of a job by fact row.
///
/// # Errors
/// [`StoreError`].
pub async fn explanations(
    conn: &mut SqliteConnection,
    job_id: i64,
) -> Result<BTreeMap<i64, Explanation>, StoreError> {
    let rows = sqlx::query!(
        "SELECT e.fact_id, reading.uuid, e.cause, e.checked FROM explanation e
         JOIN fact ON fact.id = e.fact_id JOIN fact reading ON reading.id = e.reading_fact_id
         WHERE fact.job_id = $1",
        job_id
    )
    .fetch_all(conn)
    .await?;
    Ok(rows
        .into_iter()
        .map(|row| {
            let explanation =
                Explanation { reading: row.uuid, cause: row.cause, checked: row.checked };
            (row.fact_id, explanation)
        })
        .collect())
}
