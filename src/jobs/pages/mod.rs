//! The pages of a job: the job itself, its stand, installed readings, checks, gates, and entries with
//! their corrections.

mod built;
mod checks;
mod entries;
mod exposure;
mod gates;
mod installed;
mod job;
mod open;
mod paths;
mod photos;
mod snags;
mod stand;
mod uploads;

pub use paths::{
    AsBuiltPath, CheckPath, ChosenPath, ClosingPath, DeclarationPath, EntryPath, ExplanationPath,
    ExposurePath, GatePath, IndependencePath, InstalledPath, JobPath, NewJobPath, OriginalPath,
    PhotoPath, PhotosPath, SetupPath, SnagPath, SnagsPath, StandPath, ThumbnailPath, WithdrawPath,
};

use axum::Router;
use axum_extra::routing::RouterExt;
use uuid::Uuid;

use crate::instruments;
use crate::instruments::model::Instrument;
use crate::jobs::acts::OnJob;
use crate::jobs::dossier::Dossier;
use crate::jobs::problems::Who;
use crate::jobs::store;
use crate::journal::{ActError, Intent, answered_before};
use crate::people::permit::{Ability, RecordFacts, SitePermit};
use crate::web::{AppState, Fields, PageError};

/// The routes of this concept.
pub fn routes() -> Router<AppState> {
    Router::new()
        .typed_get(open::page)
        .typed_post(open::open)
        .typed_get(job::page)
        .typed_get(stand::page)
        .typed_post(stand::record_trial)
        .typed_post(stand::record_setup)
        .typed_post(stand::choose)
        .typed_get(installed::page)
        .typed_post(installed::record)
        .typed_post(installed::explain)
        .typed_get(built::page)
        .typed_post(built::record)
        .typed_get(exposure::page)
        .typed_post(exposure::record)
        .typed_get(checks::page)
        .typed_post(checks::answer)
        .typed_get(gates::page)
        .typed_post(gates::release)
        .typed_get(gates::independence_page)
        .typed_post(gates::set_independence)
        .typed_get(gates::declaration_page)
        .typed_post(gates::declare)
        .typed_get(entries::page)
        .typed_post(entries::correct)
        .typed_post(entries::withdraw)
        .typed_get(photos::page)
        .typed_get(photos::one)
        .typed_get(photos::original)
        .typed_get(photos::thumbnail)
        .typed_get(snags::all)
        .typed_get(snags::one)
}

/// The routes that take files: they are given more room and more time.
pub fn uploads() -> Router<AppState> {
    Router::new().typed_post(photos::record).typed_post(snags::raise).typed_post(snags::close)
}

/// The head of every page of a job.
#[derive(Debug, Clone)]
pub(crate) struct Head {
    /// The site's name.
    pub site: String,
    /// The site's page.
    pub site_href: String,
    /// The job's page.
    pub job_href: String,
    /// Site, job and what it is for.
    pub title: String,
    /// Assignment, dates, class and progress.
    pub line: String,
    /// `job 2`
    pub job: String,
}

impl Head {
    pub(crate) fn of(dossier: &Dossier) -> Self {
        let record = &dossier.record;
        let (site, job) = (&record.site, &record.job);
        let station = record.assignment().map(|assignment| {
            let particulars = &assignment.particulars;
            format!("{}, {} · ", particulars.frequency, particulars.station_name)
        });
        let site_href = format!("/sites/{}", site.code);
        Self {
            site: site.name.clone(),
            job_href: format!("{site_href}/jobs/{}", job.number),
            site_href,
            title: format!("{}, job {}: {}", site.name, job.number, job.kind.shown()),
            line: format!(
                "{}opened {} · {} · {}",
                station.unwrap_or_default(),
                job.opened.shown_date(),
                record.class().shown(),
                dossier.findings.progress.shown()
            ),
            job: format!("job {}", job.number),
        }
    }
}

/// The job's dossier, frozen or live.
pub(crate) async fn dossier_of<A: Ability>(
    app: &AppState,
    permit: &SitePermit<A>,
    number: i64,
) -> Result<Dossier, PageError> {
    let mut snapshot = app.snapshot().await?;
    let dossier =
        store::dossier(snapshot.conn(), permit.site_id(), number, app.clock.now()).await?;
    dossier.ok_or(PageError::NotFound)
}

/// The instruments that a form offers, once for each of their calibrations, the newest first: those in use,
/// and the one that the entry to be corrected was made with.
async fn instruments_offered(
    app: &AppState,
    corrected: Option<Uuid>,
) -> Result<Vec<Instrument>, PageError> {
    let mut snapshot = app.snapshot().await?;
    let mut all = instruments::store::every_calibration(snapshot.conn()).await?;
    all.retain(|instrument| !instrument.retired || Some(instrument.uuid) == corrected);
    Ok(all)
}

/// Name and choices of the instruments, for a form.
pub(crate) fn instrument_options(instruments: &[Instrument]) -> Vec<(String, String)> {
    let none = (String::new(), "choose the meter".to_owned());
    let mut newest: Vec<&Instrument> = instruments.iter().collect();
    newest.dedup_by_key(|instrument| instrument.uuid);
    let offered = newest.into_iter().map(|instrument| {
        let statement = &instrument.calibration.statement;
        let ranges: Vec<&str> = statement.ranges.iter().map(|range| range.text()).collect();
        let words =
            format!("{} {}, ranges {} W", instrument.name, instrument.serial, ranges.join(", "));
        (instrument.uuid.to_string(), words)
    });
    std::iter::once(none).chain(offered).collect()
}

/// The measuring points of the chain, for a form.
fn points(dossier: &Dossier) -> Vec<(String, String)> {
    let points = dossier.record.measuring_points().into_iter();
    points.map(|point| (point.position.to_string(), point.words)).collect()
}

fn who<A: Ability>(permit: &SitePermit<A>) -> Who {
    Who { uuid: permit.person().uuid, role: permit.person().role }
}

fn on_job<'a, A: Ability>(app: &'a AppState, permit: &'a SitePermit<A>, number: i64) -> OnJob<'a> {
    OnJob::new(&app.writer, &app.clock, permit, number)
}

/// Whether this person may record on the job as it stands.
fn may_record<A: Ability>(dossier: &Dossier, permit: &SitePermit<A>) -> bool {
    !dossier.accepted() && permit.also::<RecordFacts>()
}

/// Whether a form that cannot be taken now was taken before: instruments are retired and calibrated anew, and
/// a form sent again is answered as it was the first time.
pub(crate) async fn taken_before(
    app: &AppState,
    intent: &Intent,
    typed: &Fields,
) -> Result<bool, PageError> {
    let mut snapshot = app.snapshot().await?;
    match answered_before(snapshot.conn(), intent).await {
        Ok(answer) => Ok(answer.is_some()),
        // Never saved in this wording, or not by this person: the messages say what to mend.
        Err(ActError::OtherContent | ActError::Unknown) => Ok(false),
        Err(error) => Err(PageError::of_act(error, typed.clone())),
    }
}

/// An act that did not happen: a message beside its field is shown in the form again, anything else is a
/// page of its own.
pub(crate) fn beside_field(error: ActError, typed: Fields) -> Result<Fields, PageError> {
    match error {
        ActError::Field { field, message } => Ok(typed.refusing(field, message)),
        other => Err(PageError::of_act(other, typed)),
    }
}
