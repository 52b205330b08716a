//! Sites and assignments as people make and edit them: what is taken, what is refused with what was typed
//! kept, who may not, what a repetition and a second editor are told.

use sqlx::Row;
use standmast::clock::Utc;
use standmast::people::model::Role;
use standmast::sites::store;

use crate::support::{Answer, NOON, TestApp};

type Form = [(&'static str, &'static str)];

/// A site that is taken as it stands.
pub const SITE: [(&str, &str); 8] = [
    ("code", "Alder-Knoll"),
    ("name", "Alder Knoll"),
    ("latitude_deg", "52.4711"),
    ("longitude_deg", "-7.1204"),
    ("zone", "Europe/Dublin"),
    ("structure", "mast"),
    ("structure_height_m", "30"),
    ("notes", "Key with the keeper.\r\nEmergency 112."),
];

/// An assignment that is taken as it stands.
pub const ASSIGNMENT: [(&str, &str); 7] = [
    ("station_name", "Ternfold Radio"),
    ("call_sign", "TF1R"),
    ("frequency_mhz", "98.4"),
    ("power_w", "300"),
    ("erp_w", "250"),
    ("height_m", "31.5"),
    ("polarization", "vertical"),
];

/// The form with some fields changed, and others added.
fn with<'a>(
    form: &[(&'a str, &'a str)],
    changes: &[(&'a str, &'a str)],
) -> Vec<(&'a str, &'a str)> {
    let mut all = form.to_vec();
    for (name, value) in changes {
        match all.iter_mut().find(|(known, _)| known == name) {
            Some(field) => field.1 = value,
            None => all.push((name, value)),
        }
    }
    all
}

/// What stays in a field, or in the only area of the page.
fn kept(answer: &Answer, field: &str) -> String {
    if field != "notes" {
        return answer.value(field);
    }
    let (_, rest) = answer.body.split_once("name=\"notes\"").unwrap();
    let (_, rest) = rest.split_once(">\n").unwrap();
    rest.split("</textarea>").next().unwrap().to_owned()
}

async fn each_refused(path: &str, good: &Form, cases: &[(&'static str, &'static str, &str)]) {
    let app = TestApp::new().await;
    app.site("tern-ridge", "Tern Ridge").await;
    let engineer = app.signed_in(Role::Engineer, &[]).await;
    let (acts, sites) = (app.count("journal").await, app.count("site").await);
    for (field, typed, says) in cases {
        let answer = engineer.post(path, &with(good, &[(*field, *typed)])).await.must(422);
        let message = answer.message(field);
        assert!(message.contains(says), "{field} “{typed}”: “{message}” does not say “{says}”");
        let choice = matches!(*field, "structure" | "polarization");
        assert!(choice || kept(&answer, field) == *typed, "{field} “{typed}” was not kept");
        answer.shows("Nothing was saved.");
        for (other, value) in good.iter().filter(|(name, _)| name != field && *name != "notes") {
            let radio = matches!(*other, "structure" | "polarization");
            assert!(radio || answer.value(other) == *value, "{other} was lost");
        }
    }
    assert_eq!(app.count("journal").await, acts);
    assert_eq!(app.count("site").await, sites);
    assert_eq!(app.count("assignment_revision").await, 0);
}

#[tokio::test]
async fn an_engineer_adds_a_site_and_sees_it() {
    let app = TestApp::new().await;
    let engineer = app.signed_in(Role::Engineer, &[]).await;
    engineer.get("/sites/new").await.must(200).shows("Add this site");
    let made = engineer.post("/sites/new", &SITE).await.must(303);
    assert_eq!(made.location(), "/sites/Alder-Knoll");
    let page = engineer.get("/sites/alder-knoll").await.must(200);
    page.shows("52.4711° N, 7.1204° W").shows("guyed mast, 30 m").shows("Europe/Dublin");
    page.shows("Key with the keeper. Emergency 112.");
    page.shows("Enter the frequency assignment.").shows("Caution RF off and locked off");
    assert!(page.body.contains("href=\"geo:52.4711,-7.1204\""));
}

#[tokio::test]
async fn figures_are_kept_as_typed_with_comma_or_dot() {
    let app = TestApp::new().await;
    let engineer = app.signed_in(Role::Engineer, &[]).await;
    let commas = [
        ("latitude_deg", "-12,50"),
        ("longitude_deg", "+7,4"),
        ("structure_height_m", "30,0"),
        ("zone", "europe/dublin"),
    ];
    engineer.post("/sites/new", &with(&SITE, &commas)).await.must(303);
    let row =
        sqlx::query("SELECT latitude_deg, latitude_typed, structure_height_typed, zone FROM site")
            .fetch_one(&mut app.database().await)
            .await
            .unwrap();
    assert!((row.get::<f64, _>(0) + 12.5).abs() < 1e-12);
    assert_eq!(row.get::<String, _>(1), "-12,50°");
    assert_eq!(row.get::<String, _>(2), "30,0 m");
    assert_eq!(row.get::<String, _>(3), "Europe/Dublin", "the zone's own spelling");
    let form = engineer.get("/sites/alder-knoll/edit").await.must(200);
    assert_eq!(form.value("latitude_deg"), "-12,50");
    assert_eq!(kept(&form, "notes"), "Key with the keeper.\nEmergency 112.");
    let page = engineer.get("/sites/alder-knoll").await.must(200);
    page.shows("12.50° S, 7.4° E");
}

#[tokio::test]
async fn a_site_that_cannot_be_is_refused_with_what_was_typed() {
    let long = "x".repeat(201).leak();
    let cases = [
        ("code", "", "needed"),
        ("code", "a", "2 to 24"),
        ("code", "alder knoll", "letters a to z"),
        ("code", "äldern", "letters a to z"),
        ("code", "a/../b", "letters a to z"),
        ("code", "New", "address of a page"),
        ("code", "TERN-RIDGE", "already has this code"),
        ("name", "   ", "needed"),
        ("name", long, "at most 200"),
        ("name", "Alder\u{7}", "control character"),
        ("latitude_deg", "", "needed, in °"),
        ("latitude_deg", "90.01", "at most 90°"),
        ("latitude_deg", "52 28 16 N", "is 52.47111"),
        ("latitude_deg", "NaN", "not a plain number"),
        ("latitude_deg", "52.1.1", "not a plain number"),
        ("longitude_deg", "-180.5", "at least −180°"),
        ("longitude_deg", "inf", "not a plain number"),
        ("longitude_deg", "7°7'13\"W", "is -7.12028"),
        ("longitude_deg", "1e2", "not a plain number"),
        ("zone", "Middle/Nowhere", "not an IANA time zone"),
        ("zone", "", "needed"),
        ("structure", "tree", "not one of the choices"),
        ("structure", "", "choose one"),
        ("structure_height_m", "-1", "at least 0 m"),
        ("structure_height_m", "1000.1", "write 0 m to 1000 m"),
        ("structure_height_m", "1,500", "two ways"),
        ("notes", "rings\u{0}", "control character"),
    ];
    each_refused("/sites/new", &SITE, &cases).await;
}

#[tokio::test]
async fn all_that_needs_mending_is_told_at_once() {
    let app = TestApp::new().await;
    let engineer = app.signed_in(Role::Engineer, &[]).await;
    let answer = engineer.post("/sites/new", &[]).await.must(422);
    answer.shows("7 answers need a change");
    for field in ["code", "name", "latitude_deg", "longitude_deg", "zone", "structure"] {
        assert!(!answer.message(field).is_empty(), "{field}");
    }
}

#[tokio::test]
async fn markup_in_names_is_text() {
    let app = TestApp::new().await;
    let engineer = app.signed_in(Role::Engineer, &[]).await;
    let markup = "<b onclick=x>\"Knoll\"</b> & co";
    let named = with(&SITE, &[("name", markup), ("notes", markup)]);
    engineer.post("/sites/new", &named).await.must(303);
    let station = with(&ASSIGNMENT, &[("station_name", markup), ("call_sign", markup)]);
    engineer.post("/sites/alder-knoll/assignments/new", &station).await.must(303);
    for path in ["", "/edit", "/assignments/new", "/assignments/1/edit"] {
        let page = engineer.get(&format!("/sites/alder-knoll{path}")).await.must(200);
        assert!(!page.body.contains("<b onclick"), "{path}");
    }
    let form = engineer.get("/sites/alder-knoll/edit").await;
    assert_eq!(form.value("name"), markup);
}

#[tokio::test]
async fn a_site_form_sent_twice_makes_one_site() {
    let app = TestApp::new().await;
    let engineer = app.someone(Role::Engineer).added().await;
    let browser = app.browser_of(&engineer).await;
    let act = app.clock.uuid();
    for _ in 0..2 {
        let answer = browser.post_as(act, "/sites/new", &SITE).await.must(303);
        assert_eq!(answer.location(), "/sites/Alder-Knoll");
    }
    assert_eq!(app.count("site").await, 1);
    let other = with(&SITE, &[("name", "Alder Hill")]);
    let answer = browser.post_as(act, "/sites/new", &other).await.must(409);
    answer.shows("already sent with other content").shows("Alder Hill");
    let manager = app.signed_in(Role::Manager, &[]).await;
    manager.post_as(act, "/sites/new", &SITE).await.must(404);
    assert_eq!(app.count("site").await, 1);
    browser.get("/sites/alder-knoll").await.must(200).shows("Alder Knoll");
}

/// The fields of a form as they are typed.
type Typed = Vec<(String, String)>;

#[tokio::test]
async fn two_people_editing_one_site_are_told() {
    let app = TestApp::new().await;
    app.site("tern-ridge", "Tern Ridge").await;
    let one = app.signed_in(Role::Engineer, &[]).await;
    let two = app.signed_in(Role::Manager, &[]).await;
    let path = "/sites/tern-ridge/edit";
    let version = one.get(path).await.must(200).value("version");
    assert_eq!(two.get(path).await.must(200).value("version"), version);
    let edited = |name| {
        let changes = [("code", "tern-ridge"), ("name", name), ("version", version.as_str())];
        with(&SITE, &changes).iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect()
    };
    let (first, second): (Typed, Typed) = (edited("Tern Ridge North"), edited("Tern Ridge South"));
    fn lent(form: &[(String, String)]) -> Vec<(&str, &str)> {
        form.iter().map(|(k, v)| (k.as_str(), v.as_str())).collect()
    }
    one.post(path, &lent(&first)).await.must(303);
    let late = two.post(path, &lent(&second)).await.must(409);
    late.shows("Somebody else changed this").shows("Tern Ridge South").shows("Emergency 112.");
    two.get("/sites/tern-ridge").await.must(200).shows("Tern Ridge North");
    let without = lent(&second).into_iter().filter(|(name, _)| *name != "version");
    two.post(path, &without.collect::<Vec<_>>()).await.must(422);
}

#[tokio::test]
async fn a_new_code_moves_the_pages_and_a_repetition_finds_them() {
    let app = TestApp::new().await;
    app.site("tern-ridge", "Tern Ridge").await;
    let engineer = app.signed_in(Role::Engineer, &[]).await;
    let contractor = app.signed_in(Role::Contractor, &["tern-ridge"]).await;
    let change = with(&SITE, &[("code", "tern-top"), ("version", "1")]);
    let act = app.clock.uuid();
    for _ in 0..2 {
        let answer = engineer.post_as(act, "/sites/tern-ridge/edit", &change).await.must(303);
        assert_eq!(answer.location(), "/sites/tern-top");
    }
    engineer.post("/sites/tern-ridge/edit", &change).await.must(404);
    contractor.post_as(act, "/sites/tern-ridge/edit", &change).await.must(404);
    contractor.get("/sites/tern-ridge").await.must(404);
    contractor.get("/sites/tern-top").await.must(200).shows("Alder Knoll");
    app.site("gull-head", "Gull Head").await;
    let taken = with(&SITE, &[("code", "GULL-HEAD"), ("version", "2")]);
    let answer = engineer.post("/sites/tern-top/edit", &taken).await.must(422);
    assert!(answer.message("code").contains("already has this code"));
    let recased = with(&SITE, &[("code", "Tern-Top"), ("version", "2")]);
    engineer.post("/sites/tern-top/edit", &recased).await.must(303);
}

#[tokio::test]
async fn a_foreign_site_is_unknown_and_an_own_one_is_not_a_contractors_to_edit() {
    let app = TestApp::new().await;
    app.site("tern-ridge", "Tern Ridge").await;
    app.site("gull-head", "Gull Head").await;
    let keeper = app.signed_in(Role::Engineer, &[]).await;
    keeper.post("/sites/tern-ridge/assignments/new", &ASSIGNMENT).await.must(303);
    for role in [Role::Contractor, Role::Reader] {
        let person = app.signed_in(role, &["tern-ridge"]).await;
        let page = person.get("/sites/tern-ridge").await.must(200);
        assert!(!page.text_has("Edit the site") && !page.text_has("Revise"));
        person.get("/sites/gull-head").await.must(404);
        person.get("/sites/nowhere").await.must(404);
        for path in ["edit", "assignments/new", "assignments/1/edit"] {
            person.get(&format!("/sites/tern-ridge/{path}")).await.must(403);
            let version = [("version", "1")];
            let form =
                if path == "edit" { with(&SITE, &version) } else { with(&ASSIGNMENT, &version) };
            person.post(&format!("/sites/tern-ridge/{path}"), &form).await.must(403);
            person.post(&format!("/sites/gull-head/{path}"), &form).await.must(404);
        }
        person.post("/sites/new", &SITE).await.must(403);
    }
    assert_eq!(app.count("site").await, 2);
    assert_eq!(app.count("assignment_revision").await, 1);
}

#[tokio::test]
async fn a_grant_that_has_ended_hides_the_site() {
    let app = TestApp::new().await;
    app.site("tern-ridge", "Tern Ridge").await;
    app.site("gull-head", "Gull Head").await;
    let person = app.someone(Role::Reader).sites(&["tern-ridge"]).added().await;
    let engineer = app.someone(Role::Engineer).added().await;
    sqlx::query("UPDATE site_grant SET expires_at = $1")
        .bind(NOON + 10)
        .execute(&mut app.database().await)
        .await
        .unwrap();
    let mut snapshot = app.state.snapshot().await.unwrap();
    let codes = async |conn: &mut _, who, at| {
        let sites = store::list_for(conn, who, Utc::from_seconds(at)).await.unwrap();
        sites.into_iter().map(|site| site.code).collect::<Vec<_>>()
    };
    assert_eq!(codes(snapshot.conn(), &person, NOON).await, ["tern-ridge"]);
    assert!(codes(snapshot.conn(), &person, NOON + 10).await.is_empty());
    assert_eq!(codes(snapshot.conn(), &engineer, NOON + 10).await, ["gull-head", "tern-ridge"]);
    let browser = app.browser_of(&person).await;
    browser.get("/sites/tern-ridge").await.must(200);
    app.clock.set(Utc::from_seconds(NOON + 10));
    browser.get("/sites/tern-ridge").await.must(404);
}

#[tokio::test]
async fn an_assignment_is_revised_and_the_old_revision_stays() {
    let app = TestApp::new().await;
    app.site("tern-ridge", "Tern Ridge").await;
    let engineer = app.signed_in(Role::Engineer, &[]).await;
    let made = engineer.post("/sites/tern-ridge/assignments/new", &ASSIGNMENT).await.must(303);
    assert_eq!(made.location(), "/sites/tern-ridge");
    let second = with(&ASSIGNMENT, &[("frequency_mhz", "101,10")]);
    engineer.post("/sites/tern-ridge/assignments/new", &second).await.must(303);
    let path = "/sites/tern-ridge/assignments/1/edit";
    let form = engineer.get(path).await.must(200);
    form.shows("Revise assignment 1 of Tern Ridge").shows("ERP, W was 250").shows("was vertical");
    assert_eq!(form.value("erp_w"), "250", "an edit begins from what holds");
    let same = with(&ASSIGNMENT, &[("version", "1")]);
    engineer.post(path, &same).await.must(422).shows("Nothing differs from revision 1");
    app.clock.set(Utc::from_seconds(NOON + 24 * 3600));
    let revised = with(&ASSIGNMENT, &[("erp_w", "238"), ("version", "1")]);
    let act = app.clock.uuid();
    for _ in 0..2 {
        engineer.post_as(act, path, &revised).await.must(303);
    }
    let page = engineer.get("/sites/tern-ridge").await.must(200);
    page.shows("98.4 Ternfold Radio TF1R 300 238 31.5 vertical revision 2, 13 Mar 2031");
    page.shows("101,10 Ternfold Radio TF1R 300 250 31.5 vertical revision 1, 12 Mar 2031");
    page.shows("Older revisions (1)");
    page.shows("300 250 31.5 vertical revision 1, 12 Mar 2031 to 13 Mar 2031");
    assert_eq!(app.count("assignment").await, 2);
    assert_eq!(app.count("assignment_revision").await, 3);
    let late = with(&ASSIGNMENT, &[("erp_w", "200"), ("version", "1")]);
    let answer = engineer.post(path, &late).await.must(409);
    answer.shows("Somebody else changed this").shows("200");
    engineer.get("/sites/tern-ridge/assignments/3/edit").await.must(404);
    engineer.get("/sites/tern-ridge/assignments/first/edit").await.must(404);
    the_newest_revision_holds_and_a_pinned_one_is_found(&app).await;
}

async fn the_newest_revision_holds_and_a_pinned_one_is_found(app: &TestApp) {
    let mut snapshot = app.state.snapshot().await.unwrap();
    let site: i64 = sqlx::query_scalar("SELECT id FROM site")
        .fetch_one(&mut app.database().await)
        .await
        .unwrap();
    let newest = store::assignments(snapshot.conn(), site).await.unwrap();
    let told: Vec<(i64, i64, &str)> =
        newest.iter().map(|one| (one.number, one.revision, one.particulars.erp.text())).collect();
    assert_eq!(told, [(1, 2, "238"), (2, 1, "250")]);
    let one = store::assignment(snapshot.conn(), site, 1).await.unwrap().unwrap();
    assert_eq!(one, newest[0]);
    let pinned = store::assignment_revision(snapshot.conn(), newest[1].revision_id).await.unwrap();
    assert_eq!(pinned.as_ref(), Some(&newest[1]));
    let all = store::assignment_revisions(snapshot.conn(), site).await.unwrap();
    let first = store::assignment_revision(snapshot.conn(), all[1].revision_id).await.unwrap();
    assert_eq!(first.unwrap().particulars.erp.text(), "250");
    assert!(store::assignment(snapshot.conn(), site, 9).await.unwrap().is_none());
}

#[tokio::test]
async fn an_assignment_that_cannot_be_is_refused_with_what_was_typed() {
    let cases = [
        ("station_name", "", "needed"),
        ("frequency_mhz", "59.9", "write 60 MHz to 120 MHz"),
        ("frequency_mhz", "98400", "at most 6000 MHz"),
        ("frequency_mhz", "98,400", "two ways"),
        ("frequency_mhz", "98.4 MHz", "not a plain number"),
        ("power_w", "0", "write 0.001 W to"),
        ("power_w", "-300", "at least 0 W"),
        ("power_w", "NaN", "not a plain number"),
        ("erp_w", "inf", "not a plain number"),
        ("erp_w", "1000001", "write 0.001 W to 1000000 W"),
        ("height_m", "", "needed, in m"),
        ("height_m", "1001", "write 0 m to 1000 m"),
        ("polarization", "slant", "not one of the choices"),
    ];
    each_refused("/sites/tern-ridge/assignments/new", &ASSIGNMENT, &cases).await;
}

#[tokio::test]
async fn an_odd_assignment_is_taken_and_pointed_out() {
    let app = TestApp::new().await;
    app.site("tern-ridge", "Tern Ridge").await;
    let engineer = app.signed_in(Role::Engineer, &[]).await;
    let odd = with(&ASSIGNMENT, &[("frequency_mhz", "71.2"), ("height_m", "312")]);
    engineer.post("/sites/tern-ridge/assignments/new", &odd).await.must(303);
    let page = engineer.get("/sites/tern-ridge").await.must(200);
    page.shows("71.2 MHz lies outside 87.5 to 108 MHz").shows("above ground, not above sea level");
}

#[tokio::test]
async fn the_journal_tells_each_act_with_its_figures_as_text() {
    let app = TestApp::new().await;
    let engineer = app.signed_in(Role::Engineer, &[]).await;
    engineer.post("/sites/new", &SITE).await.must(303);
    engineer.post("/sites/alder-knoll/assignments/new", &ASSIGNMENT).await.must(303);
    let revised = with(&ASSIGNMENT, &[("erp_w", "238"), ("version", "1")]);
    engineer.post("/sites/alder-knoll/assignments/1/edit", &revised).await.must(303);
    let rows = sqlx::query(
        "SELECT kind, content FROM journal WHERE site_id = (SELECT id FROM site) ORDER BY seq",
    )
    .fetch_all(&mut app.database().await)
    .await
    .unwrap();
    let kinds: Vec<String> = rows.iter().map(|row| row.get(0)).collect();
    assert_eq!(kinds, ["site added", "assignment added", "assignment revised"]);
    let content: String = rows[2].get(1);
    let content: serde_json::Value = serde_json::from_str(&content).unwrap();
    assert_eq!(content["what"]["says"]["erp"], "238 W");
    assert_eq!(content["what"]["revision_number"], "2");
    let mut snapshot = app.state.snapshot().await.unwrap();
    standmast::journal::verify(snapshot.conn()).await.unwrap().unwrap();
}
