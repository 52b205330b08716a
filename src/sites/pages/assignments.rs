//! The forms that make an assignment and its revisions.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

use crate::journal::ActError;
use crate::people::permit::{KeepSites, SitePermit};
use crate::sites::model::{Assignment, Datum, Polarization, Site};
use crate::sites::pages::paths::{EditAssignmentPath, NewAssignmentPath, SitePath};
use crate::sites::{acts, form, store};
use crate::web::{AppState, Fields, PageError, Sent, Shell, page_with, see_other};

/// The hints of the fields: what the newest revision says, "was 98.4", or how to fill a new assignment in.
#[derive(Debug, Clone)]
struct Was {
    station_name: String,
    call_sign: String,
    frequency: String,
    power: String,
    erp: String,
    height: String,
    polarization: String,
}

impl Was {
    fn nothing() -> Self {
        let hint = str::to_owned;
        Self {
            station_name: hint("as the authority writes it"),
            call_sign: hint("may stay empty"),
            frequency: hint("such as 98.4"),
            power: hint("authorised, at its output"),
            erp: hint("both planes together"),
            height: hint("centre, above ground"),
            polarization: hint("as authorised"),
        }
    }

    fn of(newest: &Assignment) -> Self {
        let was = |text: &str| format!("was {}", if text.is_empty() { "empty" } else { text });
        let said = &newest.particulars;
        Self {
            station_name: was(&said.station_name),
            call_sign: was(&said.call_sign),
            frequency: was(said.frequency.text()),
            power: was(said.power.text()),
            erp: was(said.erp.text()),
            height: was(said.height.text()),
            polarization: was(said.polarization.shown()),
        }
    }
}

#[derive(Template)]
#[template(path = "sites/assignment.html")]
struct AssignmentPage {
    shell: Shell,
    fields: Fields,
    site_name: String,
    site_href: String,
    title: String,
    line: String,
    action: String,
    button: &'static str,
    revises: bool,
    was: Was,
    polarizations: Vec<(String, String)>,
    datums: Vec<(String, String)>,
}

/// The datums to choose from; none is taken for granted.
fn datums() -> Vec<(String, String)> {
    let none = (String::new(), "as the paper says it".to_owned());
    std::iter::once(none).chain(Datum::options()).collect()
}

async fn known(app: &AppState, permit: &SitePermit<KeepSites>) -> Result<Site, PageError> {
    let mut snapshot = app.snapshot().await?;
    store::find(snapshot.conn(), permit.site_id()).await?.ok_or(PageError::NotFound)
}

fn new_form(
    permit: &SitePermit<KeepSites>,
    site: &Site,
    status: StatusCode,
    fields: Fields,
) -> Result<Response, PageError> {
    let template = AssignmentPage {
        shell: Shell::of(permit.person(), "/sites"),
        fields,
        site_name: site.name.clone(),
        site_href: SitePath { site: site.code.clone() }.to_string(),
        title: "New assignment".to_owned(),
        line: format!("One frequency radiated from {}", site.name),
        action: NewAssignmentPath { site: site.code.clone() }.to_string(),
        button: "Add this assignment",
        revises: false,
        was: Was::nothing(),
        polarizations: Polarization::options(),
        datums: datums(),
    };
    page_with(status, &template)
}

/// The form for a new assignment.
///
/// # Errors
/// [`PageError`].
pub async fn new_page(
    _: NewAssignmentPath,
    permit: SitePermit<KeepSites>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    let site = known(&app, &permit).await?;
    new_form(&permit, &site, StatusCode::OK, Fields::empty(&app.clock))
}

/// Adds an assignment.
///
/// # Errors
/// [`PageError`].
pub async fn add(
    _: NewAssignmentPath,
    permit: SitePermit<KeepSites>,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, PageError> {
    let site = known(&app, &permit).await?;
    let refused = StatusCode::UNPROCESSABLE_ENTITY;
    let particulars = match form::new_assignment(&sent.fields) {
        Ok(particulars) => particulars,
        Err(fields) => return new_form(&permit, &site, refused, fields),
    };
    let intent = sent.intent(permit.person().actor(), "assignment added");
    match acts::add_assignment(&app.writer, &app.clock, &permit, intent, &particulars).await {
        Ok(_) => see_other(&SitePath { site: site.code }),
        Err(ActError::Field { field, message }) => {
            new_form(&permit, &site, refused, sent.fields.refusing(field, message))
        }
        Err(error) => Err(PageError::of_act(error, sent.fields)),
    }
}

async fn newest(
    app: &AppState,
    permit: &SitePermit<KeepSites>,
    number: i64,
) -> Result<(Site, Assignment), PageError> {
    let site = known(app, permit).await?;
    let mut snapshot = app.snapshot().await?;
    let newest = store::assignment(snapshot.conn(), site.id, number).await?;
    Ok((site, newest.ok_or(PageError::NotFound)?))
}

fn edit_form(
    permit: &SitePermit<KeepSites>,
    (site, newest): (&Site, &Assignment),
    status: StatusCode,
    fields: Fields,
) -> Result<Response, PageError> {
    let (number, revision) = (newest.number, newest.revision);
    let entered = site.time_zone().measured(newest.entered_at).shown();
    let template = AssignmentPage {
        shell: Shell::of(permit.person(), "/sites"),
        fields,
        site_name: site.name.clone(),
        site_href: SitePath { site: site.code.clone() }.to_string(),
        title: format!("Revise assignment {number} of {}", site.name),
        line: format!("now revision {revision}, entered {entered}"),
        action: EditAssignmentPath { site: site.code.clone(), assignment: number }.to_string(),
        button: "Make the next revision",
        revises: true,
        was: Was::of(newest),
        polarizations: Polarization::options(),
        datums: datums(),
    };
    page_with(status, &template)
}

/// The form that revises an assignment.
///
/// # Errors
/// [`PageError`].
pub async fn edit_page(
    path: EditAssignmentPath,
    permit: SitePermit<KeepSites>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    let (site, newest) = newest(&app, &permit, path.assignment).await?;
    let fields = form::of_assignment(Fields::empty(&app.clock), &newest);
    edit_form(&permit, (&site, &newest), StatusCode::OK, fields)
}

/// Makes the next revision of an assignment.
///
/// # Errors
/// [`PageError`].
pub async fn revise(
    path: EditAssignmentPath,
    permit: SitePermit<KeepSites>,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, PageError> {
    let (site, newest) = newest(&app, &permit, path.assignment).await?;
    let refused = StatusCode::UNPROCESSABLE_ENTITY;
    let (from, particulars) = match form::revised_assignment(&sent.fields) {
        Ok(revised) => revised,
        Err(fields) => return edit_form(&permit, (&site, &newest), refused, fields),
    };
    let intent = sent.intent(permit.person().actor(), "assignment revised");
    let of = (path.assignment, from);
    match acts::revise_assignment(&app.writer, &app.clock, &permit, intent, of, &particulars).await
    {
        Ok(_) => see_other(&SitePath { site: site.code }),
        Err(ActError::Field { field, message }) => {
            let fields = sent.fields.refusing(field, message);
            edit_form(&permit, (&site, &newest), refused, fields)
        }
        Err(error) => Err(PageError::of_act(error, sent.fields)),
    }
}
