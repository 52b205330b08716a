//! How long a sign-in lasts, where somebody is signed in, signing out everywhere, and grants with an end.

use standmast::clock::Utc;
use standmast::people::model::{Role, SessionRules};

use crate::support::{NOON, PASSWORD, TestApp};

const HOUR: i64 = 3600;
const DAY: i64 = 24 * HOUR;

fn after(app: &TestApp, seconds: i64) {
    app.clock.set(Utc::from_seconds(NOON + seconds));
}

#[tokio::test]
async fn a_session_without_a_request_for_twelve_hours_ends() {
    let app = TestApp::with_sessions(SessionRules::default()).await;
    let person = app.someone(Role::Contractor).added().await;
    let browser = app.browser_of(&person).await;
    after(&app, 12 * HOUR - 1);
    browser.get("/me").await.must(200);
    after(&app, 24 * HOUR - 2);
    browser.get("/me").await.must(200);
    after(&app, 36 * HOUR - 2);
    assert!(browser.get("/me").await.must(303).location().starts_with("/sign-in?next="));
}

#[tokio::test]
async fn a_session_in_daily_use_ends_after_fourteen_days_all_the_same() {
    let app = TestApp::with_sessions(SessionRules::default()).await;
    let person = app.someone(Role::Contractor).added().await;
    let browser = app.browser_of(&person).await;
    for half_day in 1..28 {
        after(&app, half_day * 12 * HOUR - half_day);
        browser.get("/me").await.must(200);
    }
    after(&app, 14 * DAY - 30);
    browser.get("/me").await.must(200);
    after(&app, 14 * DAY);
    browser.get("/me").await.must(303);
}

#[tokio::test]
async fn looking_at_pages_notes_the_use_of_a_session_without_a_journal_entry() {
    let app = TestApp::new().await;
    let person = app.someone(Role::Contractor).added().await;
    let browser = app.browser_of(&person).await;
    let entries = app.count("journal").await;
    after(&app, 299);
    browser.get("/me").await.shows("12 Mar 2031 14:05 +00:00 12 Mar 2031 14:05 +00:00");
    after(&app, 300);
    browser.get("/me").await.shows("12 Mar 2031 14:05 +00:00 12 Mar 2031 14:10 +00:00");
    assert_eq!(app.count("journal").await, entries);
}

#[tokio::test]
async fn rows_of_sessions_that_have_ended_go_with_the_next_sign_in() {
    let app = TestApp::with_sessions(SessionRules::default()).await;
    let one = app.someone(Role::Contractor).added().await;
    let two = app.someone(Role::Reader).login("nan").added().await;
    app.browser_of(&one).await;
    app.browser_of(&two).await;
    after(&app, 13 * HOUR);
    assert_eq!(app.count("session").await, 2);
    let fields = [("login", "nan"), ("password", PASSWORD)];
    app.browser().post("/sign-in", &fields).await.must(303);
    assert_eq!(app.count("session").await, 1);
}

#[tokio::test]
async fn the_idle_time_is_a_setting() {
    let rules = SessionRules { idle_seconds: HOUR, ..SessionRules::default() };
    let app = TestApp::with_sessions(rules).await;
    let browser = app.signed_in(Role::Contractor, &[]).await;
    browser.get("/me").await.must(200).shows("ends after 1 hours without");
    after(&app, HOUR);
    browser.get("/me").await.must(303);
}

#[tokio::test]
async fn a_person_sees_the_own_devices_and_signs_the_others_out() {
    let app = TestApp::new().await;
    let person = app.someone(Role::Contractor).login("mara").added().await;
    let other = app.signed_in(Role::Contractor, &[]).await;
    let forgotten = app.browser_of(&person).await;
    let phone = app.browser();
    let agent = [
        ("sec-fetch-site", "same-origin"),
        ("user-agent", "Mozilla/5.0 (Linux; K) AppleWebKit/537.36 (KHTML, like Gecko) Mobile"),
    ];
    let body = serde_html_form::to_string([
        ("act", app.clock.uuid().to_string().as_str()),
        ("login", "mara"),
        ("password", PASSWORD),
    ]);
    let body = body.unwrap().into_bytes();
    phone.send(axum::http::Method::POST, "/sign-in", &agent, body).await.must(303);
    let page = phone.get("/me").await.must(200);
    page.shows("phone, this one").shows("computer or tablet");
    phone.post("/me/sessions", &[("which", "others")]).await.must(303);
    forgotten.get("/me").await.must(303);
    other.get("/me").await.must(200);
    assert!(!phone.get("/me").await.must(200).text_has("computer or tablet"));
    let again = app.browser_of(&person).await;
    let out = phone.post("/me/sessions", &[("which", "all")]).await.must(303);
    assert_eq!(out.location(), "/sign-in");
    assert!(!phone.holds_cookie());
    again.get("/me").await.must(303);
    other.get("/me").await.must(200);
}

#[tokio::test]
async fn a_manager_signs_somebody_out_everywhere() {
    let app = TestApp::new().await;
    let person = app.someone(Role::Contractor).added().await;
    let (one, two) = (app.browser_of(&person).await, app.browser_of(&person).await);
    let manager = app.signed_in(Role::Manager, &[]).await;
    let path = format!("/people/{}", person.uuid);
    manager.get(&path).await.must(200).shows("Sign out everywhere");
    let done = manager.post(&format!("{path}/sessions"), &[]).await.must(303);
    assert_eq!(done.location(), path);
    one.get("/me").await.must(303);
    two.get("/me").await.must(303);
    manager.get(&path).await.must(200).shows("Not signed in anywhere.");
    let nobody = format!("/people/{}/sessions", app.clock.uuid());
    manager.post(&nobody, &[]).await.must(404);
}

#[tokio::test]
async fn signing_in_over_a_session_on_the_same_device_ends_that_one() {
    let app = TestApp::new().await;
    app.someone(Role::Contractor).login("mara").added().await;
    app.someone(Role::Contractor).login("otto").name("Otto Pell").added().await;
    let tablet = app.browser();
    for login in ["mara", "otto"] {
        tablet.post("/sign-in", &[("login", login), ("password", PASSWORD)]).await.must(303);
        assert_eq!(app.count("session").await, 1);
    }
    tablet.get("/me").await.must(200).shows("Otto Pell");
}

/// The form of a person with the sites ticked, each with its last day.
fn grant_form<'a>(
    version: &'a str,
    login: &'a str,
    sites: &[(&'a str, &'a str, &'a str)],
) -> Vec<(&'a str, &'a str)> {
    let mut form = vec![
        ("name", "Mara Quill"),
        ("firm", "Ternfold Aerials"),
        ("login", login),
        ("role", "contractor"),
        ("version", version),
    ];
    for (code, field, until) in sites {
        form.push(("sites", code));
        form.push((field, until));
    }
    form
}

const RIDGE_UNTIL: &str = "until_tern-ridge";

#[tokio::test]
async fn a_grant_ends_with_its_last_day_at_the_site_and_is_extended() {
    let app = TestApp::new().await;
    app.site("tern-ridge", "Tern Ridge").await;
    let person = app.someone(Role::Contractor).name("Mara Quill").login("mara").added().await;
    let mara = app.browser_of(&person).await;
    let manager = app.someone(Role::Manager).added().await;
    let path = format!("/people/{}", person.uuid);
    let keeps = app.browser_of(&manager).await;
    let version = keeps.get(&path).await.value("version");
    let form = grant_form(&version, "mara", &[("tern-ridge", RIDGE_UNTIL, "2031-03-12")]);
    keeps.post(&path, &form).await.must(303);
    keeps.get("/people").await.must(200).shows("mara tern-ridge (until 12 Mar 2031) open");
    let page = keeps.get(&path).await.must(200);
    assert_eq!(page.value(RIDGE_UNTIL), "2031-03-12");
    mara.get("/sites/tern-ridge").await.must(200);
    mara.get("/me").await.must(200).shows("tern-ridge (until 12 Mar 2031)");

    // The site's day ends at midnight UTC: Lisbon keeps winter time in March.
    let midnight = 1_931_126_400 - NOON;
    after(&app, midnight - 1);
    mara.get("/sites/tern-ridge").await.must(200);
    after(&app, midnight);
    mara.get("/sites/tern-ridge").await.must(404);
    mara.post("/sites/tern-ridge/jobs/new", &[]).await.must(404);
    let list = mara.get("/sites").await.must(200);
    assert!(!list.text_has("Tern Ridge"));
    mara.get("/me").await.must(200).shows("tern-ridge (ended 12 Mar 2031)");

    let keeps = app.browser_of(&manager).await;
    keeps.get("/people").await.must(200).shows("mara none open");
    let page = keeps.get(&path).await.must(200);
    page.shows("ended 12 Mar 2031");
    assert_eq!(page.value(RIDGE_UNTIL), "");
    let version = page.value("version");
    let over = grant_form(&version, "mara", &[("tern-ridge", RIDGE_UNTIL, "2031-03-12")]);
    let refused = keeps.post(&path, &over).await.must(422);
    assert!(refused.message(RIDGE_UNTIL).contains("is over at the site"));
    assert_eq!(refused.value(RIDGE_UNTIL), "2031-03-12");
    let untouched = grant_form(&version, "mara", &[]);
    keeps.post(&path, &untouched).await.must(303);
    mara.get("/me").await.must(200).shows("ended 12 Mar 2031");
    let version = keeps.get(&path).await.value("version");
    let longer = grant_form(&version, "mara", &[("tern-ridge", RIDGE_UNTIL, "2031-03-20")]);
    keeps.post(&path, &longer).await.must(303);
    mara.get("/sites/tern-ridge").await.must(200);
    let version = keeps.get(&path).await.value("version");
    let for_good = grant_form(&version, "mara", &[("tern-ridge", RIDGE_UNTIL, "")]);
    keeps.post(&path, &for_good).await.must(303);
    mara.get("/me").await.must(200).shows("Sites tern-ridge A manager");
    let version = keeps.get(&path).await.value("version");
    keeps.post(&path, &grant_form(&version, "mara", &[])).await.must(303);
    mara.get("/sites/tern-ridge").await.must(404);
}

#[tokio::test]
async fn a_last_day_without_its_tick_or_in_no_calendar_is_told_beside_the_day() {
    let app = TestApp::new().await;
    app.site("tern-ridge", "Tern Ridge").await;
    let person = app.someone(Role::Contractor).login("mara").added().await;
    let manager = app.signed_in(Role::Manager, &[]).await;
    let path = format!("/people/{}", person.uuid);
    let mut form = grant_form("1", "mara", &[]);
    form.push((RIDGE_UNTIL, "2031-04-01"));
    let page = manager.post(&path, &form).await.must(422);
    assert!(page.message(RIDGE_UNTIL).contains("tick the site"), "{}", page.text());
    let form = grant_form("1", "mara", &[("tern-ridge", RIDGE_UNTIL, "31 April")]);
    let page = manager.post(&path, &form).await.must(422);
    assert!(page.message(RIDGE_UNTIL).contains("is not a date"), "{}", page.text());
    assert_eq!(page.value(RIDGE_UNTIL), "31 April");
    assert_eq!(app.count("site_grant").await, 0);
}

#[tokio::test]
async fn a_firms_grant_lets_everybody_of_it_in_until_it_ends() {
    let app = TestApp::new().await;
    app.site("tern-ridge", "Tern Ridge").await;
    let person = app.someone(Role::Contractor).added().await;
    let of_firm = app.browser_of(&person).await;
    let stranger = app.someone(Role::Contractor).firm("Other Aerials").added().await;
    let stranger = app.browser_of(&stranger).await;
    let manager = app.signed_in(Role::Manager, &[]).await;
    let firm: uuid::Uuid =
        sqlx::query_scalar("SELECT uuid FROM firm WHERE name = 'Ternfold Aerials'")
            .fetch_one(&mut app.database().await)
            .await
            .unwrap();
    let path = format!("/firms/{firm}");
    of_firm.get("/sites/tern-ridge").await.must(404);
    let page = manager.get(&path).await.must(200);
    page.shows("Ternfold Aerials").shows(&person.name);
    let basis = page.value("basis");
    let form = [("basis", basis.as_str()), ("sites", "tern-ridge"), (RIDGE_UNTIL, "2031-03-12")];
    manager.post(&path, &form).await.must(303);
    of_firm.get("/sites/tern-ridge").await.must(200);
    of_firm.get("/sites").await.must(200).shows("Tern Ridge");
    of_firm.get("/me").await.must(200).shows("Sites of the firm tern-ridge (until 12 Mar 2031)");
    stranger.get("/sites/tern-ridge").await.must(404);
    manager.get("/people").await.must(200).shows("tern-ridge (until 12 Mar 2031)");
    let joined = app.someone(Role::Reader).firm("Ternfold Aerials").added().await;
    app.browser_of(&joined).await.get("/sites/tern-ridge").await.must(200);
    manager.post(&path, &form).await.must(409).shows("Somebody else changed this");
    after(&app, 11 * HOUR);
    of_firm.get("/sites/tern-ridge").await.must(404);
    manager.get(&format!("/firms/{}", app.clock.uuid())).await.must(404);
}

#[tokio::test]
async fn the_longer_of_two_grants_counts() {
    let app = TestApp::new().await;
    app.site("tern-ridge", "Tern Ridge").await;
    let person = app.someone(Role::Contractor).login("mara").sites(&["tern-ridge"]).added().await;
    sqlx::query(
        "INSERT INTO firm_grant (firm_id, site_id, granted_at, expires_at) VALUES ($1, 1, $2, $3)",
    )
    .bind(person.firm_id)
    .bind(NOON)
    .bind(NOON + 60)
    .execute(&mut app.database().await)
    .await
    .unwrap();
    let mara = app.browser_of(&person).await;
    let manager = app.signed_in(Role::Manager, &[]).await;
    manager.get("/people").await.must(200).shows("mara tern-ridge open");
    after(&app, 3600);
    mara.get("/sites/tern-ridge").await.must(200);
}
