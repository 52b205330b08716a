//! Forms carried through a sign-in: after the session has ended, or when somebody else sends what was typed on
//! a shared device. And guessing from one address.

use axum::http::Method;
use standmast::clock::Utc;
use standmast::people::model::{Role, SessionRules};

use crate::support::{Answer, Browser, NOON, PASSWORD, TestApp};

const NEW: &str = "/sites/new";

const SITE: [(&str, &str); 8] = [
    ("code", "gull-head"),
    ("name", "Gull <Head> & Co"),
    ("latitude_deg", "41.2"),
    ("longitude_deg", "-8.1"),
    ("zone", "Europe/Lisbon"),
    ("structure", "mast"),
    ("structure_height_m", "32"),
    ("notes", "two lines\nof notes"),
];

/// Every hidden field of the page in between, and who signs in, as a browser sends them.
fn carried<'a>(page: &'a Answer, login: &'a str, password: &'a str) -> Vec<(String, String)> {
    let form = page.body.split_once("data-carries").unwrap().1.split("</form>").next().unwrap();
    let mut fields: Vec<(String, String)> = form
        .split("<input type=\"hidden\" name=\"")
        .skip(1)
        .map(|rest| {
            let (name, rest) = rest.split_once('"').unwrap();
            let value = rest.split_once("value=\"").unwrap().1.split('"').next().unwrap();
            let plain = value.replace("&#60;", "<").replace("&#62;", ">").replace("&#38;", "&");
            (name.to_owned(), plain)
        })
        .collect();
    fields.push(("carry_login".to_owned(), login.to_owned()));
    fields.push(("carry_password".to_owned(), password.to_owned()));
    fields
}

async fn send(browser: &Browser, path: &str, fields: &[(String, String)]) -> Answer {
    let body = serde_html_form::to_string(fields).unwrap().into_bytes();
    browser.send(Method::POST, path, &[("sec-fetch-site", "same-origin")], body).await
}

async fn last_actor(app: &TestApp) -> (String, String) {
    sqlx::query_as(
        "SELECT journal.kind, person.login FROM journal JOIN person ON person.id = journal.person_id
         ORDER BY seq DESC LIMIT 1",
    )
    .fetch_one(&mut app.database().await)
    .await
    .unwrap()
}

#[tokio::test]
async fn a_form_typed_until_the_session_ended_is_sent_after_signing_in() {
    let app = TestApp::with_sessions(SessionRules::default()).await;
    let person = app.someone(Role::Engineer).login("ines").added().await;
    let browser = app.browser_of(&person).await;
    app.clock.set(Utc::from_seconds(NOON + 13 * 3600));
    let act = app.clock.uuid();
    let mut typed = SITE.to_vec();
    typed.push(("new_password", "never carried"));
    let page = browser.post_as(act, NEW, &typed).await.must(401);
    page.shows("Please sign in").shows("Gull <Head> & Co").shows("is not carried");
    assert!(!page.body.contains("never carried"));
    assert_eq!(app.count("site").await, 0);
    let wrong = send(&browser, NEW, &carried(&page, "ines", "guess")).await.must(422);
    assert!(wrong.message("carry_password").contains("do not fit together"));
    assert_eq!(wrong.value("carry_login"), "ines");
    let sent = carried(&wrong, "ines", PASSWORD);
    assert!(sent.contains(&("act".to_owned(), act.to_string())), "the form keeps its number");
    let done = send(&browser, NEW, &sent).await.must(303);
    assert_eq!(done.location(), "/sites/gull-head");
    browser.get("/sites/gull-head").await.must(200).shows("Gull <Head> & Co");
    assert_eq!(last_actor(&app).await.1, "ines");
    send(&browser, NEW, &sent).await.must(303);
    assert_eq!(app.count("site").await, 1, "sent twice it counts once");
}

#[tokio::test]
async fn somebody_else_sends_what_was_typed_and_stands_in_the_journal() {
    let app = TestApp::new().await;
    app.someone(Role::Engineer).login("otto").name("Otto Pell").added().await;
    app.someone(Role::Reader).login("nan").name("Nan Holt").added().await;
    let person = app.someone(Role::Engineer).login("ines").name("Ines Holm").added().await;
    let tablet = app.browser_of(&person).await;
    let mut typed = SITE.to_vec();
    typed.push(("somebody_else", "yes"));
    let page = tablet.post(NEW, &typed).await.must(200);
    page.shows("Who sends this form?").shows("Ines Holm is signed in").shows("gull-head");
    assert_eq!(app.count("site").await, 0);
    let refused = send(&tablet, NEW, &carried(&page, "nan", PASSWORD)).await.must(403);
    refused.shows("Nan Holt, reader, may not send this form.").shows("gull-head");
    let done = send(&tablet, NEW, &carried(&refused, "otto", PASSWORD)).await.must(303);
    assert_eq!(done.location(), "/sites/gull-head");
    assert_eq!(last_actor(&app).await, ("site added".to_owned(), "otto".to_owned()));
    tablet.get("/me").await.must(200).shows("Otto Pell");
    let held: Vec<String> = sqlx::query_scalar(
        "SELECT person.login FROM session JOIN person ON person.id = session.person_id",
    )
    .fetch_all(&mut app.database().await)
    .await
    .unwrap();
    assert_eq!(held, ["otto"], "one device, one session");
}

#[tokio::test]
async fn bad_input_after_the_change_of_person_is_told_in_the_form_itself() {
    let app = TestApp::new().await;
    app.someone(Role::Engineer).login("otto").added().await;
    let tablet = app.signed_in(Role::Engineer, &[]).await;
    let page = tablet.post(NEW, &[("code", "x y"), ("somebody_else", "yes")]).await.must(200);
    let form = send(&tablet, NEW, &carried(&page, "otto", PASSWORD)).await.must(422);
    assert_eq!(form.value("code"), "x y");
    assert!(!form.message("name").is_empty());
}

#[tokio::test]
async fn no_other_site_can_send_a_form_through_the_page_in_between() {
    let app = TestApp::new().await;
    app.someone(Role::Engineer).login("otto").added().await;
    let body = format!("act={}&carry_login=otto&carry_password=x", app.clock.uuid());
    let headers = [("sec-fetch-site", "cross-site")];
    app.browser().send(Method::POST, NEW, &headers, body.into_bytes()).await.must(403);
    let long = "x".repeat(70 * 1024);
    app.browser().post(NEW, &[("notes", &long)]).await.must(413);
}

#[tokio::test]
async fn somebody_else_signs_in_and_lands_on_the_same_page() {
    let app = TestApp::new().await;
    app.someone(Role::Reader).login("nan").name("Nan Holt").added().await;
    let tablet = app.signed_in(Role::Engineer, &[]).await;
    for (came_from, next) in
        [("https://standmast.test/me?x=1", "/me?x=1"), ("https://elsewhere.example/me", "/")]
    {
        let headers = [("referer", came_from)];
        let page = tablet.send(Method::GET, "/sign-in?other=yes", &headers, Vec::new()).await;
        assert_eq!(page.must(200).value("next"), next);
    }
    tablet.post("/sign-in", &[("login", "nan"), ("password", PASSWORD)]).await.must(303);
    tablet.get("/me").await.must(200).shows("Nan Holt");
}

#[tokio::test]
async fn guessing_at_many_accounts_from_one_address_is_slowed_down() {
    let app = TestApp::with_public_url(Some("https://records.example.org")).await;
    app.someone(Role::Engineer).login("otto").added().await;
    let browser = app.browser();
    let attempt = async |login: String, password: &str, via: &str| {
        let fields = [
            ("act", app.clock.uuid().to_string()),
            ("login", login),
            ("password", password.to_owned()),
        ];
        let body = serde_html_form::to_string(fields).unwrap().into_bytes();
        let headers = [("sec-fetch-site", "same-origin"), ("x-forwarded-for", via)];
        browser.send(Method::POST, "/sign-in", &headers, body).await
    };
    // What a client claims stands before what the proxy adds.
    for number in 0..30 {
        let via = format!("198.51.100.{number}, 192.0.2.7");
        attempt(format!("nobody-{number}"), "guess", &via).await.must(422);
    }
    attempt("otto".to_owned(), PASSWORD, "192.0.2.7").await.must(429);
    attempt("otto".to_owned(), PASSWORD, "192.0.2.8").await.must(303);
    app.clock.set(Utc::from_seconds(NOON + 5));
    attempt("otto".to_owned(), PASSWORD, "192.0.2.7").await.must(303);
}
