//! Answers to checks: limits and their edges, methods used instead, what may be deferred or conceded, and
//! what nobody can tick.

use standmast::jobs::model::Answer;
use standmast::profiles::LOW_POWER;
use standmast::profiles::model::{Profile, Stage};

use crate::support::{Form, Start, Work, with};

#[tokio::test]
async fn a_value_is_judged_by_its_limit_and_the_edge_is_within() {
    let work = Work::opened().await;
    // The assignment says 31.5 m, the profile ± 1 m; 10 Ω; 100 mΩ.
    let cases = [
        ("centre-height", "31.5", Answer::Passed),
        ("centre-height", "30.5", Answer::Passed),
        ("centre-height", "32,5", Answer::Passed),
        ("centre-height", "30.49", Answer::Failed),
        ("centre-height", "32.51", Answer::Failed),
        ("ground-resistance", "10", Answer::Passed),
        ("ground-resistance", "10,0", Answer::Passed),
        ("ground-resistance", "10.01", Answer::Failed),
        ("ground-resistance", "0", Answer::Passed),
        ("bonding", "100", Answer::Passed),
        ("bonding", "100.1", Answer::Failed),
    ];
    for (item, typed, judged) in cases {
        let form = [("answer", "measured"), ("value", typed)];
        let before = work.dossier().await.record.answered(item).is_some();
        let answer = if before {
            work.answer_anew(&work.contractor, item, &form).await
        } else {
            work.answer(item, &form).await
        };
        answer.must(303);
        assert_eq!(work.answered(item).await, Some(judged), "{item} {typed}");
        let unit = work.dossier().await.record.profile.item(item).unwrap().unit.unwrap();
        work.page("").await;
        let page = work.page(&format!("/checks/{item}")).await;
        page.shows(&format!("{typed} {}", unit.shown()));
    }
}

#[tokio::test]
async fn an_answer_that_cannot_be_is_refused_with_what_was_typed() {
    let work = Work::opened().await;
    let before = work.written().await;
    let long = "x".repeat(4001);
    let cases: [(&str, &Form<'_>, &str, &str); 22] = [
        ("bonding", &[("answer", "measured"), ("value", "")], "value", "missing"),
        ("bonding", &[("answer", "measured"), ("value", "NaN")], "value", "not a plain number"),
        ("bonding", &[("answer", "measured"), ("value", "-1")], "value", "at least 0"),
        ("bonding", &[("answer", "measured"), ("value", "12 mΩ")], "value", "not a plain number"),
        ("bonding", &[("answer", "measured"), ("value", "1,500")], "value", "two ways"),
        ("bonding", &[("answer", "passed"), ("value", "12")], "answer", "not one of the choices"),
        // The height has no other method: it is measured.
        ("centre-height", &[("answer", "measured"), ("method", "by eye")], "value", "missing"),
        ("exclusion-zone", &[("answer", "")], "answer", "choose one"),
        ("exclusion-zone", &[("answer", "maybe")], "answer", "not one of the choices"),
        ("exclusion-zone", &[("answer", "measured")], "answer", "not one of the choices"),
        ("exclusion-zone", &[("answer", "failed")], "note", "what was found?"),
        ("height-work", &[("answer", "not-applicable")], "note", "why does it not apply here?"),
        ("dc-state", &[("answer", "deferred"), ("note", "later")], "owner", "who puts it right?"),
        ("dc-state", &[("answer", "deferred"), ("note", "later")], "due_on", "by which day?"),
        ("dc-state", &[("answer", "deferred"), ("owner", "Ines")], "note", "what is left to do?"),
        (
            "dc-state",
            &[("answer", "deferred"), ("note", "x"), ("owner", "y"), ("due_on", "2031-02-30")],
            "due_on",
            "not a date",
        ),
        (
            "dc-state",
            &[("answer", "deferred"), ("note", "x"), ("owner", "y"), ("due_on", "2031-03-11")],
            "due_on",
            "11 Mar 2031 is before 12 Mar 2031",
        ),
        ("ground-kits", &[("answer", "under-concession")], "note", "why may the work go on"),
        (
            "ground-kits",
            &[("answer", "under-concession"), ("note", "no kit at the foot")],
            "condition",
            "under which condition, or until which day",
        ),
        ("ground-kits", &[("answer", "passed"), ("note", &long)], "note", "at most 4000"),
        (
            "ground-kits",
            &[("answer", "passed"), ("measured_at", "2031-03-12T14:11")],
            "measured_at",
            "lies in the future",
        ),
        ("ground-kits", &[("answer", "passed"), ("corrects", "x")], "corrects", ""),
    ];
    for (item, form, field, says) in cases {
        // A concession's condition is asked of whoever may grant one.
        let by = if field == "condition" { &work.manager } else { &work.contractor };
        let answer = by.post(&work.path(&format!("/checks/{item}")), form).await.must(422);
        let message = answer.message(field);
        assert!(message.contains(says), "{item} {form:?}: “{message}” does not say “{says}”");
        answer.shows("Nothing was saved.");
        for (name, value) in form.iter().filter(|(name, _)| matches!(*name, "value" | "owner")) {
            assert_eq!(answer.value(name), *value);
        }
    }
    assert_eq!(work.written().await, before);
}

#[tokio::test]
async fn what_an_item_does_not_allow_is_refused() {
    let work = Work::opened().await;
    let before = work.written().await;
    let due = ("due_on", "2031-04-01");
    let owner = ("owner", "Ines Holm");
    let why = ("note", "for a reason");
    let cases: [(&str, &str, &str); 8] = [
        ("exclusion-zone", "under-concession", "no concession can be granted"),
        ("exclusion-zone", "deferred", "cannot be put off"),
        ("exclusion-zone", "not-applicable", "applies to every job with this profile"),
        ("exclusion-zone", "not-shown", "said by the server"),
        ("ground-kits", "not-applicable", "applies to every job with this profile"),
        ("bonding", "not-shown", "said by the server"),
        ("joints-sealed", "under-concession", "no concession can be granted"),
        ("mast-clear", "deferred", "cannot be put off"),
    ];
    for (item, answer, says) in cases {
        let form = [("answer", answer), why, owner, due];
        let path = work.path(&format!("/checks/{item}"));
        // Not even a manager.
        work.manager.post(&path, &form).await.must(409).shows(says).shows("for a reason");
    }
    // A concession is a manager's where there is one.
    let form = [("answer", "under-concession"), why, due];
    work.answer("ground-kits", &form).await.must(409).shows("granted by a manager");
    let path = work.path("/checks/ground-kits");
    work.engineer.post(&path, &form).await.must(409).shows("granted by a manager");
    assert_eq!(work.written().await, before);
}

#[tokio::test]
async fn nobody_ticks_what_the_record_answers() {
    let work = Work::opened().await;
    let profile = Profile::parse(LOW_POWER).unwrap();
    let before = work.written().await;
    let derived: Vec<&str> = profile
        .items
        .iter()
        .filter(|item| item.answer.is_derived())
        .map(|item| item.id.as_str())
        .collect();
    assert_eq!(derived.len(), 10, "{derived:?}");
    for item in derived {
        let path = work.path(&format!("/checks/{item}"));
        for answer in ["passed", "failed", "not-applicable", "deferred", "not-shown"] {
            let form = [
                ("answer", answer),
                ("note", "because I say so"),
                ("owner", "me"),
                ("due_on", "2031-04-01"),
            ];
            let refused = work.manager.post(&path, &form).await.must(409);
            refused.shows("answered by the server from the record and cannot be ticked");
        }
        work.contractor
            .get(&path)
            .await
            .must(200)
            .shows("The server answers this from the record.");
    }
    assert_eq!(work.written().await, before);
}

#[tokio::test]
async fn a_method_used_instead_is_an_answer() {
    let work = Work::opened().await;
    let method = "two clamps on the ring, compared with last year's";
    let form = [("answer", "measured"), ("value", ""), ("method", method)];
    work.answer("ground-resistance", &form).await.must(303);
    assert_eq!(work.answered("ground-resistance").await, Some(Answer::Passed));
    let page = work.page("/checks/ground-resistance").await;
    page.shows(&format!("not measurable here; method used instead: {method}"));
    // With a value it is judged, and the method is told.
    let form = [("answer", "measured"), ("value", "12"), ("method", "clamp")];
    work.answer_anew(&work.contractor, "ground-resistance", &form).await.must(303);
    assert_eq!(work.answered("ground-resistance").await, Some(Answer::Failed));
    work.page("/checks/ground-resistance").await.shows("12 Ω by clamp, limit at most 10 Ω");
}

#[tokio::test]
async fn not_applicable_and_deferred_go_with_their_reasons() {
    let work = Work::opened().await;
    let none = [("answer", "not-applicable"), ("note", "a pole that is let down")];
    work.answer("height-work", &none).await.must(303);
    assert_eq!(work.answered("height-work").await, Some(Answer::NotApplicable));
    work.page("").await.shows("a pole that is let down").shows("not applicable");
    let form = [
        ("answer", "deferred"),
        ("note", "the tester is away"),
        ("owner", "Ines Holm"),
        ("due_on", "2031-03-12"),
    ];
    work.answer("dc-state", &form).await.must(303);
    let item = work.item("dc-state").await;
    assert_eq!(item.answer, Some(Answer::Deferred));
    assert_eq!(item.evidence, "the tester is away; owner Ines Holm, by 12 Mar 2031");
}

#[tokio::test]
async fn a_concession_leaves_the_measured_value_standing() {
    let work = Work::opened().await;
    work.value("ground-resistance", "14").await.must(303);
    let path = work.path("/checks/ground-resistance");
    let page = work.manager.get(&path).await.must(200);
    page.shows("under concession").shows("a concession strikes nothing and needs none");
    let answered = work.dossier().await.record.answered("ground-resistance").unwrap().0.uuid;
    let named = answered.to_string();
    // As the page sends it: the answer is named, and no reason is needed.
    let form = [
        ("answer", "under-concession"),
        ("note", "rods are added in spring"),
        ("due_on", "2031-05-31"),
        ("corrects", named.as_str()),
        ("reason", ""),
    ];
    work.manager.post(&path, &form).await.must(303);
    let item = work.item("ground-resistance").await;
    assert_eq!(item.answer, Some(Answer::UnderConcession));
    assert_eq!(
        item.evidence,
        "14 Ω, limit at most 10 Ω; rods are added in spring; until 31 May 2031"
    );
    assert!(work.dossier().await.record.struck().is_empty());
    // The next concession follows the first one.
    let again =
        [("answer", "under-concession"), ("note", "until summer"), ("due_on", "2031-06-30")];
    work.manager.post(&path, &again).await.must(409).shows("Somebody answered this item meanwhile");
    let first = work.dossier().await.record.conceded("ground-resistance").unwrap().0.uuid;
    let first = first.to_string();
    let unreasoned = [again[0], again[1], again[2], ("conceded", first.as_str())];
    let refused = work.manager.post(&path, &unreasoned).await.must(422);
    assert!(refused.message("reason").contains("say why"));
    let reasoned = with(&unreasoned, &[("reason", "late spring")]);
    work.manager.post(&path, &reasoned).await.must(303);
    assert_eq!(work.dossier().await.record.struck().len(), 1);
}

#[tokio::test]
async fn a_concession_covers_only_what_it_was_granted_on() {
    let work = Work::opened().await;
    work.value("ground-resistance", "14").await.must(303);
    let path = work.path("/checks/ground-resistance");
    let form = [
        ("answer", "under-concession"),
        ("note", "rods are added in spring"),
        ("condition", "measured again when the ground is wet"),
    ];
    work.manager.post(&path, &form).await.must(303);
    let worse = [("answer", "measured"), ("value", "140")];
    work.answer_anew(&work.contractor, "ground-resistance", &worse).await.must(303);
    let item = work.item("ground-resistance").await;
    assert_eq!(item.answer, Some(Answer::Failed));
    assert!(item.evidence.contains("was granted on other facts"), "{}", item.evidence);
    // What passes needs none.
    let better = [("answer", "measured"), ("value", "8")];
    work.answer_anew(&work.contractor, "ground-resistance", &better).await.must(303);
    assert_eq!(work.answered("ground-resistance").await, Some(Answer::Passed));
}

#[tokio::test]
async fn a_concession_for_one_reading_covers_no_worse_one() {
    let work = Work::through(Stage::ColdTests).await;
    let bad = [("reflected_w", "20.0"), ("reflected_range_w", "25")];
    work.reading(&bad).await.must(303);
    assert_eq!(work.answered("installed-swr").await, Some(Answer::Failed));
    let path = work.path("/checks/installed-swr");
    let form = [
        ("answer", "under-concession"),
        ("note", "until the mast is painted"),
        ("due_on", "2031-09-30"),
    ];
    work.manager.post(&path, &form).await.must(303);
    assert_eq!(work.answered("installed-swr").await, Some(Answer::UnderConcession));
    work.later(60);
    work.reading(&[("reflected_w", "90"), ("reflected_range_w", "300")]).await.must(303);
    assert_eq!(work.answered("installed-swr").await, Some(Answer::Failed));
}

#[tokio::test]
async fn without_an_arrester_its_rule_does_not_apply_and_its_absence_needs_a_concession() {
    let without = [("arrester_fitted", "no")];
    let work = Work::started(Start { chain: &without, ..Start::default() }).await;
    let item = work.item("arrester-voltage").await;
    assert_eq!(item.answer, Some(Answer::NotApplicable));
    assert_eq!(item.evidence, "no arrester in the chain");
    work.answer("arrester-fitted", &[("answer", "failed"), ("note", "none here")]).await.must(303);
    let path = work.path("/checks/arrester-fitted");
    let form = [("answer", "under-concession"), ("note", "ordered"), ("due_on", "2031-05-31")];
    work.manager.post(&path, &form).await.must(303);
    assert_eq!(work.answered("arrester-fitted").await, Some(Answer::UnderConcession));
}
