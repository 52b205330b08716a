//! The report of a job, and the page on which a declared job is accepted or returned.

use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum_extra::routing::{RouterExt, TypedPath};
use serde::Deserialize;

use crate::acceptance::form::{self, Decision};
use crate::acceptance::report::{self, Sources, accepted_on_point, class_sentence};
use crate::acceptance::{acts, store};
use crate::db::FileError;
use crate::jobs::dossier::Dossier;
use crate::jobs::findings::{ItemFinding, SnagFinding, StageFinding};
use crate::jobs::model::Answer;
use crate::jobs::pages::{Head, JobPath, dossier_of};
use crate::jobs::problems::{self, Who};
use crate::jobs::{pictures, words};
use crate::journal::ActError;
use crate::people::permit::{Decide, See, SitePermit};
use crate::problem::Problem;
use crate::profiles::model::Stage;
use crate::web::signature::{Signed, proposed, signed};
use crate::web::{AppState, Fields, PageError, Sent, Shell, page_with, see_other};
use crate::words::upper_first;

/// The report as a PDF.
#[derive(TypedPath, Deserialize)]
#[typed_path("/sites/{site}/jobs/{job}/report.pdf", rejection(PageError))]
pub struct ReportPath {
    /// The site's code.
    pub site: String,
    /// The job's number.
    pub job: i64,
}

/// The decision on a declared job.
#[derive(TypedPath, Deserialize)]
#[typed_path("/sites/{site}/jobs/{job}/decision", rejection(PageError))]
pub struct DecisionPath {
    /// The site's code.
    pub site: String,
    /// The job's number.
    pub job: i64,
}

/// The routes of this concept.
pub fn routes() -> Router<AppState> {
    Router::new().typed_get(report_file).typed_get(page).typed_post(decide)
}

async fn report_file(
    path: ReportPath,
    permit: SitePermit<See>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    let mut snapshot = app.snapshot().await?;
    let now = app.clock.now();
    let dossier =
        crate::jobs::store::dossier(snapshot.conn(), permit.site_id(), path.job, now).await?;
    let dossier = dossier.ok_or(PageError::NotFound)?;
    let digest = store::digest(snapshot.conn(), permit.site_id(), path.job).await?;
    drop(snapshot);
    let slots = std::sync::Arc::clone(&app.report_slots);
    let slot = slots.acquire_owned().await.map_err(|_| PageError::Busy)?;
    let name = report::file_name(&dossier);
    let made = tokio::task::spawn_blocking(move || {
        let sources = Sources::new(&dossier, now, digest.as_ref(), &|_| Err(FileError::Missing));
        let made = report::finished(&sources);
        let bytes = made.map(|made| made.bytes(&mut |_| Err(std::io::ErrorKind::NotFound.into())));
        drop(slot);
        bytes
    });
    let made = made.await.map_err(|error| PageError::Internal(error.to_string()))?;
    let made = made.map_err(|error| PageError::Internal(format!("report {name}: {error}")))?;
    let bytes = made.map_err(|error| PageError::Internal(format!("report {name}: {error}")))?;
    let shown = HeaderValue::from_str(&format!("inline; filename=\"{name}\""))
        .map_err(|error| PageError::Internal(error.to_string()))?;
    let headers = [
        (header::CONTENT_TYPE, HeaderValue::from_static("application/pdf")),
        (header::CONTENT_DISPOSITION, shown),
        (header::CACHE_CONTROL, HeaderValue::from_static("no-store")),
    ];
    Ok((headers, bytes).into_response())
}

struct Line {
    text: String,
    evidence: String,
    mark: &'static str,
    word: &'static str,
}

struct StageView {
    title: String,
    gate: String,
    mark: &'static str,
    lines: Vec<Line>,
}

#[derive(Template)]
#[template(path = "acceptance/decision.html")]
struct DecisionPage {
    shell: Shell,
    head: Head,
    verdict: String,
    explanation: String,
    at_antenna: String,
    class: String,
    declared: String,
    statement: String,
    stages: Vec<StageView>,
    weighed: Vec<Problem>,
    problems: Vec<Problem>,
    blocked: bool,
    /// Why it cannot be accepted though it can be returned; empty where it can.
    not_accepted: &'static str,
    snags: Vec<Line>,
    /// Who is signed in, if somebody else has to decide.
    reads_only: Option<String>,
    fields: Fields,
}

impl DecisionPage {
    fn of(permit: &SitePermit<See>, dossier: &Dossier, fields: Fields) -> Self {
        let (record, findings, person) = (&dossier.record, &dossier.findings, permit.person());
        let who = Who { uuid: person.uuid, role: person.role };
        let blocked = problems::block_anybody(&problems::decide(record, findings, who));
        let problems = problems::accept(record, findings, who);
        let stopped = findings.snags.iter().any(SnagFinding::stops_acceptance);
        let comparison = findings.comparison.as_ref();
        let declaration = record.declaration();
        Self {
            shell: Shell::of(person, "/sites"),
            head: Head::of(dossier),
            verdict: comparison.map_or_else(
                || "Not compared: no installed reading is on the record.".to_owned(),
                |comparison| comparison.headline.clone(),
            ),
            explanation: comparison.map(|one| one.explanation.clone()).unwrap_or_default(),
            at_antenna: comparison.map(|one| one.at_antenna.clone()).unwrap_or_default(),
            class: class_sentence(record),
            declared: declaration.map_or_else(
                || "Not declared complete.".to_owned(),
                |(fact, _)| {
                    let by = record.name(fact.by);
                    format!("Declared complete by {by}, {}.", fact.measured.shown())
                },
            ),
            statement: declaration.map(|(fact, _)| words::said(record, fact)).unwrap_or_default(),
            stages: findings.stages.iter().map(|gate| stage_view(dossier, gate)).collect(),
            weighed: findings.items.iter().filter_map(|item| weighed(dossier, item)).collect(),
            blocked,
            not_accepted: if stopped { "A class A snag is open." } else { "" },
            snags: findings.snags.iter().filter(|snag| snag.is_open()).map(open_snag).collect(),
            problems,
            reads_only: (!permit.also::<Decide>()).then(|| person.name.clone()),
            fields,
        }
    }
}

/// A snag that is taken over with the job.
fn open_snag(snag: &SnagFinding) -> Line {
    let mark = snag.class.mark();
    Line { text: snag.text.clone(), evidence: snag.left_to(), mark, word: snag.class.short() }
}

/// What did not simply pass, for whoever decides.
fn weighed(dossier: &Dossier, item: &ItemFinding) -> Option<Problem> {
    let how = match (item.answer?, accepted_on_point(dossier, item)) {
        (Answer::NotShown, Some(fact)) => {
            format!("not shown, accepted on the point value by {}", dossier.record.name(fact.by))
        }
        (Answer::Passed | Answer::NotApplicable, _) => return None,
        (answer, _) => answer.shown().to_owned(),
    };
    let text = format!("{} {}: {}", item.text, upper_first(&how), item.evidence);
    Some(Problem::warning("TO_BE_WEIGHED", Some(&item.id), text))
}

fn stage_view(dossier: &Dossier, finding: &StageFinding) -> StageView {
    let items = dossier.findings.items.iter().filter(|item| item.stage == finding.stage);
    let released = finding.released.and_then(|uuid| dossier.record.fact(uuid));
    let by = released.map(|fact| {
        format!("gate released by {}, {}", dossier.record.name(fact.by), fact.measured.shown())
    });
    let (gate, mark) = match by {
        _ if finding.stage == Stage::HandOver => ("gate opens by acceptance".to_owned(), "ring"),
        Some(by) if finding.is_open() => (by, "tick"),
        Some(by) => (format!("lapsed: {by}"), "ring"),
        None => ("gate not released".to_owned(), "ring"),
    };
    StageView {
        title: upper_first(finding.stage.shown()),
        gate,
        mark,
        lines: items
            .map(|item| Line {
                text: item.text.clone(),
                evidence: item.evidence.clone(),
                mark: item.answer.map_or("ring", Answer::mark),
                word: pictures::word(item.answer),
            })
            .collect(),
    }
}

async fn draw(
    app: &AppState,
    permit: &SitePermit<See>,
    number: i64,
    status: StatusCode,
    typed: Option<Fields>,
) -> Result<Response, PageError> {
    let dossier = dossier_of(app, permit, number).await?;
    let fields = typed.unwrap_or_else(|| {
        let fields = Fields::empty(&app.clock);
        if permit.also::<Decide>() { proposed(fields, permit.person()) } else { fields }
    });
    page_with(status, &DecisionPage::of(permit, &dossier, fields))
}

async fn page(
    path: DecisionPath,
    permit: SitePermit<See>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    draw(&app, &permit, path.job, StatusCode::OK, None).await
}

async fn decide(
    path: DecisionPath,
    at: SitePermit<See>,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, PageError> {
    let mended = StatusCode::UNPROCESSABLE_ENTITY;
    let decision = match form::decision(&sent.fields) {
        Ok(decision) => decision,
        Err(fields) => return draw(&app, &at, path.job, mended, Some(fields)).await,
    };
    let Signed { permit, confirmed } = match signed::<Decide, See>(&app, &at, &sent).await? {
        Ok(signed) => signed,
        Err(unsigned) => {
            return draw(&app, &at, path.job, unsigned.status, Some(unsigned.fields)).await;
        }
    };
    let (writer, clock, actor) = (&app.writer, &app.clock, permit.person().actor());
    let done = match &decision {
        Decision::Accept { remarks } => {
            let intent = sent.intent(actor, "job accepted");
            acts::accept(writer, clock, &permit, path.job, intent, &confirmed, remarks).await
        }
        Decision::Return { remarks } => {
            let intent = sent.intent(actor, "job returned");
            acts::return_job(writer, clock, &permit, path.job, intent, &confirmed, remarks).await
        }
    };
    match done {
        Ok(_) => see_other(&JobPath { site: path.site, job: path.job }),
        Err(ActError::Field { field, message }) => {
            let fields = sent.fields.refusing(field, message);
            draw(&app, &at, path.job, mended, Some(fields)).await
        }
        Err(error) => Err(PageError::of_act(error, sent.fields)),
    }
}
