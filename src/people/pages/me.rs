//! The own account: who one is here, and the own password.

use askama::Template;
use axum::extract::State;
use axum::http::{HeaderMap, StatusCode};
use axum::response::Response;

use crate::people::acts;
use crate::people::form;
use crate::people::model::Person;
use crate::people::pages::paths::MePath;
use crate::people::permit::{Permit, See};
use crate::people::store;
use crate::web::permits::token_of;
use crate::web::{AppState, Fields, PageError, Sent, Shell, page_with};

#[derive(Template)]
#[template(path = "people/me.html")]
struct MePage {
    shell: Shell,
    name: String,
    firm: String,
    role: &'static str,
    login: String,
    sites: String,
    changed: bool,
    fields: Fields,
}

async fn me(
    app: &AppState,
    person: &Person,
    status: StatusCode,
    fields: Fields,
    changed: bool,
) -> Result<Response, PageError> {
    let mut snapshot = app.snapshot().await?;
    let now = app.clock.now();
    let granted: Vec<String> = store::grants(snapshot.conn(), person.id, now)
        .await?
        .into_iter()
        .filter_map(|(_, code, _, granted)| granted.then_some(code))
        .collect();
    let sites = if person.role.sees_all_sites() {
        "all".to_owned()
    } else if granted.is_empty() {
        "none yet; a manager grants them".to_owned()
    } else {
        granted.join(", ")
    };
    let template = MePage {
        shell: Shell::of(person, "/me"),
        name: person.name.clone(),
        firm: person.firm.clone(),
        role: person.role.word(),
        login: person.login.clone(),
        sites,
        changed,
        fields,
    };
    page_with(status, &template)
}

/// The own account.
///
/// # Errors
/// [`PageError`].
pub async fn me_page(
    _: MePath,
    permit: Permit<See>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    me(&app, permit.person(), StatusCode::OK, Fields::empty(&app.clock), false).await
}

/// Changes the own password and ends all sessions but this one.
///
/// # Errors
/// [`PageError`].
pub async fn change_password(
    _: MePath,
    permit: Permit<See>,
    State(app): State<AppState>,
    headers: HeaderMap,
    sent: Sent,
) -> Result<Response, PageError> {
    let person = permit.person();
    let token = token_of(&headers).ok_or(PageError::SignIn)?;
    let refused = StatusCode::UNPROCESSABLE_ENTITY;
    let intent = sent.intent(person.actor(), "own password changed");
    let of_act = |error| PageError::of_act(error, sent.fields.clone());
    if acts::was_done(&app.writer, &app.clock, intent.clone()).await.map_err(of_act)? {
        return me(&app, person, StatusCode::OK, Fields::empty(&app.clock), true).await;
    }
    let change = match form::own_password(&sent.fields) {
        Ok(change) => change,
        Err(fields) => return me(&app, person, refused, fields, false).await,
    };
    if let Err(seconds) = app.throttle.attempt(&person.login, app.clock.now()) {
        let message = format!("too many attempts; wait {seconds} seconds, then try again");
        let fields = sent.fields.clone().refusing("old_password", message);
        return me(&app, person, StatusCode::TOO_MANY_REQUESTS, fields, false).await;
    }
    let mut snapshot = app.snapshot().await?;
    let hash = store::password_hash(snapshot.conn(), person.id).await?;
    drop(snapshot);
    if !app.passwords.verify(change.old, hash).await? {
        let fields =
            sent.fields.clone().refusing("old_password", "this is not the present password");
        return me(&app, person, refused, fields, false).await;
    }
    app.throttle.forget(&person.login);
    let hash = app.passwords.hash(change.new).await?;
    acts::change_own_password(&app.writer, &app.clock, &permit, intent, &hash, &token)
        .await
        .map_err(of_act)?;
    me(&app, person, StatusCode::OK, Fields::empty(&app.clock), true).await
}
