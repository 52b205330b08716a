//! The SQL of people, firms, grants and sessions.

mod grants;
mod sessions;

pub use grants::{Held, grant, grants, held_grants, revoke, site_for};
pub use sessions::{
    clear_ended_sessions, end_other_sessions, end_session, end_sessions, insert_session,
    person_of_session, sessions, touch_session,
};

use std::collections::HashMap;

use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::db::StoreError;
use crate::journal::Act;
use crate::people::model::{Firm, Person, PersonDraft, Role};

struct Row {
    id: i64,
    uuid: Uuid,
    firm_id: i64,
    firm: String,
    login: String,
    name: String,
    role: String,
    disabled: bool,
    version: i64,
}

impl From<Row> for Person {
    fn from(row: Row) -> Self {
        Self {
            id: row.id,
            uuid: row.uuid,
            firm_id: row.firm_id,
            firm: row.firm,
            login: row.login,
            name: row.name,
            // The table's CHECK admits only known words; a later role reads as the one with least rights.
            role: Role::from_word(&row.role).unwrap_or(Role::Reader),
            disabled: row.disabled,
            version: row.version,
        }
    }
}

macro_rules! select_person {
    ($tail:literal $(, $arg:expr)*) => {
        sqlx::query_as!(
            Row,
            "SELECT person.id, person.uuid, person.firm_id, firm.name AS firm, person.login, person.name,
                    person.role, person.disabled, person.version
             FROM person JOIN firm ON firm.id = person.firm_id " + $tail
            $(, $arg)*
        )
    };
}
use select_person;

/// The person with this name outside.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn find(conn: &mut SqliteConnection, uuid: Uuid) -> Result<Option<Person>, StoreError> {
    Ok(select_person!("WHERE person.uuid = $1", uuid).fetch_optional(conn).await?.map(Into::into))
}

/// The person who signs in with this login.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn find_login(
    conn: &mut SqliteConnection,
    login: &str,
) -> Result<Option<Person>, StoreError> {
    Ok(select_person!("WHERE person.login = $1", login).fetch_optional(conn).await?.map(Into::into))
}

/// Everybody, by firm and name.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn list(conn: &mut SqliteConnection) -> Result<Vec<Person>, StoreError> {
    let rows = select_person!("ORDER BY firm.name, person.name").fetch_all(conn).await?;
    Ok(rows.into_iter().map(Into::into).collect())
}

/// Whether there is anybody at all: before the first manager account there is not.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn any(conn: &mut SqliteConnection) -> Result<bool, StoreError> {
    let count = sqlx::query_scalar!("SELECT count(*) FROM person").fetch_one(conn).await?;
    Ok(count > 0)
}

/// How many managers could still sign in, apart from this person.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn other_managers(
    conn: &mut SqliteConnection,
    person_id: i64,
) -> Result<i64, StoreError> {
    Ok(sqlx::query_scalar!(
        "SELECT count(*) FROM person WHERE role = 'manager' AND disabled = 0 AND id <> $1",
        person_id
    )
    .fetch_one(conn)
    .await?)
}

/// The password hash of a person who may sign in.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn password_hash(
    conn: &mut SqliteConnection,
    person_id: i64,
) -> Result<Option<String>, StoreError> {
    Ok(sqlx::query_scalar!(
        "SELECT password_hash FROM person WHERE id = $1 AND disabled = 0",
        person_id
    )
    .fetch_optional(conn)
    .await?)
}

/// The names of all firms.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn firms(conn: &mut SqliteConnection) -> Result<Vec<(i64, String)>, StoreError> {
    let rows = sqlx::query!("SELECT id, name FROM firm ORDER BY name").fetch_all(conn).await?;
    Ok(rows.into_iter().map(|row| (row.id, row.name)).collect())
}

/// The firm with this name outside.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn find_firm(
    conn: &mut SqliteConnection,
    uuid: Uuid,
) -> Result<Option<Firm>, StoreError> {
    Ok(sqlx::query_as!(Firm, "SELECT id, uuid, name FROM firm WHERE uuid = $1", uuid)
        .fetch_optional(conn)
        .await?)
}

/// The name outside of each firm, by its row.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn firm_uuids(conn: &mut SqliteConnection) -> Result<HashMap<i64, Uuid>, StoreError> {
    let rows = sqlx::query!("SELECT id, uuid FROM firm").fetch_all(conn).await?;
    Ok(rows.into_iter().map(|row| (row.id, row.uuid)).collect())
}

/// The row of the firm with this name, made if there is none.
///
/// # Errors
/// [`StoreError`].
pub async fn firm_named(act: &mut Act, name: &str) -> Result<i64, StoreError> {
    let known = sqlx::query_scalar!("SELECT id FROM firm WHERE name = $1", name)
        .fetch_optional(act.conn())
        .await?;
    if let Some(id) = known {
        return Ok(id);
    }
    let uuid = act.new_uuid();
    let made = sqlx::query!("INSERT INTO firm (uuid, name) VALUES ($1, $2)", uuid, name)
        .execute(act.conn())
        .await?;
    Ok(made.last_insert_rowid())
}

/// Writes a new person.
///
/// # Errors
/// [`StoreError::Taken`] for the login.
pub async fn insert(
    act: &mut Act,
    draft: &PersonDraft,
    password_hash: &str,
) -> Result<Uuid, StoreError> {
    let firm = firm_named(act, &draft.firm).await?;
    let uuid = act.new_uuid();
    let role = draft.role.word();
    sqlx::query!(
        "INSERT INTO person (uuid, firm_id, login, name, role, password_hash) VALUES ($1, $2, $3, $4, $5, $6)",
        uuid,
        firm,
        draft.login,
        draft.name,
        role,
        password_hash
    )
    .execute(act.conn())
    .await?;
    Ok(uuid)
}

/// Changes a person whose version is still the one that was read.
///
/// # Errors
/// [`StoreError::Stale`], [`StoreError::Taken`].
pub async fn update(
    act: &mut Act,
    uuid: Uuid,
    version: i64,
    draft: &PersonDraft,
    disabled: bool,
) -> Result<(), StoreError> {
    let firm = firm_named(act, &draft.firm).await?;
    let role = draft.role.word();
    let changed = sqlx::query!(
        "UPDATE person SET firm_id = $1, login = $2, name = $3, role = $4, disabled = $5, version = version + 1
         WHERE uuid = $6 AND version = $7",
        firm,
        draft.login,
        draft.name,
        role,
        disabled,
        uuid,
        version
    )
    .execute(act.conn())
    .await?;
    if changed.rows_affected() == 1 { Ok(()) } else { Err(StoreError::Stale) }
}

/// Sets a new password hash.
///
/// # Errors
/// [`StoreError::Database`].
pub async fn set_password(act: &mut Act, person_id: i64, hash: &str) -> Result<(), StoreError> {
    sqlx::query!("UPDATE person SET password_hash = $1 WHERE id = $2", hash, person_id)
        .execute(act.conn())
        .await?;
    Ok(())
}
