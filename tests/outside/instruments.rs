//! Instruments and their calibrations as people keep them: what is taken, what is refused with what was
//! typed kept, whose they are, and how each stands today.

use sqlx::Row;
use standmast::clock::Utc;
use standmast::instruments::store;
use standmast::people::model::Role;
use uuid::Uuid;

use crate::support::{Browser, NOON, TestApp};

/// An instrument of the contractors' firm that is taken as it stands, its ranges out of order.
pub const INSTRUMENT: [(&str, &str); 11] = [
    ("firm", "Ternfold Aerials"),
    ("name", "directional power meter, two elements"),
    ("serial", "DM-2207"),
    ("certificate", "C 4471/30"),
    ("calibrated_on", "2030-06-01"),
    ("due_on", "2031-06-01"),
    ("accuracy_percent", "5"),
    ("directivity_db", "30"),
    ("full_scale_1_w", "25"),
    ("full_scale_2_w", ""),
    ("full_scale_3_w", "2,50"),
];

fn with<'a>(changes: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    let mut all = INSTRUMENT.to_vec();
    for (name, value) in changes {
        match all.iter_mut().find(|(known, _)| known == name) {
            Some(field) => field.1 = value,
            None => all.push((name, value)),
        }
    }
    all
}

async fn made(browser: &Browser, changes: &[(&str, &str)]) -> String {
    browser.post("/instruments/new", &with(changes)).await.must(303).location().to_owned()
}

#[tokio::test]
async fn a_contractor_adds_an_instrument_of_the_own_firm_and_sees_it() {
    let app = TestApp::new().await;
    let contractor = app.signed_in(Role::Contractor, &[]).await;
    contractor.get("/instruments").await.must(200).shows("No instrument is in use yet.");
    let form = contractor.get("/instruments/new").await.must(200);
    assert_eq!(form.value("firm"), "Ternfold Aerials");
    form.shows("What accuracy and directivity mean");
    let path = made(&contractor, &[]).await;
    let page = contractor.get(&path).await.must(200);
    page.shows("serial number DM-2207 · Ternfold Aerials").shows("current until 1 Jun 2031");
    page.shows("Accuracy, of full scale 5 %").shows("30 dB").shows("2,50; 25 W");
    let list = contractor.get("/instruments").await.must(200);
    list.shows("All are in date.")
        .shows("DM-2207 Ternfold Aerials 2,50; 25 W 5 30 dB current until 1 Jun 2031");
}

#[tokio::test]
async fn everybody_signed_in_sees_the_instruments() {
    let app = TestApp::new().await;
    let contractor = app.signed_in(Role::Contractor, &[]).await;
    let path = made(&contractor, &[]).await;
    let reader = app.signed_in(Role::Reader, &[]).await;
    let list = reader.get("/instruments").await.must(200);
    list.shows("DM-2207");
    assert!(!list.text_has("Add an instrument"));
    let page = reader.get(&path).await.must(200);
    assert!(!page.text_has("Edit the instrument") && !page.text_has("Enter a calibration"));
    reader.post("/instruments/new", &INSTRUMENT).await.must(403);
    reader.post(&format!("{path}/edit"), &with(&[("version", "1")])).await.must(403);
    reader.post(&format!("{path}/calibrations/new"), &INSTRUMENT).await.must(403);
    reader.get(&format!("/instruments/{}", Uuid::nil())).await.must(404);
    reader.get("/instruments/none").await.must(404);
}

#[tokio::test]
async fn another_firms_instrument_is_not_a_contractors_to_keep() {
    let app = TestApp::new().await;
    let engineer = app.signed_in(Role::Engineer, &[]).await;
    let path = made(&engineer, &[("firm", "Ternfold Radio")]).await;
    let contractor = app.signed_in(Role::Contractor, &[]).await;
    let page = contractor.get(&path).await.must(200);
    assert!(!page.text_has("Edit the instrument"));
    for (end, form) in [("edit", with(&[("version", "1")])), ("calibrations/new", with(&[]))] {
        contractor.get(&format!("{path}/{end}")).await.must(403);
        contractor.post(&format!("{path}/{end}"), &form).await.must(403);
    }
    let (firms, acts) = (app.count("firm").await, app.count("journal").await);
    for firm in ["Ternfold Radio", "Nobody's Firm"] {
        let answer = contractor.post("/instruments/new", &with(&[("firm", firm)])).await.must(422);
        answer.shows("you keep the instruments of Ternfold Aerials only");
    }
    let own = made(&contractor, &[]).await;
    let away = with(&[("firm", "Ternfold Radio"), ("version", "1")]);
    contractor.post(&format!("{own}/edit"), &away).await.must(422);
    assert_eq!((app.count("firm").await, app.count("journal").await), (firms, acts + 1));
    assert_eq!(app.count("calibration").await, 2);
}

#[tokio::test]
async fn what_cannot_be_is_refused_with_what_was_typed() {
    let app = TestApp::new().await;
    let engineer = app.signed_in(Role::Engineer, &[]).await;
    made(&engineer, &[("serial", "taken")]).await;
    let acts = app.count("journal").await;
    let cases = [
        ("name", "", "needed"),
        ("serial", "", "needed"),
        ("serial", "taken", "already has an instrument"),
        ("firm", " ", "needed"),
        ("calibrated_on", "1 June 2030", "write it as 2031-03-08"),
        ("calibrated_on", "2031-02-30", "not a date"),
        ("calibrated_on", "2031-03-14", "yet to come"),
        ("calibrated_on", "", "day of calibration too"),
        ("due_on", "2030-05-31", "before the day of calibration"),
        ("accuracy_percent", "", "needed, in %"),
        ("accuracy_percent", "0", "write 0.01 % to 100 %"),
        ("accuracy_percent", "101", "write 0.01 % to 100 %"),
        ("accuracy_percent", "±5", "not a plain number"),
        ("accuracy_percent", "NaN", "not a plain number"),
        ("directivity_db", "", "tick below"),
        ("directivity_db", "-30", "at least 0 dB"),
        ("directivity_db", "81", "write 0 dB to 80 dB"),
        ("directivity_db", "inf", "not a plain number"),
        ("full_scale_2_w", "0", "write 0.001 W to"),
        ("full_scale_2_w", "1,500", "two ways"),
        ("full_scale_2_w", "25,0", "already there"),
        ("full_scale_8_w", "five", "not a plain number"),
    ];
    for (field, typed, says) in cases {
        let answer = engineer.post("/instruments/new", &with(&[(field, typed)])).await.must(422);
        let message = answer.message(field);
        assert!(message.contains(says), "{field} “{typed}”: “{message}” does not say “{says}”");
        assert_eq!(answer.value(field), typed.to_owned(), "{field} was not kept");
        let other = if field == "certificate" { "serial" } else { "certificate" };
        assert_eq!(answer.value(other), "C 4471/30");
    }
    let scales = [("full_scale_1_w", ""), ("full_scale_3_w", "")];
    let answer = engineer.post("/instruments/new", &with(&scales)).await.must(422);
    assert!(answer.message("full_scale_1_w").contains("at least one full scale"));
    let both = [("directivity_unstated", "yes")];
    let answer = engineer.post("/instruments/new", &with(&both)).await.must(422);
    assert!(answer.message("directivity_db").contains("take one of them back"));
    assert_eq!(app.count("instrument").await, 1);
    assert_eq!(app.count("journal").await, acts);
}

#[tokio::test]
async fn the_state_of_calibration_is_told_by_word_for_today() {
    let app = TestApp::new().await;
    let engineer = app.signed_in(Role::Engineer, &[]).await;
    let states = [
        ("a", "2030-03-12", "2031-03-12", "current until 12 Mar 2031, its last day"),
        ("b", "2030-03-01", "2031-03-10", "expired 10 Mar 2031, 2 days ago"),
        ("c", "2030-03-01", "2031-04-01", "current until 1 Apr 2031, 20 days left"),
        ("d", "2031-03-13", "2032-03-01", "not before 13 Mar 2031"),
        ("e", "2030-03-01", "", "calibrated 1 Mar 2030, due date not stated"),
        ("f", "", "", "not stated"),
    ];
    for (serial, done, due, says) in states {
        let dates = [("serial", serial), ("calibrated_on", done), ("due_on", due)];
        let path = made(&engineer, &dates).await;
        engineer.get(&path).await.must(200).shows(&format!("Calibration {says}"));
    }
    let list = engineer.get("/instruments").await.must(200);
    list.shows("Have these calibrated, or enter the certificate:");
    list.shows("two elements b; directional power meter, two elements d");
    app.clock.set(Utc::from_seconds(NOON + 24 * 3600));
    engineer.get("/instruments").await.must(200).shows("expired 12 Mar 2031, 1 day ago");
}

#[tokio::test]
async fn an_unstated_directivity_is_kept_as_unstated() {
    let app = TestApp::new().await;
    let contractor = app.signed_in(Role::Contractor, &[]).await;
    let unstated = [("directivity_db", ""), ("directivity_unstated", "yes")];
    let path = made(&contractor, &unstated).await;
    let page = contractor.get(&path).await.must(200);
    page.shows("Directivity not stated").shows("without it every interval is a least one");
    let row =
        sqlx::query("SELECT directivity_db IS NULL, directivity_typed IS NULL FROM calibration")
            .fetch_one(&mut app.database().await)
            .await
            .unwrap();
    assert!(row.get::<bool, _>(0) && row.get::<bool, _>(1));
}

#[tokio::test]
async fn a_new_calibration_holds_and_a_pinned_one_is_found() {
    let app = TestApp::new().await;
    let contractor = app.signed_in(Role::Contractor, &[]).await;
    let path = made(&contractor, &[]).await;
    let form = contractor.get(&format!("{path}/calibrations/new")).await.must(200);
    form.shows("Accuracy, % was 5").shows("Directivity, dB was 30");
    assert_eq!(
        form.value("accuracy_percent"),
        "",
        "what a certificate states anew is not filled in"
    );
    assert_eq!(form.value("full_scale_1_w"), "2,50");
    let bad = with(&[("accuracy_percent", "x")]);
    let answer = contractor.post(&format!("{path}/calibrations/new"), &bad).await.must(422);
    assert_eq!(answer.value("accuracy_percent"), "x");
    let new = with(&[
        ("certificate", "C 5120/31"),
        ("calibrated_on", "2031-03-12"),
        ("due_on", "2032-03-12"),
        ("accuracy_percent", "4,0"),
        ("full_scale_4_w", "100"),
    ]);
    let act = app.clock.uuid();
    for _ in 0..2 {
        let answer = contractor.post_as(act, &format!("{path}/calibrations/new"), &new).await;
        assert_eq!(answer.must(303).location(), path);
    }
    let page = contractor.get(&path).await.must(200);
    page.shows("current until 12 Mar 2032").shows("2,50; 25; 100 W");
    page.shows("1 C 4471/30 1 Jun 2030 1 Jun 2031 5 % 30 dB 2,50; 25 W");
    assert_eq!(app.count("calibration").await, 2);
    let uuid: Uuid = path.trim_start_matches("/instruments/").parse().unwrap();
    let mut snapshot = app.state.snapshot().await.unwrap();
    let newest = store::find(snapshot.conn(), uuid).await.unwrap().unwrap();
    assert_eq!(newest.calibration.statement.accuracy.text(), "4,0");
    assert_eq!(store::list(snapshot.conn()).await.unwrap(), std::slice::from_ref(&newest));
    let all = store::calibrations(snapshot.conn(), newest.id).await.unwrap();
    assert_eq!(all[0], newest.calibration);
    let pinned = store::by_calibration(snapshot.conn(), all[1].id).await.unwrap().unwrap();
    assert_eq!(pinned.calibration, all[1]);
    assert_eq!(pinned.calibration.statement.accuracy.text(), "5");
    assert!(store::by_calibration(snapshot.conn(), 99).await.unwrap().is_none());
}

#[tokio::test]
async fn an_instrument_is_edited_retired_and_two_editors_are_told() {
    let app = TestApp::new().await;
    let contractor = app.signed_in(Role::Contractor, &[]).await;
    let path = made(&contractor, &[]).await;
    made(&contractor, &[("serial", "other")]).await;
    let edit = format!("{path}/edit");
    let form = contractor.get(&edit).await.must(200);
    assert_eq!((form.value("serial"), form.value("version")), ("DM-2207".into(), "1".into()));
    let taken = with(&[("serial", "other"), ("version", "1")]);
    let answer = contractor.post(&edit, &taken).await.must(422);
    assert!(answer.message("serial").contains("already has"));
    let retired = with(&[("name", "old meter"), ("retired", "yes"), ("version", "1")]);
    let act = app.clock.uuid();
    for _ in 0..2 {
        contractor.post_as(act, &edit, &retired).await.must(303);
    }
    contractor.get(&path).await.must(200).shows("old meter").shows("Retired.");
    contractor.get("/instruments").await.must(200).shows("Retired (1)");
    let other = with(&[("name", "another"), ("version", "1")]);
    contractor.post_as(act, &edit, &other).await.must(409).shows("already sent with other content");
    let late = contractor.post(&edit, &other).await.must(409);
    late.shows("Somebody else changed this").shows("another");
    let colleague = app.signed_in(Role::Contractor, &[]).await;
    colleague.post_as(act, &edit, &retired).await.must(404);
    colleague.post_as(act, &edit, &with(&[("version", "2")])).await.must(404);
}

#[tokio::test]
async fn an_instrument_form_sent_twice_makes_one_instrument() {
    let app = TestApp::new().await;
    let contractor = app.signed_in(Role::Contractor, &[]).await;
    let act = app.clock.uuid();
    let first = contractor.post_as(act, "/instruments/new", &INSTRUMENT).await.must(303);
    let again = contractor.post_as(act, "/instruments/new", &INSTRUMENT).await.must(303);
    assert_eq!(first.location(), again.location());
    let other = with(&[("serial", "DM-9")]);
    let answer = contractor.post_as(act, "/instruments/new", &other).await.must(409);
    answer.shows("DM-9");
    let colleague = app.signed_in(Role::Contractor, &[]).await;
    colleague.post_as(act, "/instruments/new", &INSTRUMENT).await.must(404);
    assert_eq!(app.count("instrument").await, 1);
    assert_eq!(app.count("meter_range").await, 2);
}

#[tokio::test]
async fn the_same_serial_number_may_belong_to_two_firms() {
    let app = TestApp::new().await;
    let contractor = app.signed_in(Role::Contractor, &[]).await;
    made(&contractor, &[]).await;
    let engineer = app.signed_in(Role::Engineer, &[]).await;
    made(&engineer, &[("firm", "Ternfold Radio")]).await;
    engineer.post("/instruments/new", &INSTRUMENT).await.must(422);
    made(&engineer, &[("firm", "Alder Hire"), ("name", "<i>meter</i>")]).await;
    let list = engineer.get("/instruments").await.must(200);
    list.shows("Alder Hire").shows("<i>meter</i>");
    assert!(!list.body.contains("<i>meter"));
}
