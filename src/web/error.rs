//! Errors as pages: a handler gives a [`PageError`]; one layer draws it in the frame.

use askama::Template;
use axum::extract::rejection::PathRejection;
use axum::extract::{Request, State};
use axum::http::{HeaderMap, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use crate::db::StoreError;
use crate::journal::ActError;
use crate::people::password::PasswordError;
use crate::people::permit::Denied;
use crate::problem::Problem;
use crate::web::permits::person_of;
use crate::web::{AppState, Fields, Shell, page_with, see_other};

/// Why there is no page. What was typed travels along where there was a form.
#[derive(Debug)]
pub enum PageError {
    /// Nobody is signed in.
    SignIn,
    /// The person may know of it but not do this.
    Forbidden,
    /// It does not exist, or the person may not know of it.
    NotFound,
    /// The request itself is malformed.
    BadRequest(&'static str),
    /// The address exists, but not for this kind of request.
    Method,
    /// More was sent than a form may hold.
    TooLarge,
    /// Sent from a page of another site.
    CrossSite,
    /// Somebody else changed it meanwhile, or the form's number was already used for something else.
    Conflict(&'static str, Box<Fields>),
    /// The judge found something in the way.
    Refused(Vec<Problem>, Box<Fields>),
    /// A kept file is no longer where it was put, or no longer what it was.
    Lost,
    /// The server is too busy to do this now.
    Busy,
    /// A fault of the program or the machine. The text is logged and never shown.
    Internal(String),
}

impl From<StoreError> for PageError {
    fn from(error: StoreError) -> Self {
        Self::Internal(error.to_string())
    }
}

impl From<PasswordError> for PageError {
    fn from(error: PasswordError) -> Self {
        Self::Internal(error.to_string())
    }
}

impl From<Denied> for PageError {
    fn from(denied: Denied) -> Self {
        match denied {
            Denied::Forbidden => Self::Forbidden,
            Denied::NotFound => Self::NotFound,
            Denied::Store(error) => error.into(),
        }
    }
}

/// For `#[typed_path("..", rejection(PageError))]`: an address whose parts are no names of anything.
impl From<PathRejection> for PageError {
    fn from(_: PathRejection) -> Self {
        Self::NotFound
    }
}

impl PageError {
    /// What an answer that a library gave without a page stands for.
    fn of_status(status: StatusCode) -> Self {
        match status {
            StatusCode::UNAUTHORIZED => Self::SignIn,
            StatusCode::FORBIDDEN => Self::Forbidden,
            StatusCode::NOT_FOUND => Self::NotFound,
            StatusCode::METHOD_NOT_ALLOWED => Self::Method,
            StatusCode::PAYLOAD_TOO_LARGE => Self::TooLarge,
            StatusCode::SERVICE_UNAVAILABLE => Self::Busy,
            status if status.is_client_error() => {
                Self::BadRequest("The server could not make out what was asked. Nothing was saved.")
            }
            status => Self::Internal(format!("an answer with status {status} and no page")),
        }
    }

    /// An act that did not happen, for a form whose fields are not to blame.
    #[must_use]
    pub fn of_act(error: ActError, typed: Fields) -> Self {
        match error {
            ActError::Refused(problems) => Self::Refused(problems, Box::new(typed)),
            ActError::OtherContent => Self::Conflict(
                "This form was already sent with other content. Nothing more was saved. Open the page again to record something new.",
                Box::new(typed),
            ),
            ActError::Store(StoreError::Stale) => Self::Conflict(
                "Somebody else changed this while you were editing. Nothing was saved. Open it again, compare, and enter your change once more.",
                Box::new(typed),
            ),
            ActError::Field { field, message } => Self::Refused(
                vec![Problem::blocking("FIELD", Some(field), message)],
                Box::new(typed),
            ),
            ActError::Unknown => Self::NotFound,
            ActError::Store(error) => error.into(),
        }
    }

    /// Status, title and text of its page.
    fn words(&self) -> (StatusCode, &'static str, &'static str) {
        match self {
            Self::SignIn => (
                StatusCode::UNAUTHORIZED,
                "Please sign in",
                "Nobody is signed in on this device, or the session has ended. Nothing was saved.",
            ),
            Self::Forbidden => (
                StatusCode::FORBIDDEN,
                "Not yours to do",
                "Your role does not include this. Nothing was changed. A manager can do it, or change your role.",
            ),
            Self::NotFound => (
                StatusCode::NOT_FOUND,
                "Not found",
                "There is no such page here, or you have no grant for the site it belongs to.",
            ),
            Self::BadRequest(text) => {
                (StatusCode::BAD_REQUEST, "That request cannot be read", text)
            }
            Self::Method => (
                StatusCode::METHOD_NOT_ALLOWED,
                "That cannot be done here",
                "This address takes no such request. Nothing was changed.",
            ),
            Self::TooLarge => (
                StatusCode::PAYLOAD_TOO_LARGE,
                "Too much at once",
                "A form may hold up to 64 kB of text, and up to 12 files of 12 MiB each where it takes files. Nothing was saved.",
            ),
            Self::CrossSite => (
                StatusCode::FORBIDDEN,
                "Sent from another site",
                "This form was sent from a page that is not part of this record. Nothing was saved.",
            ),
            Self::Conflict(text, _) => (StatusCode::CONFLICT, "Not saved: it has changed", text),
            Self::Refused(..) => (
                StatusCode::CONFLICT,
                "Not done: something stands in the way",
                "Nothing was saved.",
            ),
            Self::Lost => (
                StatusCode::NOT_FOUND,
                "The file is not there",
                "The file is missing from the server's data folder, or is no longer the one that was uploaded. Its digest and what was said of it stay on the record. The operator can put the file back from a backup.",
            ),
            // The time may have run out, or the fault happened, after the act itself.
            Self::Busy => (
                StatusCode::SERVICE_UNAVAILABLE,
                "Busy",
                "The server has too much to do just now. Try again in a minute; a form sent again does nothing twice.",
            ),
            Self::Internal(_) => (
                StatusCode::INTERNAL_SERVER_ERROR,
                "A fault in the server",
                "Something went wrong here, not with what you entered. Look whether it was saved, and if not send it again; a form sent again does nothing twice. The operator finds the cause in the server's log.",
            ),
        }
    }

    fn view(self) -> View {
        let (status, title, text) = self.words();
        let (problems, typed) = match self {
            Self::Conflict(_, typed) => (Vec::new(), typed.typed()),
            Self::Refused(problems, typed) => (problems, typed.typed()),
            Self::Internal(cause) => {
                tracing::error!("{cause}");
                (Vec::new(), Vec::new())
            }
            _ => (Vec::new(), Vec::new()),
        };
        View { status, title, text, problems, typed }
    }
}

/// What the layer draws.
#[derive(Debug, Clone)]
struct View {
    status: StatusCode,
    title: &'static str,
    text: &'static str,
    problems: Vec<Problem>,
    typed: Vec<(String, String)>,
}

impl IntoResponse for PageError {
    fn into_response(self) -> Response {
        let view = self.view();
        let mut response = view.status.into_response();
        response.extensions_mut().insert(view);
        response
    }
}

#[derive(Template)]
#[template(path = "shared/error.html")]
struct ErrorPage {
    shell: Shell,
    title: &'static str,
    text: &'static str,
    problems: Vec<Problem>,
    typed: Vec<(String, String)>,
    sign_in: bool,
}

/// Draws every [`PageError`] in the frame, and every error that the framework answered without a page;
/// whoever only lacks a session when opening a page is sent to sign in and back.
pub async fn draw_errors(State(app): State<AppState>, request: Request, next: Next) -> Response {
    let opening = request.method() == Method::GET;
    let address = request.uri().path_and_query().map(ToString::to_string).unwrap_or_default();
    let headers = request.headers().clone();
    let mut response = next.run(request).await;
    let view = match response.extensions_mut().remove::<View>() {
        Some(view) => view,
        None if is_bare_error(&response) => PageError::of_status(response.status()).view(),
        None => return response,
    };
    if view.status == StatusCode::UNAUTHORIZED && opening {
        let next: String = address.bytes().map(|byte| format!("%{byte:02X}")).collect();
        return see_other(&format!("/sign-in?next={next}")).unwrap_or_else(|_| bare(&view));
    }
    let mut drawn = draw(&app, &headers, &view).await;
    // What the answer said about itself besides (which requests the address takes) is kept.
    let mut kept = std::mem::take(response.headers_mut());
    kept.remove(header::CONTENT_LENGTH);
    kept.extend(std::mem::take(drawn.headers_mut()));
    *drawn.headers_mut() = kept;
    drawn
}

/// Whether it is an error without a page: with no text, or with a library's plain one.
fn is_bare_error(response: &Response) -> bool {
    let status = response.status();
    let kind = response.headers().get(header::CONTENT_TYPE);
    (status.is_client_error() || status.is_server_error())
        && kind.is_none_or(|kind| kind.as_bytes().starts_with(b"text/plain"))
}

async fn draw(app: &AppState, headers: &HeaderMap, view: &View) -> Response {
    let person = person_of(app, headers).await.ok().flatten();
    let template = ErrorPage {
        shell: Shell::maybe(person.as_ref()),
        title: view.title,
        text: view.text,
        problems: view.problems.clone(),
        typed: view.typed.clone(),
        sign_in: view.status == StatusCode::UNAUTHORIZED,
    };
    page_with(view.status, &template).unwrap_or_else(|_| bare(view))
}

/// If even the frame cannot be drawn.
fn bare(view: &View) -> Response {
    (view.status, [(header::CONTENT_TYPE, "text/plain; charset=utf-8")], view.text).into_response()
}
