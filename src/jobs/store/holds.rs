//! The SQL of held items and of meters checked on the day.

use std::collections::BTreeMap;

use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::db::{StoreError, typed_column, word_column};
use crate::jobs::model::{Against, Body, HoldRelease, Manner, SameDayCheck};
use crate::journal::Act;
use crate::measurements::model::Circumstances;
use crate::measurements::store::{Recording, insert_fact};
use crate::rf::quantity::{Quantity, Typed, Watts};

/// Writes the release of a held item.
///
/// - `answer_row`: the row of the answer that it names
///
/// # Errors
/// [`StoreError`].
pub async fn insert_hold_release(
    act: &mut Act,
    recording: &Recording,
    at: &Circumstances,
    answer_row: i64,
    release: &HoldRelease,
) -> Result<Uuid, StoreError> {
    let (fact, uuid) = insert_fact(act, recording, "hold-release", at).await?;
    let manner = release.manner.word();
    sqlx::query!(
        "INSERT INTO hold_release (fact_id, answer_fact_id, item, manner, read_back)
         VALUES ($1, $2, $3, $4, $5)",
        fact,
        answer_row,
        release.item,
        manner,
        release.read_back
    )
    .execute(act.conn())
    .await?;
    Ok(uuid)
}

/// Writes the check of a meter on the day.
///
/// # Errors
/// [`StoreError`].
pub async fn insert_same_day_check(
    act: &mut Act,
    recording: &Recording,
    at: &Circumstances,
    check: &SameDayCheck,
) -> Result<Uuid, StoreError> {
    let (fact, uuid) = insert_fact(act, recording, "same-day-check", at).await?;
    let against = check.against.word();
    let (range, range_typed) = columns(&check.range);
    let (read, read_typed) = columns(&check.read);
    let (expected, expected_typed) = columns(&check.expected);
    sqlx::query!(
        "INSERT INTO same_day_check (fact_id, against, reference, range_w, range_typed, read_w, read_typed,
                                     expected_w, expected_typed, note)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)",
        fact,
        against,
        check.reference,
        range,
        range_typed,
        read,
        read_typed,
        expected,
        expected_typed,
        check.note
    )
    .execute(act.conn())
    .await?;
    Ok(uuid)
}

fn columns(typed: &Typed<Watts>) -> (f64, String) {
    (typed.value().value(), typed.to_string())
}

/// The bodies of both kinds by fact row.
pub(super) async fn bodies(
    conn: &mut SqliteConnection,
    job_id: i64,
    bodies: &mut BTreeMap<i64, Body>,
) -> Result<(), StoreError> {
    let releases = sqlx::query!(
        r#"SELECT h.fact_id, h.item, h.manner, h.read_back, answer.uuid AS "answer!: Uuid"
           FROM hold_release h JOIN fact ON fact.id = h.fact_id JOIN fact answer ON answer.id = h.answer_fact_id
           WHERE fact.job_id = $1"#,
        job_id
    )
    .fetch_all(&mut *conn)
    .await?;
    for row in releases {
        let release = HoldRelease {
            item: row.item,
            answer: row.answer,
            manner: word_column("manner", Manner::from_word, &row.manner)?,
            read_back: row.read_back,
        };
        bodies.insert(row.fact_id, Body::HoldRelease(release));
    }
    let checks = sqlx::query!(
        "SELECT c.* FROM same_day_check c JOIN fact ON fact.id = c.fact_id WHERE fact.job_id = $1",
        job_id
    )
    .fetch_all(conn)
    .await?;
    for row in checks {
        let check = SameDayCheck {
            against: word_column("reference of a meter", Against::from_word, &row.against)?,
            reference: row.reference,
            range: typed_column(&row.range_typed)?,
            read: typed_column(&row.read_typed)?,
            expected: typed_column(&row.expected_typed)?,
            note: row.note,
        };
        bodies.insert(row.fact_id, Body::SameDayCheck(check));
    }
    Ok(())
}
