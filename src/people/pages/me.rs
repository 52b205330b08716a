//! The own account: who one is here, and the own password.

use askama::Template;
use axum::extract::State;
use axum::http::{HeaderMap, StatusCode};
use axum::response::Response;

use crate::people::acts::{self, Token};
use crate::people::form;
use crate::people::model::{Holder, Person};
use crate::people::pages::grants::granted_in_words;
use crate::people::pages::paths::MePath;
use crate::people::pages::sessions::{SessionRow, session_rows};
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
    by_firm: String,
    sessions: Vec<SessionRow>,
    idle: i64,
    longest: i64,
    changed: bool,
    fields: Fields,
    ending: Fields,
}

async fn me(
    app: &AppState,
    person: &Person,
    token: Option<&Token>,
    status: StatusCode,
    fields: Fields,
    changed: bool,
) -> Result<Response, PageError> {
    let mut snapshot = app.snapshot().await?;
    let now = app.clock.now();
    let own = store::grants(snapshot.conn(), Holder::Person(person.id)).await?;
    let of_firm = store::grants(snapshot.conn(), Holder::Firm(person.firm_id)).await?;
    let sessions = store::sessions(snapshot.conn(), person.id, now, app.sessions).await?;
    drop(snapshot);
    let own = granted_in_words(&own, now);
    let sites = match (person.role.sees_all_sites(), own.is_empty()) {
        (true, _) => "all".to_owned(),
        (false, true) => "none yet; a manager grants them".to_owned(),
        (false, false) => own,
    };
    let template = MePage {
        shell: Shell::of(person, "/me"),
        name: person.name.clone(),
        firm: person.firm.clone(),
        role: person.role.word(),
        login: person.login.clone(),
        sites,
        by_firm: if person.role.sees_all_sites() {
            String::new()
        } else {
            granted_in_words(&of_firm, now)
        },
        sessions: session_rows(&sessions, token),
        idle: app.sessions.idle_seconds / 3600,
        longest: app.sessions.longest_seconds / 86_400,
        changed,
        fields,
        ending: Fields::empty(&app.clock),
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
    headers: HeaderMap,
) -> Result<Response, PageError> {
    let token = token_of(&headers);
    me(&app, permit.person(), token.as_ref(), StatusCode::OK, Fields::empty(&app.clock), false)
        .await
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
        return me(&app, person, Some(&token), StatusCode::OK, Fields::empty(&app.clock), true)
            .await;
    }
    let change = match form::own_password(&sent.fields) {
        Ok(change) => change,
        Err(fields) => return me(&app, person, Some(&token), refused, fields, false).await,
    };
    if let Err(seconds) = app.throttle.attempt(&person.login, app.clock.now()) {
        let message = format!("too many attempts; wait {seconds} seconds, then try again");
        let fields = sent.fields.clone().refusing("old_password", message);
        return me(&app, person, Some(&token), StatusCode::TOO_MANY_REQUESTS, fields, false).await;
    }
    let mut snapshot = app.snapshot().await?;
    let hash = store::password_hash(snapshot.conn(), person.id).await?;
    drop(snapshot);
    if !app.passwords.verify(change.old, hash).await? {
        let fields =
            sent.fields.clone().refusing("old_password", "this is not the present password");
        return me(&app, person, Some(&token), refused, fields, false).await;
    }
    app.throttle.forget(&person.login);
    let hash = app.passwords.hash(change.new).await?;
    acts::change_own_password(&app.writer, &app.clock, &permit, intent, &hash, &token)
        .await
        .map_err(of_act)?;
    me(&app, person, Some(&token), StatusCode::OK, Fields::empty(&app.clock), true).await
}
