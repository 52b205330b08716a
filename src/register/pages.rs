//! The register's pages: all sites, and one site with its jobs.

use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use axum_extra::routing::{RouterExt, TypedPath};

use crate::equipment;
use crate::equipment::exposure::{ExposureView, SiteExposure, Station};
use crate::equipment::model::Chain;
use crate::jobs;
use crate::jobs::dossier::Dossier;
use crate::jobs::findings::open_in_words;
use crate::jobs::next;
use crate::jobs::problems::Who;
use crate::people::model::Person;
use crate::people::permit::{Ability, KeepSites, OpenJob, Permit, ReviseChain, See, SitePermit};
use crate::profiles;
use crate::profiles::model::Profile;
use crate::register::model::{Line, Urgency};
use crate::register::store;
use crate::sites;
use crate::sites::model::{Assignment, Site};
use crate::sites::pages::{SitePath, SiteView};
use crate::web::{AppState, PageError, Shell, page};

/// All sites.
#[derive(Debug, Clone, TypedPath)]
#[typed_path("/sites")]
pub struct SitesPath;

/// The routes of this concept.
pub fn routes() -> Router<AppState> {
    Router::new().typed_get(sites_page).typed_get(site_page)
}

struct Row {
    href: String,
    code: String,
    name: String,
    assignments: String,
    job: String,
    job_href: String,
    gate: String,
    swr: String,
    swr_where: &'static str,
    way: String,
    mark: &'static str,
    state: String,
    snags: String,
}

#[derive(Template)]
#[template(path = "register/sites.html")]
struct SitesPage {
    shell: Shell,
    rows: Vec<Row>,
    headline: String,
    text: String,
    next_href: String,
    keeps_sites: bool,
}

async fn sites_page(
    _: SitesPath,
    permit: Permit<See>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    let person = permit.person();
    let mut snapshot = app.snapshot().await?;
    let lines = store::lines(snapshot.conn(), person, app.clock.now()).await?;
    drop(snapshot);
    let keeps_sites = KeepSites::of(person.role);
    let (headline, text, next_href) = first(&lines, person);
    page(&SitesPage {
        shell: Shell::of(person, "/sites"),
        rows: lines.iter().map(|line| row(line, person)).collect(),
        headline,
        text,
        next_href,
        keeps_sites,
    })
}

/// What the whole register asks for first.
fn first(lines: &[Line], person: &Person) -> (String, String, String) {
    let Some(worst) = lines.first() else {
        return if KeepSites::of(person.role) {
            let text = "A site is a place with a mast, tower, pole or roof that carries antennas. Everything else belongs to one.";
            ("Enter the first site.".to_owned(), text.to_owned(), "/sites/new".to_owned())
        } else {
            let text = "A manager grants the sites you work on.";
            ("No site is granted to you.".to_owned(), text.to_owned(), String::new())
        };
    };
    let waiting = lines.iter().filter(|line| line.urgency() > Urgency::Idle).count();
    let Some(job) = worst.job.as_ref().filter(|_| waiting > 0) else {
        let count = lines.len();
        let sites = if count == 1 { "site" } else { "sites" };
        return (
            "Nothing waits.".to_owned(),
            format!("{count} {sites} on the register, no job in work."),
            String::new(),
        );
    };
    let step = next::of(job, who(person));
    (
        format!("{}: {}", worst.site.name, step.headline),
        step.text,
        format!("/sites/{}/jobs/{}", worst.site.code, job.record.job.number),
    )
}

fn who(person: &Person) -> Who {
    Who { uuid: person.uuid, role: person.role }
}

fn row(line: &Line, person: &Person) -> Row {
    let site = &line.site;
    let assignments = line.assignments.iter().map(|assignment| {
        let particulars = &assignment.particulars;
        format!("{} {}", particulars.frequency, particulars.station_name)
    });
    let href = format!("/sites/{}", site.code);
    let (swr, swr_where) = line
        .last_swr()
        .map_or_else(|| (String::new(), ""), |(known, place)| (known.shown(), place));
    let job = line.job.as_ref();
    Row {
        job: job.map_or_else(String::new, |job| {
            format!("{}: {}", job.record.job.number, job.record.job.kind.shown())
        }),
        job_href: job
            .map(|job| format!("{href}/jobs/{}", job.record.job.number))
            .unwrap_or_default(),
        gate: job.map_or_else(String::new, |job| match job.accepted() {
            true => "accepted".to_owned(),
            false => job.findings.progress.stage().gate().to_owned(),
        }),
        way: job
            .filter(|job| !job.accepted())
            .map(|job| next::of(job, who(person)).headline)
            .unwrap_or_default(),
        snags: job.map(|job| open_in_words(&job.findings.snags)).unwrap_or_default(),
        code: site.code.clone(),
        name: site.name.clone(),
        assignments: assignments.collect::<Vec<_>>().join("; "),
        mark: line.mark(),
        state: line.state(),
        swr,
        swr_where,
        href,
    }
}

struct JobRow {
    href: String,
    number: i64,
    kind: &'static str,
    opened: String,
    progress: String,
    mark: &'static str,
    report: String,
    snags: String,
}

#[derive(Template)]
#[template(path = "register/site.html")]
struct SitePage {
    shell: Shell,
    site: SiteView,
    headline: String,
    text: String,
    next_href: String,
    next_link: &'static str,
    jobs: Vec<JobRow>,
    chains: Vec<(String, String)>,
    new_job_href: Option<String>,
    exposure: Option<ExposureView>,
}

async fn site_page(
    _: SitePath,
    permit: SitePermit<See>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    let mut snapshot = app.snapshot().await?;
    let conn = snapshot.conn();
    let site = sites::store::find(conn, permit.site_id()).await?.ok_or(PageError::NotFound)?;
    let revisions = sites::store::assignment_revisions(conn, site.id).await?;
    let assignments = sites::store::assignments(conn, site.id).await?;
    let now = app.clock.now();
    let mut dossiers = Vec::new();
    for job in jobs::store::list(conn, site.id, &site.time_zone()).await? {
        dossiers.extend(jobs::store::dossier(conn, site.id, job.number, now).await?);
    }
    let mut built = Vec::new();
    for assignment in assignments {
        let chain = equipment::store::newest(conn, assignment.assignment_id).await?;
        built.push((assignment, chain));
    }
    let profiles = profiles::store::newest(conn).await?;
    drop(snapshot);
    let revises = permit.also::<ReviseChain>();
    let chains = built.iter().map(|one| chain_link(&site, one, revises)).collect();
    let exposure = exposure_of(&site, &built, &profiles);
    let view = SiteView::of(&site, &revisions, permit.also::<KeepSites>());
    let works = permit.also::<OpenJob>() && !built.is_empty();
    let base = format!("/sites/{}", site.code);
    let new_job_href = works.then(|| format!("{base}/jobs/new"));
    let (headline, text, next_href, next_link) =
        first_here(&view, &dossiers, permit.person(), new_job_href.as_deref());
    page(&SitePage {
        shell: Shell::of(permit.person(), "/sites"),
        site: view,
        headline,
        text,
        next_href,
        next_link,
        jobs: dossiers.iter().map(|dossier| job_row(dossier, &base)).collect(),
        chains,
        new_job_href,
        exposure,
    })
}

/// The way to an assignment's chain, or to the form for its first one.
fn chain_link(
    site: &Site,
    (assignment, chain): &(Assignment, Option<Chain>),
    revises: bool,
) -> (String, String) {
    let tail = if chain.is_some() || !revises { "chain" } else { "chain/edit" };
    let words = if chain.is_some() { "RF chain of" } else { "Enter the RF chain of" };
    (
        format!("/sites/{}/assignments/{}/{tail}", site.code, assignment.number),
        format!("{words} {}", assignment.particulars.frequency),
    )
}

/// How far people keep from all antennas of the site, by the limits of the newest profile.
fn exposure_of(
    site: &Site,
    built: &[(Assignment, Option<Chain>)],
    profiles: &[(i64, Profile)],
) -> Option<ExposureView> {
    let (_, profile) = profiles.first()?;
    let stations: Vec<Station<'_>> = built
        .iter()
        .map(|(assignment, chain)| Station { assignment, chain: chain.as_ref(), built: None })
        .collect();
    let found = SiteExposure::of(site, &stations, &profile.limits.exposure_rule())?;
    Some(ExposureView::of(&found))
}

/// What the site asks for first.
fn first_here(
    site: &SiteView,
    jobs: &[Dossier],
    person: &Person,
    new_job_href: Option<&str>,
) -> (String, String, String, &'static str) {
    if let Some(open) = jobs.iter().find(|job| !job.accepted()) {
        let step = next::of(open, who(person));
        let href = format!("{}/jobs/{}", site.href, open.record.job.number);
        let number = open.record.job.number;
        return (format!("Job {number}: {}", step.headline), step.text, href, "To the job");
    }
    if site.assignments.is_empty() {
        let text = "Every measurement here is judged against it: frequency, authorised power and ERP, height, polarization, as the authority's paper has them.";
        let href = site.new_assignment_href.clone().unwrap_or_default();
        return (
            "Enter the frequency assignment.".to_owned(),
            text.to_owned(),
            href,
            "Enter the assignment",
        );
    }
    if let Some(accepted) = jobs.first() {
        let step = next::of(accepted, who(person));
        let text = "Nothing waits here. A new piece of work is a new job.";
        return (step.headline, text.to_owned(), String::new(), "");
    }
    let text = "The site and its assignment are entered. The job records the work, from the stand to the hand-over.";
    (
        "Open a job.".to_owned(),
        text.to_owned(),
        new_job_href.unwrap_or_default().to_owned(),
        "Open a job",
    )
}

fn job_row(dossier: &Dossier, base: &str) -> JobRow {
    let job = &dossier.record.job;
    let href = format!("{base}/jobs/{}", job.number);
    JobRow {
        report: format!("{href}/report.pdf"),
        href,
        number: job.number,
        kind: job.kind.shown(),
        opened: job.opened.shown_date(),
        progress: dossier.findings.progress.shown(),
        snags: open_in_words(&dossier.findings.snags),
        mark: if dossier.accepted() { "tick" } else { "ring" },
    }
}
