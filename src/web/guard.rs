//! What stands before every handler: posts from other sites are refused, and every answer carries the
//! headers that keep foreign content out.

use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use crate::web::{AppState, PageError};

/// Nothing from elsewhere, no inline script or style, no frame around us.
const POLICY: &str = "default-src 'none'; style-src 'self'; script-src 'self'; font-src 'self'; img-src 'self' data:; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

/// Refuses a post that a page of another site sent. A browser says where a request comes from in
/// `Sec-Fetch-Site` (W3C Fetch Metadata), older ones in `Origin`; what says neither is no browser and
/// carries no cookie by accident.
fn from_elsewhere(app: &AppState, headers: &HeaderMap) -> bool {
    if let Some(site) = headers.get("sec-fetch-site") {
        return !matches!(site.as_bytes(), b"same-origin" | b"none");
    }
    let Some(origin) = headers.get(header::ORIGIN).and_then(|value| value.to_str().ok()) else {
        return false;
    };
    if app.public_url.as_deref().is_some_and(|url| url.trim_end_matches('/') == origin) {
        return false;
    }
    let host = headers.get(header::HOST).and_then(|value| value.to_str().ok());
    let authority = origin.split_once("://").map(|(_, authority)| authority);
    authority.is_none() || authority != host
}

/// Refuses what a page of another site sent.
pub async fn same_site(State(app): State<AppState>, request: Request, next: Next) -> Response {
    let writes = !matches!(*request.method(), Method::GET | Method::HEAD);
    if writes && from_elsewhere(&app, request.headers()) {
        return PageError::CrossSite.into_response();
    }
    next.run(request).await
}

/// Puts the headers on every answer that keep foreign content out; outermost, so that no answer goes
/// out without them.
pub async fn headers(request: Request, next: Next) -> Response {
    let mut response = next.run(request).await;
    let headers = response.headers_mut();
    let fixed = [
        (header::CONTENT_SECURITY_POLICY, POLICY),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "same-origin"),
        (header::X_FRAME_OPTIONS, "DENY"),
    ];
    for (name, value) in fixed {
        headers.insert(name, HeaderValue::from_static(value));
    }
    response
}
