//! Accepting and returning a job, and the report: what is asked, what is frozen, what is refused afterwards.

use std::collections::BTreeSet;
use std::process::Command;

use sha2::{Digest, Sha256};
use sqlx::Row;
use standmast::acceptance::acts;
use standmast::journal::{ActError, Intent};
use standmast::people::model::Role;
use standmast::people::permit::{Decide, SitePermit};

use crate::equipment::ORDINARY;
use crate::sites::ASSIGNMENT;
use crate::support::{Answer, Browser, PASSWORD, TestApp, fresh_path, jpeg};
use crate::whole_job::{CHAIN, JOB, READING, SETUP, TRIAL, WholeJob};

const DECISION: &str = "/sites/tern-ridge/jobs/1/decision";
const REPORT: &str = "/sites/tern-ridge/jobs/1/report.pdf";

async fn accept(by: &Browser) -> Answer {
    let fields = [("decision", "accept"), ("remarks", ""), ("password", PASSWORD)];
    by.post(DECISION, &fields).await
}

/// What a reader of the file sees, page by page.
fn pages(report: &Answer) -> Vec<String> {
    let path = fresh_path("report").with_extension("pdf");
    std::fs::write(&path, &report.bytes).unwrap();
    let done = Command::new("pdftotext").arg("-layout").arg(&path).arg("-").output().unwrap();
    std::fs::remove_file(&path).unwrap();
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    let text = String::from_utf8(done.stdout).unwrap();
    let pages = text.trim_end_matches('\u{c}').split('\u{c}');
    pages.map(|page| page.split_whitespace().collect::<Vec<_>>().join(" ")).collect()
}

#[tokio::test]
async fn the_station_accepts_with_the_password_and_the_job_is_frozen() {
    let job = WholeJob::declared("independent").await;
    let page = job.manager.get(DECISION).await.must(200);
    page.shows("Declared complete by Ines Café")
        .shows("The work is complete as recorded.")
        .shows("Independent release: a gate is released by someone who did no item of its stage.")
        .shows("Is the installed SWR at the measuring point within its limit?")
        .shows("released by Tomas Ridge")
        .shows("it is no permit")
        .shows("Accept the job")
        .shows("Return with remarks");
    accept(&job.manager).await.must(303);
    let page = job.manager.get(JOB).await.must(200);
    page.shows("Accepted on 12 Mar 2031 by Ada Knoll.").shows("Report (PDF)");
    let report = job.manager.get(REPORT).await.must(200);
    assert_eq!(report.header("content-type"), "application/pdf");
    assert_eq!(report.header("content-disposition"), "inline; filename=\"tern-ridge-1-A.pdf\"");
    assert_eq!(report.header("cache-control"), "no-store");
    let pages = pages(&report);
    assert!(pages.len() >= 2);
    assert!(
        pages[0].contains("Accepted by Ada Knoll, Ternfold Radio, on 12 Mar 2031 14:05 +00:00.")
    );
    let text = pages.join(" ");
    for sign in ["Ω", "λ", "≤", "Ines Café"] {
        assert!(text.contains(sign), "{sign}");
    }
    assert!(!text.contains("not accepted"), "{text}");

    let row = sqlx::query(
        "SELECT dossier.content, dossier.digest, dossier.edition, journal.content AS entry
         FROM dossier JOIN journal ON journal.uuid = dossier.act",
    )
    .fetch_one(&mut job.app.database().await)
    .await
    .unwrap();
    let digest: [u8; 32] = Sha256::digest(row.get::<String, _>("content")).into();
    assert_eq!(row.get::<Vec<u8>, _>("digest"), digest);
    let hex: String = digest.iter().map(|byte| format!("{byte:02x}")).collect();
    let entry: serde_json::Value = serde_json::from_str(&row.get::<String, _>("entry")).unwrap();
    assert_eq!(entry["kind"], "job accepted");
    assert_eq!(entry["what"]["edition"], "A");
    assert_eq!(entry["what"]["dossier_sha256"], hex);
    assert!(text.replace(' ', "").contains(&hex), "the digest is not in the report");
}

#[tokio::test]
async fn a_report_says_on_every_page_that_the_job_is_not_accepted() {
    let job = WholeJob::opened("single-handed").await;
    let report = job.contractor.get(REPORT).await.must(200);
    assert_eq!(report.header("content-disposition"), "inline; filename=\"tern-ridge-1-draft.pdf\"");
    let pages = pages(&report);
    assert!(pages.len() >= 2);
    for (index, page) in pages.iter().enumerate() {
        assert!(page.contains("not accepted · stage: authority and safety"), "{page}");
        assert!(page.contains(&format!("page {} of {}", index + 1, pages.len())), "{page}");
        assert!(page.contains("tern-ridge-1-draft"), "{page}");
    }
    assert!(pages[0].contains("SINGLE-HANDED"), "{}", pages[0]);
    assert!(pages[0].contains("not measured"));
}

#[tokio::test]
async fn without_the_own_password_nothing_is_accepted_and_what_was_typed_stays() {
    let job = WholeJob::declared("independent").await;
    let facts = job.app.count("fact").await;
    for (typed, message) in [
        ("", "this is needed: it is the signature"),
        ("not it at all", "this is not the password of “ada”"),
        (" over the ridge and down", "this is not the password of “ada”"),
    ] {
        let fields = [("decision", "accept"), ("remarks", "all seen <b>"), ("password", typed)];
        let page = job.manager.post(DECISION, &fields).await.must(422);
        assert_eq!(page.message("password"), message);
        page.shows("all seen <b>").shows("Nothing was saved.");
        assert!(typed.is_empty() || !page.body.contains(typed));
    }
    assert_eq!(job.app.count("fact").await, facts);
    assert_eq!(job.app.count("dossier").await, 0);
    // After five attempts one has to wait.
    for _ in 0..3 {
        let fields = [("decision", "accept"), ("remarks", ""), ("password", "guess")];
        job.manager.post(DECISION, &fields).await.must(422);
    }
    let page = accept(&job.manager).await.must(429);
    assert!(page.message("password").contains("too many attempts"));
}

#[tokio::test]
async fn a_job_is_returned_with_remarks_declared_again_and_accepted() {
    let job = WholeJob::declared("independent").await;
    let bare = [("decision", "return"), ("remarks", " "), ("password", "")];
    let page = job.engineer.post(DECISION, &bare).await.must(422);
    assert_eq!(page.message("remarks"), "say what is to be put right");
    job.engineer.post(DECISION, &[("remarks", "nothing pressed")]).await.must(422);
    let fields =
        [("decision", "return"), ("remarks", "The signs are missing."), ("password", PASSWORD)];
    job.engineer.post(DECISION, &fields).await.must(303);
    job.contractor.get(JOB).await.shows("Returned with remarks: The signs are missing.");
    let draft = pages(&job.contractor.get(REPORT).await.must(200));
    assert!(draft[0].contains("Not accepted: returned with remarks."), "{}", draft[0]);
    accept(&job.manager).await.must(409).shows("not declared complete");
    job.declare(&job.contractor).await.must(303);
    accept(&job.manager).await.must(303);
    let text = pages(&job.manager.get(REPORT).await.must(200)).join(" ");
    assert!(text.contains("The signs are missing."));
}

#[tokio::test]
async fn nobody_accepts_the_own_declaration() {
    let job = WholeJob::declared("independent").await;
    let remarks = ("remarks", "Declare it for the station.");
    let back = [("decision", "return"), remarks, ("password", PASSWORD)];
    job.manager.post(DECISION, &back).await.must(303);
    job.declare(&job.engineer).await.must(303);
    job.engineer.get(DECISION).await.must(200).shows("You declared this job");
    accept(&job.engineer).await.must(409).shows("someone else accepts or returns it");
    job.engineer.post(DECISION, &back).await.must(409);
    assert_eq!(job.app.count("dossier").await, 0);
    accept(&job.manager).await.must(303);
}

#[tokio::test]
async fn a_decision_sent_twice_is_made_once() {
    let job = WholeJob::declared("independent").await;
    let act = job.app.clock.uuid();
    let fields = [("decision", "accept"), ("remarks", ""), ("password", PASSWORD)];
    job.manager.post_as(act, DECISION, &fields).await.must(303);
    job.manager.post_as(act, DECISION, &fields).await.must(303);
    assert_eq!(job.app.count("dossier").await, 1);
    let other = [("decision", "accept"), ("remarks", "other"), ("password", PASSWORD)];
    job.manager.post_as(act, DECISION, &other).await.must(409);
    job.engineer.post_as(act, DECISION, &fields).await.must(404);
    assert_eq!(job.app.count("dossier").await, 1);
}

#[tokio::test]
async fn somebody_elses_password_proves_nothing() {
    let job = WholeJob::declared("independent").await;
    let state = &job.app.state;
    let other = job.app.someone(Role::Manager).added().await;
    let confirmed = state.passwords.confirm(&state.reads, &other, PASSWORD.to_owned()).await;
    let confirmed = confirmed.unwrap().unwrap();
    let mut snapshot = state.snapshot().await.unwrap();
    let engineer = job.engineer_person.clone();
    let permit: SitePermit<Decide> =
        SitePermit::of(snapshot.conn(), job.app.clock.now(), engineer.clone(), "tern-ridge")
            .await
            .unwrap();
    drop(snapshot);
    let intent = Intent {
        id: job.app.clock.uuid(),
        actor: engineer.actor(),
        kind: "job accepted",
        digest: [0; 32],
    };
    let (writer, clock) = (&state.writer, &state.clock);
    let done = acts::accept(writer, clock, &permit, 1, intent, &confirmed, "").await;
    assert!(matches!(done, Err(ActError::Unknown)), "{done:?}");
    assert_eq!(job.app.count("dossier").await, 0);
}

#[tokio::test]
async fn page_and_report_of_an_accepted_job_stay_as_they_were() {
    let job = WholeJob::declared("independent").await;
    accept(&job.manager).await.must(303);
    let (page, report) = (job.manager.get(JOB).await, job.manager.get(REPORT).await);
    let later = job.app.clock.now().plus_seconds(86_400);
    job.app.clock.set(later);

    let form = job.engineer.get("/sites/tern-ridge/edit").await.must(200);
    let version = form.value("version");
    let site = [
        ("version", version.as_str()),
        ("code", "tern-ridge"),
        ("name", "Renamed Ridge"),
        ("latitude_deg", "42"),
        ("longitude_deg", "-9"),
        ("zone", "UTC"),
        ("structure", "tower"),
        ("structure_height_m", "40"),
        ("notes", "new"),
    ];
    job.engineer.post("/sites/tern-ridge/edit", &site).await.must(303);
    let form = job.engineer.get("/sites/tern-ridge/assignments/1/edit").await.must(200);
    let version = form.value("version");
    let mut assignment = ASSIGNMENT.to_vec();
    assignment.retain(|(name, _)| *name != "erp_w");
    assignment.extend([("erp_w", "200"), ("version", version.as_str())]);
    job.engineer.post("/sites/tern-ridge/assignments/1/edit", &assignment).await.must(303);
    let mut chain = ORDINARY.to_vec();
    chain.retain(|(name, _)| !matches!(*name, "version" | "feed_line_length_m" | "note"));
    chain.extend([("version", "1"), ("feed_line_length_m", "55"), ("note", "a longer line")]);
    job.engineer.post(CHAIN, &chain).await.must(303);
    job.engineer.get("/sites/tern-ridge").await.shows("Renamed Ridge");

    let (page_after, report_after) = (job.manager.get(JOB).await, job.manager.get(REPORT).await);
    assert_eq!(page_after.text(), page.text());
    assert!(report_after.bytes == report.bytes, "{:?}", pages(&report_after)[0]);
}

/// Every address of jobs with its form as a person would send it.
fn forms(fact: &str, meter: &str) -> Vec<(&'static str, Vec<(String, String)>)> {
    let own = |fields: &[(&str, &str)]| -> Vec<(String, String)> {
        fields.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned())).collect()
    };
    let with_meter = |fields: &[(&str, &str)]| {
        let mut all = own(fields);
        all.push(("instrument".to_owned(), meter.to_owned()));
        all
    };
    let corrects = [("corrects", fact), ("reason", "second thoughts")];
    vec![
        ("/stand", with_meter(&TRIAL)),
        ("/stand/setup", own(&SETUP)),
        ("/stand/chosen", own(&[("trial", fact)])),
        ("/installed", with_meter(&READING)),
        ("/installed/explanation", own(&[("reading", fact), ("cause", "x"), ("checked", "y")])),
        ("/checks/{item}", own(&[("answer", "passed"), ("note", "z")])),
        ("/gates/{stage}", own(&[("read_back", "z")])),
        ("/entries/{fact}", with_meter(&[&TRIAL[..], &corrects[..]].concat())),
        ("/entries/{fact}/withdraw", own(&corrects)),
        ("/independence", own(&[("class", "single-handed")])),
        ("/declaration", own(&[("statement", "z")])),
        ("/decision", own(&[("decision", "accept"), ("password", PASSWORD)])),
        ("/as-built", own(&[("height_m", "31.5"), ("height_method", "tape")])),
        ("/exposure", own(&SURVEY)),
        ("/snags", own(&SNAG)),
    ]
}

const SURVEY: [(&str, &str); 5] = [
    ("survey_instrument", "field meter F-3"),
    ("all_on", "yes"),
    ("place_1", "gate"),
    ("area_1", "public"),
    ("share_1_percent", "2"),
];

const SNAG: [(&str, &str); 5] = [
    ("class", "C"),
    ("text", "label faded"),
    ("owner", "Ines"),
    ("due_on", ""),
    ("measured_at", ""),
];

#[tokio::test]
async fn an_accepted_job_takes_no_fact_through_any_door() {
    let job = WholeJob::declared("independent").await;
    accept(&job.manager).await.must(303);
    let trial = job.fact("trial").await.to_string();
    let reading = job.fact("reading").await.to_string();
    let (facts, entries) = (job.app.count("fact").await, job.app.count("journal").await);
    let meter = job.instrument.clone();
    let mut tried = BTreeSet::new();
    for (tail, fields) in forms(&trial, &meter) {
        tried.insert(tail);
        let fields: Vec<(&str, &str)> = fields
            .iter()
            .map(|(name, value)| {
                let value = if name == "reading" { &reading } else { value };
                (name.as_str(), value.as_str())
            })
            .collect();
        let path = tail
            .replace("{item}", "ground-kits")
            .replace("{stage}", "mast")
            .replace("{fact}", &trial);
        let answer = job.manager.post(&format!("{JOB}{path}"), &fields).await;
        assert_eq!(answer.status, 409, "{tail}: {}", answer.text());
        assert!(answer.text_has("The job is accepted: its record is closed"), "{tail}");
    }
    assert_eq!(job.app.count("fact").await, facts);
    assert_eq!(job.app.count("journal").await, entries);
    let shot = jpeg(80, 60);
    let act = job.app.clock.uuid();
    let files: [(&str, &[u8]); 1] = [("a", &shot)];
    let photos = format!("{JOB}/photos");
    let photo = job.manager.post_files(act, &photos, &[("caption", "x")], &files).await;
    photo.must(409).shows("The job is accepted: its record is closed");
    tried.insert("/photos");
    let done = [("done", "x"), ("done_by", ""), ("proof", "seen"), ("measured_at", "")];
    let closing = job.manager.post(&format!("{JOB}/snags/{trial}/closing"), &done).await;
    assert!(matches!(closing.status.as_u16(), 404 | 409), "{}", closing.text());
    tried.insert("/snags/{snag}/closing");
    assert_eq!(tried, posted(), "an address of jobs is not tried here, or is gone");
}

/// The tails of all addresses below a job that the server takes a form at, by the program's source.
fn posted() -> BTreeSet<&'static str> {
    let text = include_str!("permissions.rs");
    text.lines()
        .filter_map(|line| line.trim().strip_prefix("post(\"/sites/{site}/jobs/{job}"))
        .filter_map(|rest| rest.split('"').next())
        .collect()
}

#[tokio::test]
async fn a_site_of_many_words_has_a_report_too() {
    let app = TestApp::new().await;
    app.site("gull-head", "<b>Gull</b> & Head 📡").await;
    let manager = app.signed_in(Role::Manager, &[]).await;
    manager.post("/sites/gull-head/assignments/new", &ASSIGNMENT).await.must(303);
    let fields = [("assignment", "1"), ("kind", "storm-repair"), ("class", "remote")];
    manager.post("/sites/gull-head/jobs/new", &fields).await.must(303);
    let report = manager.get("/sites/gull-head/jobs/1/report.pdf").await.must(200);
    let text = pages(&report).join(" ");
    assert!(text.contains("<b>Gull</b> & Head"), "{text}");
    assert!(text.contains("U+1F4E1"));
    manager.get("/sites/gull-head/jobs/2/report.pdf").await.must(404);
}

#[tokio::test]
async fn an_engineer_signs_on_the_tablet_on_which_the_contractor_is_signed_in() {
    let job = WholeJob::declared("independent").await;
    let page = job.contractor.get(DECISION).await.must(200);
    page.shows("may not decide").shows("signs here with the own sign-in name");
    assert_eq!(page.value("signer"), "", "who may not decide is not proposed");
    let signer = job.engineer_person.login.as_str();
    let sign = |signer: &'static str, password: &'static str| {
        [("decision", "accept"), ("remarks", "seen"), ("signer", signer), ("password", password)]
    };
    let own = job.contractor.post(DECISION, &sign("", PASSWORD)).await.must(422);
    assert!(own.message("signer").contains("contractor, may not sign this"), "{}", own.text());
    let wrong = job.contractor.post(DECISION, &sign("nobody", PASSWORD)).await.must(422);
    assert_eq!(wrong.message("password"), "this is not the password of “nobody”");
    assert_eq!(wrong.value("signer"), "nobody");
    assert_eq!(job.app.count("dossier").await, 0);
    let fields =
        [("decision", "accept"), ("remarks", "seen"), ("signer", signer), ("password", PASSWORD)];
    job.contractor.post(DECISION, &fields).await.must(303);
    let name = &job.engineer_person.name;
    job.contractor.get(JOB).await.must(200).shows(&format!("Accepted on 12 Mar 2031 by {name}."));
    job.contractor.get("/people").await.must(403);
    let by: String = sqlx::query_scalar(
        "SELECT person.login FROM journal JOIN person ON person.id = journal.person_id WHERE kind = 'job accepted'",
    )
    .fetch_one(&mut job.app.database().await)
    .await
    .unwrap();
    assert_eq!(by, signer);
}
