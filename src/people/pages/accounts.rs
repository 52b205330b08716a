//! The accounts, as managers keep them: list, new, change with grants, new password.

use std::collections::HashMap;

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use uuid::Uuid;

use crate::journal::ActError;
use crate::people::acts::{self, Done};
use crate::people::form;
use crate::people::model::{Holder, Person, Role};
use crate::people::pages::grants::{
    GrantRow, grant_rows, granted_in_words, shown_sites, with_grants,
};
use crate::people::pages::paths::{
    FirmPath, NewPersonPath, PasswordPath, PeoplePath, PersonPath, SessionsPath,
};
use crate::people::pages::sessions::{SessionRow, session_rows};
use crate::people::password;
use crate::people::permit::{KeepPeople, Permit};
use crate::people::store::{self, Held};
use crate::web::{AppState, Fields, PageError, Sent, Shell, page, page_with, see_other};

/// So many names stand in the sentence of what to do next.
const NAMES_SHOWN: usize = 3;

/// What a form offers as role.
fn roles() -> Vec<(&'static str, &'static str)> {
    Role::ALL.into_iter().map(|role| (role.word(), role.described())).collect()
}

struct PersonRow {
    href: String,
    name: String,
    firm: String,
    firm_href: String,
    role: &'static str,
    login: String,
    sites: String,
    mark: &'static str,
    state: &'static str,
}

#[derive(Template)]
#[template(path = "people/list.html")]
struct ListPage {
    shell: Shell,
    rows: Vec<PersonRow>,
    alone: bool,
    /// Headline and text of what to do next, if anything waits.
    next: Option<(String, String)>,
}

#[derive(Template)]
#[template(path = "people/new.html")]
struct NewPage {
    shell: Shell,
    fields: Fields,
    firms: Vec<String>,
    roles: Vec<(&'static str, &'static str)>,
}

#[derive(Template)]
#[template(path = "people/edit.html")]
struct EditPage {
    shell: Shell,
    fields: Fields,
    name: String,
    line: String,
    action: String,
    password_href: String,
    myself: bool,
    closed: bool,
    firms: Vec<String>,
    roles: Vec<(&'static str, &'static str)>,
    sites: Vec<GrantRow>,
    by_firm: String,
    firm_href: String,
    sessions_href: String,
    sessions: Vec<SessionRow>,
    ending: Fields,
}

#[derive(Template)]
#[template(path = "people/reset.html")]
struct ResetPage {
    shell: Shell,
    fields: Fields,
    name: String,
    login: String,
    person_href: String,
    action: String,
}

#[derive(Template)]
#[template(path = "people/password.html")]
struct PasswordPage {
    shell: Shell,
    name: String,
    login: String,
    /// The password to hand over; none when it was typed, or when the form was sent before.
    password: Option<String>,
    again: bool,
    person_href: String,
}

/// What a manager does next with the accounts.
fn next_step(people: usize, without_site: &[&str]) -> Option<(String, String)> {
    if people == 1 {
        return Some((
            "Add the people who will work here.".to_owned(),
            "A contractor measures; an engineer or manager of the station accepts, and nobody accepts what they declared themselves, unless the job is opened as single-handed.".to_owned(),
        ));
    }
    let named = without_site.iter().take(NAMES_SHOWN).copied().collect::<Vec<_>>().join(", ");
    let headline = match without_site.len() {
        0 => return None,
        count if count <= NAMES_SHOWN => format!("Grant sites to {named}."),
        count => format!("Grant sites to {named} and {} more.", count - NAMES_SHOWN),
    };
    let text = "Contractors and readers see only what they are granted, and without a grant nothing: open the name below and tick the sites.";
    Some((headline, text.to_owned()))
}

/// Everybody.
///
/// # Errors
/// [`PageError`].
pub async fn list(
    _: PeoplePath,
    permit: Permit<KeepPeople>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    let mut snapshot = app.snapshot().await?;
    let people = store::list(snapshot.conn()).await?;
    let firms = store::firm_uuids(snapshot.conn()).await?;
    let mut granted: HashMap<i64, Vec<Held>> = HashMap::new();
    for held in store::held_grants(snapshot.conn(), app.clock.now()).await? {
        granted.entry(held.person_id).or_default().push(held);
    }
    let codes = |person: &Person| granted.get(&person.id).map_or(&[][..], Vec::as_slice);
    let without_site: Vec<&str> = people
        .iter()
        .filter(|person| !person.disabled && !person.role.sees_all_sites())
        .filter(|person| codes(person).is_empty())
        .map(|person| person.name.as_str())
        .collect();
    let next = next_step(people.len(), &without_site);
    let rows: Vec<PersonRow> = people
        .iter()
        .map(|person| PersonRow {
            href: PersonPath { person: person.uuid }.to_string(),
            name: person.name.clone(),
            firm: person.firm.clone(),
            firm_href: firms
                .get(&person.firm_id)
                .map_or_else(String::new, |&firm| FirmPath { firm }.to_string()),
            role: person.role.word(),
            login: person.login.clone(),
            sites: shown_sites(person.role, codes(person)),
            mark: if person.disabled { "dash" } else { "tick" },
            state: if person.disabled { "closed" } else { "open" },
        })
        .collect();
    let alone = rows.len() == 1;
    page(&ListPage { shell: Shell::of(permit.person(), "/people"), rows, alone, next })
}

async fn firms(app: &AppState) -> Result<Vec<String>, PageError> {
    let mut snapshot = app.snapshot().await?;
    Ok(store::firms(snapshot.conn()).await?.into_iter().map(|(_, name)| name).collect())
}

async fn new_form(
    app: &AppState,
    permit: &Permit<KeepPeople>,
    status: StatusCode,
    fields: Fields,
) -> Result<Response, PageError> {
    let shell = Shell::of(permit.person(), "/people");
    page_with(status, &NewPage { shell, fields, firms: firms(app).await?, roles: roles() })
}

/// The form for a new person.
///
/// # Errors
/// [`PageError`].
pub async fn new_page(
    _: NewPersonPath,
    permit: Permit<KeepPeople>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    new_form(&app, &permit, StatusCode::OK, Fields::empty(&app.clock)).await
}

/// Adds a person and shows a generated password, this once: a repetition does not show it again.
///
/// # Errors
/// [`PageError`].
pub async fn add(
    _: NewPersonPath,
    permit: Permit<KeepPeople>,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, PageError> {
    let refused = StatusCode::UNPROCESSABLE_ENTITY;
    let new = match form::new_person(&sent.fields) {
        Ok(new) => new,
        Err(fields) => return new_form(&app, &permit, refused, fields).await,
    };
    let generated = if new.password.is_none() { Some(password::generated()?) } else { None };
    let password = new.password.or_else(|| generated.clone()).unwrap_or_default();
    let hash = app.passwords.hash(password).await?;
    let intent = sent.intent(permit.person().actor(), "person added");
    match acts::add(&app.writer, &app.clock, &permit, intent, &new.draft, &hash).await {
        Ok(done) => show_password(&app, &permit, done, generated).await,
        Err(ActError::Field { field, message }) => {
            new_form(&app, &permit, refused, sent.fields.refusing(field, message)).await
        }
        Err(error) => Err(PageError::of_act(error, sent.fields)),
    }
}

/// The page after a password was set.
async fn show_password(
    app: &AppState,
    permit: &Permit<KeepPeople>,
    done: Done,
    generated: Option<String>,
) -> Result<Response, PageError> {
    let (answer, password, again) = match done {
        Done::Now(answer) => (answer, generated, false),
        Done::Before(answer) => (answer, None, true),
    };
    let uuid = Uuid::parse_str(&answer).map_err(|_| PageError::NotFound)?;
    let person = find(app, uuid).await?;
    page(&PasswordPage {
        shell: Shell::of(permit.person(), "/people"),
        name: person.name,
        login: person.login,
        password,
        again,
        person_href: PersonPath { person: uuid }.to_string(),
    })
}

pub(super) async fn find(app: &AppState, uuid: Uuid) -> Result<Person, PageError> {
    let mut snapshot = app.snapshot().await?;
    store::find(snapshot.conn(), uuid).await?.ok_or(PageError::NotFound)
}

async fn edit_form(
    app: &AppState,
    permit: &Permit<KeepPeople>,
    person: &Person,
    status: StatusCode,
    typed: Option<Fields>,
) -> Result<Response, PageError> {
    let now = app.clock.now();
    let mut snapshot = app.snapshot().await?;
    let sites = store::grants(snapshot.conn(), Holder::Person(person.id)).await?;
    let of_firm = store::grants(snapshot.conn(), Holder::Firm(person.firm_id)).await?;
    let sessions = store::sessions(snapshot.conn(), person.id, now, app.sessions).await?;
    let firm = store::firm_uuids(snapshot.conn()).await?.remove(&person.firm_id);
    drop(snapshot);
    let fields = typed.unwrap_or_else(|| {
        let fields = Fields::empty(&app.clock)
            .with("login", &person.login)
            .with("name", &person.name)
            .with("firm", &person.firm)
            .with("role", person.role.word())
            .with("version", person.version)
            .with("disabled", if person.disabled { "yes" } else { "" });
        with_grants(fields, &sites, now)
    });
    let template = EditPage {
        shell: Shell::of(permit.person(), "/people"),
        name: person.name.clone(),
        line: format!("{}, {}", person.role.word(), person.firm),
        action: PersonPath { person: person.uuid }.to_string(),
        password_href: PasswordPath { person: person.uuid }.to_string(),
        sessions_href: SessionsPath { person: person.uuid }.to_string(),
        sessions: session_rows(&sessions, None),
        ending: Fields::empty(&app.clock),
        myself: person.id == permit.person().id,
        closed: person.disabled,
        firms: firms(app).await?,
        roles: roles(),
        sites: grant_rows(&fields, sites, now),
        by_firm: granted_in_words(&of_firm, now),
        firm_href: firm.map_or_else(String::new, |firm| FirmPath { firm }.to_string()),
        fields,
    };
    page_with(status, &template)
}

/// The form that changes a person.
///
/// # Errors
/// [`PageError`].
pub async fn edit_page(
    path: PersonPath,
    permit: Permit<KeepPeople>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    let person = find(&app, path.person).await?;
    edit_form(&app, &permit, &person, StatusCode::OK, None).await
}

/// Changes a person and the sites granted.
///
/// # Errors
/// [`PageError`].
pub async fn change(
    path: PersonPath,
    permit: Permit<KeepPeople>,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, PageError> {
    let person = find(&app, path.person).await?;
    let mut snapshot = app.snapshot().await?;
    let sites = store::grants(snapshot.conn(), Holder::Person(person.id)).await?;
    drop(snapshot);
    let refused = StatusCode::UNPROCESSABLE_ENTITY;
    let change = match form::change(&sent.fields, &sites, app.clock.now()) {
        Ok(change) => change,
        Err(fields) => return edit_form(&app, &permit, &person, refused, Some(fields)).await,
    };
    let intent = sent.intent(permit.person().actor(), "person changed");
    match acts::change(&app.writer, &app.clock, &permit, intent, path.person, &change).await {
        Ok(_) => see_other(&PeoplePath),
        Err(ActError::Field { field, message }) => {
            let fields = sent.fields.refusing(field, message);
            edit_form(&app, &permit, &person, refused, Some(fields)).await
        }
        Err(error) => Err(PageError::of_act(error, sent.fields)),
    }
}

/// Asks before somebody's password is replaced.
///
/// # Errors
/// [`PageError`].
pub async fn password_page(
    path: PasswordPath,
    permit: Permit<KeepPeople>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    let person = find(&app, path.person).await?;
    page(&ResetPage {
        shell: Shell::of(permit.person(), "/people"),
        fields: Fields::empty(&app.clock),
        name: person.name,
        login: person.login,
        person_href: PersonPath { person: path.person }.to_string(),
        action: path.to_string(),
    })
}

/// Replaces somebody's password by a generated one, shown this once.
///
/// # Errors
/// [`PageError`].
pub async fn reset_password(
    path: PasswordPath,
    permit: Permit<KeepPeople>,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, PageError> {
    let person = find(&app, path.person).await?;
    let generated = password::generated()?;
    let hash = app.passwords.hash(generated.clone()).await?;
    let intent = sent.intent(permit.person().actor(), "password reset");
    let done = acts::reset_password(&app.writer, &app.clock, &permit, intent, &person, &hash)
        .await
        .map_err(|error| PageError::of_act(error, sent.fields))?;
    show_password(&app, &permit, done, Some(generated)).await
}
