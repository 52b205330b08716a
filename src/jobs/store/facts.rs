//! The facts that are a job's own: answers, releases, declarations, decisions.

use std::collections::BTreeMap;

use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::clock::Date;
use crate::db::{StoreError, word_column};
use crate::jobs::model::{Answer, Answered, Body, Decimal, Declaration, JobClass, Manner, Release};
use crate::jobs::store::holds;
use crate::journal::{Act, hex, unhex};
use crate::measurements::model::Circumstances;
use crate::measurements::store::{Recording, insert_fact};
use crate::profiles::model::Stage;

fn date(stored: Option<String>) -> Result<Option<Date>, StoreError> {
    let read = stored.map(|text| Date::parse(&text)).transpose();
    read.map_err(|why| StoreError::Unreadable { what: "date", why })
}

/// Writes how independent a job's releases are.
///
/// # Errors
/// [`StoreError`].
pub async fn insert_independence(
    act: &mut Act,
    recording: &Recording,
    at: &Circumstances,
    class: JobClass,
) -> Result<Uuid, StoreError> {
    let (fact, uuid) = insert_fact(act, recording, "independence", at).await?;
    let class = class.word();
    sqlx::query!("INSERT INTO independence (fact_id, class) VALUES ($1, $2)", fact, class)
        .execute(act.conn())
        .await?;
    Ok(uuid)
}

/// Writes an answer to an item.
///
/// # Errors
/// [`StoreError`].
pub async fn insert_answer(
    act: &mut Act,
    recording: &Recording,
    at: &Circumstances,
    answered: &Answered,
) -> Result<Uuid, StoreError> {
    let (fact, uuid) = insert_fact(act, recording, "answer", at).await?;
    let answer = answered.answer.word();
    let number = answered.number.map(|number| number.0);
    let due = answered.due_on.map(|due| due.to_string());
    sqlx::query!(
        "INSERT INTO answer (fact_id, item, answer, value, value_typed, method, note, owner, due_on, condition)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)",
        fact,
        answered.item,
        answer,
        number,
        answered.value,
        answered.method,
        answered.note,
        answered.owner,
        due,
        answered.condition
    )
    .execute(act.conn())
    .await?;
    Ok(uuid)
}

/// Writes the release of a gate.
///
/// # Errors
/// [`StoreError`].
pub async fn insert_release(
    act: &mut Act,
    recording: &Recording,
    at: &Circumstances,
    release: &Release,
) -> Result<Uuid, StoreError> {
    let (fact, uuid) = insert_fact(act, recording, "release", at).await?;
    let (stage, manner) = (release.stage.word(), release.manner.word());
    let basis = unhex(&release.basis);
    sqlx::query!(
        "INSERT INTO release (fact_id, stage, basis, manner, read_back) VALUES ($1, $2, $3, $4, $5)",
        fact,
        stage,
        basis,
        manner,
        release.read_back
    )
    .execute(act.conn())
    .await?;
    Ok(uuid)
}

/// Writes a declaration of completion.
///
/// # Errors
/// [`StoreError`].
pub async fn insert_declaration(
    act: &mut Act,
    recording: &Recording,
    at: &Circumstances,
    declaration: &Declaration,
) -> Result<Uuid, StoreError> {
    let (fact, uuid) = insert_fact(act, recording, "declaration", at).await?;
    let basis = unhex(&declaration.basis);
    sqlx::query!(
        "INSERT INTO declaration (fact_id, basis, statement) VALUES ($1, $2, $3)",
        fact,
        basis,
        declaration.statement
    )
    .execute(act.conn())
    .await?;
    Ok(uuid)
}

/// Writes an acceptance or a return with its remarks.
///
/// # Errors
/// [`StoreError`].
pub async fn insert_decision(
    act: &mut Act,
    recording: &Recording,
    at: &Circumstances,
    accepted: bool,
    remarks: &str,
) -> Result<Uuid, StoreError> {
    let kind = if accepted { "acceptance" } else { "return" };
    let (fact, uuid) = insert_fact(act, recording, kind, at).await?;
    sqlx::query!("INSERT INTO decision (fact_id, remarks) VALUES ($1, $2)", fact, remarks)
        .execute(act.conn())
        .await?;
    Ok(uuid)
}

/// Writes that a fact is struck without another in its place.
///
/// # Errors
/// [`StoreError`].
pub async fn insert_withdrawal(
    act: &mut Act,
    recording: &Recording,
    at: &Circumstances,
) -> Result<Uuid, StoreError> {
    Ok(insert_fact(act, recording, "withdrawal", at).await?.1)
}

/// The bodies of a job's own facts by fact row.
pub(super) async fn bodies(
    conn: &mut SqliteConnection,
    job_id: i64,
) -> Result<BTreeMap<i64, Body>, StoreError> {
    let mut bodies = BTreeMap::new();
    answers(conn, job_id, &mut bodies).await?;
    gates(conn, job_id, &mut bodies).await?;
    holds::bodies(conn, job_id, &mut bodies).await?;
    let classes = sqlx::query!(
        "SELECT i.fact_id, i.class FROM independence i JOIN fact ON fact.id = i.fact_id WHERE fact.job_id = $1",
        job_id
    )
    .fetch_all(&mut *conn)
    .await?;
    for row in classes {
        let class = word_column("independence", JobClass::from_word, &row.class)?;
        bodies.insert(row.fact_id, Body::Independence(class));
    }
    let decisions = sqlx::query!(
        "SELECT d.fact_id, d.remarks, fact.kind FROM decision d JOIN fact ON fact.id = d.fact_id WHERE fact.job_id = $1",
        job_id
    )
    .fetch_all(&mut *conn)
    .await?;
    for row in decisions {
        let accepted = row.kind == "acceptance";
        let body = if accepted { Body::Acceptance(row.remarks) } else { Body::Return(row.remarks) };
        bodies.insert(row.fact_id, body);
    }
    Ok(bodies)
}

async fn answers(
    conn: &mut SqliteConnection,
    job_id: i64,
    bodies: &mut BTreeMap<i64, Body>,
) -> Result<(), StoreError> {
    let rows = sqlx::query!(
        "SELECT a.* FROM answer a JOIN fact ON fact.id = a.fact_id WHERE fact.job_id = $1",
        job_id
    )
    .fetch_all(conn)
    .await?;
    for row in rows {
        let answered = Answered {
            item: row.item,
            answer: word_column("answer", Answer::from_word, &row.answer)?,
            value: row.value_typed,
            number: row.value.map(Decimal),
            method: row.method,
            note: row.note,
            condition: row.condition,
            owner: row.owner,
            due_on: date(row.due_on)?,
        };
        bodies.insert(row.fact_id, Body::Answer(answered));
    }
    Ok(())
}

async fn gates(
    conn: &mut SqliteConnection,
    job_id: i64,
    bodies: &mut BTreeMap<i64, Body>,
) -> Result<(), StoreError> {
    let releases = sqlx::query!(
        "SELECT r.* FROM release r JOIN fact ON fact.id = r.fact_id WHERE fact.job_id = $1",
        job_id
    )
    .fetch_all(&mut *conn)
    .await?;
    for row in releases {
        let release = Release {
            stage: word_column("stage", Stage::from_word, &row.stage)?,
            basis: hex(&row.basis),
            manner: word_column("manner", Manner::from_word, &row.manner)?,
            read_back: row.read_back,
        };
        bodies.insert(row.fact_id, Body::Release(release));
    }
    let declarations = sqlx::query!(
        "SELECT d.* FROM declaration d JOIN fact ON fact.id = d.fact_id WHERE fact.job_id = $1",
        job_id
    )
    .fetch_all(conn)
    .await?;
    for row in declarations {
        let declaration = Declaration { basis: hex(&row.basis), statement: row.statement };
        bodies.insert(row.fact_id, Body::Declaration(declaration));
    }
    Ok(())
}
