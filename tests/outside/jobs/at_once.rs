//! Many at once, and what stays in the journal: one entry for each act, none for a refused one, and no entry
//! that can be changed without its showing.

use std::collections::BTreeSet;
use std::sync::Arc;

use sqlx::Row;
use standmast::journal::{Broken, verify};
use standmast::people::model::Role;
use standmast::profiles::model::Stage;
use tokio::task::JoinSet;
use uuid::Uuid;

use crate::support::{Browser, TRIAL, Work};

/// Sends a form of this browser in a task of its own.
fn send(
    tasks: &mut JoinSet<u16>,
    browser: &Arc<Browser>,
    act: Uuid,
    path: &str,
    form: &[(&str, &str)],
) {
    let (browser, path) = (Arc::clone(browser), path.to_owned());
    let form: Vec<(String, String)> =
        form.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned())).collect();
    tasks.spawn(async move {
        let form: Vec<(&str, &str)> = form.iter().map(|(k, v)| (k.as_str(), v.as_str())).collect();
        browser.post_as(act, &path, &form).await.status.as_u16()
    });
}

#[tokio::test(flavor = "multi_thread", worker_threads = 4)]
async fn the_same_form_eight_times_at_once_is_one_fact() {
    let work = Work::opened().await;
    let browser = Arc::new(work.app.browser_of(&work.contractor_person).await);
    let form = work.powers(&TRIAL, &[]);
    let (before, act) = (work.written().await, work.app.clock.uuid());
    let mut tasks = JoinSet::new();
    for _ in 0..8 {
        send(&mut tasks, &browser, act, &work.path("/stand"), &form);
    }
    assert_eq!(tasks.join_all().await, [303; 8]);
    assert_eq!(work.written().await, (before.0 + 1, before.1 + 1));
}

#[tokio::test(flavor = "multi_thread", worker_threads = 4)]
async fn eight_people_at_once_all_come_in() {
    let work = Work::opened().await;
    let mut people = Vec::new();
    for _ in 0..8 {
        people.push(Arc::new(work.app.signed_in(Role::Contractor, &["tern-ridge"]).await));
    }
    let before = work.written().await;
    let mut tasks = JoinSet::new();
    for person in &people {
        for _ in 0..3 {
            let form = work.powers(&TRIAL, &[]);
            send(&mut tasks, person, work.app.clock.uuid(), &work.path("/stand"), &form);
        }
    }
    assert_eq!(tasks.join_all().await, [303; 24]);
    assert_eq!(work.written().await, (before.0 + 24, before.1 + 24));
    let numbers: BTreeSet<usize> =
        work.dossier().await.record.trials().iter().map(|trial| trial.number).collect();
    assert_eq!(numbers, (1..=24).collect());
    let mut snapshot = work.app.state.snapshot().await.unwrap();
    verify(snapshot.conn()).await.unwrap().unwrap();
}

#[tokio::test(flavor = "multi_thread", worker_threads = 4)]
async fn of_eight_answers_to_one_check_one_is_taken() {
    let work = Work::opened().await;
    let mut tasks = JoinSet::new();
    for _ in 0..8 {
        let person = Arc::new(work.app.signed_in(Role::Contractor, &["tern-ridge"]).await);
        let path = work.path("/checks/exclusion-zone");
        let form = [("answer", "passed"), ("note", "seen")];
        send(&mut tasks, &person, work.app.clock.uuid(), &path, &form);
    }
    let mut answered = tasks.join_all().await;
    answered.sort_unstable();
    assert_eq!(answered, [303, 409, 409, 409, 409, 409, 409, 409]);
    assert_eq!(work.app.count("answer").await, 1);
}

#[tokio::test]
async fn every_act_leaves_one_entry_under_the_forms_number() {
    let work = Work::through(Stage::Authority).await;
    let kinds = async || {
        let row = sqlx::query("SELECT uuid, kind, content FROM journal ORDER BY seq DESC LIMIT 1")
            .fetch_one(&mut work.app.database().await)
            .await
            .unwrap();
        let content: serde_json::Value = serde_json::from_str(&row.get::<String, _>(2)).unwrap();
        (row.get::<Uuid, _>(0), row.get::<String, _>(1), content)
    };
    work.setup(&[]).await.must(303);
    let (_, entries) = work.written().await;
    let act = work.app.clock.uuid();
    let form = work.powers(&TRIAL, &[("reflected_w", "below 0.05")]);
    work.contractor.post_as(act, &work.path("/stand"), &form).await.must(303);
    let (uuid, kind, content) = kinds().await;
    assert_eq!((uuid, kind.as_str()), (act, "trial recorded"));
    assert_eq!(work.written().await.1, entries + 1);
    let says = &content["what"]["says"];
    assert_eq!(content["by"]["name"], "Ines Holm");
    assert_eq!(content["what"]["job"], "1");
    // Figures are the text that was typed.
    assert_eq!((&says["forward"], &says["reflected"]), (&"4.00 W".into(), &"0.05 W".into()));
    assert_eq!(says["reflected_below"], true);
    // A correction names what it strikes and why.
    let trial = work.trials().await[0];
    work.correct(trial, &form).await.must(303);
    let (_, kind, content) = kinds().await;
    assert_eq!(kind, "entry corrected");
    assert_eq!(content["what"]["strikes"], trial.to_string());
    assert_eq!(content["what"]["reason"], "typed wrongly");
    // What is refused leaves none.
    let written = work.written().await;
    work.trial(&[("forward_w", "four")]).await.must(422);
    work.release(&work.engineer, Stage::Stand).await.must(409);
    work.release(&work.engineer, Stage::Authority).await.must(409);
    work.contractor.post(&work.path("/independence"), &[("class", "remote")]).await.must(403);
    work.page("/stand").await;
    assert_eq!(work.written().await, written);
}

#[tokio::test]
async fn an_entry_cannot_be_changed_without_its_showing() {
    let work = Work::through(Stage::Authority).await;
    let conn = &mut work.app.database().await;
    for sql in [
        "UPDATE journal SET content = replace(content, 'Ines', 'Ida') WHERE seq = 5",
        "DELETE FROM journal WHERE seq = 5",
        "UPDATE fact SET measured_at = 0",
        "UPDATE answer SET answer = 'failed'",
        "DELETE FROM release",
    ] {
        let refused = sqlx::query(sql).execute(&mut *conn).await.unwrap_err().to_string();
        assert!(refused.contains("insert-only"), "{sql}: {refused}");
    }
    let holds = async || {
        let mut snapshot = work.app.state.snapshot().await.unwrap();
        verify(snapshot.conn()).await.unwrap()
    };
    let entries = holds().await.unwrap();
    // Whoever holds the file can drop the triggers; the chain still tells.
    for trigger in ["journal_is_not_changed", "journal_is_not_removed"] {
        let sql = sqlx::AssertSqlSafe(format!("DROP TRIGGER {trigger}"));
        sqlx::query(sql).execute(&mut *conn).await.unwrap();
    }
    let broken = |seq, why| Err(Broken { seq, why });
    let content: String = sqlx::query_scalar("SELECT content FROM journal WHERE seq = 5")
        .fetch_one(&mut *conn)
        .await
        .unwrap();
    let other = content.replacen(['1'], "2", 1);
    assert_ne!(content, other);
    let put = "UPDATE journal SET content = $1 WHERE seq = 5";
    sqlx::query(put).bind(&other).execute(&mut *conn).await.unwrap();
    assert_eq!(holds().await, broken(5, "its content is not what was hashed"));
    sqlx::query(put).bind(&content).execute(&mut *conn).await.unwrap();
    assert_eq!(holds().await, Ok(entries));
    sqlx::query("UPDATE journal SET previous = randomblob(32) WHERE seq = 7")
        .execute(&mut *conn)
        .await
        .unwrap();
    assert_eq!(holds().await, broken(7, "it does not follow the entry before it"));
}

#[tokio::test]
async fn an_entry_that_is_taken_out_leaves_a_gap() {
    let work = Work::opened().await;
    let conn = &mut work.app.database().await;
    for sql in [
        "PRAGMA foreign_keys = OFF",
        "DROP TRIGGER journal_is_not_removed",
        "DELETE FROM journal WHERE seq = 3",
    ] {
        sqlx::query(sql).execute(&mut *conn).await.unwrap();
    }
    let mut snapshot = work.app.state.snapshot().await.unwrap();
    let found = verify(snapshot.conn()).await.unwrap();
    assert_eq!(found, Err(Broken { seq: 4, why: "an entry before it is missing" }));
}
