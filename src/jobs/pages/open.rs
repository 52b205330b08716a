//! Opening a job.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

use crate::jobs::acts::{self, JobDraft};
use crate::jobs::form;
use crate::jobs::model::{JobClass, JobKind};
use crate::jobs::pages::{JobPath, NewJobPath, beside_field};
use crate::people::model::Role;
use crate::people::permit::{OpenJob, SitePermit};
use crate::sites;
use crate::web::{AppState, Fields, PageError, Sent, Shell, page_with, see_other};

#[derive(Template)]
#[template(path = "jobs/new.html")]
struct NewJobPage {
    shell: Shell,
    site: String,
    site_href: String,
    fields: Fields,
    assignments: Vec<(String, String)>,
    kinds: Vec<(String, String)>,
    classes: Vec<(String, String)>,
    manager: bool,
}

async fn draw(
    app: &AppState,
    permit: &SitePermit<OpenJob>,
    fields: Fields,
    status: StatusCode,
) -> Result<Response, PageError> {
    let mut snapshot = app.snapshot().await?;
    let site = sites::store::find(snapshot.conn(), permit.site_id()).await?;
    let site = site.ok_or(PageError::NotFound)?;
    let assignments = sites::store::assignments(snapshot.conn(), permit.site_id()).await?;
    let assignments = assignments.into_iter().map(|one| {
        let words = format!("{}, {}", one.particulars.frequency, one.particulars.station_name);
        (one.number.to_string(), words)
    });
    let page = NewJobPage {
        shell: Shell::of(permit.person(), "/sites"),
        site: site.name,
        site_href: format!("/sites/{}", site.code),
        fields,
        assignments: assignments.collect(),
        kinds: JobKind::options(),
        classes: JobClass::options(),
        manager: permit.person().role == Role::Manager,
    };
    page_with(status, &page)
}

pub(super) async fn page(
    _: NewJobPath,
    permit: SitePermit<OpenJob>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    let fields = Fields::empty(&app.clock)
        .with("kind", JobKind::NewInstallation.word())
        .with("class", JobClass::Independent.word())
        .with("assignment", "1");
    draw(&app, &permit, fields, StatusCode::OK).await
}

pub(super) async fn open(
    path: NewJobPath,
    permit: SitePermit<OpenJob>,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, PageError> {
    let draft: JobDraft = match form::job(&sent.fields) {
        Ok(draft) => draft,
        Err(fields) => return draw(&app, &permit, fields, StatusCode::UNPROCESSABLE_ENTITY).await,
    };
    let intent = sent.intent(permit.person().actor(), "job opened");
    match acts::open_job(&app.writer, &app.clock, &permit, intent, &draft).await {
        Ok(number) => see_other(&JobPath {
            site: path.site,
            job: number.parse().map_err(|_| PageError::NotFound)?,
        }),
        Err(error) => {
            let fields = beside_field(error, sent.fields)?;
            draw(&app, &permit, fields, StatusCode::UNPROCESSABLE_ENTITY).await
        }
    }
}
