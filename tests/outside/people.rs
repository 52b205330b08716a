//! Accounts as people meet them: set-up, signing in and out, keeping others' accounts, the own password.

use axum::http::Method;
use sqlx::Row;
use standmast::clock::Utc;
use standmast::people::model::Role;

use crate::support::{NOON, PASSWORD, TestApp};

const FIRST: [(&str, &str); 5] = [
    ("firm", "Ternfold Radio"),
    ("name", "Ida Marsh"),
    ("login", "ida"),
    ("new_password", "first of the ridge"),
    ("new_password_again", "first of the ridge"),
];

#[tokio::test]
async fn the_set_up_address_works_once() {
    let app = TestApp::new().await;
    app.state.set_set_up(Some("the-secret".to_owned()));
    let browser = app.browser();
    browser.get("/set-up/guessed").await.must(404).shows("not open");
    browser.post("/set-up/guessed", &FIRST).await.must(404);
    browser.get("/set-up/the-secret").await.must(200).shows("Make the first manager account.");
    let done = browser.post("/set-up/the-secret", &FIRST).await.must(303);
    assert_eq!(done.location(), "/people");
    browser.get("/people").await.must(200).shows("Add the people who will work here.");
    let other = app.browser();
    other.get("/set-up/the-secret").await.must(404).shows("not open");
    let mut second = FIRST;
    second[2].1 = "second";
    other.post("/set-up/the-secret", &second).await.must(404);
    assert_eq!(app.count("person").await, 1);
}

#[tokio::test]
async fn the_set_up_closes_when_the_command_line_added_somebody() {
    let app = TestApp::new().await;
    app.state.set_set_up(Some("the-secret".to_owned()));
    app.someone(Role::Manager).added().await;
    app.browser().get("/set-up/the-secret").await.must(404);
    app.browser().post("/set-up/the-secret", &FIRST).await.must(404);
    assert_eq!(app.count("person").await, 1);
}

#[tokio::test]
async fn a_set_up_form_to_be_mended_keeps_what_was_typed_but_no_password() {
    let app = TestApp::new().await;
    app.state.set_set_up(Some("the-secret".to_owned()));
    let fields = [
        ("firm", " "),
        ("name", "Ida Marsh"),
        ("login", "ida marsh"),
        ("new_password", "first of the ridge"),
        ("new_password_again", "first of the bridge"),
    ];
    let answer = app.browser().post("/set-up/the-secret", &fields).await.must(422);
    assert_eq!(answer.message("firm"), "this is needed");
    assert!(answer.message("login").contains("may not hold spaces"));
    assert!(answer.message("new_password_again").contains("differs"));
    assert_eq!(answer.value("name"), "Ida Marsh");
    assert!(!answer.body.contains("of the ridge"));
    let short = [("new_password", "short"), ("new_password_again", "short")];
    let answer = app.browser().post("/set-up/the-secret", &short).await.must(422);
    assert!(answer.message("new_password").contains("at least 10"));
    assert_eq!(app.count("person").await, 0);
}

#[tokio::test]
async fn a_person_signs_in_lands_on_the_page_asked_for_and_signs_out() {
    let app = TestApp::new().await;
    app.someone(Role::Contractor).login("mara").name("Mara Quill").added().await;
    let browser = app.browser();
    let asked = browser.get("/me?x=1&y=2").await.must(303);
    assert!(asked.location().starts_with("/sign-in?next="), "{}", asked.location());
    let form = browser.get(asked.location()).await.must(200);
    let next = form.value("next");
    assert_eq!(next, "/me?x=1&y=2");
    let fields = [("login", "Mara"), ("password", PASSWORD), ("next", next.as_str())];
    let signed_in = browser.post("/sign-in", &fields).await.must(303);
    assert_eq!(signed_in.location(), "/me?x=1&y=2");
    let cookie = signed_in.header("set-cookie");
    for part in ["HttpOnly", "SameSite=Lax", "Path=/", "Max-Age=1209600"] {
        assert!(cookie.contains(part), "{cookie}");
    }
    assert!(!cookie.contains("Secure"), "{cookie}");
    browser.get("/me").await.must(200).shows("Mara Quill");
    assert_eq!(browser.get("/sign-in?next=/me").await.must(303).location(), "/me");
    let out = browser.post("/sign-out", &[]).await.must(303);
    assert_eq!(out.location(), "/sign-in");
    assert!(!browser.holds_cookie());
    assert_eq!(app.count("session").await, 0);
    browser.get("/me").await.must(303);
}

#[tokio::test]
async fn behind_https_the_cookie_is_secure() {
    let app = TestApp::with_public_url(Some("https://records.example.org")).await;
    app.someone(Role::Contractor).login("mara").added().await;
    let fields = [("login", "mara"), ("password", PASSWORD)];
    let answer = app.browser().post("/sign-in", &fields).await.must(303);
    assert!(answer.header("set-cookie").contains("Secure"));
    assert_eq!(answer.location(), "/");
}

#[tokio::test]
async fn signing_in_leads_to_no_other_site() {
    let app = TestApp::new().await;
    app.someone(Role::Contractor).login("mara").added().await;
    for next in
        ["https://elsewhere.example", "//elsewhere.example", "/\\elsewhere.example", "/\t/x"]
    {
        let fields = [("login", "mara"), ("password", PASSWORD), ("next", next)];
        let answer = app.browser().post("/sign-in", &fields).await.must(303);
        assert_eq!(answer.location(), "/", "{next:?}");
    }
}

#[tokio::test]
async fn wrong_login_wrong_password_and_closed_account_are_told_alike() {
    let app = TestApp::new().await;
    app.someone(Role::Contractor).login("mara").added().await;
    let closed = app.someone(Role::Contractor).login("gone").added().await;
    standmast::people::acts::disable_by_operator(&app.state.writer, &app.clock, &closed)
        .await
        .unwrap();
    let mut told = Vec::new();
    for (login, password) in
        [("mara", "not this one"), ("nobody", PASSWORD), ("gone", PASSWORD), ("", "")]
    {
        let browser = app.browser();
        let answer = browser.post("/sign-in", &[("login", login), ("password", password)]).await;
        let answer = answer.must(422);
        assert_eq!(answer.value("login"), login);
        assert!(!browser.holds_cookie());
        told.push(answer.text());
    }
    assert!(told[0].contains("do not fit together"), "{}", told[0]);
    assert!(told.iter().all(|text| *text == told[0]));
}

#[tokio::test]
async fn guessing_is_slowed_down_in_words_even_for_the_right_password() {
    let app = TestApp::new().await;
    app.someone(Role::Contractor).login("mara").added().await;
    app.someone(Role::Contractor).login("otto").added().await;
    let browser = app.browser();
    for _ in 0..5 {
        browser.post("/sign-in", &[("login", "mara"), ("password", "guess")]).await.must(422);
    }
    let right = [("login", "mara"), ("password", PASSWORD)];
    let answer = browser.post("/sign-in", &right).await.must(429);
    answer.shows("Wait 5 seconds");
    assert_eq!(answer.header("retry-after"), "5");
    browser.post("/sign-in", &[("login", "otto"), ("password", PASSWORD)]).await.must(303);
    app.clock.set(Utc::from_seconds(NOON + 5));
    browser.post("/sign-in", &right).await.must(303);
}

#[tokio::test]
async fn a_session_ends_with_its_account() {
    let app = TestApp::new().await;
    let person = app.someone(Role::Contractor).added().await;
    let browser = app.browser_of(&person).await;
    browser.get("/me").await.must(200);
    standmast::people::acts::disable_by_operator(&app.state.writer, &app.clock, &person)
        .await
        .unwrap();
    browser.get("/me").await.must(303);
}

#[tokio::test]
async fn a_manager_adds_a_person_hands_the_password_over_and_grants_a_site() {
    let app = TestApp::new().await;
    app.site("tern-ridge", "Tern Ridge").await;
    app.site("alder-knoll", "Alder Knoll").await;
    let manager = app.someone(Role::Manager).firm("Ternfold Radio").added().await;
    let manager = app.browser_of(&manager).await;
    let fields = [
        ("name", "Mara Quill"),
        ("firm", "ternfold radio"),
        ("login", "mara"),
        ("role", "contractor"),
    ];
    let made = manager.post("/people/new", &fields).await.must(200);
    made.shows("Hand this password over now.");
    let password =
        made.body.split("<strong>").last().unwrap().split('<').next().unwrap().to_owned();
    assert_eq!(password.len(), 24, "{password}");
    manager.get("/people").await.must(200).shows("Grant sites to Mara Quill.");
    let path = path_of(&app, "mara").await;
    let form = manager.get(&path).await.must(200);
    let version = form.value("version");
    let change = [
        ("name", "Mara Quill"),
        ("firm", "Ternfold Radio"),
        ("login", "mara"),
        ("role", "contractor"),
        ("version", version.as_str()),
        ("sites", "tern-ridge"),
    ];
    manager.post(&path, &change).await.must(303);
    let form = manager.get(&path).await.must(200);
    assert!(form.body.contains("value=\"tern-ridge\" autocomplete=\"off\" checked"));
    assert!(form.body.contains("value=\"alder-knoll\" autocomplete=\"off\" id=\"f-sites\"><"));
    manager.get("/people").await.must(200).shows("mara tern-ridge open");
    let mara = app.browser();
    let sign_in = [("login", "mara"), ("password", password.as_str())];
    mara.post("/sign-in", &sign_in).await.must(303);
    mara.get("/me").await.must(200).shows("tern-ridge").shows("Ternfold Radio");
    assert_eq!(
        app.count("firm").await,
        1,
        "the firm was written in small letters, and is the same"
    );
}

#[tokio::test]
async fn a_password_is_kept_nowhere_in_clear() {
    let app = TestApp::new().await;
    let manager = app.signed_in(Role::Manager, &[]).await;
    let fields = [
        ("name", "Mara Quill"),
        ("firm", "Ternfold Aerials"),
        ("login", "mara"),
        ("role", "contractor"),
        ("new_password", "unlikely-words-3141"),
    ];
    let made = manager.post("/people/new", &fields).await.must(200);
    assert!(!made.body.contains("unlikely-words-3141"));
    for end in ["", "-wal"] {
        let file = app.folder.path().join(format!("standmast.db{end}"));
        let bytes = std::fs::read(file).unwrap();
        assert!(!bytes.windows(19).any(|window| window == b"unlikely-words-3141"));
    }
}

#[tokio::test]
async fn a_taken_sign_in_name_is_told_beside_its_field() {
    let app = TestApp::new().await;
    app.someone(Role::Contractor).login("mara").added().await;
    let manager = app.signed_in(Role::Manager, &[]).await;
    let fields =
        [("name", "Mara Two"), ("firm", "Other Firm"), ("login", "MARA"), ("role", "reader")];
    let answer = manager.post("/people/new", &fields).await.must(422);
    assert!(answer.message("login").contains("somebody else"), "{}", answer.message("login"));
    assert_eq!(answer.value("name"), "Mara Two");
    answer.shows("reader: reads the sites granted");
    let firms =
        sqlx::query("SELECT name FROM firm").fetch_all(&mut app.database().await).await.unwrap();
    assert!(
        firms.iter().all(|row| row.get::<String, _>(0) != "Other Firm"),
        "half of it was saved"
    );
}

#[tokio::test]
async fn two_managers_editing_one_person_are_told() {
    let app = TestApp::new().await;
    let person = app.someone(Role::Contractor).name("Mara Quill").login("mara").added().await;
    let path = format!("/people/{}", person.uuid);
    let one = app.signed_in(Role::Manager, &[]).await;
    let two = app.signed_in(Role::Manager, &[]).await;
    let (version_one, version_two) =
        (one.get(&path).await.value("version"), two.get(&path).await.value("version"));
    let fields = |name: &'static str, version| {
        [
            ("name", name),
            ("firm", "Ternfold Aerials"),
            ("login", "mara"),
            ("role", "contractor"),
            ("version", version),
        ]
    };
    one.post(&path, &fields("Mara Quill-Reed", &version_one)).await.must(303);
    let late = two.post(&path, &fields("Mara Q.", &version_two)).await.must(409);
    late.shows("Somebody else changed this").shows("Mara Q.");
    one.get(&path).await.must(200).shows("Mara Quill-Reed");
}

#[tokio::test]
async fn the_last_manager_can_be_neither_closed_nor_demoted() {
    let app = TestApp::new().await;
    let person = app.someone(Role::Manager).name("Ida Marsh").login("ida").added().await;
    let path = format!("/people/{}", person.uuid);
    let manager = app.browser_of(&person).await;
    let fields = |role, disabled| {
        [
            ("name", "Ida Marsh"),
            ("firm", "Ternfold Radio"),
            ("login", "ida"),
            ("role", role),
            ("version", "1"),
            ("disabled", disabled),
        ]
    };
    for change in [fields("engineer", ""), fields("manager", "yes")] {
        let answer = manager.post(&path, &change).await.must(422);
        assert!(answer.message("role").contains("only manager"), "{}", answer.text());
    }
    app.someone(Role::Manager).added().await;
    manager.post(&path, &fields("engineer", "")).await.must(303);
    manager.get("/people").await.must(403);
}

#[tokio::test]
async fn closing_an_account_ends_its_sessions_and_opening_it_gives_it_back() {
    let app = TestApp::new().await;
    app.site("tern-ridge", "Tern Ridge").await;
    let person = app
        .someone(Role::Reader)
        .name("Nan Holt")
        .login("nan")
        .sites(&["tern-ridge"])
        .added()
        .await;
    let reader = app.browser_of(&person).await;
    let manager = app.signed_in(Role::Manager, &[]).await;
    let path = format!("/people/{}", person.uuid);
    for (disabled, status, word) in [("yes", 303, "closed"), ("", 200, "open")] {
        let version = manager.get(&path).await.value("version");
        let fields = [
            ("name", "Nan Holt"),
            ("firm", "Ternfold Radio"),
            ("login", "nan"),
            ("role", "reader"),
            ("version", version.as_str()),
            ("sites", "tern-ridge"),
            ("disabled", disabled),
        ];
        manager.post(&path, &fields).await.must(303);
        manager.get("/people").await.must(200).shows(&format!("nan tern-ridge {word}"));
        reader.get("/me").await.must(303);
        let answer = app.browser_of(&person).await.get("/me").await;
        answer.must(status);
    }
}

#[tokio::test]
async fn a_site_that_is_gone_from_the_list_is_told_beside_the_ticks() {
    let app = TestApp::new().await;
    let person = app.someone(Role::Reader).added().await;
    let manager = app.signed_in(Role::Manager, &[]).await;
    let fields = [
        ("name", "Nan Holt"),
        ("firm", "Ternfold Radio"),
        ("login", "nan"),
        ("role", "reader"),
        ("version", "1"),
        ("sites", "gull-head"),
    ];
    let answer = manager.post(&format!("/people/{}", person.uuid), &fields).await.must(422);
    assert!(answer.message("sites").contains("gull-head"));
}

#[tokio::test]
async fn a_reset_password_is_shown_once_and_ends_all_sessions() {
    let app = TestApp::new().await;
    let person = app.someone(Role::Contractor).login("mara").added().await;
    let mara = app.browser_of(&person).await;
    let manager = app.signed_in(Role::Manager, &[]).await;
    let path = format!("/people/{}/password", person.uuid);
    manager.get(&path).await.must(200).shows("stops working at once");
    mara.get("/me").await.must(200);
    let act = app.clock.uuid();
    let shown = manager.post_as(act, &path, &[]).await.must(200);
    let password =
        shown.body.split("<strong>").last().unwrap().split('<').next().unwrap().to_owned();
    let again = manager.post_as(act, &path, &[]).await.must(200);
    again.shows("This was already done.");
    mara.get("/me").await.must(303);
    mara.post("/sign-in", &[("login", "mara"), ("password", PASSWORD)]).await.must(422);
    let new = [("login", "mara"), ("password", password.as_str())];
    mara.post("/sign-in", &new).await.must(303);
}

#[tokio::test]
async fn a_person_changes_the_own_password_and_stays_signed_in_here_alone() {
    let app = TestApp::new().await;
    let person = app.someone(Role::Contractor).login("mara").added().await;
    let (here, there) = (app.browser_of(&person).await, app.browser_of(&person).await);
    let fields = |old: &'static str, new: &'static str, again: &'static str| {
        [("old_password", old), ("new_password", new), ("new_password_again", again)]
    };
    let answer = here.post("/me", &fields("", "short", "")).await.must(422);
    assert_eq!(answer.message("old_password"), "this is needed");
    assert!(answer.message("new_password").contains("at least 10"));
    let wrong = fields("not this one", "under the ridge now", "under the ridge now");
    let answer = here.post("/me", &wrong).await.must(422);
    assert!(answer.message("old_password").contains("not the present"));
    there.get("/me").await.must(200);
    let right = fields(PASSWORD, "under the ridge now", "under the ridge now");
    let act = app.clock.uuid();
    here.post_as(act, "/me", &right).await.must(200).shows("The password is changed.");
    here.post_as(act, "/me", &right).await.must(200).shows("The password is changed.");
    here.get("/me").await.must(200);
    there.get("/me").await.must(303);
    let new = [("login", "mara"), ("password", "under the ridge now")];
    there.post("/sign-in", &new).await.must(303);
}

#[tokio::test]
async fn guessing_the_present_password_is_slowed_down_too() {
    let app = TestApp::new().await;
    let browser = app.signed_in(Role::Contractor, &[]).await;
    let guess = [
        ("old_password", "guess"),
        ("new_password", "under the ridge now"),
        ("new_password_again", "under the ridge now"),
    ];
    for _ in 0..5 {
        browser.post("/me", &guess).await.must(422);
    }
    let answer = browser.post("/me", &guess).await.must(429);
    assert!(answer.message("old_password").contains("wait 5 seconds"));
}

#[tokio::test]
async fn whoever_is_signed_in_begins_on_a_page_that_is_theirs() {
    let app = TestApp::new().await;
    for role in Role::ALL {
        let browser = app.signed_in(role, &[]).await;
        let first = browser.get("/").await.must(303);
        browser.get(first.location()).await.must(200);
    }
    app.browser().get("/").await.must(303);
    app.browser().send(Method::HEAD, "/sign-in", &[], Vec::new()).await.must(200);
}

async fn path_of(app: &TestApp, login: &str) -> String {
    let mut snapshot = app.state.snapshot().await.unwrap();
    let person = standmast::people::store::find_login(snapshot.conn(), login).await.unwrap();
    format!("/people/{}", person.unwrap().uuid)
}
