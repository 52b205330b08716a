//! What cannot be taken is refused with everything that was typed; what is odd but may be true is kept
//! and marked.

use standmast::clock::Utc;
use standmast::people::model::Role;
use standmast::profiles::model::Stage;
use uuid::Uuid;

use crate::support::{Answer, Form, NOON, READING, SETUP, TRIAL, Work, with};

/// Sends the form once for each case, a field typed otherwise: 422, the message beside the field, all that
/// was typed kept, nothing saved.
async fn each_refused(work: &Work, tail: &str, good: &Form<'_>, cases: &[(&str, &str, &str)]) {
    let before = work.written().await;
    for (field, typed, says) in cases {
        let form = with(good, &[(*field, *typed)]);
        let answer = work.contractor.post(&work.path(tail), &form).await.must(422);
        let message = answer.message(field);
        assert!(message.contains(says), "{field} “{typed}”: “{message}” does not say “{says}”");
        answer.shows("Nothing was saved.");
        for (name, value) in &form {
            kept(&answer, name, value);
        }
    }
    assert_eq!(work.written().await, before);
}

/// Fields, areas, drop-downs and buttons alike keep what was typed or chosen; a choice that was never offered
/// cannot be shown as chosen.
#[track_caller]
fn kept(answer: &Answer, name: &str, value: &str) {
    let Some((_, after)) = answer.body.split_once(&format!("name=\"{name}\"")) else {
        assert!(value.is_empty(), "no field {name}");
        return;
    };
    let offered = format!("value=\"{value}\"");
    let chosen = ["selected", "checked"]
        .iter()
        .any(|mark| answer.body.contains(&format!("{offered} {mark}")));
    let several = after.split_once(">\n").is_some_and(|(_, rest)| rest.starts_with(value));
    let choice = ["instrument", "point", "orientation", "weather"].contains(&name)
        || ["supply_protected", "fold_back", "others_off"].contains(&name);
    let lost = choice && !answer.body.contains(&offered);
    assert!(answer.value(name) == value || chosen || several || lost, "{name} “{value}” was lost");
}

const POWERS: [(&str, &str, &str); 24] = [
    ("forward_w", "", "needed, in W"),
    ("forward_w", "NaN", "not a plain number"),
    ("forward_w", "inf", "not a plain number"),
    ("forward_w", "∞", "not a plain number"),
    ("forward_w", "1e3", "not a plain number"),
    ("forward_w", "4 W", "not a plain number"),
    ("forward_w", "-4", "at least 0 W"),
    ("forward_w", "0", "0 W forward tells nothing"),
    ("forward_w", "1,500", "two ways"),
    ("forward_w", "99999999999999999999999999", "at most 24 characters"),
    ("reflected_w", "", "needed, in W"),
    ("reflected_w", "-0.1", "at least 0 W"),
    ("reflected_w", "NaN", "not a plain number"),
    ("reflected_w", "below", "missing"),
    ("reflected_w", "below 0", "says nothing"),
    ("reflected_w", "below NaN", "not a plain number"),
    ("reflected_w", "below -1", "at least 0 W"),
    ("reflected_w", "<", "missing"),
    ("instrument", "", "choose one"),
    ("instrument", "the red one", "not one of the choices"),
    ("instrument", "00000000-0000-0000-0000-000000000000", "not on the record"),
    ("forward_range_w", "10", "no range of 10 W; it has 0.25 W, 5 W, 25 W, 300 W"),
    ("reflected_range_w", "0", "no range of 0 W"),
    ("reflected_range_w", "", "needed, in W"),
];

#[tokio::test]
async fn a_trial_that_cannot_be_is_refused_with_what_was_typed() {
    let work = Work::opened().await;
    work.setup(&[]).await.must(303);
    let good = work.powers(&TRIAL, &[]);
    each_refused(&work, "/stand", &good, &POWERS).await;
    let soon = work.at(301);
    let cases = [
        ("upper_mm", "", "needed, in mm"),
        ("upper_mm", "-712", "at least 0 mm"),
        ("upper_mm", "20000", "write 1 mm to 10000 mm"),
        ("lower_mm", "0", "write 1 mm to 10000 mm"),
        ("lower_mm", "27 1/2", "not a plain number"),
        ("forward_w", "5.01", "cannot be read on a range that ends at 5 W"),
        ("reflected_w", "0.251", "cannot be read on a range that ends at 0.25 W"),
        ("reflected_w", "4.01", "is more than 4.00 W forward"),
        ("reflected_w", "below 4.01", "is more than 4.00 W forward"),
        ("measured_at", "2099-01-01T00:00", "lies in the future"),
        ("measured_at", soon.as_str(), "lies in the future"),
        ("measured_at", "yesterday", "not a date and time"),
    ];
    each_refused(&work, "/stand", &good, &cases).await;
    let long = "x".repeat(4001);
    each_refused(&work, "/stand", &good, &[("note", long.as_str(), "at most 4000")]).await;
    each_refused(&work, "/stand", &good, &[("note", "bell\u{7}", "control character")]).await;
}

#[tokio::test]
async fn a_stand_that_cannot_be_is_refused_with_what_was_typed() {
    let work = Work::opened().await;
    let cases = [
        ("stand_height_m", "", "needed, in m"),
        ("stand_height_m", "101", "write 0 m to 100 m"),
        ("nearest_metal_m", "-1", "at least 0 m"),
        ("nearest_metal_m", "1001", "write 0 m to 1000 m"),
        ("orientation", "slanted", "not one of the choices"),
        ("jumper", "", "needed"),
        ("jumper_loss_db", "-0.1", "at least 0 dB"),
        ("jumper_loss_db", "21", "write 0 dB to 20 dB"),
        ("supply_protected", "", "choose one"),
    ];
    each_refused(&work, "/stand/setup", &SETUP, &cases).await;
}

#[tokio::test]
async fn a_reading_that_cannot_be_is_refused_with_what_was_typed() {
    let work = Work::through(Stage::ColdTests).await;
    let good = work.powers(&READING, &[]);
    each_refused(&work, "/installed", &good, &POWERS).await;
    let cases = [
        ("point", "", "not a whole number"),
        ("point", "1", "no such measuring point"),
        ("point", "7", "no such measuring point"),
        ("point", "99", "no such measuring point"),
        ("frequency_mhz", "59.9", "write 60 MHz to 120 MHz"),
        ("frequency_mhz", "98400", "at most 6000 MHz"),
        ("forward_w", "301", "cannot be read on a range that ends at 300 W"),
        ("reflected_w", "301", "is more than 300 W forward"),
        ("power_set_w", "-1", "at least 0 W"),
        ("power_set_w", "2000000", "write 0 W to 1000000 W"),
        ("power_made_w", "lots", "not a plain number"),
        ("fold_back", "", "choose one"),
        ("fold_back", "maybe", "not one of the choices"),
        ("weather", "fine", "not one of the choices"),
        ("temperature_c", "-61", "write −60 °C to 70 °C"),
        ("temperature_c", "71", "write −60 °C to 70 °C"),
        ("others_off", "perhaps", "not one of the choices"),
        ("measured_at", "2099-01-01T00:00", "lies in the future"),
    ];
    each_refused(&work, "/installed", &good, &cases).await;
}

#[tokio::test]
async fn comma_and_dot_are_both_taken_and_kept_as_typed() {
    let work = Work::opened().await;
    work.setup(&[("stand_height_m", "3,50"), ("jumper_loss_db", ".1")]).await.must(303);
    work.page("/stand").await.shows("3,50 m high").shows(".1 dB");
    let typed = [("upper_mm", "712,50"), ("lower_mm", "711.5"), ("forward_w", "4,0")];
    work.trial(&typed).await.must(303);
    work.page("/stand").await.shows("712,50 / 711.5").shows("4,0 0.020");
    let dossier = work.dossier().await;
    assert!((dossier.findings.stand.trials[0].setting.0 - 712.0).abs() < 1e-9);
    // 5 and 5.0 are one range.
    work.trial(&[("forward_range_w", "5.0"), ("reflected_range_w", "0,250")]).await.must(303);
}

#[tokio::test]
async fn below_the_least_shown_power_is_an_answer() {
    let work = Work::opened().await;
    for typed in ["below 0.05", "Below 0.05 W", "<0.05", "< 0,05 w"] {
        work.trial(&[("reflected_w", typed)]).await.must(303);
    }
    let dossier = work.dossier().await;
    for trial in &dossier.findings.stand.trials {
        let known = trial.at_meter.unwrap();
        assert!(known.ceiling && known.low.0 < 1e-12, "{known:?}");
    }
    work.page("/stand").await.shows("below 0.05").shows("up to 1.25");
}

#[tokio::test]
async fn what_is_odd_but_may_be_true_is_kept_and_marked() {
    let work = Work::opened().await;
    work.trial(&[("reflected_w", "0")]).await.must(303);
    work.page("/stand").await.shows("0 W reflected is below what the range shows");
    // A shorted cable: everything comes back, and behind the jumper's loss even more would have to.
    work.trial(&[("reflected_w", "4.00"), ("reflected_range_w", "5")]).await.must(303);
    let page = work.page("/stand").await;
    page.shows("everything comes back").shows("Switch off and test the cable.");
    work.setup(&[]).await.must(303);
    work.page("/stand").await.shows("the reflection begins before the antenna");
    work.trial(&[("upper_mm", "900"), ("lower_mm", "905")]).await.must(303);
    let page = work.page("/stand").await;
    page.shows("the halves differ by 5.0 mm");
    page.shows("900 mm lies outside the antenna's range of 640 mm to 820 mm");
    work.trial(&[("forward_w", "1.0"), ("reflected_w", "0.1")]).await.must(303);
    work.page("/stand").await.shows("1 W forward is below a quarter of full scale");
    assert_eq!(work.trials().await.len(), 4);
}

#[tokio::test]
async fn the_device_may_run_five_minutes_ahead_and_the_past_is_taken() {
    let work = Work::opened().await;
    let (ahead, before) = (work.at(300), work.at(-90_000));
    work.trial(&[("measured_at", ahead.as_str())]).await.must(303);
    work.trial(&[("measured_at", before.as_str())]).await.must(303);
    let facts = work.dossier().await.record;
    let measured: Vec<i64> =
        facts.trials().iter().map(|trial| trial.fact.measured.at.seconds()).collect();
    assert_eq!(measured, [NOON + 300, NOON - 90_000]);
    assert!(facts.trials().iter().all(|one| one.fact.entered_at == Utc::from_seconds(NOON)));
}

#[tokio::test]
async fn what_does_not_exist_is_not_found() {
    let work = Work::opened().await;
    let nowhere = [
        "/sites/tern-ridge/jobs/2",
        "/sites/tern-ridge/jobs/0",
        "/sites/tern-ridge/jobs/-1",
        "/sites/tern-ridge/jobs/99999999999999999999",
        "/sites/tern-ridge/jobs/one",
        "/sites/tern-ridge/jobs/2/stand",
        "/sites/tern-ridge/jobs/1/checks/no-such-check",
        "/sites/tern-ridge/jobs/1/gates/no-such-gate",
        "/sites/tern-ridge/jobs/1/entries/no-such-entry",
        "/sites/tern-ridge/jobs/1/entries/00000000-0000-7000-8000-000000000000",
        "/sites/gull-head/jobs/1",
    ];
    for path in nowhere {
        work.manager.get(path).await.must(404);
        work.contractor.get(path).await.must(404);
    }
    let before = work.written().await;
    let nothing = Uuid::nil();
    work.answer("no-such-check", &[("answer", "passed")]).await.must(404);
    work.choose(nothing).await.must(404);
    work.withdraw(nothing).await.must(404);
    work.correct(nothing, &[]).await.must(404);
    let foreign =
        [("reading", nothing.to_string()), ("cause", "x".into()), ("checked", "y".into())];
    let foreign: Vec<(&str, &str)> = foreign.iter().map(|(k, v)| (*k, v.as_str())).collect();
    work.contractor.post(&work.path("/installed/explanation"), &foreign).await.must(404);
    work.contractor.post("/sites/tern-ridge/jobs/2/stand", &TRIAL).await.must(404);
    assert_eq!(work.written().await, before);
}

#[tokio::test]
async fn a_contractor_on_a_foreign_site_finds_nothing() {
    let work = Work::through(Stage::Authority).await;
    work.app.site("gull-head", "Gull Head").await;
    let stranger = work.app.signed_in(Role::Contractor, &["gull-head"]).await;
    let before = work.written().await;
    for tail in ["", "/stand", "/installed", "/checks/dc-state", "/gates/stand", "/declaration"] {
        stranger.get(&work.path(tail)).await.must(404);
    }
    let good = work.powers(&TRIAL, &[]);
    stranger.post(&work.path("/stand"), &good).await.must(404);
    stranger.post(&work.path("/stand/setup"), &SETUP).await.must(404);
    stranger.post(&work.path("/checks/dc-state"), &[("answer", "passed")]).await.must(404);
    stranger.post(&work.path("/gates/stand"), &[("read_back", "")]).await.must(404);
    stranger.post(&work.path("/declaration"), &[("statement", "done")]).await.must(404);
    // The job's number at another site is another job.
    stranger.post("/sites/gull-head/jobs/1/stand", &good).await.must(404);
    let list = stranger.get("/sites").await.must(200);
    assert!(!list.text_has("Tern Ridge"));
    assert_eq!(work.written().await, before);
}

#[tokio::test]
async fn an_oversized_form_and_a_form_without_a_number_are_refused() {
    let work = Work::opened().await;
    let before = work.written().await;
    let long = format!("act={}&note={}", work.app.clock.uuid(), "x".repeat(66_000));
    work.send("/stand", long.into_bytes()).await.must(413).shows("up to 64 kB");
    work.send("/stand", b"forward_w=4".to_vec()).await.must(400);
    work.send("/stand", b"act=none&forward_w=4".to_vec()).await.must(400);
    work.send("/stand", b"act=%FF%FE".to_vec()).await.must(400);
    assert_eq!(work.written().await, before);
}

#[tokio::test]
async fn markup_in_what_was_typed_is_only_text() {
    let work = Work::through(Stage::Stand).await;
    let markup = "<b onclick=\"x\">Gull & 'Head'</b>";
    work.trial(&[("note", markup)]).await.must(303);
    work.setup(&[("jumper", markup), ("note", markup)]).await.must(303);
    let told = [("answer", "failed"), ("note", markup)];
    work.answer("ground-kits", &told).await.must(303);
    let refused = work.trial(&[("note", markup), ("forward_w", markup)]).await.must(422);
    assert!(!refused.body.contains("<b onclick"));
    assert_eq!(refused.value("forward_w"), markup);
    for tail in ["", "/stand", "/checks/ground-kits", "/gates/mast", "/installed"] {
        let page = work.page(tail).await;
        assert!(!page.body.contains("<b onclick"), "{tail}");
    }
    work.page("/checks/ground-kits").await.shows(markup);
    work.page("/stand").await.shows(markup);
}

#[tokio::test]
async fn a_form_sent_again_does_nothing_twice() {
    let work = Work::opened().await;
    let act = work.app.clock.uuid();
    let path = work.path("/stand");
    let good = work.powers(&TRIAL, &[]);
    let device = work.app.browser_of(&work.contractor_person).await;
    let first = work.contractor.post_as(act, &path, &good).await.must(303);
    let once = work.written().await;
    work.later(3600);
    let again = work.contractor.post_as(act, &path, &good).await.must(303);
    assert_eq!(first.location(), again.location());
    assert_eq!(work.written().await, once);
    let other = with(&good, &[("forward_w", "3.90")]);
    let answer = work.contractor.post_as(act, &path, &other).await.must(409);
    answer.shows("already sent with other content").shows("3.90");
    // The same form from another device of the same person is the same form.
    device.post_as(act, &path, &good).await.must(303);
    work.engineer.post_as(act, &path, &good).await.must(404);
    work.engineer.post_as(act, &path, &other).await.must(404);
    // Another address is other content.
    work.contractor.post_as(act, &work.path("/stand/setup"), &SETUP).await.must(409);
    assert_eq!(work.written().await, once);
}

#[tokio::test]
async fn a_refused_form_may_be_mended_under_its_number() {
    let work = Work::opened().await;
    let act = work.app.clock.uuid();
    let path = work.path("/stand");
    let bad = work.powers(&TRIAL, &[("forward_w", "four")]);
    let page = work.contractor.post_as(act, &path, &bad).await.must(422);
    assert!(page.body.contains(&format!("name=\"act\" value=\"{act}\"")));
    work.contractor.post_as(act, &path, &work.powers(&TRIAL, &[])).await.must(303);
    assert_eq!(work.trials().await.len(), 1);
}

#[tokio::test]
async fn an_instrument_retired_meanwhile_does_not_hide_what_was_sent() {
    let work = Work::opened().await;
    let act = work.app.clock.uuid();
    let path = work.path("/stand");
    let good = work.powers(&TRIAL, &[]);
    work.contractor.post_as(act, &path, &good).await.must(303);
    let edit = format!("/instruments/{}/edit", work.meter);
    let form = work.contractor.get(&edit).await.must(200);
    let (name, serial) = (form.value("name"), form.value("serial"));
    let retired = [
        ("firm", "Ternfold Aerials"),
        ("name", name.as_str()),
        ("serial", serial.as_str()),
        ("retired", "yes"),
        ("version", "1"),
    ];
    work.contractor.post(&edit, &retired).await.must(303);
    work.contractor.post_as(act, &path, &good).await.must(303);
    let answer = work.trial(&[]).await.must(422);
    assert!(answer.message("instrument").contains("retired"));
    // What was measured with it can still be corrected.
    let trial = work.trials().await[0];
    let form = work.powers(&TRIAL, &[("reflected_w", "0.030")]);
    work.correct(trial, &form).await.must(303);
    assert_eq!(work.trials().await.len(), 1);
}
