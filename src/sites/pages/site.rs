//! The page of one site.

use askama::Template;
use axum::extract::State;
use axum::response::Response;

use crate::people::permit::{KeepSites, OpenJob, See, SitePermit};
use crate::sites::pages::paths::SitePath;
use crate::sites::pages::view::SiteView;
use crate::sites::store;
use crate::web::{AppState, PageError, Shell, page};

#[derive(Template)]
#[template(path = "sites/site.html")]
struct SitePage {
    shell: Shell,
    site: SiteView,
    works: bool,
}

/// A site with its assignments.
///
/// # Errors
/// [`PageError`].
pub async fn site_page(
    _: SitePath,
    permit: SitePermit<See>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    let mut snapshot = app.snapshot().await?;
    let site = store::find(snapshot.conn(), permit.site_id()).await?.ok_or(PageError::NotFound)?;
    let revisions = store::assignment_revisions(snapshot.conn(), site.id).await?;
    drop(snapshot);
    page(&SitePage {
        shell: Shell::of(permit.person(), "/sites"),
        site: SiteView::of(&site, &revisions, permit.also::<KeepSites>()),
        works: permit.also::<OpenJob>(),
    })
}
