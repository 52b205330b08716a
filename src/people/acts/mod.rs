//! What people do with accounts: set up, add, change, grant, sign in and out.

mod grants;
mod sessions;

pub use grants::{FirmGrants, firm_basis, grant_firm};
pub use sessions::{NewSession, Token, end_own_sessions, end_sessions, sign_in, sign_out};

use serde_json::json;
use uuid::Uuid;

use crate::clock::Clock;
use crate::db::{StoreError, Writer};
use crate::journal::{Act, ActError, Actor, Begun, Entry, Intent};
use crate::people::acts::grants::regrant;
use crate::people::model::{Granting, Holder, Person, PersonDraft, Role};
use crate::people::permit::{KeepPeople, Permit, See};
use crate::people::store;

/// What came of an act that sets a password: a repetition must not show one. Either names the person.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Done {
    /// It was done now.
    Now(String),
    /// The same form did it before; the password of this sending was not taken.
    Before(String),
}

fn login_taken(error: StoreError) -> ActError {
    match error {
        StoreError::Taken(columns) if columns.contains("login") => ActError::Field {
            field: "login",
            message: "somebody else already signs in with this name; choose another".to_owned(),
        },
        other => ActError::Store(other),
    }
}

fn entry(draft: &PersonDraft, answer: Uuid) -> Entry {
    Entry {
        site_id: None,
        what: json!({"person": answer, "login": draft.login, "name": draft.name, "firm": draft.firm, "role": draft.role}),
        answer: answer.to_string(),
    }
}

/// Makes the first manager account; refused once there is anybody.
///
/// # Errors
/// [`ActError`].
pub async fn set_up(
    writer: &Writer,
    clock: &Clock,
    intent: Intent,
    draft: &PersonDraft,
    password_hash: &str,
) -> Result<String, ActError> {
    let mut act = match Act::begin(writer, clock, intent).await? {
        Begun::Again(answer) => return Ok(answer),
        Begun::New(act) => act,
    };
    if store::any(act.conn()).await? {
        return Err(ActError::Unknown);
    }
    let uuid = store::insert(&mut act, draft, password_hash).await.map_err(login_taken)?;
    act.commit(entry(draft, uuid)).await
}

/// Adds a person.
///
/// # Errors
/// [`ActError`].
pub async fn add(
    writer: &Writer,
    clock: &Clock,
    _: &Permit<KeepPeople>,
    intent: Intent,
    draft: &PersonDraft,
    password_hash: &str,
) -> Result<Done, ActError> {
    add_as(writer, clock, intent, draft, password_hash).await
}

/// Adds a person at the command line of the machine, whose operator owns the folder.
///
/// # Errors
/// [`ActError`].
pub async fn add_by_operator(
    writer: &Writer,
    clock: &Clock,
    draft: &PersonDraft,
    password_hash: &str,
) -> Result<Done, ActError> {
    let intent = Intent::without_form(clock, Actor::Operator, "person added", draft)?;
    add_as(writer, clock, intent, draft, password_hash).await
}

async fn add_as(
    writer: &Writer,
    clock: &Clock,
    intent: Intent,
    draft: &PersonDraft,
    password_hash: &str,
) -> Result<Done, ActError> {
    let mut act = match Act::begin(writer, clock, intent).await? {
        Begun::Again(answer) => return Ok(Done::Before(answer)),
        Begun::New(act) => act,
    };
    let uuid = store::insert(&mut act, draft, password_hash).await.map_err(login_taken)?;
    act.commit(entry(draft, uuid)).await.map(Done::Now)
}

/// What a manager says of a person who is already known.
#[derive(Debug, Clone)]
pub struct PersonChange {
    /// The version that the form was filled from.
    pub version: i64,
    /// Name, login, firm and role.
    pub draft: PersonDraft,
    /// Whether the account is closed; closing ends all sessions.
    pub disabled: bool,
    /// The sites that are granted, each with the end of its grant.
    pub sites: Vec<Granting>,
}

/// Changes a person and the sites granted. The last manager can be neither closed nor demoted.
///
/// # Errors
/// [`ActError`].
pub async fn change(
    writer: &Writer,
    clock: &Clock,
    _: &Permit<KeepPeople>,
    intent: Intent,
    uuid: Uuid,
    change: &PersonChange,
) -> Result<String, ActError> {
    let mut act = match Act::begin(writer, clock, intent).await? {
        Begun::Again(answer) => return Ok(answer),
        Begun::New(act) => act,
    };
    let person = store::find(act.conn(), uuid).await?.ok_or(ActError::Unknown)?;
    let stays_manager = change.draft.role == Role::Manager && !change.disabled;
    let only_manager = store::other_managers(act.conn(), person.id).await? == 0;
    if person.role == Role::Manager && !stays_manager && only_manager {
        return Err(ActError::Field {
            field: "role",
            message: "this is the only manager who can still sign in; make another one first"
                .to_owned(),
        });
    }
    store::update(&mut act, uuid, change.version, &change.draft, change.disabled)
        .await
        .map_err(login_taken)?;
    if change.disabled {
        store::end_sessions(&mut act, person.id).await?;
    }
    let sites = regrant(&mut act, Holder::Person(person.id), &change.sites).await?;
    let mut entry = entry(&change.draft, uuid);
    entry.what["disabled"] = json!(change.disabled);
    entry.what["sites"] = sites;
    act.commit(entry).await
}

/// Sets a new password for somebody and ends all of that person's sessions.
///
/// # Errors
/// [`ActError`].
pub async fn reset_password(
    writer: &Writer,
    clock: &Clock,
    _: &Permit<KeepPeople>,
    intent: Intent,
    person: &Person,
    password_hash: &str,
) -> Result<Done, ActError> {
    set_password(writer, clock, intent, person, password_hash, None).await
}

/// Sets the own new password, the old one having been checked, and ends all own sessions but the one of
/// `token`.
///
/// # Errors
/// [`ActError`].
pub async fn change_own_password(
    writer: &Writer,
    clock: &Clock,
    permit: &Permit<See>,
    intent: Intent,
    password_hash: &str,
    token: &Token,
) -> Result<Done, ActError> {
    set_password(writer, clock, intent, permit.person(), password_hash, Some(token)).await
}

/// Whether this very form was recorded before; asked where the form itself can no longer be checked, as
/// an old password cannot once it was replaced.
///
/// # Errors
/// [`ActError`], as [`Act::begin`].
pub async fn was_done(writer: &Writer, clock: &Clock, intent: Intent) -> Result<bool, ActError> {
    Ok(matches!(Act::begin(writer, clock, intent).await?, Begun::Again(_)))
}

/// Sets a new password at the command line.
///
/// # Errors
/// [`ActError`].
pub async fn reset_by_operator(
    writer: &Writer,
    clock: &Clock,
    person: &Person,
    password_hash: &str,
) -> Result<Done, ActError> {
    let intent = Intent::without_form(clock, Actor::Operator, "password reset", &person.uuid)?;
    set_password(writer, clock, intent, person, password_hash, None).await
}

async fn set_password(
    writer: &Writer,
    clock: &Clock,
    intent: Intent,
    person: &Person,
    password_hash: &str,
    kept: Option<&Token>,
) -> Result<Done, ActError> {
    let mut act = match Act::begin(writer, clock, intent).await? {
        Begun::Again(answer) => return Ok(Done::Before(answer)),
        Begun::New(act) => act,
    };
    store::set_password(&mut act, person.id, password_hash).await?;
    match kept {
        Some(token) => store::end_other_sessions(&mut act, person.id, &token.digest()).await?,
        None => store::end_sessions(&mut act, person.id).await?,
    }
    let what = json!({"person": person.uuid, "login": person.login});
    let entry = Entry { site_id: None, what, answer: person.uuid.to_string() };
    act.commit(entry).await.map(Done::Now)
}

/// Closes an account at the command line.
///
/// # Errors
/// [`ActError`].
pub async fn disable_by_operator(
    writer: &Writer,
    clock: &Clock,
    person: &Person,
) -> Result<String, ActError> {
    let intent = Intent::without_form(clock, Actor::Operator, "person disabled", &person.login)?;
    let mut act = match Act::begin(writer, clock, intent).await? {
        Begun::Again(answer) => return Ok(answer),
        Begun::New(act) => act,
    };
    let draft = PersonDraft {
        login: person.login.clone(),
        name: person.name.clone(),
        firm: person.firm.clone(),
        role: person.role,
    };
    store::update(&mut act, person.uuid, person.version, &draft, true).await?;
    store::end_sessions(&mut act, person.id).await?;
    let mut entry = entry(&draft, person.uuid);
    entry.what["disabled"] = json!(true);
    act.commit(entry).await
}
