//! The addresses of sites' pages.

use axum_extra::routing::TypedPath;
use serde::Deserialize;

use crate::web::PageError;

/// A new site.
#[derive(Debug, Clone, TypedPath)]
#[typed_path("/sites/new")]
pub struct NewSitePath;

/// One site.
#[derive(Debug, Clone, Deserialize, TypedPath)]
#[typed_path("/sites/{site}", rejection(PageError))]
pub struct SitePath {
    /// Its code.
    pub site: String,
}

/// The form that changes a site.
#[derive(Debug, Clone, Deserialize, TypedPath)]
#[typed_path("/sites/{site}/edit", rejection(PageError))]
pub struct EditSitePath {
    /// Its code.
    pub site: String,
}

/// A new assignment of a site.
#[derive(Debug, Clone, Deserialize, TypedPath)]
#[typed_path("/sites/{site}/assignments/new", rejection(PageError))]
pub struct NewAssignmentPath {
    /// The site's code.
    pub site: String,
}

/// The form that makes the next revision of an assignment.
#[derive(Debug, Clone, Deserialize, TypedPath)]
#[typed_path("/sites/{site}/assignments/{assignment}/edit", rejection(PageError))]
pub struct EditAssignmentPath {
    /// The site's code.
    pub site: String,
    /// The assignment's number at the site.
    pub assignment: i64,
}
