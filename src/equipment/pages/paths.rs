//! The addresses of a chain's pages.

use axum_extra::routing::TypedPath;
use serde::Deserialize;

use crate::web::PageError;

/// The chain that serves an assignment.
#[derive(Debug, Clone, Deserialize, TypedPath)]
#[typed_path("/sites/{site}/assignments/{assignment}/chain", rejection(PageError))]
pub struct ChainPath {
    /// The site's code.
    pub site: String,
    /// The assignment's number at the site.
    pub assignment: i64,
}

/// The form that makes the next revision of the chain.
#[derive(Debug, Clone, Deserialize, TypedPath)]
#[typed_path("/sites/{site}/assignments/{assignment}/chain/edit", rejection(PageError))]
pub struct EditChainPath {
    /// The site's code.
    pub site: String,
    /// The assignment's number at the site.
    pub assignment: i64,
}
