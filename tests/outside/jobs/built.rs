//! What was built and surveys of exposure: forms, corrections, what the pages say, and the derived checks that
//! flip with the facts beneath them.

use standmast::jobs::model::{Answer, Body};
use standmast::profiles::LOW_POWER;
use standmast::profiles::model::Stage;
use uuid::Uuid;

use crate::sites::ASSIGNMENT;
use crate::support::{Answer as Page, Form, Start, Work, with};

/// A profile whose checks ask for what was built and for exposure.
fn asking() -> String {
    let text = LOW_POWER.replace("edition = 1\n", "edition = 7\n");
    format!(
        "{text}\n[[items]]\nid = \"as-built\"\nstage = \"mast\"\ntext = \"As built?\"\nhelp = \"\"\n\
         answer = \"as-built\"\nconcession = true\nsource = \"x\"\n\
         [[items]]\nid = \"exposure\"\nstage = \"rf-on\"\ntext = \"Exposure?\"\nhelp = \"\"\n\
         answer = \"exposure\"\nsafety = true\nsource = \"x\"\n"
    )
}

const LICENSED: [(&str, &str); 5] = [
    ("latitude_deg", "41.20340"),
    ("longitude_deg", "-8.10070"),
    ("datum", "wgs-84"),
    ("bays", "1"),
    ("licence", "TF-98"),
];

/// Everything as the licence has it.
const BUILT: [(&str, &str); 10] = [
    ("height_m", "31.4"),
    ("height_method", "laser"),
    ("latitude_deg", "41.20341"),
    ("longitude_deg", "-8.10071"),
    ("datum", "wgs-84"),
    ("position_method", "averaged"),
    ("polarization", "vertical"),
    ("bays", "1"),
    ("frequency_mhz", "98.400012"),
    ("frequency_method", "counter"),
];

const SURVEY: [(&str, &str); 9] = [
    ("survey_instrument", "field probe FP-3, until 2032"),
    ("all_on", "yes"),
    ("place_1", "the gate"),
    ("area_1", "public"),
    ("share_1_percent", "2.5"),
    ("place_3", "transmitter room"),
    ("area_3", "controlled"),
    ("share_3_percent", "0,8"),
    ("note", ""),
];

async fn begun() -> Work {
    let profile = asking();
    let start =
        Start { assignment: &LICENSED, profile: Some(profile.as_str()), ..Start::default() };
    Work::started(start).await
}

async fn record(work: &Work, form: &Form<'_>) -> Page {
    work.contractor.post(&work.path("/as-built"), form).await
}

async fn survey(work: &Work, changes: &Form<'_>) -> Page {
    work.contractor.post(&work.path("/exposure"), &with(&SURVEY, changes)).await
}

async fn last(work: &Work, fits: fn(&Body) -> bool) -> Uuid {
    let dossier = work.dossier().await;
    dossier.record.live().rfind(|fact| fits(&fact.body)).unwrap().uuid
}

#[tokio::test]
async fn what_was_built_is_compared_and_differences_come_first() {
    let work = begun().await;
    work.page("/as-built").await.shows("Not measured yet: frequency");
    record(&work, &BUILT).await.must(303);
    let page = work.page("/as-built").await;
    page.shows("41.20341° N, 8.10071° W, WGS 84, satellite receiver, averaged");
    page.shows("+12 Hz").shows("within tolerance").shows("Tolerances:");
    // 14 m built where 31.5 m is licensed stands first, and the later entry says only the height.
    work.later(60);
    record(&work, &[("height_m", "14"), ("height_method", "tape")]).await.must(303);
    let page = work.page("/as-built").await;
    page.shows("Check what differs from the authorised: height of the antenna’s centre.");
    page.shows("check the height: 17.5 m below");
    let text = page.text();
    assert!(text.find("17.5 m below").unwrap() < text.find("+12 Hz").unwrap());
    // It stands among the entries, in the journal's words, and in the report.
    work.page("").await.shows("centre 14 m above ground (tape)");
    let report = work.contractor.get(&work.path("/report.pdf")).await.must(200);
    assert!(report.bytes.starts_with(b"%PDF"));
}

#[tokio::test]
async fn what_cannot_be_is_refused_with_what_was_typed() {
    let work = begun().await;
    let before = work.written().await;
    let cases: [(&Form<'_>, &str, &str); 14] = [
        (&[], "", ""),
        (&[("height_m", "31.4")], "height_method", "choose one"),
        (&[("height_m", "-2"), ("height_method", "tape")], "height_m", "too low"),
        (&[("height_m", "1001"), ("height_method", "tape")], "height_m", "cannot be taken"),
        (&[("latitude_deg", "41.2")], "longitude_deg", "has both"),
        (&[("latitude_deg", "41.2"), ("longitude_deg", "-8.1")], "datum", "choose one"),
        (
            &[("latitude_deg", "41 12 12 N"), ("longitude_deg", "-8.1"), ("datum", "wgs-84")],
            "latitude_deg",
            "is 41.20333",
        ),
        (
            &[("latitude_deg", "91"), ("longitude_deg", "-8.1"), ("datum", "wgs-84")],
            "latitude_deg",
            "too high",
        ),
        (&[("bays", "0")], "bays", "1 to 64"),
        (&[("bays", "two")], "bays", "not a whole number"),
        (&[("bearing_deg", "400"), ("north", "true")], "bearing_deg", "too high"),
        (
            &[("bearing_deg", "40"), ("north", "true"), ("declination_deg", "3")],
            "declination_deg",
            "has none",
        ),
        (&[("frequency_mhz", "98.4")], "frequency_method", "with what"),
        (&[("polarization", "oblique")], "polarization", "not one of the choices"),
    ];
    for (form, field, says) in cases {
        let answer = record(&work, form).await.must(422);
        answer.shows("Nothing was saved.");
        let message = answer.message(field);
        assert!(message.contains(says), "{form:?}: “{message}” does not say “{says}”");
        for (name, value) in form.iter().filter(|(name, _)| name.ends_with("_m")) {
            assert_eq!(answer.value(name), *value);
        }
    }
    let cases: [(&Form<'_>, &str, &str); 6] = [
        (&[("survey_instrument", "")], "survey_instrument", "needed"),
        (&[("all_on", "")], "all_on", "choose one"),
        (&[("share_1_percent", "-1")], "share_1_percent", "too low"),
        (&[("share_1_percent", "")], "share_1_percent", "needed"),
        (&[("place_1", "")], "place_1", "needed"),
        (
            &[("place_1", ""), ("share_1_percent", ""), ("place_3", ""), ("share_3_percent", "")],
            "place_1",
            "at least one point",
        ),
    ];
    for (form, field, says) in cases {
        let answer = survey(&work, form).await.must(422);
        let message = answer.message(field);
        assert!(message.contains(says), "{form:?}: “{message}” does not say “{says}”");
    }
    assert_eq!(work.written().await, before);
}

#[tokio::test]
async fn nobody_ticks_them() {
    let work = begun().await;
    for item in ["as-built", "exposure"] {
        let path = work.path(&format!("/checks/{item}"));
        for answer in ["passed", "not-applicable", "deferred"] {
            let form = [("answer", answer), ("note", "because I say so"), ("owner", "me")];
            let refused = work.manager.post(&path, &form).await;
            assert_ne!(refused.status.as_u16(), 303, "{item} {answer}");
        }
        assert_ne!(work.answered(item).await, Some(Answer::Deferred));
    }
}

#[tokio::test]
async fn the_check_flips_with_the_fact_and_its_release_lapses() {
    let work = begun().await;
    work.on_through(Stage::Stand).await;
    work.work_of(Stage::Mast).await;
    assert_eq!(work.answered("as-built").await, None);
    record(&work, &BUILT).await.must(303);
    let open = work.item("as-built").await;
    // ERP waits for a reading.
    assert_eq!(open.answer, None, "{open:?}");
    assert!(open.evidence.contains("ERP, both planes: not measured"), "{}", open.evidence);
    let wrong = last(&work, |body| matches!(body, Body::AsBuilt(_))).await;
    work.correct(wrong, &with(&BUILT, &[("polarization", "horizontal")])).await.must(303);
    let failed = work.item("as-built").await;
    assert_eq!(failed.answer, Some(Answer::Failed));
    assert!(failed.evidence.contains("check how the antenna is mounted"));
    work.page("/as-built").await.shows("typed wrongly");
    // A manager lets it stand as it is; the gate opens, and lapses when the fact is put right.
    let path = work.path("/checks/as-built");
    let form = [
        ("answer", "under-concession"),
        ("note", "the authority was asked"),
        ("due_on", "2031-09-30"),
    ];
    work.manager.post(&path, &form).await.must(303);
    work.release(&work.engineer, Stage::Mast).await.must(303);
    assert_eq!(work.gate(Stage::Mast).await, (true, false));
    work.later(60);
    let again = last(&work, |body| matches!(body, Body::AsBuilt(_))).await;
    work.correct(again, &BUILT).await.must(303);
    assert_eq!(work.gate(Stage::Mast).await, (false, true));
    assert_ne!(work.answered("as-built").await, Some(Answer::Failed));
    work.withdraw(last(&work, |body| matches!(body, Body::AsBuilt(_))).await).await.must(303);
    assert_eq!(work.answered("as-built").await, None);
}

#[tokio::test]
async fn a_revised_licence_is_compared_anew() {
    let work = begun().await;
    record(&work, &BUILT).await.must(303);
    let moved = with(&ASSIGNMENT, &LICENSED);
    let moved = with(&moved, &[("latitude_deg", "41.21340"), ("version", "1")]);
    let edit = "/sites/tern-ridge/assignments/1/edit";
    work.engineer.post(edit, &moved).await.must(303);
    let item = work.item("as-built").await;
    assert_eq!(item.answer, Some(Answer::Failed), "{item:?}");
    assert!(item.evidence.contains("check the position"), "{}", item.evidence);
    work.page("/as-built").await.shows("41.21340° N, 8.10070° W, WGS 84");
}

#[tokio::test]
async fn the_figure_passes_alone_and_a_neighbour_asks_for_a_survey() {
    let work = begun().await;
    assert_eq!(work.answered("exposure").await, Some(Answer::Passed));
    work.page("/exposure").await.shows("ends above people on the ground");
    // Another station comes to the mast: the record of this job knows of it.
    let other =
        with(&ASSIGNMENT, &[("frequency_mhz", "101.7"), ("station_name", "Ternfold Coast")]);
    work.engineer.post("/sites/tern-ridge/assignments/new", &other).await.must(303);
    let item = work.item("exposure").await;
    assert_eq!((item.answer, item.point_within), (Some(Answer::NotShown), false));
    assert!(item.evidence.contains("2 stations share the structure"), "{}", item.evidence);
    let page = work.page("/exposure").await;
    page.shows("101.7 MHz, Ternfold Coast").shows("All stations summed").shows("no assessment");
    work.contractor.get("/sites/tern-ridge").await.must(200).shows("All stations summed");
    survey(&work, &[]).await.must(303);
    assert_eq!(work.answered("exposure").await, Some(Answer::Passed));
    work.page("/exposure").await.shows("the gate").shows("2.5 %").shows("0,8 %");
    // What was not surveyed at full power shows nothing; what is above the limit fails.
    let fact = last(&work, |body| matches!(body, Body::ExposureSurvey(_))).await;
    work.correct(fact, &with(&SURVEY, &[("all_on", "no")])).await.must(303);
    assert_eq!(work.answered("exposure").await, Some(Answer::NotShown));
    let fact = last(&work, |body| matches!(body, Body::ExposureSurvey(_))).await;
    work.correct(fact, &with(&SURVEY, &[("share_1_percent", "104")])).await.must(303);
    assert_eq!(work.answered("exposure").await, Some(Answer::Failed));
    let fact = last(&work, |body| matches!(body, Body::ExposureSurvey(_))).await;
    work.correct(fact, &SURVEY).await.must(303);
    assert_eq!(work.answered("exposure").await, Some(Answer::Passed));
    // The neighbour is revised: the survey was of another site.
    work.later(60);
    let more = with(&other, &[("erp_w", "900"), ("version", "1")]);
    work.engineer.post("/sites/tern-ridge/assignments/2/edit", &more).await.must(303);
    let item = work.item("exposure").await;
    assert_eq!(item.answer, Some(Answer::NotShown));
    assert!(item.evidence.contains("survey again"), "{}", item.evidence);
}

#[tokio::test]
async fn cautions_carry_the_distance_where_there_is_rf() {
    let work = begun().await;
    work.page("/stand").await.shows("Keep everybody at least 3 m from the element");
    work.on_through(Stage::Authority).await;
    work.setup(&[]).await.must(303);
    work.trial(&[]).await.must(303);
    let page = work.page("/stand").await;
    page.shows("formula not valid here").shows("never nearer than 3 m");
    work.page("/installed").await.shows("nobody nearer to an antenna than");
}

#[tokio::test]
async fn an_accepted_job_keeps_its_figures_whatever_comes_to_the_mast() {
    let work = Work::through(Stage::HandOver).await;
    let decision =
        [("decision", "accept"), ("remarks", ""), ("password", crate::support::PASSWORD)];
    work.engineer.post(&work.path("/decision"), &decision).await.must(303);
    let before = work.dossier().await;
    assert!(before.accepted());
    let other = with(&ASSIGNMENT, &[("frequency_mhz", "101.7"), ("erp_w", "9000")]);
    work.engineer.post("/sites/tern-ridge/assignments/new", &other).await.must(303);
    let after = work.dossier().await;
    assert_eq!(before.findings.exposure, after.findings.exposure);
    assert_eq!(after.record.neighbours, Vec::new());
    let refused = work.contractor.post(&work.path("/as-built"), &BUILT).await;
    refused.must(409).shows("closed");
}
