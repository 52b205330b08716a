//! RF into the installed antenna before "ready for RF", and meters whose calibration is in doubt.

use standmast::jobs::model::Answer;
use standmast::profiles::model::Stage;

use crate::support::{READING, Start, TRIAL, Work};

const EARLY: (&str, &str) = ("out_of_sequence", "the key was turned by mistake");

#[tokio::test]
async fn a_result_of_rf_before_its_gate_is_refused_with_what_was_typed() {
    let work = Work::through(Stage::Mast).await;
    let before = work.written().await;
    let answer = work.reading(&[("note", "at dusk")]).await.must(409);
    answer.shows("comes after the gate “ready for RF”").shows("300").shows("at dusk");
    assert_eq!(work.written().await, before);
    work.page("/installed").await.shows("The gate “ready for RF” is not released.");
}

#[tokio::test]
async fn with_its_reason_it_is_kept_marked_and_decided_by_a_manager() {
    let work = Work::through(Stage::Mast).await;
    work.reading(&[EARLY]).await.must(303);
    let page = work.page("/installed").await;
    page.shows("out of sequence, before “ready for RF”: the key was turned by mistake");
    assert_eq!(work.answered("rf-sequence").await, Some(Answer::Failed));
    work.on_through(Stage::ColdTests).await;
    work.work_of(Stage::RfOn).await;
    // A later reading in order does not make the early one unsaid.
    assert_eq!(work.answered("rf-sequence").await, Some(Answer::Failed));
    let held = work.release(&work.engineer, Stage::RfOn).await.must(409);
    held.shows("Was RF into the installed antenna applied only after");
    let concession = [
        ("answer", "under-concession"),
        ("note", "nobody was on the mast"),
        ("condition", "never again before the gate"),
    ];
    work.answer("rf-sequence", &concession).await.must(409).shows("granted by a manager");
    let path = work.path("/checks/rf-sequence");
    work.manager.post(&path, &concession).await.must(303);
    assert_eq!(work.answered("rf-sequence").await, Some(Answer::UnderConcession));
    work.release(&work.engineer, Stage::RfOn).await.must(303);
}

#[tokio::test]
async fn the_minute_of_the_release_counts_as_after_it() {
    let work = Work::through(Stage::Mast).await;
    work.work_of(Stage::ColdTests).await;
    work.later(30);
    work.release(&work.engineer, Stage::ColdTests).await.must(303);
    let now = work.app.clock.now().seconds() - crate::support::NOON;
    let same_minute = work.at(now - now % 60);
    let minute_before = work.at(now - now % 60 - 60);
    work.reading(&[("measured_at", minute_before.as_str())]).await.must(409);
    work.reading(&[("measured_at", same_minute.as_str())]).await.must(303);
}

#[tokio::test]
async fn a_gate_that_lapses_later_makes_no_liar_of_who_measured_in_order() {
    let work = Work::through(Stage::ColdTests).await;
    work.later(600);
    work.reading(&[]).await.must(303);
    let reading = work.installed().await;
    work.later(600);
    // Measured while the gate was open, entered after it lapsed.
    let while_open = work.at(work.app.clock.now().seconds() - crate::support::NOON - 300);
    let lowered = [("answer", "measured"), ("value", "4.7")];
    work.answer_anew(&work.contractor, "ground-resistance", &lowered).await.must(303);
    assert_eq!(work.gate(Stage::ColdTests).await, (false, true));
    work.later(600);
    work.reading(&[]).await.must(409);
    work.reading(&[("measured_at", while_open.as_str())]).await.must(303);
    // A misread figure of it is corrected without a reason that is not true.
    let dossier = work.dossier().await;
    let at = dossier.record.fact(reading).unwrap().measured.at.seconds() - crate::support::NOON;
    let at = work.at(at);
    let form = work.powers(&READING, &[("reflected_w", "0.95"), ("measured_at", at.as_str())]);
    work.correct(reading, &form).await.must(303);
    work.release(&work.engineer, Stage::ColdTests).await.must(303);
    work.reading(&[("measured_at", while_open.as_str())]).await.must(303);
    assert_eq!(work.answered("rf-sequence").await, Some(Answer::Passed));
}

#[tokio::test]
async fn a_meter_out_of_calibration_fails_its_check_and_marks_the_reading() {
    let expired = [("calibrated_on", "2030-01-01"), ("due_on", "2031-03-10")];
    let work = Work::started(Start { meter: &expired, ..Start::default() }).await;
    work.on_through(Stage::Authority).await;
    work.work_of(Stage::Stand).await;
    assert_eq!(work.answered("calibration-stand").await, Some(Answer::Failed));
    let page = work.page("/stand").await;
    page.shows("the meter's calibration had run out 2 days before: indicative");
    let held = work.release(&work.engineer, Stage::Stand).await.must(409);
    held.shows("expired 10 Mar 2031, 2 days before the reading");
    // The trial counts all the same: its SWR is judged.
    assert_eq!(work.answered("stand-swr").await, Some(Answer::Passed));
    let concession = [
        ("answer", "under-concession"),
        ("note", "checked on a load the same day"),
        ("due_on", "2031-04-30"),
    ];
    let path = work.path("/checks/calibration-stand");
    work.manager.post(&path, &concession).await.must(303);
    work.release(&work.engineer, Stage::Stand).await.must(303);
}

#[tokio::test]
async fn a_meter_without_dates_shows_nothing_of_its_calibration() {
    let unstated = [("calibrated_on", ""), ("due_on", "")];
    let work = Work::started(Start { meter: &unstated, ..Start::default() }).await;
    work.on_through(Stage::Authority).await;
    work.work_of(Stage::Stand).await;
    assert_eq!(work.answered("calibration-stand").await, Some(Answer::NotShown));
    work.page("/stand").await.shows("no calibration of the meter is on the record: indicative");
    // There is no point value to accept it on.
    work.release(&work.engineer, Stage::Stand).await.must(409).shows("no due date on the record");
}

#[tokio::test]
async fn a_late_entry_is_judged_by_the_certificate_of_its_day() {
    let work = Work::opened().await;
    work.on_through(Stage::Authority).await;
    work.later(3600);
    let new = [
        ("certificate", "C 5120/31"),
        ("calibrated_on", "2031-03-20"),
        ("due_on", "2032-03-20"),
        ("accuracy_percent", "3"),
        ("directivity_db", "30"),
        ("full_scale_1_w", "1"),
        ("full_scale_2_w", "10"),
    ];
    let before = work.at(600);
    work.later(9 * 86_400);
    let path = format!("/instruments/{}/calibrations/new", work.meter);
    work.contractor.post(&path, &new).await.must(303);
    work.setup(&[]).await.must(303);
    // The ranges too are those of that day.
    work.trial(&[("measured_at", before.as_str())]).await.must(303);
    work.trial(&[]).await.must(422).shows("no range of 5 W; it has 1 W, 10 W");
    let trial = work.trials().await[0];
    assert_eq!(work.instrument_of(trial).await.calibration.number, 1);
    work.choose(trial).await.must(303);
    assert_eq!(work.answered("calibration-stand").await, Some(Answer::Passed));
    // So does its correction.
    let form = work.powers(&TRIAL, &[("reflected_w", "0.025"), ("measured_at", before.as_str())]);
    work.correct(trial, &form).await.must(303);
    assert_eq!(work.answered("calibration-stand").await, Some(Answer::Passed));
}
