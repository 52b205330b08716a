//! What all pages share: the state of the server, permits as extractors, sent forms, errors as pages,
//! the frame, static files, signatures and the guard against cross-site posts.

pub mod carry;
pub mod error;
pub mod fields;
pub mod files;
pub mod guard;
mod names;
pub mod permits;
pub mod session;
pub mod shell;
pub mod signature;
pub mod state;
pub mod upload;

pub use error::PageError;
pub use fields::{Checking, Fields, Sent};
pub use shell::Shell;
pub use state::AppState;
pub use upload::{Upload, Uploaded};

use askama::Template;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{Html, IntoResponse, Response};

/// A rendered template as an answer.
///
/// # Errors
/// [`PageError::Internal`] when the template fails.
pub fn page<T: Template>(template: &T) -> Result<Response, PageError> {
    page_with(StatusCode::OK, template)
}

/// A rendered template as an answer with a status of its own: 422 for a form to be mended.
///
/// # Errors
/// [`PageError::Internal`] when the template fails.
pub fn page_with<T: Template>(status: StatusCode, template: &T) -> Result<Response, PageError> {
    let html = template.render().map_err(|error| PageError::Internal(error.to_string()))?;
    // What a signed-in person saw must not be found in a shared device's cache.
    let no_store = [(header::CACHE_CONTROL, HeaderValue::from_static("no-store"))];
    Ok((status, no_store, Html(html)).into_response())
}

/// After a write: go and look (303).
///
/// # Errors
/// [`PageError::Internal`] when the address has characters no header may carry.
pub fn see_other(address: &impl ToString) -> Result<Response, PageError> {
    let location = HeaderValue::from_str(&address.to_string())
        .map_err(|error| PageError::Internal(error.to_string()))?;
    Ok((StatusCode::SEE_OTHER, [(header::LOCATION, location)]).into_response())
}
