//! The register's readings.

use sqlx::SqliteConnection;

use crate::clock::Utc;
use crate::db::StoreError;
use crate::jobs;
use crate::people::model::Person;
use crate::register::model::Line;
use crate::sites;
use crate::sites::model::Site;

/// Every site that the person may see with its newest job, the most urgent first.
///
/// # Errors
/// [`StoreError`].
pub async fn lines(
    conn: &mut SqliteConnection,
    person: &Person,
    now: Utc,
) -> Result<Vec<Line>, StoreError> {
    let mut lines = Vec::new();
    for site in sites::store::list_for(conn, person, now).await? {
        lines.push(line(conn, site, now).await?);
    }
    lines.sort_by(|one, other| {
        other.urgency().cmp(&one.urgency()).then_with(|| one.site.code.cmp(&other.site.code))
    });
    Ok(lines)
}

async fn line(conn: &mut SqliteConnection, site: Site, now: Utc) -> Result<Line, StoreError> {
    let assignments = sites::store::assignments(conn, site.id).await?;
    let newest = jobs::store::list(conn, site.id, &site.time_zone()).await?.into_iter().next();
    let job = match newest {
        Some(job) => jobs::store::dossier(conn, site.id, job.number, now).await?,
        None => None,
    };
    Ok(Line { site, assignments, job })
}
