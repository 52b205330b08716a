//! Corrections: the old entry stays, struck, and what rested on it is judged anew.

use standmast::jobs::model::Answer;
use standmast::people::model::Role;
use standmast::profiles::model::Stage;
use uuid::Uuid;

use crate::support::{READING, SETUP, TRIAL, Work, with};

#[tokio::test]
async fn a_corrected_trial_keeps_its_number_and_the_old_one_is_struck() {
    let work = Work::opened().await;
    work.setup(&[]).await.must(303);
    work.trial(&[("reflected_w", "0.20")]).await.must(303);
    work.trial(&[("upper_mm", "705"), ("lower_mm", "705")]).await.must(303);
    let first = work.trials().await[0];
    let page = work.contractor.get(&work.path(&format!("/entries/{first}"))).await.must(200);
    page.shows("Entry: trial").shows("stays on the record, struck through, with your reason");
    assert_eq!(page.value("reflected_w"), "0.20");
    assert_eq!(page.value("forward_range_w"), "5");
    let form = work.powers(&TRIAL, &[("reflected_w", "0.02")]);
    work.correct(first, &form).await.must(303);
    let dossier = work.dossier().await;
    let numbers: Vec<(usize, bool)> =
        dossier.record.trials().iter().map(|one| (one.number, one.struck_by.is_some())).collect();
    assert_eq!(numbers, [(1, true), (2, false), (1, false)]);
    let page = work.page("/stand").await;
    page.shows("corrected by Ines Holm on 12 Mar 2031: typed wrongly");
    assert_eq!(page.body.matches("<tr class=\"struck\">").count(), 1);
    let struck = work.page(&format!("/entries/{first}")).await;
    struck.shows("4.00 W forward, 0.20 W reflected").shows("corrected by Ines Holm");
    assert!(!struck.text_has("Correct it"));
}

#[tokio::test]
async fn a_corrected_trial_stays_chosen_and_a_withdrawn_one_does_not() {
    let work = Work::opened().await;
    work.setup(&[]).await.must(303);
    work.trial(&[]).await.must(303);
    let first = work.trials().await[0];
    work.choose(first).await.must(303);
    let corrected = work.powers(&TRIAL, &[("upper_mm", "711"), ("lower_mm", "711")]);
    work.correct(first, &corrected).await.must(303);
    work.page("/stand").await.shows("keeps the setting of trial 1: 711 mm and 711 mm");
    assert_eq!(work.answered("stand-swr").await, Some(Answer::Passed));
    let again = work.trials().await[0];
    work.withdraw(again).await.must(303);
    let page = work.page("/stand").await;
    page.shows("withdrawn by Ines Holm on 12 Mar 2031: not of this job");
    assert!(!page.text_has("keeps the setting of"));
    assert_eq!(work.answered("stand-swr").await, None);
    work.choose(again).await.must(409).shows("Only a trial that is not struck can be chosen.");
    work.choose(first).await.must(409);
}

#[tokio::test]
async fn whoever_corrects_an_entry_that_was_struck_meanwhile_is_told() {
    let work = Work::opened().await;
    work.setup(&[]).await.must(303);
    work.trial(&[]).await.must(303);
    let trial = work.trials().await[0];
    let form = work.powers(&TRIAL, &[("reflected_w", "0.025")]);
    work.correct(trial, &form).await.must(303);
    let before = work.written().await;
    let late = work.powers(&TRIAL, &[("reflected_w", "0.030")]);
    let answer = work.correct(trial, &late).await.must(409);
    answer.shows("already struck by Ines Holm; correct the newer one").shows("0.030");
    work.withdraw(trial).await.must(409);
    assert_eq!(work.written().await, before);
}

#[tokio::test]
async fn a_correction_needs_its_reason_and_fits_its_entry() {
    let work = Work::through(Stage::Stand).await;
    let trial = work.trials().await[0];
    let path = work.path(&format!("/entries/{trial}"));
    let before = work.written().await;
    let form = work.powers(&TRIAL, &[("forward_w", "four")]);
    let answer = work.contractor.post(&path, &form).await.must(422);
    assert!(answer.message("reason").contains("say why"), "{}", answer.body);
    assert!(answer.message("forward_w").contains("not a plain number"));
    assert_eq!(answer.value("forward_w"), "four");
    let none = work.contractor.post(&format!("{path}/withdraw"), &[("reason", " ")]).await;
    none.must(422).shows("say why; the old entry stays");
    // A stand's form does not correct a trial.
    work.correct(trial, &SETUP).await.must(422);
    // Releases and the like are followed by another, not rewritten.
    let dossier = work.dossier().await;
    let (release, _) = dossier.record.release(Stage::Stand).unwrap();
    let (chosen, _) = dossier.record.chosen().unwrap();
    for fact in [release.uuid, chosen.uuid] {
        work.correct(fact, &[]).await.must(404);
        work.withdraw(fact).await.must(409).shows("are not rewritten");
        let page = work.page(&format!("/entries/{fact}")).await;
        assert!(!page.text_has("Withdraw"));
    }
    assert_eq!(work.written().await, before);
}

#[tokio::test]
async fn the_entry_at_the_address_is_the_one_that_is_corrected() {
    let work = Work::opened().await;
    work.setup(&[]).await.must(303);
    work.trial(&[]).await.must(303);
    work.trial(&[]).await.must(303);
    let trials = work.trials().await;
    let (first, second) = (trials[0], trials[1].to_string());
    let other = [("corrects", second.as_str()), ("reason", "typed wrongly")];
    let form = with(&work.powers(&TRIAL, &[]), &other);
    work.contractor.post(&work.path(&format!("/entries/{first}")), &form).await.must(303);
    let struck = work.dossier().await.record.struck().contains_key(&first);
    assert!(struck);
}

#[tokio::test]
async fn an_answer_of_another_item_is_not_struck_by_this_one() {
    let work = Work::opened().await;
    work.tick("stand-supply").await;
    let dossier = work.dossier().await;
    let other = dossier.record.answered("stand-supply").unwrap().0.uuid.to_string();
    let form = [("answer", "passed"), ("corrects", other.as_str()), ("reason", "x")];
    work.answer("exclusion-zone", &form).await.must(409).shows("belongs to another item");
    assert_eq!(work.answered("stand-supply").await, Some(Answer::Passed));
    // Nor by a trial.
    let form = work.powers(&TRIAL, &[("corrects", other.as_str()), ("reason", "x")]);
    work.contractor.post(&work.path("/stand"), &form).await.must(404);
    assert_eq!(work.answered("stand-supply").await, Some(Answer::Passed));
}

#[tokio::test]
async fn two_people_answering_one_item_meanwhile_are_told() {
    let work = Work::opened().await;
    let colleague = work.app.signed_in(Role::Contractor, &["tern-ridge"]).await;
    work.tick("exclusion-zone").await;
    let path = work.path("/checks/exclusion-zone");
    let second = [("answer", "failed"), ("note", "the gate stood open")];
    let late = colleague.post(&path, &second).await.must(409);
    late.shows("Somebody answered this item meanwhile").shows("the gate stood open");
    assert_eq!(work.answered("exclusion-zone").await, Some(Answer::Passed));
    let old = work.dossier().await.record.answered("exclusion-zone").unwrap().0.uuid.to_string();
    work.answer_anew(&colleague, "exclusion-zone", &second).await.must(303);
    assert_eq!(work.answered("exclusion-zone").await, Some(Answer::Failed));
    // The first one still has the page that names the struck answer.
    let stale = [("answer", "passed"), ("corrects", old.as_str()), ("reason", "shut again")];
    work.answer("exclusion-zone", &stale).await.must(409);
    let page = work.page("/checks/exclusion-zone").await;
    page.shows("corrected by contractor no. 4 on 12 Mar 2031: looked again");
    work.page("").await.shows("the gate stood open");
}

#[tokio::test]
async fn a_withdrawn_answer_leaves_its_item_open() {
    let work = Work::opened().await;
    work.tick("exclusion-zone").await;
    let fact = work.dossier().await.record.answered("exclusion-zone").unwrap().0.uuid;
    work.withdraw(fact).await.must(303);
    assert_eq!(work.answered("exclusion-zone").await, None);
    work.tick("exclusion-zone").await;
    assert_eq!(work.answered("exclusion-zone").await, Some(Answer::Passed));
}

#[tokio::test]
async fn an_explanation_belongs_to_the_reading_that_holds() {
    let work = Work::through(Stage::ColdTests).await;
    work.work_of(Stage::RfOn).await;
    assert_eq!(work.answered("change-explained").await, Some(Answer::Passed));
    let first = work.installed().await;
    let worse = work.powers(&READING, &[("reflected_w", "18.0"), ("reflected_range_w", "25")]);
    work.correct(first, &worse).await.must(303);
    assert_eq!(work.answered("change-explained").await, None);
    let page = work.page("/installed").await;
    page.shows("Changed by more than these instruments explain").shows("Explain the change");
    let explain = async |reading: Uuid, cause: &str| {
        let reading = reading.to_string();
        let form = [("reading", reading.as_str()), ("cause", cause), ("checked", "opened it")];
        work.contractor.post(&work.path("/installed/explanation"), &form).await
    };
    explain(first, "a loose joint").await.must(409).shows("explain the one that holds");
    let reading = work.installed().await;
    explain(reading, "").await.must(422);
    explain(reading, "a loose joint").await.must(303);
    explain(reading, "water").await.must(409).shows("Somebody explained this reading meanwhile");
    assert_eq!(work.answered("change-explained").await, Some(Answer::Passed));
    work.page("/installed").await.shows("Explained: a loose joint; checked: opened it");
    // The next reading asks again.
    work.later(60);
    work.reading(&[("reflected_w", "18.2"), ("reflected_range_w", "25")]).await.must(303);
    assert_eq!(work.answered("change-explained").await, None);
}

#[tokio::test]
async fn impossible_behind_the_declared_loss_is_kept_and_its_figure_withheld() {
    let work = Work::through(Stage::ColdTests).await;
    work.reading(&[("reflected_w", "300"), ("reflected_range_w", "300")]).await.must(303);
    let page = work.page("/installed").await;
    page.shows(
        "withheld: the reflection begins before the antenna, or the declared loss is too high",
    );
    page.shows("300 W forward, 300 W reflected").shows("everything comes back");
    assert_eq!(work.answered("installed-swr").await, Some(Answer::Failed));
    let report = work.dossier().await;
    let reading = &report.findings.readings[0];
    assert!(reading.at_antenna.is_none() && reading.at_meter.is_some());
}

#[tokio::test]
async fn a_change_of_frequency_leaves_stand_and_installed_uncompared() {
    let work = Work::through(Stage::ColdTests).await;
    let form = work.engineer.get("/sites/tern-ridge/assignments/1/edit").await.must(200);
    let mut fields = crate::sites::ASSIGNMENT.to_vec();
    let version = form.value("version");
    fields.push(("version", version.as_str()));
    let fields = with(&fields, &[("frequency_mhz", "99.9")]);
    work.engineer.post("/sites/tern-ridge/assignments/1/edit", &fields).await.must(303);
    // Height and arrester were judged by the assignment as it was.
    work.release(&work.engineer, Stage::Mast).await.must(303);
    work.release(&work.engineer, Stage::ColdTests).await.must(303);
    work.reading(&[("frequency_mhz", "99.9")]).await.must(303);
    let page = work.page("/installed").await;
    page.shows("the stand reading was taken at 98.4 MHz, the installed one at 99.9 MHz");
    assert_eq!(work.answered("change-explained").await, Some(Answer::NotShown));
    work.later(60);
    work.reading(&[]).await.must(303);
    work.page("/installed").await.shows("read on 98.4 MHz, the assignment is 99.9 MHz");
}
