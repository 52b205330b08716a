//! The pages of a chain: what it holds and what that makes of power and reflection, and the form that
//! revises it.

mod edit;
mod paths;
mod show;
mod view;

pub use paths::{ChainPath, EditChainPath};

use axum::Router;
use axum_extra::routing::RouterExt;

use crate::equipment::model::{Chain, OpenJob};
use crate::equipment::store::{newest, open_job};
use crate::people::permit::{Ability, SitePermit};
use crate::sites::model::{Assignment, Site};
use crate::sites::store;
use crate::web::{AppState, PageError};

/// The routes of this concept.
pub fn routes() -> Router<AppState> {
    Router::new().typed_get(show::chain_page).typed_get(edit::edit_page).typed_post(edit::revise)
}

/// What both pages rest on.
struct Subject {
    site: Site,
    assignment: Assignment,
    chain: Option<Chain>,
    open_job: Option<OpenJob>,
}

impl Subject {
    async fn read<A: Ability>(
        app: &AppState,
        permit: &SitePermit<A>,
        number: i64,
    ) -> Result<Self, PageError> {
        let mut snapshot = app.snapshot().await?;
        let conn = snapshot.conn();
        let site = store::find(conn, permit.site_id()).await?.ok_or(PageError::NotFound)?;
        let assignment =
            store::assignment(conn, site.id, number).await?.ok_or(PageError::NotFound)?;
        let chain = newest(conn, assignment.assignment_id).await?;
        let open_job = open_job(conn, assignment.assignment_id).await?;
        Ok(Self { site, assignment, chain, open_job })
    }

    /// "98.4 MHz, Ternfold Radio".
    fn line(&self) -> String {
        let said = &self.assignment.particulars;
        format!("{}, {}", said.frequency, said.station_name)
    }
}
