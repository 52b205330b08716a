//! Grants on pages: the rows of a form, what somebody holds in words, and the grants of a whole firm.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

use crate::clock::Utc;
use crate::people::acts::{self, firm_basis};
use crate::people::form;
use crate::people::form::until_field;
use crate::people::model::{Firm, Holder, Role, SiteGrant};
use crate::people::pages::paths::{FirmPath, PeoplePath};
use crate::people::permit::{KeepPeople, Permit};
use crate::people::store::{self, Held};
use crate::web::{AppState, Fields, PageError, Sent, Shell, page_with, see_other};

/// So many sites stand in one cell of the list; the rest is counted.
const SITES_SHOWN: usize = 4;

/// One site of a form that grants.
pub(super) struct GrantRow {
    pub code: String,
    pub name: String,
    pub ticked: bool,
    pub until: String,
    /// What became of an earlier grant.
    pub state: String,
}

/// The fields of a form that grants, filled with what holds now.
pub(super) fn with_grants(mut fields: Fields, sites: &[SiteGrant], now: Utc) -> Fields {
    for site in sites.iter().filter(|site| site.holds(now)) {
        fields = fields.with("sites", &site.code);
        if let Some(day) = site.last_day() {
            fields = fields.with(&until_field(&site.code), day);
        }
    }
    fields
}

/// The rows of a form that grants.
pub(super) fn grant_rows(fields: &Fields, sites: Vec<SiteGrant>, now: Utc) -> Vec<GrantRow> {
    let row = |site: SiteGrant| GrantRow {
        ticked: fields.has("sites", &site.code),
        until: until_field(&site.code),
        state: ended(&site, now).unwrap_or_default(),
        code: site.code,
        name: site.name,
    };
    sites.into_iter().map(row).collect()
}

/// That a grant has ended, and when.
fn ended(site: &SiteGrant, now: Utc) -> Option<String> {
    let day = site.last_day().filter(|_| site.granted && !site.holds(now))?;
    Some(format!("ended {}", day.shown()))
}

/// The sites granted, in words; empty when there are none and never were.
pub(super) fn granted_in_words(sites: &[SiteGrant], now: Utc) -> String {
    let one = |site: &SiteGrant| {
        if let Some(ended) = ended(site, now) {
            return Some(format!("{} ({ended})", site.code));
        }
        let until = site.last_day().map(|day| format!(" (until {})", day.shown()));
        site.granted.then(|| format!("{}{}", site.code, until.unwrap_or_default()))
    };
    sites.iter().filter_map(one).collect::<Vec<_>>().join(", ")
}

/// What somebody may see, for one cell of a list.
pub(super) fn shown_sites(role: Role, held: &[Held]) -> String {
    if role.sees_all_sites() {
        return "all".to_owned();
    }
    let one = |held: &Held| match held.expires_at {
        Some(end) => {
            let day = end.plus_seconds(-1).date_in(&held.zone);
            format!("{} (until {})", held.code, day.shown())
        }
        None => held.code.clone(),
    };
    let shown = held.iter().take(SITES_SHOWN).map(one).collect::<Vec<_>>().join(", ");
    match held.len().checked_sub(SITES_SHOWN) {
        _ if held.is_empty() => "none".to_owned(),
        Some(more) if more > 0 => format!("{shown} and {more} more"),
        _ => shown,
    }
}

#[derive(Template)]
#[template(path = "people/firm.html")]
struct FirmPage {
    shell: Shell,
    fields: Fields,
    name: String,
    people: String,
    action: String,
    sites: Vec<GrantRow>,
}

async fn firm_form(
    app: &AppState,
    permit: &Permit<KeepPeople>,
    firm: Firm,
    typed: Option<Fields>,
) -> Result<Response, PageError> {
    let now = app.clock.now();
    let mut snapshot = app.snapshot().await?;
    let sites = store::grants(snapshot.conn(), Holder::Firm(firm.id)).await?;
    let people = store::list(snapshot.conn()).await?;
    drop(snapshot);
    let of_firm = people.iter().filter(|one| one.firm_id == firm.id && !one.disabled);
    let named: Vec<String> =
        of_firm.map(|one| format!("{}, {}", one.name, one.role.word())).collect();
    let status = if typed.is_some() { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
    let fields = typed.unwrap_or_else(|| {
        let fields = Fields::empty(&app.clock).with("basis", firm_basis(&sites));
        with_grants(fields, &sites, now)
    });
    let template = FirmPage {
        shell: Shell::of(permit.person(), "/people"),
        people: if named.is_empty() {
            "nobody with an open account".to_owned()
        } else {
            named.join("; ")
        },
        action: FirmPath { firm: firm.uuid }.to_string(),
        name: firm.name,
        sites: grant_rows(&fields, sites, now),
        fields,
    };
    page_with(status, &template)
}

async fn find_firm(app: &AppState, path: &FirmPath) -> Result<Firm, PageError> {
    let mut snapshot = app.snapshot().await?;
    store::find_firm(snapshot.conn(), path.firm).await?.ok_or(PageError::NotFound)
}

/// The form that grants sites to everybody of a firm.
///
/// # Errors
/// [`PageError`].
pub async fn firm_page(
    path: FirmPath,
    permit: Permit<KeepPeople>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    let firm = find_firm(&app, &path).await?;
    firm_form(&app, &permit, firm, None).await
}

/// Grants sites to everybody of a firm, those who join later too.
///
/// # Errors
/// [`PageError`].
pub async fn grant_firm(
    path: FirmPath,
    permit: Permit<KeepPeople>,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, PageError> {
    let firm = find_firm(&app, &path).await?;
    let mut snapshot = app.snapshot().await?;
    let sites = store::grants(snapshot.conn(), Holder::Firm(firm.id)).await?;
    drop(snapshot);
    let grants = match form::firm_grants(&sent.fields, &sites, app.clock.now()) {
        Ok(grants) => grants,
        Err(fields) => return firm_form(&app, &permit, firm, Some(fields)).await,
    };
    let intent = sent.intent(permit.person().actor(), "sites granted to a firm");
    acts::grant_firm(&app.writer, &app.clock, &permit, intent, &firm, &grants)
        .await
        .map_err(|error| PageError::of_act(error, sent.fields))?;
    see_other(&PeoplePath)
}
