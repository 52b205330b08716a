//! Recognising a person by sign-in name and password, slowed down for whoever guesses, and the session's
//! cookie.

use std::net::{IpAddr, SocketAddr};

use axum::extract::ConnectInfo;
use axum::http::{Extensions, HeaderMap, HeaderValue, StatusCode, header};
use axum_extra::extract::cookie::{Cookie, SameSite};
use time::Duration;

use crate::people::acts::{self, NewSession, Token};
use crate::people::model::{Person, device};
use crate::people::password::PasswordConfirmed;
use crate::people::store;
use crate::web::permits::{SESSION_COOKIE, token_of};
use crate::web::{AppState, Fields, PageError};

/// Why nobody was recognised.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unrecognised {
    /// There were too many attempts of late: so many seconds to wait.
    Wait(i64),
    /// Name and password do not fit together, or the account is closed; which of them is not told.
    Wrong,
}

impl Unrecognised {
    /// The status of the answer.
    #[must_use]
    pub fn status(self) -> StatusCode {
        match self {
            Self::Wait(_) => StatusCode::TOO_MANY_REQUESTS,
            Self::Wrong => StatusCode::UNPROCESSABLE_ENTITY,
        }
    }
}

/// The person whose sign-in name and password these are, with the proof that the password was typed just
/// now. An unknown name takes as long as a wrong password does.
///
/// - `from`: where the request came from, if it is known
///
/// # Errors
/// [`PageError::Internal`].
pub async fn recognise(
    app: &AppState,
    from: Option<IpAddr>,
    login: &str,
    password: &str,
) -> Result<Result<(Person, PasswordConfirmed), Unrecognised>, PageError> {
    let (now, neighbourhood) = (app.clock.now(), from.map(neighbourhood));
    if let Some(of) = &neighbourhood
        && let Err(seconds) = app.address_throttle.attempt(of, now)
    {
        return Ok(Err(Unrecognised::Wait(seconds)));
    }
    if let Err(seconds) = app.throttle.attempt(login, now) {
        return Ok(Err(Unrecognised::Wait(seconds)));
    }
    let mut snapshot = app.snapshot().await?;
    let person = store::find_login(snapshot.conn(), login).await?;
    drop(snapshot);
    let typed = password.to_owned();
    let Some(person) = person else {
        app.passwords.verify(typed, None).await?;
        return Ok(Err(Unrecognised::Wrong));
    };
    let Some(confirmed) = app.passwords.confirm(&app.reads, &person, typed).await? else {
        return Ok(Err(Unrecognised::Wrong));
    };
    app.throttle.forget(login);
    if let Some(of) = &neighbourhood {
        app.address_throttle.forgive(of);
    }
    Ok(Ok((person, confirmed)))
}

/// Where a request came from. Behind a proxy, which is there when people reach the server at a public address,
/// it is the last address that the proxy names; otherwise it is the other end of the connection.
#[must_use]
pub fn sender_address(
    app: &AppState,
    extensions: &Extensions,
    headers: &HeaderMap,
) -> Option<IpAddr> {
    if app.public_url.is_some() {
        let named = headers.get("x-forwarded-for")?.to_str().ok()?;
        return named.rsplit(',').next()?.trim().parse().ok();
    }
    extensions.get::<ConnectInfo<SocketAddr>>().map(|peer| peer.0.ip())
}

/// The address as far as it tells one subscriber from another: an IPv6 subscriber has a whole /64
/// (RFC 6177).
fn neighbourhood(address: IpAddr) -> String {
    match address.to_canonical() {
        IpAddr::V4(address) => address.to_string(),
        IpAddr::V6(address) => {
            let [a, b, c, d, ..] = address.segments();
            format!("{a:x}:{b:x}:{c:x}:{d:x}::/64")
        }
    }
}

/// Opens a session for a person whose password was checked, in the place of one that the browser may hold;
/// gives its secret and its cookie.
///
/// # Errors
/// [`PageError`].
pub async fn open(
    app: &AppState,
    headers: &HeaderMap,
    person: &Person,
) -> Result<(Token, HeaderValue), PageError> {
    let token = Token::new()?;
    let agent = headers.get(header::USER_AGENT).and_then(|value| value.to_str().ok());
    let before = token_of(headers);
    let session = NewSession {
        token: &token,
        device: device(agent.unwrap_or_default()),
        instead_of: before.as_ref(),
        rules: app.sessions,
    };
    acts::sign_in(&app.writer, &app.clock, person, &session)
        .await
        .map_err(|error| PageError::of_act(error, Fields::empty(&app.clock)))?;
    let cookie = cookie(app, token.text())?;
    Ok((token, cookie))
}

/// The session's cookie, or with an empty secret its end.
///
/// # Errors
/// [`PageError::Internal`] when the secret has characters no header may carry.
pub fn cookie(app: &AppState, secret: &str) -> Result<HeaderValue, PageError> {
    let seconds = if secret.is_empty() { 0 } else { app.sessions.longest_seconds };
    let cookie = Cookie::build((SESSION_COOKIE, secret))
        .path("/")
        .http_only(true)
        .same_site(SameSite::Lax)
        .secure(app.secure())
        .max_age(Duration::seconds(seconds))
        .build();
    HeaderValue::from_str(&cookie.to_string())
        .map_err(|error| PageError::Internal(error.to_string()))
}

#[cfg(test)]
mod tests {
    use super::neighbourhood;

    #[test]
    fn a_subscriber_is_one_address_or_one_network_of_64_bits() {
        for (address, of) in [
            ("192.0.2.7", "192.0.2.7"),
            ("::ffff:192.0.2.7", "192.0.2.7"),
            ("2001:db8:1:2:3:4:5:6", "2001:db8:1:2::/64"),
            ("2001:db8:1:2::1", "2001:db8:1:2::/64"),
        ] {
            assert_eq!(neighbourhood(address.parse().unwrap()), of);
        }
    }
}
