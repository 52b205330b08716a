//! Carries a form through a sign-in. A form that comes when the session has ended, or that somebody else than
//! the person signed in sends, is answered with a page that holds what was typed and asks who sends it; sent
//! from there it reaches its address as if that person had sent it. Passwords and files are not carried.

use std::net::IpAddr;

use askama::Template;
use axum::body::{Body, to_bytes};
use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use crate::people::model::Person;
use crate::web::fields::is_secret;
use crate::web::permits::{SESSION_COOKIE, person_of};
use crate::web::session::{Unrecognised, open, recognise, sender_address};
use crate::web::{AppState, Fields, PageError, Shell, page_with};

/// A form of text holds no more.
pub const FORM_BYTES: usize = 64 * 1024;

/// The tick in a form: somebody else sends it.
const SOMEBODY_ELSE: &str = "somebody_else";
/// Who sends it, on the page in between.
const LOGIN: &str = "carry_login";
/// The password of who sends it.
const PASSWORD: &str = "carry_password";

/// Forms that nobody has to be signed in for.
const DOORS: [&str; 2] = ["/sign-in", "/sign-out"];

type Values = Vec<(String, String)>;

#[derive(Template)]
#[template(path = "shared/carry.html")]
struct CarryPage {
    shell: Shell,
    /// Who is signed in, when somebody else sends the form.
    person: Option<String>,
    /// Who has just signed in and may not send it.
    refused: String,
    action: String,
    carried: Values,
    typed: Values,
    secrets: bool,
    fields: Fields,
}

/// The form as it came.
struct Form {
    action: String,
    /// What it holds without the fields of this module.
    values: Values,
    somebody_else: bool,
    login: Option<String>,
    password: String,
}

impl Form {
    fn read(action: String, body: &[u8]) -> Option<Self> {
        let mut values: Values = serde_html_form::from_bytes(body).ok()?;
        let mut take = |name: &str| {
            let at = values.iter().position(|(key, _)| key == name)?;
            let (_, value) = values.remove(at);
            Some(value)
        };
        let (login, password) = (take(LOGIN), take(PASSWORD).unwrap_or_default());
        let somebody_else = take(SOMEBODY_ELSE).is_some();
        Some(Self { action, values, somebody_else, login, password })
    }

    fn body(&self) -> Result<Vec<u8>, PageError> {
        serde_html_form::to_string(&self.values)
            .map(String::into_bytes)
            .map_err(|error| PageError::Internal(error.to_string()))
    }

    /// The page in between.
    fn page(&self, app: &AppState, status: StatusCode, asks: Asks<'_>) -> Response {
        let carried: Values =
            self.values.iter().filter(|(name, _)| !is_secret(name)).cloned().collect();
        let mut shown = Fields::empty(&app.clock);
        for (name, value) in &carried {
            shown = shown.with(name, value);
        }
        let mut fields =
            Fields::empty(&app.clock).with(LOGIN, self.login.as_deref().unwrap_or_default());
        if !asks.message.is_empty() {
            fields = fields.refusing(PASSWORD, asks.message);
        }
        let template = CarryPage {
            shell: Shell::maybe(asks.person),
            person: asks.person.map(|person| person.name.clone()),
            refused: asks.refused,
            action: self.action.clone(),
            secrets: carried.len() < self.values.len(),
            typed: shown.typed(),
            carried,
            fields,
        };
        page_with(status, &template).unwrap_or_else(IntoResponse::into_response)
    }
}

/// What the page in between says beside the form.
#[derive(Default)]
struct Asks<'a> {
    person: Option<&'a Person>,
    refused: String,
    message: String,
}

/// The layer: forms of text go through it, everything else goes past.
pub async fn carry(State(app): State<AppState>, request: Request, next: Next) -> Response {
    if !is_form(&request) {
        return next.run(request).await;
    }
    let address = request.uri().path_and_query().map(ToString::to_string).unwrap_or_default();
    let (parts, body) = request.into_parts();
    let Ok(bytes) = to_bytes(body, FORM_BYTES).await else {
        return PageError::TooLarge.into_response();
    };
    let Some(form) = Form::read(address, &bytes) else {
        return next.run(Request::from_parts(parts, Body::from(bytes))).await;
    };
    if form.login.is_some() {
        let from = sender_address(&app, &parts.extensions, &parts.headers);
        return match sent_by(&app, from, Request::from_parts(parts, Body::empty()), form, next)
            .await
        {
            Ok(response) => response,
            Err(error) => error.into_response(),
        };
    }
    if form.somebody_else {
        return match person_of(&app, &parts.headers).await {
            Ok(person) => {
                let asks = Asks { person: person.as_ref(), ..Asks::default() };
                form.page(&app, StatusCode::OK, asks)
            }
            Err(error) => PageError::from(error).into_response(),
        };
    }
    let response = next.run(Request::from_parts(parts, Body::from(bytes))).await;
    if response.status() == StatusCode::UNAUTHORIZED {
        return form.page(&app, StatusCode::UNAUTHORIZED, Asks::default());
    }
    response
}

fn is_form(request: &Request) -> bool {
    let kind = request.headers().get(header::CONTENT_TYPE).map(HeaderValue::as_bytes);
    let path = request.uri().path();
    request.method() == Method::POST
        && kind.is_some_and(|kind| kind.starts_with(b"application/x-www-form-urlencoded"))
        && !DOORS.contains(&path)
        && !path.starts_with("/set-up/")
}

/// Signs the sender in on this device, in the place of whoever was, and hands the form on as the sender's.
async fn sent_by(
    app: &AppState,
    from: Option<IpAddr>,
    request: Request,
    form: Form,
    next: Next,
) -> Result<Response, PageError> {
    let login = form.login.as_deref().unwrap_or_default().trim();
    let (mut parts, _) = request.into_parts();
    let (person, _) = match recognise(app, from, login, &form.password).await? {
        Ok(recognised) => recognised,
        Err(refused) => {
            let message = match refused {
                Unrecognised::Wait(seconds) => {
                    format!("too many attempts; wait {seconds} seconds, then try again")
                }
                Unrecognised::Wrong => "sign-in name and password do not fit together".to_owned(),
            };
            let before = person_of(app, &parts.headers).await?;
            let asks = Asks { person: before.as_ref(), message, ..Asks::default() };
            return Ok(form.page(app, refused.status(), asks));
        }
    };
    let (token, cookie) = open(app, &parts.headers, &person).await?;
    with_session(&mut parts.headers, token.text())?;
    let body = form.body()?;
    parts.headers.remove(header::CONTENT_LENGTH);
    let mut response = next.run(Request::from_parts(parts, Body::from(body))).await;
    if matches!(response.status(), StatusCode::FORBIDDEN | StatusCode::NOT_FOUND) {
        let refused = format!("{}, {}, may not send this form.", person.name, person.role.word());
        let asks = Asks { person: Some(&person), refused, ..Asks::default() };
        response = form.page(app, response.status(), asks);
    }
    response.headers_mut().append(header::SET_COOKIE, cookie);
    Ok(response)
}

/// Puts the new session in the place of the cookies that came.
fn with_session(headers: &mut HeaderMap, secret: &str) -> Result<(), PageError> {
    let cookie = HeaderValue::from_str(&format!("{SESSION_COOKIE}={secret}"))
        .map_err(|error| PageError::Internal(error.to_string()))?;
    headers.insert(header::COOKIE, cookie);
    Ok(())
}
