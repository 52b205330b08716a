//! The readings of an assignment that belong to no job.

use std::collections::BTreeMap;

use sqlx::SqliteConnection;

use crate::db::StoreError;
use crate::equipment;
use crate::instruments;
use crate::maintenance::model::Routine;
use crate::measurements::store::{self as measured, FactRow};
use crate::people;

/// An assignment's routine readings in the order in which they were entered, struck ones too.
///
/// # Errors
/// [`StoreError`].
pub async fn routines(
    conn: &mut SqliteConnection,
    assignment_id: i64,
) -> Result<Vec<Routine>, StoreError> {
    let rows = measured::routine_facts(conn, assignment_id).await?;
    let mut readings = measured::routine_readings(conn, assignment_id).await?;
    let people = people::store::list(conn).await?;
    let names: BTreeMap<i64, String> =
        people.into_iter().map(|person| (person.id, person.name)).collect();
    let name = |id: Option<i64>| {
        id.and_then(|id| names.get(&id).cloned()).unwrap_or_else(|| "operator".to_owned())
    };
    let struck: BTreeMap<i64, &FactRow> =
        rows.iter().filter_map(|row| Some((row.supersedes?, row))).collect();
    let mut routines = Vec::new();
    for row in &rows {
        let Some(reading) = readings.remove(&row.id) else { continue };
        let chain = match row.chain_revision_id {
            Some(id) => equipment::store::revision(conn, id).await?,
            None => None,
        };
        let instrument = match row.calibration_id {
            Some(id) => instruments::store::by_calibration(conn, id).await?,
            None => None,
        };
        let struck = struck.get(&row.id).map(|by| {
            let reason = by.reason.as_deref().unwrap_or_default();
            format!("struck by {} on {}: {reason}", name(by.by_person_id), by.measured.shown_date())
        });
        routines.push(Routine {
            id: row.id,
            uuid: row.uuid,
            by: name(row.by_person_id),
            measured: row.measured,
            reading,
            chain,
            instrument,
            struck,
        });
    }
    Ok(routines)
}
