//! The door: signing in and out, and the one-time set-up of the first account.

use askama::Template;
use axum::extract::{Query, State};
use axum::http::{HeaderMap, HeaderValue, StatusCode, Uri, header};
use axum::response::Response;
use serde::Deserialize;

use crate::journal::{ActError, Actor};
use crate::people::acts;
use crate::people::form;
use crate::people::model::Person;
use crate::people::pages::paths::{PeoplePath, SetUpPath, SignInPath, SignOutPath};
use crate::people::store;
use crate::web::permits::{person_of, token_of};
use crate::web::session::{Unrecognised, cookie, open, recognise};
use crate::web::{AppState, Fields, PageError, Sent, Shell, page, page_with, see_other};

/// Where to go after signing in.
#[derive(Debug, Deserialize)]
pub struct Next {
    next: Option<String>,
    /// Somebody else signs in on a device on which somebody is signed in.
    other: Option<String>,
}

#[derive(Template)]
#[template(path = "people/sign_in.html")]
struct SignInPage {
    shell: Shell,
    fields: Fields,
}

#[derive(Template)]
#[template(path = "people/set_up.html")]
struct SetUpPage {
    shell: Shell,
    fields: Fields,
    action: String,
}

#[derive(Template)]
#[template(path = "people/set_up_closed.html")]
struct SetUpClosedPage {
    shell: Shell,
}

/// Only an address of this server is gone to. Browsers take a backslash for a slash and drop tabs and
/// line ends, so nothing with any of them passes.
fn local(next: &str) -> &str {
    let plain = next.bytes().all(|byte| byte.is_ascii_graphic() && byte != b'\\');
    if plain && next.starts_with('/') && !next.starts_with("//") { next } else { "/" }
}

/// The page of this server from which a link was followed.
fn referrer(headers: &HeaderMap) -> Option<String> {
    let from: Uri = headers.get(header::REFERER)?.to_str().ok()?.parse().ok()?;
    let host = headers.get(header::HOST)?.to_str().ok()?;
    (from.authority()?.as_str() == host)
        .then(|| from.path_and_query().map(ToString::to_string))
        .flatten()
}

/// Opens a session and puts its cookie on the answer.
async fn signed_in(
    app: &AppState,
    headers: &HeaderMap,
    person: &Person,
    mut answer: Response,
) -> Result<Response, PageError> {
    let (_, cookie) = open(app, headers, person).await?;
    answer.headers_mut().insert(header::SET_COOKIE, cookie);
    Ok(answer)
}

/// The sign-in page; who is signed in already goes on at once.
///
/// # Errors
/// [`PageError`].
pub async fn sign_in_page(
    _: SignInPath,
    State(app): State<AppState>,
    Query(query): Query<Next>,
    headers: HeaderMap,
) -> Result<Response, PageError> {
    let came_from = if query.other.is_some() { referrer(&headers) } else { None };
    let next = local(query.next.as_deref().or(came_from.as_deref()).unwrap_or_default());
    if query.other.is_none() && person_of(&app, &headers).await?.is_some() {
        return see_other(&next);
    }
    let fields = Fields::empty(&app.clock).with("next", next);
    page(&SignInPage { shell: Shell::bare(), fields })
}

/// Checks login and password and opens a session.
///
/// # Errors
/// [`PageError`].
pub async fn sign_in(
    _: SignInPath,
    State(app): State<AppState>,
    headers: HeaderMap,
    sent: Sent,
) -> Result<Response, PageError> {
    let login = sent.fields.value("login").trim().to_owned();
    let refused = |status, message: String| {
        let fields = sent.fields.clone().refusing("", message);
        page_with(status, &SignInPage { shell: Shell::bare(), fields })
    };
    let password = sent.fields.value("password");
    let (person, _) = match recognise(&app, sent.from(), &login, password).await? {
        Ok(recognised) => recognised,
        Err(Unrecognised::Wait(seconds)) => {
            let message = format!(
                "There were too many attempts with this sign-in name. Wait {seconds} seconds, then try again. If the password is lost, a manager can give you a new one."
            );
            let mut answer = refused(StatusCode::TOO_MANY_REQUESTS, message)?;
            answer.headers_mut().insert(header::RETRY_AFTER, HeaderValue::from(seconds));
            return Ok(answer);
        }
        Err(Unrecognised::Wrong) => {
            let message = "Sign-in name and password do not fit together. Try again, or ask a manager for a new password.";
            return refused(StatusCode::UNPROCESSABLE_ENTITY, message.to_owned());
        }
    };
    signed_in(&app, &headers, &person, see_other(&local(sent.fields.value("next")))?).await
}

/// Ends the session.
///
/// # Errors
/// [`PageError`].
pub async fn sign_out(
    _: SignOutPath,
    State(app): State<AppState>,
    headers: HeaderMap,
) -> Result<Response, PageError> {
    if let (Some(person), Some(token)) = (person_of(&app, &headers).await?, token_of(&headers)) {
        acts::sign_out(&app.writer, &app.clock, &person, &token)
            .await
            .map_err(|error| PageError::of_act(error, Fields::empty(&app.clock)))?;
    }
    let mut answer = see_other(&SignInPath)?;
    answer.headers_mut().insert(header::SET_COOKIE, cookie(&app, "")?);
    Ok(answer)
}

/// Whether the set-up is open under this secret. The command line may have added somebody meanwhile.
async fn is_open(app: &AppState, path: &SetUpPath) -> Result<bool, PageError> {
    let mut snapshot = app.snapshot().await?;
    Ok(app.set_up_is(&path.secret) && !store::any(snapshot.conn()).await?)
}

fn closed() -> Result<Response, PageError> {
    page_with(StatusCode::NOT_FOUND, &SetUpClosedPage { shell: Shell::bare() })
}

fn set_up_form(
    path: &SetUpPath,
    status: StatusCode,
    fields: Fields,
) -> Result<Response, PageError> {
    page_with(status, &SetUpPage { shell: Shell::bare(), fields, action: path.to_string() })
}

/// The page that makes the first account.
///
/// # Errors
/// [`PageError`].
pub async fn set_up_page(
    path: SetUpPath,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    if !is_open(&app, &path).await? {
        return closed();
    }
    set_up_form(&path, StatusCode::OK, Fields::empty(&app.clock))
}

/// Makes the first account, signs it in and closes the set-up for good.
///
/// # Errors
/// [`PageError`].
pub async fn set_up(
    path: SetUpPath,
    State(app): State<AppState>,
    headers: HeaderMap,
    sent: Sent,
) -> Result<Response, PageError> {
    if !is_open(&app, &path).await? {
        return closed();
    }
    let first = match form::first_manager(&sent.fields) {
        Ok(first) => first,
        Err(fields) => return set_up_form(&path, StatusCode::UNPROCESSABLE_ENTITY, fields),
    };
    let hash = app.passwords.hash(first.password).await?;
    // Whoever holds the printed address works at the machine or for its operator.
    let intent = sent.intent(Actor::Operator, "record set up");
    match acts::set_up(&app.writer, &app.clock, intent, &first.draft, &hash).await {
        Ok(_) => {}
        Err(ActError::Unknown) => return closed(),
        Err(error) => return Err(PageError::of_act(error, sent.fields)),
    }
    app.set_set_up(None);
    let mut snapshot = app.snapshot().await?;
    let person = store::find_login(snapshot.conn(), &first.draft.login).await?;
    drop(snapshot);
    let person = person.ok_or(PageError::NotFound)?;
    signed_in(&app, &headers, &person, see_other(&PeoplePath)?).await
}

#[cfg(test)]
mod tests {
    use super::local;

    #[test]
    fn only_addresses_of_this_server_are_gone_to() {
        for fine in ["/", "/sites/tern-ridge?x=1", "/people"] {
            assert_eq!(local(fine), fine);
        }
        let foreign = [
            "",
            "sites",
            "//elsewhere.example",
            "/\\elsewhere.example",
            "https://elsewhere.example",
            "/\t/elsewhere.example",
            "/\n/elsewhere.example",
            "/é",
        ];
        for next in foreign {
            assert_eq!(local(next), "/", "{next:?}");
        }
    }
}
