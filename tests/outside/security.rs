//! What must hold whatever is asked: foreign posts, oversized bodies, markup in names, repeated numbers.

use axum::http::Method;
use standmast::people::model::Role;

use crate::support::{Answer, TestApp};

const NEW_PERSON: [(&str, &str); 5] = [
    ("name", "Mara Quill"),
    ("firm", "Ternfold Aerials"),
    ("login", "mara"),
    ("role", "contractor"),
    ("new_password", "long enough to keep"),
];

fn form(act: &str, fields: &[(&str, &str)]) -> Vec<u8> {
    let mut all = vec![("act", act)];
    all.extend_from_slice(fields);
    serde_html_form::to_string(&all).unwrap().into_bytes()
}

#[tokio::test]
async fn a_post_from_a_page_of_another_site_changes_nothing() {
    let app = TestApp::with_public_url(Some("https://records.example.org")).await;
    let manager = app.signed_in(Role::Manager, &[]).await;
    let people = app.count("person").await;
    let foreign: [&[(&str, &str)]; 6] = [
        &[("sec-fetch-site", "cross-site")],
        &[("sec-fetch-site", "same-site")],
        &[("sec-fetch-site", "cross-site"), ("origin", "https://records.example.org")],
        &[("origin", "https://elsewhere.example")],
        &[("origin", "null")],
        &[("origin", "http://standmast.test.elsewhere.example")],
    ];
    for headers in foreign {
        let act = app.clock.uuid().to_string();
        let body = form(&act, &NEW_PERSON);
        let answer = manager.send(Method::POST, "/people/new", headers, body).await.must(403);
        answer.shows("Sent from another site");
    }
    assert_eq!(app.count("person").await, people);
    let act = app.clock.uuid().to_string();
    let ours: [&[(&str, &str)]; 4] = [
        &[("origin", "https://records.example.org")],
        &[("origin", "http://standmast.test")],
        &[("sec-fetch-site", "same-origin")],
        // No browser: it sent the cookie on purpose.
        &[],
    ];
    for headers in ours {
        manager.send(Method::POST, "/people/new", headers, form(&act, &NEW_PERSON)).await.must(200);
    }
    assert_eq!(app.count("person").await, people + 1);
}

#[tokio::test]
async fn a_form_over_64_kb_is_refused_as_a_page() {
    let app = TestApp::new().await;
    let manager = app.signed_in(Role::Manager, &[]).await;
    let long = "x".repeat(70_000);
    let answer = manager.post("/people/new", &[("name", &long)]).await.must(413);
    answer.shows("Too much at once");
    let fits = "x".repeat(60_000);
    manager.post("/people/new", &[("name", &fits)]).await.must(422);
}

#[tokio::test]
async fn a_form_that_is_none_is_told_so() {
    let app = TestApp::new().await;
    let manager = app.signed_in(Role::Manager, &[]).await;
    let bodies: [&[u8]; 4] = [b"", b"name=x", b"act=7&name=x", b"\xff\xfe\x00=&&=%zz"];
    for body in bodies {
        manager.send(Method::POST, "/people/new", &[], body.to_vec()).await.must(400);
    }
}

#[tokio::test]
async fn every_answer_keeps_foreign_content_out() {
    let app = TestApp::new().await;
    let manager = app.signed_in(Role::Manager, &[]).await;
    let nobody = app.browser();
    let answers: Vec<Answer> = vec![
        nobody.get("/sign-in").await.must(200),
        nobody.get("/people").await.must(303),
        nobody.get("/no/such/page").await.must(404),
        nobody.get("/static/no-such-file").await.must(404),
        nobody.get("/static/standmast.css").await.must(200),
        nobody.get("/health").await.must(200),
        nobody.send(Method::DELETE, "/sign-in", &[], Vec::new()).await.must(405),
        nobody
            .send(Method::POST, "/sign-in", &[("sec-fetch-site", "cross-site")], Vec::new())
            .await
            .must(403),
        nobody.post("/people/new", &[]).await.must(401),
        manager.get("/people").await.must(200),
        manager.post("/people/new", &[]).await.must(422),
    ];
    for answer in answers {
        let policy = answer.header("content-security-policy");
        assert!(policy.starts_with("default-src 'none';"), "{policy}");
        assert!(
            policy.contains("frame-ancestors 'none'") && !policy.contains("unsafe"),
            "{policy}"
        );
        assert_eq!(answer.header("x-content-type-options"), "nosniff");
        assert_eq!(answer.header("x-frame-options"), "DENY");
    }
}

#[tokio::test]
async fn errors_are_pages_and_say_which_requests_an_address_takes() {
    let app = TestApp::new().await;
    let nobody = app.browser();
    let answer = nobody.send(Method::DELETE, "/sign-in", &[], Vec::new()).await.must(405);
    answer.shows("That cannot be done here");
    assert_eq!(answer.header("allow"), "GET,HEAD,POST");
    let answer = nobody.get("/no/such/page").await.must(404);
    answer.shows("Not found");
    assert!(answer.header("content-type").starts_with("text/html"));
}

#[tokio::test]
async fn unknown_and_impossible_ids_find_nothing() {
    let app = TestApp::new().await;
    let manager = app.signed_in(Role::Manager, &[]).await;
    let ids =
        ["0198f6a0-0000-7000-8000-000000000001", "7", "-1", "mara", "%00", "%ff", "..%2f..%2fetc"];
    for id in ids {
        for path in [format!("/people/{id}"), format!("/people/{id}/password")] {
            manager.get(&path).await.must(404);
            manager.post(&path, &NEW_PERSON).await.must(404);
        }
    }
    manager.get("/people/").await.must(404);
}

#[tokio::test]
async fn markup_in_names_is_text() {
    let app = TestApp::new().await;
    let manager = app.signed_in(Role::Manager, &[]).await;
    let name = "<script>alert(1)</script>\"'&";
    let firm = "<img src=x onerror=alert(1)>";
    let fields = [
        ("name", name),
        ("firm", firm),
        ("login", "<b>x</b>"),
        ("role", "reader"),
        ("new_password", ""),
    ];
    let made = manager.post("/people/new", &fields).await.must(200);
    made.shows(name);
    let listed = manager.get("/people").await.must(200);
    listed.shows(name).shows(firm);
    let form = manager.get("/people/new").await.must(200);
    for answer in [&made, &listed, &form] {
        for raw in ["<script>alert", "<img src=x", "<b>x"] {
            assert!(!answer.body.contains(raw), "{raw} stands in the page");
        }
    }
    let role = [("name", "A"), ("firm", "B"), ("login", "cc"), ("role", "<i>boss</i>")];
    let refused = manager.post("/people/new", &role).await.must(422);
    assert!(refused.message("role").contains("<i>boss</i>"));
    assert!(!refused.body.contains("<i>boss"));
}

#[tokio::test]
async fn a_form_sent_twice_does_nothing_twice() {
    let app = TestApp::new().await;
    let manager = app.signed_in(Role::Manager, &[]).await;
    let act = app.clock.uuid();
    let mut fields = NEW_PERSON;
    fields[4].1 = "";
    let first = manager.post_as(act, "/people/new", &fields).await.must(200);
    first.shows("Hand this password over now.");
    let (people, entries) = (app.count("person").await, app.count("journal").await);
    let again = manager.post_as(act, "/people/new", &fields).await.must(200);
    again.shows("This was already done.").shows("mara");
    assert!(!again.text_has("Hand this password over"));
    assert_eq!((app.count("person").await, app.count("journal").await), (people, entries));
}

#[tokio::test]
async fn a_known_number_with_other_content_is_a_conflict_that_keeps_what_was_typed() {
    let app = TestApp::new().await;
    let manager = app.signed_in(Role::Manager, &[]).await;
    let act = app.clock.uuid();
    manager.post_as(act, "/people/new", &NEW_PERSON).await.must(200);
    let people = app.count("person").await;
    let mut other = NEW_PERSON;
    other[0].1 = "Otto Reed";
    other[2].1 = "otto";
    let answer = manager.post_as(act, "/people/new", &other).await.must(409);
    answer.shows("already sent with other content").shows("Otto Reed").shows("otto");
    assert!(!answer.body.contains("long enough to keep"), "the password is not shown back");
    assert_eq!(app.count("person").await, people);
}

#[tokio::test]
async fn a_number_of_somebody_else_is_unknown() {
    let app = TestApp::new().await;
    let one = app.signed_in(Role::Manager, &[]).await;
    let two = app.signed_in(Role::Manager, &[]).await;
    let act = app.clock.uuid();
    one.post_as(act, "/people/new", &NEW_PERSON).await.must(200);
    two.post_as(act, "/people/new", &NEW_PERSON).await.must(404);
}

#[tokio::test]
async fn a_refused_form_may_be_sent_again_under_its_number() {
    let app = TestApp::new().await;
    let manager = app.signed_in(Role::Manager, &[]).await;
    let act = app.clock.uuid();
    let mut fields = NEW_PERSON;
    fields[2].1 = "m";
    manager.post_as(act, "/people/new", &fields).await.must(422);
    manager.post_as(act, "/people/new", &NEW_PERSON).await.must(200);
}

#[tokio::test]
async fn pages_for_a_person_are_not_kept_by_the_browser() {
    let app = TestApp::new().await;
    let manager = app.signed_in(Role::Manager, &[]).await;
    assert_eq!(manager.get("/people").await.must(200).header("cache-control"), "no-store");
    let sheet = manager.get("/static/standmast.css").await.must(200);
    assert!(sheet.header("cache-control").contains("max-age"));
    let tag = sheet.header("etag").to_owned();
    let font = manager.get("/static/fonts/FiraSans-Regular.ttf").await.must(200);
    assert_eq!(font.header("content-type"), "font/ttf");
    assert_eq!(font.bytes, include_bytes!("../../static/fonts/FiraSans-Regular.ttf"));
    let known = [("if-none-match", tag.as_str())];
    manager.send(Method::GET, "/static/standmast.css", &known, Vec::new()).await.must(304);
}

#[tokio::test]
async fn opening_pages_writes_nothing() {
    let app = TestApp::new().await;
    let manager = app.signed_in(Role::Manager, &[]).await;
    let person = app.someone(Role::Reader).added().await;
    let before = app.count("journal").await;
    let one = format!("/people/{}", person.uuid);
    for path in [
        "/",
        "/people",
        "/people/new",
        &one,
        &format!("{one}/password"),
        "/me",
        "/sign-in",
        "/health",
    ] {
        let answer = manager.get(path).await;
        assert!(answer.status.is_success() || answer.status.as_u16() == 303, "{path}");
    }
    assert_eq!(app.count("journal").await, before);
}
