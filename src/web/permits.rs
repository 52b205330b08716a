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

/// How long a session lasts at most: 14 days.
pub const SESSION_SECONDS: i64 = 14 * 24 * 3600;

/// The secret that the browser sent, if any.
#[must_use]
pub fn token_of(headers: &HeaderMap) -> Option<Token> {
    CookieJar::from_headers(headers).get(SESSION_COOKIE).map(|cookie| Token::sent(cookie.value()))
}

/// Who is signed in.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn person_of(app: &AppState, headers: &HeaderMap) -> Result<Option<Person>, StoreError> {
    let Some(token) = token_of(headers) else {
        return Ok(None);
    };
    let since = app.clock.now().plus_seconds(-SESSION_SECONDS);
    let mut snapshot = app.snapshot().await?;
    store::person_of_session(snapshot.conn(), &token.digest(), since).await
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
