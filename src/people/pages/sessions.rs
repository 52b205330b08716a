//! Sessions on pages: where somebody is signed in, and signing out everywhere.

use axum::extract::State;
use axum::http::{HeaderMap, header};
use axum::response::Response;

use crate::clock::{Utc, Zone};
use crate::people::acts::{self, Token};
use crate::people::model::Session;
use crate::people::pages::accounts::find;
use crate::people::pages::paths::{MePath, MySessionsPath, PersonPath, SessionsPath, SignInPath};
use crate::people::permit::{KeepPeople, Permit, See};
use crate::web::permits::token_of;
use crate::web::session::cookie;
use crate::web::{AppState, PageError, Sent, see_other};

/// One session as a page shows it.
pub(super) struct SessionRow {
    pub device: String,
    pub made: String,
    pub seen: String,
    /// Whether the page is looked at in it.
    pub here: bool,
}

/// The rows of a list of sessions; `own` is the one that asks.
pub(super) fn session_rows(sessions: &[Session], own: Option<&Token>) -> Vec<SessionRow> {
    let utc = Zone::stored("UTC");
    let shown = |at: Utc| utc.measured(at).shown();
    let own = own.map(Token::digest);
    let row = |session: &Session| SessionRow {
        device: match &*session.device {
            "" => "not known".to_owned(),
            device => device.to_owned(),
        },
        made: shown(session.made_at),
        seen: shown(session.seen_at),
        here: own.is_some_and(|own| own[..] == session.token_digest[..]),
    };
    sessions.iter().map(row).collect()
}

/// Ends all own sessions, or all but this one.
///
/// # Errors
/// [`PageError`].
pub async fn end_mine(
    _: MySessionsPath,
    permit: Permit<See>,
    State(app): State<AppState>,
    headers: HeaderMap,
    sent: Sent,
) -> Result<Response, PageError> {
    let token = token_of(&headers).ok_or(PageError::SignIn)?;
    let others = sent.fields.value("which") == "others";
    let kept = others.then_some(&token);
    let intent = sent.intent(permit.person().actor(), "signed out everywhere");
    acts::end_own_sessions(&app.writer, &app.clock, &permit, intent, kept)
        .await
        .map_err(|error| PageError::of_act(error, sent.fields))?;
    if others {
        return see_other(&MePath);
    }
    let mut answer = see_other(&SignInPath)?;
    answer.headers_mut().insert(header::SET_COOKIE, cookie(&app, "")?);
    Ok(answer)
}

/// Ends all sessions of somebody.
///
/// # Errors
/// [`PageError`].
pub async fn end_somebodys(
    path: SessionsPath,
    permit: Permit<KeepPeople>,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, PageError> {
    let person = find(&app, path.person).await?;
    let intent = sent.intent(permit.person().actor(), "sessions ended");
    acts::end_sessions(&app.writer, &app.clock, &permit, intent, &person)
        .await
        .map_err(|error| PageError::of_act(error, sent.fields))?;
    see_other(&PersonPath { person: path.person })
}
