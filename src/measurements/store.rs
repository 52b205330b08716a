//! The SQL of facts: the row that all kinds share, and the measurements.

use std::collections::BTreeMap;

use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::clock::{Measured, Utc};
use crate::db::{StoreError, typed_column, word_column};
use crate::journal::Act;
use crate::measurements::model::{
    ChosenSetting, Circumstances, Explanation, Occasion, Orientation, PowerPair, Reading,
    StandSetup, Trial, Weather,
};
use crate::rf::quantity::{Quantity, Typed};

/// Proof that a job's or the upkeep's acts have judged a fact: nothing else may make one
/// (`tests/architecture.rs` holds that), and without it no fact can be written.
#[derive(Debug)]
pub struct Recording(());

impl Recording {
    /// For `jobs::acts` and `maintenance::acts` alone.
    pub(crate) fn judged() -> Self {
        Self(())
    }
}

/// A fact's row as all kinds share it.
#[derive(Debug, Clone)]
pub struct FactRow {
    /// The row.
    pub id: i64,
    /// The name outside.
    pub uuid: Uuid,
    /// The kind's word.
    pub kind: String,
    /// The row of the person.
    pub by_person_id: Option<i64>,
    /// When it was measured.
    pub measured: Measured,
    /// What the device's clock showed.
    pub device_at: Option<Utc>,
    /// When it was entered.
    pub entered_at: Utc,
    /// The assignment's revision it pins.
    pub assignment_revision_id: Option<i64>,
    /// The chain's revision it pins.
    pub chain_revision_id: Option<i64>,
    /// The calibration it pins.
    pub calibration_id: Option<i64>,
    /// The row it corrects.
    pub supersedes: Option<i64>,
    /// Why.
    pub reason: Option<String>,
}

/// Writes the row that all kinds share; gives the row and the fact's name.
///
/// # Errors
/// [`StoreError`].
pub async fn insert_fact(
    act: &mut Act,
    _: &Recording,
    kind: &str,
    at: &Circumstances,
) -> Result<(i64, Uuid), StoreError> {
    let (uuid, id, now) = (act.new_uuid(), act.id(), act.now());
    let person = act.actor().person_id();
    let (supersedes, reason) = at.corrects.clone().unzip();
    let made = sqlx::query!(
        "INSERT INTO fact (uuid, act, kind, site_id, job_id, by_person_id, measured_at, measured_offset_min,
                           device_at, entered_at, assignment_revision_id, chain_revision_id, calibration_id,
                           profile_id, supersedes, reason)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16)",
        uuid,
        id,
        kind,
        at.site_id,
        at.job_id,
        person,
        at.measured.at,
        at.measured.offset_min,
        at.device_at,
        now,
        at.assignment_revision_id,
        at.chain_revision_id,
        at.calibration_id,
        at.profile_id,
        supersedes,
        reason
    )
    .execute(act.conn())
    .await?;
    Ok((made.last_insert_rowid(), uuid))
}

/// The rows of a job's facts, in the order in which they were entered.
///
/// # Errors
/// [`StoreError`].
pub async fn facts_of_job(
    conn: &mut SqliteConnection,
    job_id: i64,
) -> Result<Vec<FactRow>, StoreError> {
    let rows = sqlx::query!(
        "SELECT id, uuid, kind, by_person_id, measured_at, measured_offset_min, device_at, entered_at,
                assignment_revision_id, chain_revision_id, calibration_id, supersedes, reason
         FROM fact WHERE job_id = $1 ORDER BY id",
        job_id
    )
    .fetch_all(conn)
    .await?;
    Ok(rows
        .into_iter()
        .map(|row| FactRow {
            id: row.id,
            uuid: row.uuid,
            kind: row.kind,
            by_person_id: row.by_person_id,
            measured: Measured {
                at: row.measured_at,
                // The column's CHECK keeps it within a day.
                offset_min: i32::try_from(row.measured_offset_min).unwrap_or_default(),
            },
            device_at: row.device_at,
            entered_at: row.entered_at,
            assignment_revision_id: row.assignment_revision_id,
            chain_revision_id: row.chain_revision_id,
            calibration_id: row.calibration_id,
            supersedes: row.supersedes,
            reason: row.reason,
        })
        .collect())
}

/// Value and text of a quantity, for its two columns.
fn columns<Q: Quantity>(typed: &Typed<Q>) -> (f64, String) {
    (typed.value().value(), typed.to_string())
}

/// The same for one that may be missing.
fn optional<Q: Quantity>(typed: Option<&Typed<Q>>) -> (Option<f64>, Option<String>) {
    typed.map(columns).unzip()
}

/// Writes a stand set-up.
///
/// # Errors
/// [`StoreError`].
pub async fn insert_stand_setup(
    act: &mut Act,
    recording: &Recording,
    at: &Circumstances,
    setup: &StandSetup,
) -> Result<Uuid, StoreError> {
    let (fact, uuid) = insert_fact(act, recording, "stand-setup", at).await?;
    let (height, height_typed) = columns(&setup.height);
    let (metal, metal_typed) = columns(&setup.nearest_metal);
    let (loss, loss_typed) = columns(&setup.jumper_loss);
    let orientation = setup.orientation.word();
    sqlx::query!(
        "INSERT INTO stand_setup (fact_id, stand_height_m, stand_height_typed, nearest_metal_m, nearest_metal_typed,
                                  orientation, jumper, jumper_loss_db, jumper_loss_typed, supply_protected, note)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)",
        fact,
        height,
        height_typed,
        metal,
        metal_typed,
        orientation,
        setup.jumper,
        loss,
        loss_typed,
        setup.supply_protected,
        setup.note
    )
    .execute(act.conn())
    .await?;
    Ok(uuid)
}

/// The stand set-ups of a job by fact row.
///
/// # Errors
/// [`StoreError`].
pub async fn stand_setups(
    conn: &mut SqliteConnection,
    job_id: i64,
) -> Result<BTreeMap<i64, StandSetup>, StoreError> {
    let rows = sqlx::query!(
        "SELECT s.* FROM stand_setup s JOIN fact ON fact.id = s.fact_id WHERE fact.job_id = $1",
        job_id
    )
    .fetch_all(conn)
    .await?;
    rows.into_iter()
        .map(|row| {
            let setup = StandSetup {
                height: typed_column(&row.stand_height_typed)?,
                nearest_metal: typed_column(&row.nearest_metal_typed)?,
                orientation: word_column("orientation", Orientation::from_word, &row.orientation)?,
                jumper: row.jumper,
                jumper_loss: typed_column(&row.jumper_loss_typed)?,
                supply_protected: row.supply_protected,
                note: row.note,
            };
            Ok((row.fact_id, setup))
        })
        .collect()
}

/// Writes a trial.
///
/// # Errors
/// [`StoreError`].
pub async fn insert_trial(
    act: &mut Act,
    recording: &Recording,
    at: &Circumstances,
    trial: &Trial,
) -> Result<Uuid, StoreError> {
    let (fact, uuid) = insert_fact(act, recording, "trial", at).await?;
    let (upper, upper_typed) = columns(&trial.upper);
    let (lower, lower_typed) = columns(&trial.lower);
    let (forward, forward_typed) = columns(&trial.powers.forward);
    let (reflected, reflected_typed) = columns(&trial.powers.reflected);
    let forward_range = trial.powers.forward_range.value().value();
    let reflected_range = trial.powers.reflected_range.value().value();
    sqlx::query!(
        "INSERT INTO trial (fact_id, upper_mm, upper_typed, lower_mm, lower_typed, forward_w, forward_typed,
                            reflected_w, reflected_typed, reflected_below, forward_range_w, reflected_range_w, note)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13)",
        fact,
        upper,
        upper_typed,
        lower,
        lower_typed,
        forward,
        forward_typed,
        reflected,
        reflected_typed,
        trial.powers.reflected_below,
        forward_range,
        reflected_range,
        trial.note
    )
    .execute(act.conn())
    .await?;
    Ok(uuid)
}

/// A range's full scale, written as the shortest text that stands for the number.
fn full_scale<Q: Quantity>(value: f64) -> Result<Typed<Q>, StoreError> {
    Typed::parse(&value.to_string())
        .map_err(|error| StoreError::Unreadable { what: "range", why: error.to_string() })
}

/// The trials of a job by fact row.
///
/// # Errors
/// [`StoreError`].
pub async fn trials(
    conn: &mut SqliteConnection,
    job_id: i64,
) -> Result<BTreeMap<i64, Trial>, StoreError> {
    let rows = sqlx::query!(
        "SELECT t.* FROM trial t JOIN fact ON fact.id = t.fact_id WHERE fact.job_id = $1",
        job_id
    )
    .fetch_all(conn)
    .await?;
    rows.into_iter()
        .map(|row| {
            let trial = Trial {
                upper: typed_column(&row.upper_typed)?,
                lower: typed_column(&row.lower_typed)?,
                powers: PowerPair {
                    forward: typed_column(&row.forward_typed)?,
                    reflected: typed_column(&row.reflected_typed)?,
                    reflected_below: row.reflected_below,
                    forward_range: full_scale(row.forward_range_w)?,
                    reflected_range: full_scale(row.reflected_range_w)?,
                },
                note: row.note,
            };
            Ok((row.fact_id, trial))
        })
        .collect()
}

/// Writes which trial's setting was chosen.
///
/// # Errors
/// [`StoreError`].
pub async fn insert_chosen(
    act: &mut Act,
    recording: &Recording,
    at: &Circumstances,
    trial_row: i64,
) -> Result<Uuid, StoreError> {
    let (fact, uuid) = insert_fact(act, recording, "chosen-setting", at).await?;
    sqlx::query!(
        "INSERT INTO chosen_setting (fact_id, trial_fact_id) VALUES ($1, $2)",
        fact,
        trial_row
    )
    .execute(act.conn())
    .await?;
    Ok(uuid)
}

/// The chosen settings of a job by fact row.
///
/// # Errors
/// [`StoreError`].
pub async fn chosen_settings(
    conn: &mut SqliteConnection,
    job_id: i64,
) -> Result<BTreeMap<i64, ChosenSetting>, StoreError> {
    let rows = sqlx::query!(
        "SELECT c.fact_id, trial.uuid FROM chosen_setting c
         JOIN fact ON fact.id = c.fact_id JOIN fact trial ON trial.id = c.trial_fact_id
         WHERE fact.job_id = $1",
        job_id
    )
    .fetch_all(conn)
    .await?;
    Ok(rows.into_iter().map(|row| (row.fact_id, ChosenSetting { trial: row.uuid })).collect())
}

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
    let rows = sqlx::query!(
        "SELECT r.* FROM reading r JOIN fact ON fact.id = r.fact_id WHERE fact.job_id = $1",
        job_id
    )
    .fetch_all(conn)
    .await?;
    rows.into_iter()
        .map(|row| {
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
        })
        .collect()
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
