//! The SQL of facts: the row that all kinds share, and the measurements.

mod built;
mod fact;
mod readings;

pub use built::{as_built, insert_as_built, insert_survey, surveys};
pub use fact::{FactRow, Recording, facts_of_job, insert_fact, routine_facts};
pub use readings::{explanations, insert_explanation, insert_reading, readings, routine_readings};

use std::collections::BTreeMap;

use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::db::{StoreError, typed_column, word_column};
use crate::journal::Act;
use crate::measurements::model::{
    ChosenSetting, Circumstances, Orientation, PowerPair, StandSetup, Trial,
};
use crate::rf::quantity::{Quantity, Typed};

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
