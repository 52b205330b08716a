//! The router: the routes of every concept, and the layers that stand before them all.

use std::any::Any;
use std::time::Duration;

use axum::Router;
use axum::extract::{DefaultBodyLimit, Request, State};
use axum::http::StatusCode;
use axum::middleware::{from_fn, from_fn_with_state};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::compression::CompressionLayer;
use tower_http::timeout::TimeoutLayer;
use tower_http::trace::{DefaultOnResponse, TraceLayer};
use tracing::{Level, Span};

use crate::instruments;
use crate::people;
use crate::people::model::Role;
use crate::people::pages::{MePath, PeoplePath};
use crate::people::permit::{Permit, See};
use crate::people::store;
use crate::sites;
use crate::web::error::draw_errors;
use crate::web::{AppState, PageError, files, guard, see_other};

/// A form holds no more; a page that takes files sets its own limit.
const BODY_BYTES: usize = 64 * 1024;

/// Whoever waits longer is told that the server is busy.
const REQUEST_TIME: Duration = Duration::from_secs(30);

/// Everything the server answers.
pub fn router(app: AppState) -> Router {
    Router::new()
        .route("/", get(home))
        .route("/health", get(health))
        .route("/static/{*name}", get(files::serve))
        .merge(people::pages::routes())
        .merge(instruments::pages::routes())
        .merge(sites::pages::routes())
        .fallback(|| async { PageError::NotFound })
        // The last layer is the outermost.
        .layer(DefaultBodyLimit::max(BODY_BYTES))
        .layer(TimeoutLayer::with_status_code(StatusCode::SERVICE_UNAVAILABLE, REQUEST_TIME))
        .layer(CatchPanicLayer::custom(panicked))
        .layer(from_fn_with_state(app.clone(), guard::same_site))
        .layer(from_fn_with_state(app.clone(), draw_errors))
        .layer(CompressionLayer::new())
        .layer(from_fn(guard::headers))
        .layer(
            TraceLayer::new_for_http()
                .make_span_with(span)
                .on_response(DefaultOnResponse::new().level(Level::INFO)),
        )
        .with_state(app)
}

/// Where a person's day begins.
async fn home(permit: Permit<See>) -> Result<Response, PageError> {
    match permit.person().role {
        Role::Manager => see_other(&PeoplePath),
        Role::Contractor | Role::Engineer | Role::Reader => see_other(&MePath),
    }
}

/// For whoever watches the server: `ok` after a read of the database.
async fn health(State(app): State<AppState>) -> Result<&'static str, PageError> {
    let mut snapshot = app.snapshot().await?;
    store::any(snapshot.conn()).await?;
    Ok("ok")
}

fn panicked(panic: Box<dyn Any + Send>) -> Response {
    let text = panic
        .downcast_ref::<String>()
        .map(String::as_str)
        .or_else(|| panic.downcast_ref::<&str>().copied())
        .unwrap_or("without a text");
    PageError::Internal(format!("a handler panicked: {text}")).into_response()
}

/// What the log says of a request: neither its query nor a secret in its path.
fn span(request: &Request) -> Span {
    let path = request.uri().path();
    let path = if path.starts_with("/set-up/") { "/set-up/…" } else { path };
    tracing::info_span!("request", method = %request.method(), path)
}
