//! The forms that make and change a site.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

use crate::journal::ActError;
use crate::people::model::Person;
use crate::people::permit::{KeepSites, Permit, SitePermit};
use crate::sites::model::{Site, Structure};
use crate::sites::pages::paths::{EditSitePath, NewSitePath, SitePath};
use crate::sites::{acts, form, store};
use crate::web::{AppState, Fields, PageError, Sent, Shell, page_with, see_other};

/// Zones to choose from; any other IANA name can be typed.
const ZONES: [&str; 36] = [
    "UTC",
    "Africa/Abidjan",
    "Africa/Accra",
    "Africa/Cairo",
    "Africa/Johannesburg",
    "Africa/Kampala",
    "Africa/Lagos",
    "Africa/Nairobi",
    "America/Anchorage",
    "America/Argentina/Buenos_Aires",
    "America/Bogota",
    "America/Chicago",
    "America/Denver",
    "America/Halifax",
    "America/Lima",
    "America/Los_Angeles",
    "America/Mexico_City",
    "America/New_York",
    "America/Sao_Paulo",
    "Asia/Dhaka",
    "Asia/Jakarta",
    "Asia/Kathmandu",
    "Asia/Kolkata",
    "Asia/Manila",
    "Asia/Tokyo",
    "Australia/Perth",
    "Australia/Sydney",
    "Europe/Athens",
    "Europe/Berlin",
    "Europe/Bucharest",
    "Europe/Dublin",
    "Europe/Lisbon",
    "Europe/London",
    "Europe/Madrid",
    "Pacific/Auckland",
    "Pacific/Port_Moresby",
];

#[derive(Template)]
#[template(path = "sites/new.html")]
struct NewPage {
    shell: Shell,
    fields: Fields,
    action: String,
    structures: Vec<(String, String)>,
    zones: &'static [&'static str],
}

#[derive(Template)]
#[template(path = "sites/edit.html")]
struct EditPage {
    shell: Shell,
    fields: Fields,
    title: String,
    name: String,
    href: String,
    action: String,
    structures: Vec<(String, String)>,
    zones: &'static [&'static str],
}

fn new_form(person: &Person, status: StatusCode, fields: Fields) -> Result<Response, PageError> {
    page_with(
        status,
        &NewPage {
            shell: Shell::of(person, "/sites"),
            fields,
            action: NewSitePath.to_string(),
            structures: Structure::options(),
            zones: &ZONES,
        },
    )
}

/// The form for a new site.
///
/// # Errors
/// [`PageError`].
pub async fn new_page(
    _: NewSitePath,
    permit: Permit<KeepSites>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    new_form(permit.person(), StatusCode::OK, Fields::empty(&app.clock))
}

/// Adds a site.
///
/// # Errors
/// [`PageError`].
pub async fn add(
    _: NewSitePath,
    permit: Permit<KeepSites>,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, PageError> {
    let refused = StatusCode::UNPROCESSABLE_ENTITY;
    let draft = match form::new_site(&sent.fields) {
        Ok(draft) => draft,
        Err(fields) => return new_form(permit.person(), refused, fields),
    };
    let intent = sent.intent(permit.person().actor(), "site added");
    match acts::add(&app.writer, &app.clock, &permit, intent, &draft).await {
        Ok(code) => see_other(&SitePath { site: code }),
        Err(ActError::Field { field, message }) => {
            new_form(permit.person(), refused, sent.fields.refusing(field, message))
        }
        Err(error) => Err(PageError::of_act(error, sent.fields)),
    }
}

async fn known(app: &AppState, permit: &SitePermit<KeepSites>) -> Result<Site, PageError> {
    let mut snapshot = app.snapshot().await?;
    store::find(snapshot.conn(), permit.site_id()).await?.ok_or(PageError::NotFound)
}

fn edit_form(
    person: &Person,
    site: &Site,
    status: StatusCode,
    fields: Fields,
) -> Result<Response, PageError> {
    page_with(
        status,
        &EditPage {
            shell: Shell::of(person, "/sites"),
            fields,
            title: format!("Edit {}", site.name),
            name: site.name.clone(),
            href: SitePath { site: site.code.clone() }.to_string(),
            action: EditSitePath { site: site.code.clone() }.to_string(),
            structures: Structure::options(),
            zones: &ZONES,
        },
    )
}

/// The form that changes a site.
///
/// # Errors
/// [`PageError`].
pub async fn edit_page(
    _: EditSitePath,
    permit: SitePermit<KeepSites>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    let site = known(&app, &permit).await?;
    let fields = form::of_site(Fields::empty(&app.clock), &site);
    edit_form(permit.person(), &site, StatusCode::OK, fields)
}

/// Changes a site.
///
/// # Errors
/// [`PageError`].
pub async fn change(
    _: EditSitePath,
    permit: Result<SitePermit<KeepSites>, PageError>,
    keeper: Result<Permit<KeepSites>, PageError>,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, PageError> {
    let permit = match (permit, keeper) {
        (Ok(permit), _) => permit,
        (Err(PageError::NotFound), Ok(keeper)) => return renamed(&app, &keeper, sent).await,
        (Err(error), _) => return Err(error),
    };
    let site = known(&app, &permit).await?;
    let refused = StatusCode::UNPROCESSABLE_ENTITY;
    let (version, draft) = match form::changed_site(&sent.fields) {
        Ok(changed) => changed,
        Err(fields) => return edit_form(permit.person(), &site, refused, fields),
    };
    let intent = sent.intent(permit.person().actor(), CHANGED);
    match acts::change(&app.writer, &app.clock, &permit, intent, version, &draft).await {
        Ok(code) => see_other(&SitePath { site: code }),
        Err(ActError::Field { field, message }) => {
            let fields = sent.fields.refusing(field, message);
            edit_form(permit.person(), &site, refused, fields)
        }
        Err(error) => Err(PageError::of_act(error, sent.fields)),
    }
}

const CHANGED: &str = "site changed";

/// A change that gave the site another code, sent again because its answer was lost: the address is
/// gone, and the act is known.
async fn renamed(
    app: &AppState,
    keeper: &Permit<KeepSites>,
    sent: Sent,
) -> Result<Response, PageError> {
    let intent = sent.intent(keeper.person().actor(), CHANGED);
    match acts::answered(&app.writer, &app.clock, keeper, intent).await {
        Ok(Some(code)) => see_other(&SitePath { site: code }),
        Ok(None) => Err(PageError::NotFound),
        Err(error) => Err(PageError::of_act(error, sent.fields)),
    }
}
