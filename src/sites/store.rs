//! The SQL of sites and of the revisions of their assignments.

use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::clock::Utc;
use crate::db::{StoreError, typed_column, word_column};
use crate::journal::Act;
use crate::people::model::Person;
use crate::rf::quantity::Quantity;
use crate::sites::model::{Assignment, Particulars, Polarization, Site, SiteDraft, Structure};

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

struct AssignmentRow {
    revision_id: i64,
    assignment_id: i64,
    uuid: Uuid,
    revision_uuid: Uuid,
    number: i64,
    revision: i64,
    entered_at: Utc,
    station_name: String,
    call_sign: String,
    frequency_typed: String,
    power_typed: String,
    erp_typed: String,
    height_typed: String,
    polarization: String,
}

impl TryFrom<AssignmentRow> for Assignment {
    type Error = StoreError;

    fn try_from(row: AssignmentRow) -> Result<Self, StoreError> {
        Ok(Self {
            revision_id: row.revision_id,
            assignment_id: row.assignment_id,
            uuid: row.uuid,
            revision_uuid: row.revision_uuid,
            number: row.number,
            revision: row.revision,
            entered_at: row.entered_at,
            particulars: Particulars {
                station_name: row.station_name,
                call_sign: row.call_sign,
                frequency: typed_column(&row.frequency_typed)?,
                power: typed_column(&row.power_typed)?,
                erp: typed_column(&row.erp_typed)?,
                height: typed_column(&row.height_typed)?,
                polarization: word_column(
                    "polarization",
                    Polarization::from_word,
                    &row.polarization,
                )?,
            },
        })
    }
}

macro_rules! select_assignment {
    ($tail:literal $(, $arg:expr)*) => {
        sqlx::query_as!(
            AssignmentRow,
            "SELECT revision.id AS revision_id, assignment.id AS assignment_id, assignment.uuid,
                    revision.uuid AS revision_uuid, assignment.number, revision.number AS revision,
                    revision.entered_at, revision.station_name, revision.call_sign, revision.frequency_typed,
                    revision.power_typed, revision.erp_typed, revision.height_typed, revision.polarization
             FROM assignment JOIN assignment_revision revision ON revision.assignment_id = assignment.id " + $tail
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
           SELECT 1 FROM site_grant g
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

/// The newest revision of each assignment of the site, by the assignment's number.
///
/// # Errors
/// [`StoreError`].
pub async fn assignments(
    conn: &mut SqliteConnection,
    site_id: i64,
) -> Result<Vec<Assignment>, StoreError> {
    let rows = select_assignment!(
        "WHERE assignment.site_id = $1 AND revision.number =
           (SELECT max(other.number) FROM assignment_revision other WHERE other.assignment_id = assignment.id)
         ORDER BY assignment.number",
        site_id
    )
    .fetch_all(conn)
    .await?;
    read_all(rows)
}

/// Every revision of every assignment of the site: by the assignment's number, newest revision first.
///
/// # Errors
/// [`StoreError`].
pub async fn assignment_revisions(
    conn: &mut SqliteConnection,
    site_id: i64,
) -> Result<Vec<Assignment>, StoreError> {
    let rows = select_assignment!(
        "WHERE assignment.site_id = $1 ORDER BY assignment.number, revision.number DESC",
        site_id
    )
    .fetch_all(conn)
    .await?;
    read_all(rows)
}

/// The newest revision of the assignment with this number at the site.
///
/// # Errors
/// [`StoreError`].
pub async fn assignment(
    conn: &mut SqliteConnection,
    site_id: i64,
    number: i64,
) -> Result<Option<Assignment>, StoreError> {
    select_assignment!(
        "WHERE assignment.site_id = $1 AND assignment.number = $2 ORDER BY revision.number DESC LIMIT 1",
        site_id,
        number
    )
    .fetch_optional(conn)
    .await?
    .map(Assignment::try_from)
    .transpose()
}

/// Exactly the revision that a fact pinned.
///
/// # Errors
/// [`StoreError`].
pub async fn assignment_revision(
    conn: &mut SqliteConnection,
    revision_id: i64,
) -> Result<Option<Assignment>, StoreError> {
    select_assignment!("WHERE revision.id = $1", revision_id)
        .fetch_optional(conn)
        .await?
        .map(Assignment::try_from)
        .transpose()
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

/// Writes a new assignment of the site with its first revision; gives both names outside and the
/// assignment's number.
///
/// # Errors
/// [`StoreError`].
pub async fn insert_assignment(
    act: &mut Act,
    site_id: i64,
    particulars: &Particulars,
) -> Result<(Uuid, Uuid, i64), StoreError> {
    let (uuid, by) = (act.new_uuid(), act.id());
    let number = sqlx::query_scalar!(
        r#"SELECT coalesce(max(number), 0) + 1 AS "number!: i64" FROM assignment WHERE site_id = $1"#,
        site_id
    )
    .fetch_one(act.conn())
    .await?;
    let made = sqlx::query!(
        "INSERT INTO assignment (uuid, act, site_id, number) VALUES ($1, $2, $3, $4)",
        uuid,
        by,
        site_id,
        number
    )
    .execute(act.conn())
    .await?;
    let revision = insert_revision(act, made.last_insert_rowid(), 1, particulars).await?;
    Ok((uuid, revision, number))
}

/// Writes a revision of an assignment; gives its name outside.
///
/// # Errors
/// [`StoreError::Taken`] when the assignment already has a revision of this number.
pub async fn insert_revision(
    act: &mut Act,
    assignment_id: i64,
    revision: i64,
    particulars: &Particulars,
) -> Result<Uuid, StoreError> {
    let (uuid, by, now) = (act.new_uuid(), act.id(), act.now());
    let typed = [
        particulars.frequency.to_string(),
        particulars.power.to_string(),
        particulars.erp.to_string(),
        particulars.height.to_string(),
    ];
    let frequency = particulars.frequency.value().value();
    let power = particulars.power.value().value();
    let erp = particulars.erp.value().value();
    let height = particulars.height.value().value();
    let polarization = particulars.polarization.word();
    sqlx::query!(
        "INSERT INTO assignment_revision (uuid, act, assignment_id, number, station_name, call_sign, frequency_mhz,
                                          frequency_typed, power_w, power_typed, erp_w, erp_typed, height_m,
                                          height_typed, polarization, entered_at)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16)",
        uuid,
        by,
        assignment_id,
        revision,
        particulars.station_name,
        particulars.call_sign,
        frequency,
        typed[0],
        power,
        typed[1],
        erp,
        typed[2],
        height,
        typed[3],
        polarization,
        now
    )
    .execute(act.conn())
    .await?;
    Ok(uuid)
}

/// The row of an assignment's newest revision.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn newest_revision(
    conn: &mut SqliteConnection,
    assignment_id: i64,
) -> Result<Option<i64>, StoreError> {
    Ok(sqlx::query_scalar!(
        "SELECT id FROM assignment_revision WHERE assignment_id = $1 ORDER BY number DESC LIMIT 1",
        assignment_id
    )
    .fetch_optional(conn)
    .await?)
}
