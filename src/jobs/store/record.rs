//! A job's whole record in one reading.

use std::collections::{BTreeMap, BTreeSet};

use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::db::StoreError;
use crate::equipment;
use crate::instruments;
use crate::jobs::model::{Body, Fact, Job, Named, Neighbour, Record};
use crate::jobs::store::{facts, snags};
use crate::measurements::store::{self as measured, FactRow};
use crate::photos;
use crate::profiles;
use crate::sites;
use crate::sites::model::Site;

fn missing(what: &'static str) -> StoreError {
    StoreError::Unreadable { what, why: "the row that the job names is missing".to_owned() }
}

/// The record of a site's job by its number.
///
/// # Errors
/// [`StoreError`].
pub async fn find_record(
    conn: &mut SqliteConnection,
    site_id: i64,
    number: i64,
) -> Result<Option<Record>, StoreError> {
    let Some(site) = sites::store::find(conn, site_id).await? else { return Ok(None) };
    let zone = site.time_zone();
    let Some(job) = super::find(conn, site_id, &zone, number).await? else { return Ok(None) };
    record_of(conn, site, job).await.map(Some)
}

/// The record of a job.
///
/// # Errors
/// [`StoreError`].
pub async fn record_of(
    conn: &mut SqliteConnection,
    site: Site,
    job: Job,
) -> Result<Record, StoreError> {
    let rows = measured::facts_of_job(conn, job.id).await?;
    let pinned =
        |of: fn(&FactRow) -> Option<i64>| rows.iter().filter_map(of).collect::<BTreeSet<i64>>();

    let mut assignments = Vec::new();
    let newest = sites::store::newest_revision(conn, job.assignment_id).await?;
    let mut wanted = pinned(|row| row.assignment_revision_id);
    wanted.extend(newest);
    for id in wanted {
        let revision = sites::store::assignment_revision(conn, id).await?;
        assignments.push(revision.ok_or_else(|| missing("assignment"))?);
    }
    assignments.sort_by_key(|revision| revision.revision);

    let mut chains = Vec::new();
    let newest = equipment::store::newest(conn, job.assignment_id).await?;
    let mut wanted = pinned(|row| row.chain_revision_id);
    if let Some(newest) = &newest {
        wanted.remove(&newest.revision_id);
    }
    for id in wanted {
        let revision = equipment::store::revision(conn, id).await?;
        chains.push(revision.ok_or_else(|| missing("chain"))?);
    }
    chains.sort_by_key(|chain| chain.revision);
    chains.extend(newest);

    let mut instruments = Vec::new();
    for id in pinned(|row| row.calibration_id) {
        let instrument = instruments::store::by_calibration(conn, id).await?;
        instruments.push(instrument.ok_or_else(|| missing("instrument"))?);
    }
    let neighbours = neighbours(conn, &job).await?;
    let profile = profiles::store::find(conn, job.profile_id).await?;
    let (people, names) = people(conn, &rows, &job).await?;
    let pins = Pins {
        assignments: assignments.iter().map(|one| (one.revision_id, one.revision_uuid)).collect(),
        chains: chains.iter().map(|one| (one.revision_id, one.revision_uuid)).collect(),
        calibrations: instruments
            .iter()
            .map(|one| (one.calibration.id, one.calibration.uuid))
            .collect(),
        people: names,
    };
    let facts = facts_of(conn, &rows, job.id, &pins).await?;
    Ok(Record {
        site,
        assignments,
        chains,
        profile: profile.ok_or_else(|| missing("profile"))?,
        job,
        people,
        instruments,
        facts,
        neighbours,
    })
}

/// The site's other assignments as they hold now, each with its chain.
async fn neighbours(conn: &mut SqliteConnection, job: &Job) -> Result<Vec<Neighbour>, StoreError> {
    let mut neighbours = Vec::new();
    for assignment in sites::store::neighbours(conn, job.assignment_id).await? {
        let chain = equipment::store::newest(conn, assignment.assignment_id).await?;
        neighbours.push(Neighbour { assignment, chain });
    }
    Ok(neighbours)
}

/// The names outside of what facts pin by row.
struct Pins {
    assignments: BTreeMap<i64, Uuid>,
    chains: BTreeMap<i64, Uuid>,
    calibrations: BTreeMap<i64, Uuid>,
    people: BTreeMap<i64, Uuid>,
}

/// The people that facts name, and the one who opened the job.
async fn people(
    conn: &mut SqliteConnection,
    rows: &[FactRow],
    job: &Job,
) -> Result<(Vec<Named>, BTreeMap<i64, Uuid>), StoreError> {
    let ids: BTreeSet<i64> = rows.iter().filter_map(|row| row.by_person_id).collect();
    let mut people = Vec::new();
    let mut names = BTreeMap::new();
    for person in crate::people::store::list(conn).await? {
        if ids.contains(&person.id) || job.opened_by == Some(person.uuid) {
            names.insert(person.id, person.uuid);
            people.push(Named {
                uuid: person.uuid,
                name: person.name,
                firm: person.firm,
                role: person.role.word().to_owned(),
            });
        }
    }
    Ok((people, names))
}

async fn facts_of(
    conn: &mut SqliteConnection,
    rows: &[FactRow],
    job_id: i64,
    pins: &Pins,
) -> Result<Vec<Fact>, StoreError> {
    let mut bodies = bodies(conn, job_id).await?;
    let names: BTreeMap<i64, Uuid> = rows.iter().map(|row| (row.id, row.uuid)).collect();
    let named =
        |map: &BTreeMap<i64, Uuid>, id: Option<i64>| id.and_then(|id| map.get(&id).copied());
    rows.iter()
        .map(|row| {
            let body = match bodies.remove(&row.id) {
                Some(body) => body,
                None if row.kind == "withdrawal" => Body::Withdrawal,
                None => return Err(missing("fact")),
            };
            Ok(Fact {
                id: row.id,
                uuid: row.uuid,
                by: named(&pins.people, row.by_person_id),
                measured: row.measured,
                device_at: row.device_at,
                entered_at: row.entered_at,
                supersedes: named(&names, row.supersedes),
                reason: row.reason.clone(),
                assignment_revision: named(&pins.assignments, row.assignment_revision_id),
                chain_revision: named(&pins.chains, row.chain_revision_id),
                calibration: named(&pins.calibrations, row.calibration_id),
                body,
            })
        })
        .collect()
}

/// The bodies of all facts of a job by fact row.
async fn bodies(
    conn: &mut SqliteConnection,
    job_id: i64,
) -> Result<BTreeMap<i64, Body>, StoreError> {
    let mut all = facts::bodies(conn, job_id).await?;
    let setups = measured::stand_setups(conn, job_id).await?;
    all.extend(setups.into_iter().map(|(id, setup)| (id, Body::StandSetup(setup))));
    let trials = measured::trials(conn, job_id).await?;
    all.extend(trials.into_iter().map(|(id, trial)| (id, Body::Trial(trial))));
    let chosen = measured::chosen_settings(conn, job_id).await?;
    all.extend(chosen.into_iter().map(|(id, chosen)| (id, Body::ChosenSetting(chosen))));
    let readings = measured::readings(conn, job_id).await?;
    all.extend(readings.into_iter().map(|(id, reading)| (id, Body::Reading(reading))));
    let explanations = measured::explanations(conn, job_id).await?;
    all.extend(explanations.into_iter().map(|(id, one)| (id, Body::Explanation(one))));
    all.extend(snags::bodies(conn, job_id).await?);
    let photos = photos::store::photos(conn, job_id).await?;
    all.extend(photos.into_iter().map(|(id, photo)| (id, Body::Photo(photo))));
    let built = measured::as_built(conn, job_id).await?;
    all.extend(built.into_iter().map(|(id, one)| (id, Body::AsBuilt(one))));
    let surveys = measured::surveys(conn, job_id).await?;
    all.extend(surveys.into_iter().map(|(id, one)| (id, Body::ExposureSurvey(one))));
    Ok(all)
}
