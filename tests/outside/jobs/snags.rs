//! Snags: raised, corrected, closed with proof; class A stops declaring and accepting.

use standmast::jobs::findings::{SnagFinding, SnagOrigin};
use standmast::jobs::model::SnagClass;
use standmast::profiles::model::Stage;

use crate::support::{Answer, Form, JOB, Work, jpeg, with};

const GUARD: [(&str, &str); 7] = [
    ("class", "A"),
    ("text", "guard of the feed-through missing"),
    ("owner", ""),
    ("due_on", ""),
    ("part", ""),
    ("item", ""),
    ("measured_at", ""),
];

fn snags_path() -> String {
    format!("{JOB}/snags")
}

async fn snags(work: &Work) -> Vec<SnagFinding> {
    work.dossier().await.findings.snags
}

async fn raise(work: &Work, changes: &Form<'_>) -> Answer {
    work.engineer.post(&snags_path(), &with(&GUARD, changes)).await
}

#[tokio::test]
async fn class_a_stops_declaring_until_it_is_closed_with_proof() {
    let work = Work::through(Stage::RfOn).await;
    work.work_of(Stage::HandOver).await;
    raise(&work, &[]).await.must(303);
    let snag = snags(&work).await.remove(0);
    work.declare(&work.contractor)
        .await
        .must(409)
        .shows("Class A snag open: guard of the feed-through");
    let page = work.contractor.get(&snags_path()).await.must(200);
    page.shows("1 of class A stops acceptance").shows("A, stops acceptance");
    work.contractor.get(JOB).await.must(200).shows("Snags: 1 A open");
    work.manager.get("/sites/tern-ridge").await.must(200).shows("1 A open");
    work.manager.get("/sites").await.must(200).shows("1 A open");
    let closing = format!("{JOB}/snags/{}/closing", snag.fact);
    let bare = [("done", "guard fitted"), ("done_by", ""), ("proof", ""), ("measured_at", "")];
    let unproved = work.contractor.post(&closing, &bare).await.must(422);
    assert!(unproved.message("proof").contains("photo"));
    assert_eq!(unproved.value("done"), "");
    unproved.shows("guard fitted");
    let act = work.app.clock.uuid();
    let shot = jpeg(80, 60);
    let files: [(&str, &[u8]); 1] = [("a", &shot)];
    work.contractor.post_files(act, &closing, &bare, &files).await.must(303);
    // The same form again is answered as the first time; another one finds it closed.
    work.contractor.post_files(act, &closing, &bare, &files).await.must(303);
    work.contractor.post(&closing, &with(&bare, &[("proof", "seen")])).await.must(409);
    let closed = snags(&work).await.remove(0);
    assert!(!closed.is_open() && closed.photos.len() == 1);
    let page = work.contractor.get(&format!("{JOB}/snags/{}", snag.fact)).await.must(200);
    page.shows("closed, was A").shows("guard fitted").shows("Put right: guard fitted");
    work.declare(&work.contractor).await.must(303);
}

#[tokio::test]
async fn class_a_raised_after_the_declaration_stops_acceptance() {
    let work = Work::through(Stage::HandOver).await;
    raise(&work, &[]).await.must(303);
    work.accept(&work.manager).await.must(409);
    let snag = snags(&work).await.remove(0);
    let closing = format!("{JOB}/snags/{}/closing", snag.fact);
    let done = [
        ("done", "fitted"),
        ("done_by", "Ruan Vale"),
        ("proof", "looked at by the engineer"),
        ("measured_at", ""),
    ];
    work.contractor.post(&closing, &done).await.must(303);
    if work.dossier().await.findings.progress != standmast::jobs::findings::Progress::Declared {
        work.declare(&work.contractor).await.must(303);
    }
    work.accept(&work.manager).await.must(303);
    let page = work.contractor.get(&snags_path()).await.must(200);
    page.shows("fitted; by Ruan Vale; proof: looked at by the engineer");
}

#[tokio::test]
async fn class_b_is_raised_without_a_day_and_wants_one_before_the_declaration() {
    let work = Work::through(Stage::RfOn).await;
    work.work_of(Stage::HandOver).await;
    raise(&work, &[("class", "B"), ("text", "label missing")]).await.must(303);
    let snag = snags(&work).await.remove(0);
    assert!(snag.is_unowned());
    work.declare(&work.contractor)
        .await
        .must(409)
        .shows("without an owner or a day: label missing");
    let entry = format!("{JOB}/entries/{}", snag.fact);
    let form = work.engineer.get(&entry).await.must(200);
    assert_eq!(form.value("owner"), "");
    let changes = [
        ("class", "B"),
        ("text", "label missing"),
        ("owner", "Ines Holm"),
        ("due_on", "2031-05-01"),
        ("reason", "owner named"),
    ];
    work.engineer.post(&entry, &with(&GUARD, &changes)).await.must(303);
    let named = snags(&work).await.remove(0);
    assert_eq!((named.class, named.left_to().as_str()), (SnagClass::B, "Ines Holm, by 1 May 2031"));
    work.declare(&work.contractor).await.must(303);
    let decision = work.manager.get(&format!("{JOB}/decision")).await.must(200);
    decision.shows("Snags still open").shows("Ines Holm, by 1 May 2031");
    work.accept(&work.manager).await.must(303);
}

#[tokio::test]
async fn a_snag_without_words_or_with_a_day_that_is_over_is_mended() {
    let work = Work::opened().await;
    let empty =
        raise(&work, &[("class", ""), ("text", ""), ("owner", "Ines Holm")]).await.must(422);
    assert!(!empty.message("class").is_empty() && !empty.message("text").is_empty());
    assert_eq!(empty.value("owner"), "Ines Holm");
    let over = raise(&work, &[("due_on", "2031-03-01")]).await.must(422);
    assert!(over.message("due_on").contains("before"));
    let foreign = raise(&work, &[("item", "no-such-check")]).await.must(422);
    assert!(!foreign.message("item").is_empty());
    assert_eq!(work.app.count("snag").await, 0);
}

#[tokio::test]
async fn a_bad_photo_with_a_snag_saves_neither() {
    let work = Work::opened().await;
    let act = work.app.clock.uuid();
    let bad: [(&str, &[u8]); 1] = [("a.jpg", b"no picture")];
    let refused = work.engineer.post_files(act, &snags_path(), &GUARD, &bad).await.must(422);
    assert!(refused.message("photos").contains("no JPEG"));
    refused.shows("guard of the feed-through missing");
    assert_eq!((work.app.count("snag").await, work.app.count("photo").await), (0, 0));
    let shot = jpeg(40, 40);
    work.engineer.post_files(act, &snags_path(), &GUARD, &[("a.jpg", &shot)]).await.must(303);
    assert_eq!(snags(&work).await[0].photos.len(), 1);
}

#[tokio::test]
async fn a_withdrawn_closing_opens_the_snag_again() {
    let work = Work::opened().await;
    raise(&work, &[]).await.must(303);
    let snag = snags(&work).await.remove(0);
    let done = [("done", "fitted"), ("done_by", ""), ("proof", "seen"), ("measured_at", "")];
    work.contractor.post(&format!("{JOB}/snags/{}/closing", snag.fact), &done).await.must(303);
    let closing = snags(&work).await[0].closed.clone().unwrap().fact;
    let withdraw = format!("{JOB}/entries/{closing}/withdraw");
    work.contractor.post(&withdraw, &[("reason", "it fell off")]).await.must(303);
    assert!(snags(&work).await[0].stops_acceptance());
}

#[tokio::test]
async fn a_deferred_check_is_listed_among_the_snags() {
    let work = Work::through(Stage::RfOn).await;
    let fields = [
        ("answer", "deferred"),
        ("note", "drawing 4 to be redrawn"),
        ("owner", "Ines Holm"),
        ("due_on", "2031-05-01"),
    ];
    work.contractor.post(&format!("{JOB}/checks/as-built-papers"), &fields).await.must(303);
    let found = snags(&work).await;
    assert_eq!((found[0].origin, found[0].class), (SnagOrigin::Deferred, SnagClass::B));
    let page = work.contractor.get(&snags_path()).await.must(200);
    page.shows("Drawing 4 to be redrawn").shows("deferred check").shows("Ines Holm, by 1 May 2031");
    assert!(page.body.contains(&format!("href=\"{JOB}/checks/as-built-papers\"")));
}
