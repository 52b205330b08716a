//! Permits as extractors: the signature of a handler says who may call it.

use axum::extract::{FromRequestParts, RawPathParams};
use axum::http::HeaderMap;
use axum::http::request::Parts;
use axum_extra::extract::CookieJar;

use crate::db::StoreError;
use crate::people::acts::Token;
use crate::people::model::Person;
use crate::people::permit::{Ability, Permit, SitePermit};
use crate::people::store;
use crate::web::{AppState, PageError};

/// The cookie that carries the session's secret.
pub const SESSION_COOKIE: &str = "standmast_session";

/// A session's last use is noted when the note is so old: often enough for sessions that end after hours, and
/// few enough writes.
const NOTED_SECONDS: i64 = 300;

/// The secret that the browser sent, if any.
#[must_use]
pub fn token_of(headers: &HeaderMap) -> Option<Token> {
    CookieJar::from_headers(headers).get(SESSION_COOKIE).map(|cookie| Token::sent(cookie.value()))
}

/// Who is signed in. Notes now and then that the session was used.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn person_of(app: &AppState, headers: &HeaderMap) -> Result<Option<Person>, StoreError> {
    let Some(token) = token_of(headers) else {
        return Ok(None);
    };
    let (now, digest) = (app.clock.now(), token.digest());
    let mut snapshot = app.snapshot().await?;
    let found = store::person_of_session(snapshot.conn(), &digest, now, app.sessions).await?;
    drop(snapshot);
    let Some((person, seen)) = found else { return Ok(None) };
    if now.seconds() - seen.seconds() >= NOTED_SECONDS
        && let Err(error) = store::touch_session(&app.writer, &digest, now).await
    {
        // The page is worth more than the note.
        tracing::warn!("a session's use could not be noted: {error}");
    }
    Ok(Some(person))
}

impl<A: Ability> FromRequestParts<AppState> for Permit<A> {
    type Rejection = PageError;

    async fn from_request_parts(parts: &mut Parts, app: &AppState) -> Result<Self, PageError> {
        let person = person_of(app, &parts.headers).await?.ok_or(PageError::SignIn)?;
        Ok(Self::of(person)?)
    }
}

impl<A: Ability> FromRequestParts<AppState> for SitePermit<A> {
    type Rejection = PageError;

    async fn from_request_parts(parts: &mut Parts, app: &AppState) -> Result<Self, PageError> {
        let person = person_of(app, &parts.headers).await?.ok_or(PageError::SignIn)?;
        let params =
            RawPathParams::from_request_parts(parts, app).await.map_err(|_| PageError::NotFound)?;
        let code = params
            .iter()
            .find(|(name, _)| *name == "site")
            .map(|(_, code)| code.to_owned())
            .ok_or(PageError::NotFound)?;
        let mut snapshot = app.snapshot().await?;
        Ok(Self::of(snapshot.conn(), app.clock.now(), person, &code).await?)
    }
}
