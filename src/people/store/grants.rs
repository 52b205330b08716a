//! The SQL of grants: who may know of which site, and until when.

use sqlx::SqliteConnection;

use crate::clock::{Utc, Zone};
use crate::db::StoreError;
use crate::journal::Act;
use crate::people::model::{Granting, Holder, Person, SiteGrant};

/// The site with this code, if the person may know of it: its row and its code as written.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn site_for(
    conn: &mut SqliteConnection,
    person: &Person,
    now: Utc,
    code: &str,
) -> Result<Option<(i64, String)>, StoreError> {
    let all = person.role.sees_all_sites();
    let row = sqlx::query!(
        "SELECT site.id, site.code FROM site
         WHERE site.code = $1 AND ($2 OR EXISTS (
           SELECT 1 FROM held_grant g
           WHERE g.site_id = site.id AND g.person_id = $3 AND (g.expires_at IS NULL OR g.expires_at > $4)))",
        code,
        all,
        person.id,
        now
    )
    .fetch_optional(conn)
    .await?;
    Ok(row.map(|row| (row.id, row.code)))
}

/// All sites with whether the holder is granted each, by code.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn grants(
    conn: &mut SqliteConnection,
    holder: Holder,
) -> Result<Vec<SiteGrant>, StoreError> {
    let (person, firm) = match holder {
        Holder::Person(id) => (Some(id), None),
        Holder::Firm(id) => (None, Some(id)),
    };
    let rows = sqlx::query!(
        r#"SELECT site.id, site.code, site.name, site.zone,
                  (own.site_id IS NOT NULL OR firms.site_id IS NOT NULL) AS "granted!: bool",
                  coalesce(own.expires_at, firms.expires_at) AS "expires_at: Utc"
           FROM site
           LEFT JOIN site_grant own ON own.site_id = site.id AND own.person_id = $1
           LEFT JOIN firm_grant firms ON firms.site_id = site.id AND firms.firm_id = $2
           ORDER BY site.code"#,
        person,
        firm
    )
    .fetch_all(conn)
    .await?;
    Ok(rows
        .into_iter()
        .map(|row| SiteGrant {
            site_id: row.id,
            code: row.code,
            name: row.name,
            zone: Zone::stored(&row.zone),
            granted: row.granted,
            expires_at: row.expires_at,
        })
        .collect())
}

/// A site that a person may see now.
#[derive(Debug, Clone)]
pub struct Held {
    /// The person's row.
    pub person_id: i64,
    /// The site.
    pub code: String,
    /// The site's time zone.
    pub zone: Zone,
    /// When the last of the grants for it ends; `None` when one has no end.
    pub expires_at: Option<Utc>,
}

/// What every person may see now by the own grants and the firm's, by the site's code.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn held_grants(conn: &mut SqliteConnection, now: Utc) -> Result<Vec<Held>, StoreError> {
    let rows = sqlx::query!(
        r#"SELECT g.person_id AS "person_id!: i64", site.code AS "code!", site.zone AS "zone!",
                  CASE WHEN count(*) = count(g.expires_at) THEN max(g.expires_at) END AS "expires_at: Utc"
           FROM held_grant g JOIN site ON site.id = g.site_id
           WHERE g.expires_at IS NULL OR g.expires_at > $1
           GROUP BY g.person_id, site.id ORDER BY site.code"#,
        now
    )
    .fetch_all(conn)
    .await?;
    let held = rows.into_iter().map(|row| Held {
        person_id: row.person_id,
        code: row.code,
        zone: Zone::stored(&row.zone),
        expires_at: row.expires_at,
    });
    Ok(held.collect())
}

/// Grants a site, or moves the end of a grant.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn grant(act: &mut Act, holder: Holder, granting: Granting) -> Result<(), StoreError> {
    let (now, Granting { site_id, expires_at }) = (act.now(), granting);
    match holder {
        Holder::Person(person) => {
            sqlx::query!(
                "INSERT INTO site_grant (person_id, site_id, granted_at, expires_at) VALUES ($1, $2, $3, $4)
                 ON CONFLICT (person_id, site_id)
                 DO UPDATE SET granted_at = excluded.granted_at, expires_at = excluded.expires_at",
                person,
                site_id,
                now,
                expires_at
            )
            .execute(act.conn())
            .await?
        }
        Holder::Firm(firm) => {
            sqlx::query!(
                "INSERT INTO firm_grant (firm_id, site_id, granted_at, expires_at) VALUES ($1, $2, $3, $4)
                 ON CONFLICT (firm_id, site_id)
                 DO UPDATE SET granted_at = excluded.granted_at, expires_at = excluded.expires_at",
                firm,
                site_id,
                now,
                expires_at
            )
            .execute(act.conn())
            .await?
        }
    };
    Ok(())
}

/// Takes the grant of a site back.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn revoke(act: &mut Act, holder: Holder, site_id: i64) -> Result<(), StoreError> {
    match holder {
        Holder::Person(person) => {
            sqlx::query!(
                "DELETE FROM site_grant WHERE person_id = $1 AND site_id = $2",
                person,
                site_id
            )
            .execute(act.conn())
            .await?
        }
        Holder::Firm(firm) => {
            sqlx::query!(
                "DELETE FROM firm_grant WHERE firm_id = $1 AND site_id = $2",
                firm,
                site_id
            )
            .execute(act.conn())
            .await?
        }
    };
    Ok(())
}
