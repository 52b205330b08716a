//! The SQL of sites; that of the revisions of their assignments beside it.

mod assignments;

pub use assignments::{
    assignment, assignment_revision, assignment_revisions, assignments, insert_assignment,
    insert_revision, neighbours, newest_revision,
};

use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::clock::Utc;
use crate::db::{StoreError, typed_column, word_column};
use crate::journal::Act;
use crate::people::model::Person;
use crate::rf::quantity::Quantity;
use crate::sites::model::{Site, SiteDraft, Structure};

struct SiteRow {
    id: i64,
    uuid: Uuid,
    code: String,
    name: String,
    latitude_typed: String,
    longitude_typed: String,
    zone: String,
    structure: String,
    structure_height_typed: String,
    notes: String,
    version: i64,
}

impl TryFrom<SiteRow> for Site {
    type Error = StoreError;

    fn try_from(row: SiteRow) -> Result<Self, StoreError> {
        Ok(Self {
            id: row.id,
            uuid: row.uuid,
            code: row.code,
            name: row.name,
            latitude: typed_column(&row.latitude_typed)?,
            longitude: typed_column(&row.longitude_typed)?,
            zone: row.zone,
            structure: word_column("structure", Structure::from_word, &row.structure)?,
            structure_height: typed_column(&row.structure_height_typed)?,
            notes: row.notes,
            version: row.version,
        })
    }
}

macro_rules! select_site {
    ($tail:literal $(, $arg:expr)*) => {
        sqlx::query_as!(
            SiteRow,
            "SELECT site.id, site.uuid, site.code, site.name, site.latitude_typed, site.longitude_typed, site.zone,
                    site.structure, site.structure_height_typed, site.notes, site.version
             FROM site " + $tail
            $(, $arg)*
        )
    };
}

fn read_all<Row, Model>(rows: Vec<Row>) -> Result<Vec<Model>, StoreError>
where
    Model: TryFrom<Row, Error = StoreError>,
{
    rows.into_iter().map(Model::try_from).collect()
}

/// The site in this row.
///
/// # Errors
/// [`StoreError`].
pub async fn find(conn: &mut SqliteConnection, site_id: i64) -> Result<Option<Site>, StoreError> {
    select_site!("WHERE site.id = $1", site_id)
        .fetch_optional(conn)
        .await?
        .map(Site::try_from)
        .transpose()
}

/// The sites that the person may see now, by code.
///
/// # Errors
/// [`StoreError`].
pub async fn list_for(
    conn: &mut SqliteConnection,
    person: &Person,
    now: Utc,
) -> Result<Vec<Site>, StoreError> {
    let all = person.role.sees_all_sites();
    let rows = select_site!(
        "WHERE $1 OR EXISTS (
           SELECT 1 FROM held_grant g
           WHERE g.site_id = site.id AND g.person_id = $2 AND (g.expires_at IS NULL OR g.expires_at > $3))
         ORDER BY site.code",
        all,
        person.id,
        now
    )
    .fetch_all(conn)
    .await?;
    read_all(rows)
}

/// Writes a new site; gives its row and its name outside.
///
/// # Errors
/// [`StoreError::Taken`] for the code.
pub async fn insert(act: &mut Act, draft: &SiteDraft) -> Result<(i64, Uuid), StoreError> {
    let uuid = act.new_uuid();
    let (latitude, latitude_typed) = (draft.latitude.value().value(), draft.latitude.to_string());
    let (longitude, longitude_typed) =
        (draft.longitude.value().value(), draft.longitude.to_string());
    let (height, height_typed) =
        (draft.structure_height.value().value(), draft.structure_height.to_string());
    let structure = draft.structure.word();
    let made = sqlx::query!(
        "INSERT INTO site (uuid, code, name, latitude_deg, latitude_typed, longitude_deg, longitude_typed, zone,
                           structure, structure_height_m, structure_height_typed, notes)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)",
        uuid,
        draft.code,
        draft.name,
        latitude,
        latitude_typed,
        longitude,
        longitude_typed,
        draft.zone,
        structure,
        height,
        height_typed,
        draft.notes
    )
    .execute(act.conn())
    .await?;
    Ok((made.last_insert_rowid(), uuid))
}

/// Changes a site whose version is still the one that was read.
///
/// # Errors
/// [`StoreError::Stale`], [`StoreError::Taken`] for the code.
pub async fn update(
    act: &mut Act,
    site_id: i64,
    version: i64,
    draft: &SiteDraft,
) -> Result<(), StoreError> {
    let (latitude, latitude_typed) = (draft.latitude.value().value(), draft.latitude.to_string());
    let (longitude, longitude_typed) =
        (draft.longitude.value().value(), draft.longitude.to_string());
    let (height, height_typed) =
        (draft.structure_height.value().value(), draft.structure_height.to_string());
    let structure = draft.structure.word();
    let changed = sqlx::query!(
        "UPDATE site SET code = $1, name = $2, latitude_deg = $3, latitude_typed = $4, longitude_deg = $5,
                         longitude_typed = $6, zone = $7, structure = $8, structure_height_m = $9,
                         structure_height_typed = $10, notes = $11, version = version + 1
         WHERE id = $12 AND version = $13",
        draft.code,
        draft.name,
        latitude,
        latitude_typed,
        longitude,
        longitude_typed,
        draft.zone,
        structure,
        height,
        height_typed,
        draft.notes,
        site_id,
        version
    )
    .execute(act.conn())
    .await?;
    if changed.rows_affected() == 1 { Ok(()) } else { Err(StoreError::Stale) }
}
