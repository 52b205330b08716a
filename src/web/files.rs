//! Static files, part of the binary: style sheet, script, fonts.

use axum::extract::Path;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use rust_embed::{EmbeddedFile, RustEmbed};

use crate::journal::hex;
use crate::web::PageError;

#[derive(RustEmbed)]
#[folder = "static/"]
struct Static;

fn tag(file: &EmbeddedFile) -> String {
    hex(&file.metadata.sha256_hash()[..8])
}

/// The address of a file with a word of its content in it, so that a browser may keep it for good.
#[must_use]
pub fn address(name: &str) -> String {
    let version = Static::get(name).map(|file| tag(&file)).unwrap_or_default();
    format!("/static/{name}?v={version}")
}

/// Serves a file. A browser that already has it is told so by its tag.
///
/// # Errors
/// [`PageError::NotFound`].
pub async fn serve(headers: HeaderMap, Path(name): Path<String>) -> Result<Response, PageError> {
    let file = Static::get(&name).ok_or(PageError::NotFound)?;
    let tag = format!("\"{}\"", tag(&file));
    if headers.get(header::IF_NONE_MATCH).is_some_and(|known| known.as_bytes() == tag.as_bytes()) {
        return Ok(StatusCode::NOT_MODIFIED.into_response());
    }
    let kind = file.metadata.mimetype().to_owned();
    let caching = "public, max-age=604800".to_owned();
    Ok((
        [(header::CONTENT_TYPE, kind), (header::CACHE_CONTROL, caching), (header::ETAG, tag)],
        file.data.into_owned(),
    )
        .into_response())
}
