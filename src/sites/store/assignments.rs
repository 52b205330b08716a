//! The SQL of assignments and their revisions.

use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::clock::{Date, Utc};
use crate::db::{StoreError, typed_column, word_column};
use crate::journal::Act;
use crate::rf::quantity::{Quantity, Typed};
use crate::sites::model::{Assignment, Datum, Licensed, Particulars, Polarization, Position};
use crate::sites::store::read_all;

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
    latitude_typed: Option<String>,
    longitude_typed: Option<String>,
    datum: Option<String>,
    bays: Option<i64>,
    bearing_typed: Option<String>,
    antenna: String,
    licence: String,
    licence_expires_on: Option<String>,
}

impl AssignmentRow {
    fn licensed(&self) -> Result<Licensed, StoreError> {
        let position = match (&self.latitude_typed, &self.longitude_typed, &self.datum) {
            (Some(latitude), Some(longitude), Some(datum)) => Some(Position {
                latitude: typed_column(latitude)?,
                longitude: typed_column(longitude)?,
                datum: word_column("datum", Datum::from_word, datum)?,
            }),
            _ => None,
        };
        let expires_on = self.licence_expires_on.as_deref().map(Date::parse).transpose();
        Ok(Licensed {
            position,
            // The column's CHECK keeps it in range.
            bays: self.bays.and_then(|bays| u8::try_from(bays).ok()),
            bearing: self.bearing_typed.as_deref().map(typed_column).transpose()?,
            antenna: self.antenna.clone(),
            reference: self.licence.clone(),
            expires_on: expires_on
                .map_err(|why| StoreError::Unreadable { what: "licence's last day", why })?,
        })
    }
}

impl TryFrom<AssignmentRow> for Assignment {
    type Error = StoreError;

    fn try_from(row: AssignmentRow) -> Result<Self, StoreError> {
        let licensed = row.licensed()?;
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
                licensed,
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
                    revision.power_typed, revision.erp_typed, revision.height_typed, revision.polarization,
                    revision.latitude_typed, revision.longitude_typed, revision.datum, revision.bays,
                    revision.bearing_typed, revision.antenna, revision.licence, revision.licence_expires_on
             FROM assignment JOIN assignment_revision revision ON revision.assignment_id = assignment.id " + $tail
            $(, $arg)*
        )
    };
}

/// Value and text of a quantity, for its two columns.
fn columns<Q: Quantity>(typed: &Typed<Q>) -> (f64, String) {
    (typed.value().value(), typed.to_string())
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

/// The newest revision of each other assignment of the site where this one is, by number.
///
/// # Errors
/// [`StoreError`].
pub async fn neighbours(
    conn: &mut SqliteConnection,
    assignment_id: i64,
) -> Result<Vec<Assignment>, StoreError> {
    let rows = select_assignment!(
        "WHERE assignment.site_id = (SELECT own.site_id FROM assignment own WHERE own.id = $1)
           AND assignment.id <> $1 AND revision.number =
           (SELECT max(other.number) FROM assignment_revision other WHERE other.assignment_id = assignment.id)
         ORDER BY assignment.number",
        assignment_id
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

/// What a paper says, as its columns take it.
struct PaperColumns {
    latitude: Option<f64>,
    latitude_typed: Option<String>,
    longitude: Option<f64>,
    longitude_typed: Option<String>,
    datum: Option<&'static str>,
    bearing: Option<f64>,
    bearing_typed: Option<String>,
    expires_on: Option<String>,
}

impl PaperColumns {
    fn of(licensed: &Licensed) -> Self {
        let position = licensed.position.as_ref();
        let (latitude, latitude_typed) = position.map(|one| columns(&one.latitude)).unzip();
        let (longitude, longitude_typed) = position.map(|one| columns(&one.longitude)).unzip();
        let (bearing, bearing_typed) = licensed.bearing.as_ref().map(columns).unzip();
        Self {
            latitude,
            latitude_typed,
            longitude,
            longitude_typed,
            datum: position.map(|one| one.datum.word()),
            bearing,
            bearing_typed,
            expires_on: licensed.expires_on.map(|day| day.to_string()),
        }
    }
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
    let paper = PaperColumns::of(&particulars.licensed);
    sqlx::query!(
        "INSERT INTO assignment_revision (uuid, act, assignment_id, number, station_name, call_sign, frequency_mhz,
                                          frequency_typed, power_w, power_typed, erp_w, erp_typed, height_m,
                                          height_typed, polarization, entered_at, latitude_deg, latitude_typed,
                                          longitude_deg, longitude_typed, datum, bays, bearing_deg, bearing_typed,
                                          antenna, licence, licence_expires_on)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, $21,
                 $22, $23, $24, $25, $26, $27)",
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
        now,
        paper.latitude,
        paper.latitude_typed,
        paper.longitude,
        paper.longitude_typed,
        paper.datum,
        particulars.licensed.bays,
        paper.bearing,
        paper.bearing_typed,
        particulars.licensed.antenna,
        particulars.licensed.reference,
        paper.expires_on
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
