//! Gates: the list shown and signed, the job's independence, and the declaration.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

use crate::jobs::acts;
use crate::jobs::dossier::Dossier;
use crate::jobs::findings::declaration_basis;
use crate::jobs::form;
use crate::jobs::model::{Answer, JobClass};
use crate::jobs::pages::{
    DeclarationPath, GatePath, Head, IndependencePath, JobPath, beside_field, dossier_of, on_job,
    who,
};
use crate::jobs::{pictures, problems};
use crate::people::permit::{Ability, Concede, Declare, Release, See, SitePermit};
use crate::problem::Problem;
use crate::profiles::model::Stage;
use crate::web::{AppState, Fields, PageError, Sent, Shell, page_with, see_other};

/// One line of the list that is signed.
struct Line {
    text: String,
    evidence: String,
    mark: &'static str,
    word: &'static str,
}

fn lines(dossier: &Dossier, stage: Option<Stage>) -> Vec<Line> {
    let items = dossier.findings.items.iter();
    items
        .filter(|item| stage.is_none_or(|stage| item.stage == stage))
        .map(|item| Line {
            text: item.text.clone(),
            evidence: item.evidence.clone(),
            mark: item.answer.map_or("ring", Answer::mark),
            word: pictures::word(item.answer),
        })
        .collect()
}

/// Whether the button can be pressed, and the list of what stands in the way.
fn blocks(problems: &[Problem]) -> bool {
    problems.iter().any(Problem::blocks)
}

#[derive(Template)]
#[template(path = "jobs/gate.html")]
struct GatePage {
    shell: Shell,
    head: Head,
    stage: Stage,
    lines: Vec<Line>,
    problems: Vec<Problem>,
    blocked: bool,
    may: bool,
    manner: &'static str,
    remote: bool,
    rf: bool,
    name: String,
    basis: String,
    fields: Fields,
}

/// The basis of the list that was shown with the form, where it came from a page.
fn seen(fields: &Fields) -> Option<&str> {
    Some(fields.value("basis")).filter(|basis| !basis.is_empty())
}

async fn draw_gate<A: Ability>(
    app: &AppState,
    permit: &SitePermit<A>,
    path: &GatePath,
    refused: Option<Fields>,
) -> Result<Response, PageError> {
    let stage = Stage::from_word(&path.stage).ok_or(PageError::NotFound)?;
    let dossier = dossier_of(app, permit, path.job).await?;
    let problems = problems::release(&dossier.record, &dossier.findings, stage, who(permit));
    let manner = problems::manner(&dossier.record, &dossier.findings, stage, who(permit));
    let mut stages = dossier.findings.stages.iter();
    let found = stages.find(|found| found.stage == stage).ok_or(PageError::NotFound)?;
    let status = if refused.is_some() { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
    let page = GatePage {
        shell: Shell::of(permit.person(), "/sites"),
        head: Head::of(&dossier),
        stage,
        lines: lines(&dossier, Some(stage)),
        blocked: blocks(&problems),
        problems,
        may: permit.also::<Release>(),
        manner: manner.shown(),
        remote: dossier.record.class() == JobClass::Remote,
        rf: matches!(stage, Stage::Authority | Stage::ColdTests),
        name: permit.person().name.clone(),
        basis: found.basis.clone(),
        fields: refused.unwrap_or_else(|| Fields::empty(&app.clock)),
    };
    page_with(status, &page)
}

pub(super) async fn page(
    path: GatePath,
    permit: SitePermit<See>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    draw_gate(&app, &permit, &path, None).await
}

pub(super) async fn release(
    path: GatePath,
    permit: SitePermit<Release>,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, PageError> {
    let stage = Stage::from_word(&path.stage).ok_or(PageError::NotFound)?;
    let read_back = match form::text(&sent.fields, "read_back", None) {
        Ok(text) => text,
        Err(fields) => return draw_gate(&app, &permit, &path, Some(fields)).await,
    };
    let intent = sent.intent(permit.person().actor(), "gate released");
    let on = on_job(&app, &permit, path.job);
    match acts::release(on, intent, stage, &read_back, seen(&sent.fields)).await {
        Ok(_) => see_other(&JobPath { site: path.site, job: path.job }),
        Err(error) => {
            let fields = beside_field(error, sent.fields)?;
            draw_gate(&app, &permit, &path, Some(fields)).await
        }
    }
}

#[derive(Template)]
#[template(path = "jobs/independence.html")]
struct IndependencePage {
    shell: Shell,
    head: Head,
    now: &'static str,
    classes: Vec<(String, String)>,
    fields: Fields,
}

async fn draw_independence(
    app: &AppState,
    permit: &SitePermit<Concede>,
    number: i64,
    refused: Option<Fields>,
) -> Result<Response, PageError> {
    let dossier = dossier_of(app, permit, number).await?;
    let status = if refused.is_some() { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
    let now = dossier.record.class();
    let page = IndependencePage {
        shell: Shell::of(permit.person(), "/sites"),
        head: Head::of(&dossier),
        now: now.shown(),
        classes: JobClass::options(),
        fields: refused.unwrap_or_else(|| Fields::empty(&app.clock).with("class", now.word())),
    };
    page_with(status, &page)
}

pub(super) async fn independence_page(
    path: IndependencePath,
    permit: SitePermit<Concede>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    draw_independence(&app, &permit, path.job, None).await
}

pub(super) async fn set_independence(
    path: IndependencePath,
    permit: SitePermit<Concede>,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, PageError> {
    let class = match form::class(&sent.fields) {
        Ok(class) => class,
        Err(fields) => return draw_independence(&app, &permit, path.job, Some(fields)).await,
    };
    let intent = sent.intent(permit.person().actor(), "independence set");
    match acts::set_independence(on_job(&app, &permit, path.job), intent, class).await {
        Ok(_) => see_other(&JobPath { site: path.site, job: path.job }),
        Err(error) => Err(PageError::of_act(error, sent.fields)),
    }
}

#[derive(Template)]
#[template(path = "jobs/declaration.html")]
struct DeclarationPage {
    shell: Shell,
    head: Head,
    lines: Vec<Line>,
    problems: Vec<Problem>,
    blocked: bool,
    name: String,
    basis: String,
    fields: Fields,
}

async fn draw_declaration(
    app: &AppState,
    permit: &SitePermit<Declare>,
    number: i64,
    refused: Option<Fields>,
) -> Result<Response, PageError> {
    let dossier = dossier_of(app, permit, number).await?;
    let problems = problems::declare(&dossier.record, &dossier.findings, who(permit));
    let status = if refused.is_some() { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
    let page = DeclarationPage {
        shell: Shell::of(permit.person(), "/sites"),
        head: Head::of(&dossier),
        lines: lines(&dossier, None),
        blocked: blocks(&problems),
        problems,
        name: format!("{}, {}", permit.person().name, permit.person().firm),
        basis: declaration_basis(&dossier.record, &dossier.findings.stages),
        fields: refused.unwrap_or_else(|| Fields::empty(&app.clock)),
    };
    page_with(status, &page)
}

pub(super) async fn declaration_page(
    path: DeclarationPath,
    permit: SitePermit<Declare>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    draw_declaration(&app, &permit, path.job, None).await
}

pub(super) async fn declare(
    path: DeclarationPath,
    permit: SitePermit<Declare>,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, PageError> {
    let asks = "say what is declared, for example that the work is complete as recorded";
    let statement = match form::text(&sent.fields, "statement", Some(asks)) {
        Ok(text) => text,
        Err(fields) => return draw_declaration(&app, &permit, path.job, Some(fields)).await,
    };
    let intent = sent.intent(permit.person().actor(), "job declared complete");
    let on = on_job(&app, &permit, path.job);
    match acts::declare(on, intent, &statement, seen(&sent.fields)).await {
        Ok(_) => see_other(&JobPath { site: path.site, job: path.job }),
        Err(error) => Err(PageError::of_act(error, sent.fields)),
    }
}
