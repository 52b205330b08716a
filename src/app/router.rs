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

use crate::acceptance;
use crate::equipment;
use crate::instruments;
use crate::jobs;
use crate::maintenance;
use crate::people;
use crate::people::permit::{Permit, See};
use crate::people::store;
use crate::register;
use crate::register::pages::SitesPath;
use crate::sites;
use crate::web::error::draw_errors;
use crate::web::upload::UPLOAD_BYTES;
use crate::web::{AppState, PageError, carry, files, guard, see_other};

/// A form holds no more; a page that takes files sets its own limit.
const BODY_BYTES: usize = carry::FORM_BYTES;

/// Whoever waits longer is told that the server is busy.
const REQUEST_TIME: Duration = Duration::from_secs(30);

/// Photos over a poor connection take longer than a page.
const UPLOAD_TIME: Duration = Duration::from_secs(20 * 60);

/// Everything the server answers.
pub fn router(app: AppState) -> Router {
    let routes = Router::new()
        .route("/", get(home))
        .route("/health", get(health))
        .route("/static/{*name}", get(files::serve))
        .merge(people::pages::routes())
        .merge(instruments::pages::routes())
        .merge(sites::pages::routes())
        .merge(equipment::pages::routes())
        .merge(jobs::pages::routes())
        .merge(acceptance::pages::routes())
        .merge(maintenance::pages::routes())
        .merge(register::pages::routes());
    let uploads = jobs::pages::uploads();
    behind_the_layers(
        bounded(
            routes.layer(from_fn_with_state(app.clone(), carry::carry)),
            REQUEST_TIME,
            BODY_BYTES,
        )
        .merge(bounded(uploads, UPLOAD_TIME, UPLOAD_BYTES)),
        app,
    )
}

/// Pages that take so much at most, in so much time.
fn bounded(routes: Router<AppState>, patience: Duration, most_bytes: usize) -> Router<AppState> {
    routes
        .layer(DefaultBodyLimit::max(most_bytes))
        .layer(TimeoutLayer::with_status_code(StatusCode::SERVICE_UNAVAILABLE, patience))
}

fn behind_the_layers(routes: Router<AppState>, app: AppState) -> Router {
    routes
        .fallback(|| async { PageError::NotFound })
        // The last layer is the outermost.
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
async fn home(_: Permit<See>) -> Result<Response, PageError> {
    see_other(&SitesPath)
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

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use axum::Router;
    use axum::body::{Body, to_bytes};
    use axum::http::{Request, StatusCode, header};
    use axum::response::Response;
    use axum::routing::get;
    use tower::ServiceExt;

    use super::{BODY_BYTES, behind_the_layers, bounded};
    use crate::clock::Clock;
    use crate::db::DataFolder;
    use crate::web::AppState;

    /// A router whose pages go wrong, and what it answers.
    async fn answer(routes: Router<AppState>, accepts: &str) -> (Response<()>, Vec<u8>) {
        let path = std::env::temp_dir().join(format!("standmast-router-{}", Clock::System.uuid()));
        let folder = DataFolder::open_locked(&path, &Clock::System).await.unwrap();
        let (reads, writer) = (folder.reads.clone(), folder.writer.clone());
        let app = AppState::new(reads, writer, folder.files.clone(), Clock::System, None);
        let router = behind_the_layers(bounded(routes, Duration::from_millis(50), BODY_BYTES), app);
        let request = Request::get("/x").header(header::ACCEPT_ENCODING, accepts);
        let response = router.oneshot(request.body(Body::empty()).unwrap()).await.unwrap();
        let (parts, body) = response.into_parts();
        let bytes = to_bytes(body, 1_000_000).await.unwrap().to_vec();
        folder.close().await;
        std::fs::remove_dir_all(&path).unwrap();
        (Response::from_parts(parts, ()), bytes)
    }

    fn text(bytes: &[u8]) -> String {
        String::from_utf8(bytes.to_vec()).unwrap()
    }

    #[tokio::test]
    async fn a_panic_is_a_page_that_does_not_tell_its_cause() {
        async fn falls_over() -> &'static str {
            panic!("the inner workings")
        }
        let (head, body) = answer(Router::new().route("/x", get(falls_over)), "").await;
        assert_eq!(head.status(), StatusCode::INTERNAL_SERVER_ERROR);
        assert!(head.headers().contains_key(header::CONTENT_SECURITY_POLICY));
        let body = text(&body);
        assert!(body.contains("A fault in the server") && !body.contains("inner workings"));
    }

    #[tokio::test]
    async fn a_request_that_takes_too_long_is_told_that_the_server_is_busy() {
        async fn never() -> &'static str {
            std::future::pending().await
        }
        let (head, body) = answer(Router::new().route("/x", get(never)), "").await;
        assert_eq!(head.status(), StatusCode::SERVICE_UNAVAILABLE);
        assert!(text(&body).contains("Busy"));
    }

    #[tokio::test]
    async fn a_page_is_compressed_for_whoever_takes_it() {
        let page = || async { "word ".repeat(1000) };
        let (head, body) = answer(Router::new().route("/x", get(page)), "gzip").await;
        assert_eq!(head.headers()[header::CONTENT_ENCODING], "gzip");
        assert!(body.len() < 500);
        let (head, body) = answer(Router::new().route("/x", get(page)), "identity").await;
        assert!(!head.headers().contains_key(header::CONTENT_ENCODING));
        assert_eq!(body.len(), 5000);
    }
}
