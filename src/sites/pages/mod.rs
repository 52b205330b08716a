//! The pages of sites: the site itself, the forms that make and edit it, and those of its assignments.

mod assignments;
mod edit;
mod paths;
mod view;

pub use paths::{EditAssignmentPath, EditSitePath, NewAssignmentPath, NewSitePath, SitePath};
pub use view::{AssignmentView, OlderView, SiteView};

use axum::Router;
use axum_extra::routing::RouterExt;

use crate::web::AppState;

/// The routes of this concept.
pub fn routes() -> Router<AppState> {
    Router::new()
        .typed_get(edit::new_page)
        .typed_post(edit::add)
        .typed_get(edit::edit_page)
        .typed_post(edit::change)
        .typed_get(assignments::new_page)
        .typed_post(assignments::add)
        .typed_get(assignments::edit_page)
        .typed_post(assignments::revise)
}
