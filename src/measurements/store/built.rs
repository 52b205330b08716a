//! What was built, and surveys of exposure.

use std::collections::BTreeMap;

use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::db::{StoreError, typed_column, word_column};
use crate::journal::Act;
use crate::measurements::model::{
    Area, AsBuilt, BuiltBearing, BuiltFrequency, BuiltHeight, BuiltPosition, Circumstances,
    ExposureSurvey, HeightMethod, North, PositionMethod, SurveyPoint,
};
use crate::measurements::store::{Recording, columns, insert_fact, optional};
use crate::sites::model::{Datum, Polarization, Position};

/// Writes what was built.
///
/// # Errors
/// [`StoreError`].
pub async fn insert_as_built(
    act: &mut Act,
    recording: &Recording,
    at: &Circumstances,
    built: &AsBuilt,
) -> Result<Uuid, StoreError> {
    let (fact, uuid) = insert_fact(act, recording, "as-built", at).await?;
    let height = built.height.as_ref();
    let (height_m, height_typed) = optional(height.map(|one| &one.height));
    let height_method = height.map(|one| one.method.word());
    let place = built.position.as_ref();
    let (latitude, latitude_typed) = optional(place.map(|one| &one.position.latitude));
    let (longitude, longitude_typed) = optional(place.map(|one| &one.position.longitude));
    let datum = place.map(|one| one.position.datum.word());
    let position_method = place.map(|one| one.method.word());
    let (accuracy, accuracy_typed) = optional(place.and_then(|one| one.accuracy.as_ref()));
    let polarization = built.polarization.map(Polarization::word);
    let bearing = built.bearing.as_ref();
    let (bearing_deg, bearing_typed) = optional(bearing.map(|one| &one.bearing));
    let north = bearing.map(|one| one.north.word());
    let (declination, declination_typed) =
        optional(bearing.and_then(|one| one.declination.as_ref()));
    let frequency = built.frequency.as_ref();
    let (frequency_mhz, frequency_typed) = optional(frequency.map(|one| &one.frequency));
    let frequency_method = frequency.map_or("", |one| one.method.as_str());
    sqlx::query!(
        "INSERT INTO as_built (fact_id, height_m, height_typed, height_method, latitude_deg, latitude_typed,
                               longitude_deg, longitude_typed, datum, position_method, accuracy_m, accuracy_typed,
                               polarization, bays, bearing_deg, bearing_typed, north, declination_deg,
                               declination_typed, frequency_mhz, frequency_typed, frequency_method, note)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, $21,
                 $22, $23)",
        fact, height_m, height_typed, height_method, latitude, latitude_typed, longitude, longitude_typed,
        datum, position_method, accuracy, accuracy_typed, polarization, built.bays, bearing_deg,
        bearing_typed, north, declination, declination_typed, frequency_mhz, frequency_typed,
        frequency_method, built.note
    )
    .execute(act.conn())
    .await?;
    Ok(uuid)
}

struct BuiltRow {
    fact_id: i64,
    height_typed: Option<String>,
    height_method: Option<String>,
    latitude_typed: Option<String>,
    longitude_typed: Option<String>,
    datum: Option<String>,
    position_method: Option<String>,
    accuracy_typed: Option<String>,
    polarization: Option<String>,
    bays: Option<i64>,
    bearing_typed: Option<String>,
    north: Option<String>,
    declination_typed: Option<String>,
    frequency_typed: Option<String>,
    frequency_method: String,
    note: String,
}

impl BuiltRow {
    fn height(&self) -> Result<Option<BuiltHeight>, StoreError> {
        let (Some(height), Some(method)) = (&self.height_typed, &self.height_method) else {
            return Ok(None);
        };
        let method = word_column("height method", HeightMethod::from_word, method)?;
        Ok(Some(BuiltHeight { height: typed_column(height)?, method }))
    }

    fn position(&self) -> Result<Option<BuiltPosition>, StoreError> {
        let (Some(latitude), Some(longitude), Some(datum), Some(method)) =
            (&self.latitude_typed, &self.longitude_typed, &self.datum, &self.position_method)
        else {
            return Ok(None);
        };
        let position = Position {
            latitude: typed_column(latitude)?,
            longitude: typed_column(longitude)?,
            datum: word_column("datum", Datum::from_word, datum)?,
        };
        let method = word_column("position method", PositionMethod::from_word, method)?;
        let accuracy = self.accuracy_typed.as_deref().map(typed_column).transpose()?;
        Ok(Some(BuiltPosition { position, method, accuracy }))
    }

    fn bearing(&self) -> Result<Option<BuiltBearing>, StoreError> {
        let (Some(bearing), Some(north)) = (&self.bearing_typed, &self.north) else {
            return Ok(None);
        };
        Ok(Some(BuiltBearing {
            bearing: typed_column(bearing)?,
            north: word_column("north", North::from_word, north)?,
            declination: self.declination_typed.as_deref().map(typed_column).transpose()?,
        }))
    }

    fn built(self) -> Result<AsBuilt, StoreError> {
        let polarization = self.polarization.as_deref();
        let polarization =
            polarization.map(|one| word_column("polarization", Polarization::from_word, one));
        let frequency = self.frequency_typed.as_deref().map(typed_column).transpose()?;
        Ok(AsBuilt {
            height: self.height()?,
            position: self.position()?,
            polarization: polarization.transpose()?,
            // The column's CHECK keeps it in range.
            bays: self.bays.and_then(|bays| u8::try_from(bays).ok()),
            bearing: self.bearing()?,
            frequency: frequency
                .map(|frequency| BuiltFrequency { frequency, method: self.frequency_method }),
            note: self.note,
        })
    }
}

/// What was built in a job, by fact row.
///
/// # Errors
/// [`StoreError`].
pub async fn as_built(
    conn: &mut SqliteConnection,
    job_id: i64,
) -> Result<BTreeMap<i64, AsBuilt>, StoreError> {
    let rows = sqlx::query_as!(
        BuiltRow,
        "SELECT b.fact_id, b.height_typed, b.height_method, b.latitude_typed, b.longitude_typed, b.datum,
                b.position_method, b.accuracy_typed, b.polarization, b.bays, b.bearing_typed, b.north,
                b.declination_typed, b.frequency_typed, b.frequency_method, b.note
         FROM as_built b JOIN fact ON fact.id = b.fact_id WHERE fact.job_id = $1",
        job_id
    )
    .fetch_all(conn)
    .await?;
    rows.into_iter().map(|row| Ok((row.fact_id, row.built()?))).collect()
}

/// Writes a survey with its points.
///
/// # Errors
/// [`StoreError`].
pub async fn insert_survey(
    act: &mut Act,
    recording: &Recording,
    at: &Circumstances,
    survey: &ExposureSurvey,
) -> Result<Uuid, StoreError> {
    let (fact, uuid) = insert_fact(act, recording, "exposure-survey", at).await?;
    sqlx::query!(
        "INSERT INTO exposure_survey (fact_id, instrument, all_on, note) VALUES ($1, $2, $3, $4)",
        fact,
        survey.instrument,
        survey.all_on,
        survey.note
    )
    .execute(act.conn())
    .await?;
    for (number, point) in (1_i64..).zip(&survey.points) {
        let area = point.area.word();
        let (share, share_typed) = columns(&point.share);
        sqlx::query!(
            "INSERT INTO exposure_point (fact_id, number, place, area, share_percent, share_typed)
             VALUES ($1, $2, $3, $4, $5, $6)",
            fact,
            number,
            point.place,
            area,
            share,
            share_typed
        )
        .execute(act.conn())
        .await?;
    }
    Ok(uuid)
}

/// The surveys of a job by fact row.
///
/// # Errors
/// [`StoreError`].
pub async fn surveys(
    conn: &mut SqliteConnection,
    job_id: i64,
) -> Result<BTreeMap<i64, ExposureSurvey>, StoreError> {
    let rows = sqlx::query!(
        "SELECT s.fact_id, s.instrument, s.all_on, s.note, p.place, p.area, p.share_typed
         FROM exposure_survey s JOIN fact ON fact.id = s.fact_id JOIN exposure_point p ON p.fact_id = s.fact_id
         WHERE fact.job_id = $1 ORDER BY p.fact_id, p.number",
        job_id
    )
    .fetch_all(conn)
    .await?;
    let mut all: BTreeMap<i64, ExposureSurvey> = BTreeMap::new();
    for row in rows {
        let point = SurveyPoint {
            place: row.place,
            area: word_column("area", Area::from_word, &row.area)?,
            share: typed_column(&row.share_typed)?,
        };
        all.entry(row.fact_id)
            .or_insert_with(|| ExposureSurvey {
                instrument: row.instrument,
                all_on: row.all_on,
                points: Vec::new(),
                note: row.note,
            })
            .points
            .push(point);
    }
    Ok(all)
}
