//! Routine readings: recorded on an assignment without a job, compared over years, struck and kept.

use standmast::people::model::Role;
use standmast::profiles::model::Stage;

use crate::support::{Answer, Form, READING, Work, with};

const HERE: &str = "/sites/tern-ridge/assignments/1/readings";
const STRIKE: &str = "/sites/tern-ridge/assignments/1/readings/strike";

/// Years go by: whoever comes signs in anew.
async fn visit(work: &mut Work, days: i64) {
    work.later(days * 86_400);
    work.contractor = work.app.browser_of(&work.contractor_person).await;
}

async fn routine(work: &Work, changes: &Form<'_>) -> Answer {
    work.contractor.post(HERE, &work.powers(&READING, changes)).await
}

async fn page(work: &Work) -> Answer {
    work.contractor.get(HERE).await.must(200)
}

/// The name of the newest routine reading, as its form to strike it holds it.
fn newest(page: &Answer) -> String {
    page.value("fact")
}

#[tokio::test]
async fn a_routine_reading_stands_beside_the_installed_one() {
    let mut work = Work::through(Stage::RfOn).await;
    page(&work).await.shows("Nothing to compare yet.").shows("job 1, installed");
    visit(&mut work, 400).await;
    routine(&work, &[("note", "yearly visit")]).await.must(303);
    let page = page(&work).await;
    page.shows("No change that these instruments can show.")
        .shows("Of a trend nothing is said below 8 readings.")
        .shows("yearly visit")
        .shows("routine");
}

#[tokio::test]
async fn eight_readings_that_rise_show_their_trend_and_the_date_of_the_limit() {
    let mut work = Work::through(Stage::RfOn).await;
    for year in 1..=8 {
        visit(&mut work, 365).await;
        let reflected = format!("{:.1}", 0.9 + 0.7 * f64::from(year));
        let range = [("reflected_w", reflected.as_str()), ("reflected_range_w", "25")];
        routine(&work, &range).await.must(303);
    }
    page(&work)
        .await
        .shows("Reflection at the antenna input rises: check what changed.")
        .shows("Mann and Kendall")
        .shows("p below 0.001")
        .shows("At this rate the limit of 1.50");
}

#[tokio::test]
async fn a_rise_below_what_the_instruments_show_names_no_date() {
    let mut work = Work::through(Stage::RfOn).await;
    for year in 1..=8 {
        visit(&mut work, 365).await;
        let reflected = format!("{:.2}", 0.90 + 0.1 * f64::from(year));
        routine(&work, &[("reflected_w", &reflected)]).await.must(303);
    }
    let page = page(&work).await;
    page.shows("rises, by less than the instruments can show.");
    assert!(!page.text_has("At this rate"));
}

#[tokio::test]
async fn what_cannot_be_is_refused_with_what_was_typed() {
    let work = Work::through(Stage::RfOn).await;
    let before = work.written().await;
    for (changes, field, says) in [
        ([("reflected_w", "400")], "reflected_w", "more than"),
        ([("forward_w", "")], "forward_w", "this is needed"),
        ([("point", "1")], "point", "no measuring point"),
        ([("forward_range_w", "7")], "forward_range_w", "no range of 7 W"),
        ([("instrument", "x")], "instrument", ""),
    ] {
        let answer = routine(&work, &changes).await.must(422);
        assert!(answer.message(field).contains(says), "{field}: {}", answer.message(field));
        answer.shows("Nothing was saved.");
        assert_eq!(answer.value("temperature_c"), "14");
    }
    assert_eq!(work.written().await, before);
}

#[tokio::test]
async fn without_a_chain_it_would_hold_nowhere() {
    let work = Work::opened().await;
    let other = crate::sites::ASSIGNMENT;
    let other = with(&other, &[("frequency_mhz", "101.3")]);
    work.engineer.post("/sites/tern-ridge/assignments/new", &other).await.must(303);
    let second = "/sites/tern-ridge/assignments/2/readings";
    work.contractor.get(second).await.must(200).shows("Enter the RF chain first");
    let sent = work.contractor.post(second, &work.powers(&READING, &[])).await;
    sent.must(409).shows("There is no RF chain on the record");
}

#[tokio::test]
async fn a_reading_is_struck_with_its_reason_once_and_stays() {
    let work = Work::through(Stage::RfOn).await;
    routine(&work, &[("reflected_w", "4.9")]).await.must(303);
    let fact = newest(&page(&work).await);
    let bare = work.contractor.post(STRIKE, &[("fact", &fact), ("reason", "")]).await.must(422);
    assert!(!bare.message("reason").is_empty());
    let strike = [("fact", fact.as_str()), ("reason", "wrong range")];
    let act = work.app.clock.uuid();
    work.contractor.post_as(act, STRIKE, &strike).await.must(303);
    // Sent again it is answered as the first time; another strike finds it struck.
    work.contractor.post_as(act, STRIKE, &strike).await.must(303);
    work.contractor.post(STRIKE, &strike).await.must(409).shows("struck by Ines Holm");
    page(&work).await.shows("wrong range").shows("Nothing to compare yet.");
    let unknown = work.app.clock.uuid().to_string();
    let strike = [("fact", unknown.as_str()), ("reason", "x")];
    work.contractor.post(STRIKE, &strike).await.must(404);
    // A job's own reading is corrected on the job.
    let installed = work.installed().await.to_string();
    let strike = [("fact", installed.as_str()), ("reason", "x")];
    work.contractor.post(STRIKE, &strike).await.must(404);
}

#[tokio::test]
async fn readings_come_also_after_acceptance_and_leave_the_dossier_alone() {
    let work = Work::through(Stage::HandOver).await;
    work.accept(&work.manager).await.must(303);
    let frozen = work.dossier().await;
    routine(&work, &[]).await.must(303);
    assert_eq!(work.dossier().await, frozen);
    let reader = work.app.signed_in(Role::Reader, &["tern-ridge"]).await;
    let page = reader.get(HERE).await.must(200);
    assert!(!page.text_has("Record the reading"));
}
