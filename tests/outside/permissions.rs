//! Who may call what: every typed path of the program, every method, every role, with and without a grant
//! of the site. A path that is not in the table fails the test.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use axum::http::{Method, StatusCode};
use standmast::people::model::{Person, Role};
use uuid::Uuid;

use crate::instruments::INSTRUMENT;
use crate::sites::ASSIGNMENT;
use crate::support::{Answer, TestApp, jpeg};

const EVERYBODY: &[Role] = &[Role::Contractor, Role::Engineer, Role::Manager, Role::Reader];
const MANAGER: &[Role] = &[Role::Manager];
const KEEPS_SITES: &[Role] = &[Role::Engineer, Role::Manager];
const KEEPS_INSTRUMENTS: &[Role] = &[Role::Contractor, Role::Engineer, Role::Manager];
const REVISES_CHAINS: &[Role] = &[Role::Contractor, Role::Engineer, Role::Manager];
/// Opens a job, records, answers, releases, declares.
const WORKS: &[Role] = &[Role::Contractor, Role::Engineer, Role::Manager];

/// Who is let in.
enum Who {
    /// No session is needed.
    Anybody,
    /// Whoever is signed in with one of these roles; the others are told that they may not.
    Role(&'static [Role]),
    /// Whoever knows the site and has one of these roles. Who does not know it finds nothing; contractors
    /// and readers know what they are granted, the others know all.
    OnSite(&'static [Role]),
}

struct Line {
    path: &'static str,
    method: Method,
    who: Who,
}

const fn get(path: &'static str, who: Who) -> Line {
    Line { path, method: Method::GET, who }
}

const fn post(path: &'static str, who: Who) -> Line {
    Line { path, method: Method::POST, who }
}

const TABLE: &[Line] = &[
    get("/sign-in", Who::Anybody),
    post("/sign-in", Who::Anybody),
    post("/sign-out", Who::Anybody),
    get("/set-up/{secret}", Who::Anybody),
    post("/set-up/{secret}", Who::Anybody),
    get("/people", Who::Role(MANAGER)),
    get("/people/new", Who::Role(MANAGER)),
    post("/people/new", Who::Role(MANAGER)),
    get("/people/{person}", Who::Role(MANAGER)),
    post("/people/{person}", Who::Role(MANAGER)),
    get("/people/{person}/password", Who::Role(MANAGER)),
    post("/people/{person}/password", Who::Role(MANAGER)),
    post("/people/{person}/sessions", Who::Role(MANAGER)),
    get("/firms/{firm}", Who::Role(MANAGER)),
    post("/firms/{firm}", Who::Role(MANAGER)),
    post("/me/sessions", Who::Role(EVERYBODY)),
    get("/me", Who::Role(EVERYBODY)),
    post("/me", Who::Role(EVERYBODY)),
    get("/instruments", Who::Role(EVERYBODY)),
    get("/instruments/new", Who::Role(KEEPS_INSTRUMENTS)),
    post("/instruments/new", Who::Role(KEEPS_INSTRUMENTS)),
    get("/instruments/{instrument}", Who::Role(EVERYBODY)),
    get("/instruments/{instrument}/edit", Who::Role(KEEPS_INSTRUMENTS)),
    post("/instruments/{instrument}/edit", Who::Role(KEEPS_INSTRUMENTS)),
    get("/instruments/{instrument}/calibrations/new", Who::Role(KEEPS_INSTRUMENTS)),
    post("/instruments/{instrument}/calibrations/new", Who::Role(KEEPS_INSTRUMENTS)),
    get("/sites/new", Who::Role(KEEPS_SITES)),
    post("/sites/new", Who::Role(KEEPS_SITES)),
    get("/sites/{site}", Who::OnSite(EVERYBODY)),
    get("/sites/{site}/edit", Who::OnSite(KEEPS_SITES)),
    post("/sites/{site}/edit", Who::OnSite(KEEPS_SITES)),
    get("/sites/{site}/assignments/new", Who::OnSite(KEEPS_SITES)),
    post("/sites/{site}/assignments/new", Who::OnSite(KEEPS_SITES)),
    get("/sites/{site}/assignments/{assignment}/edit", Who::OnSite(KEEPS_SITES)),
    post("/sites/{site}/assignments/{assignment}/edit", Who::OnSite(KEEPS_SITES)),
    get("/sites/{site}/assignments/{assignment}/chain", Who::OnSite(EVERYBODY)),
    get("/sites/{site}/assignments/{assignment}/chain/edit", Who::OnSite(REVISES_CHAINS)),
    post("/sites/{site}/assignments/{assignment}/chain/edit", Who::OnSite(REVISES_CHAINS)),
    get("/sites/{site}/assignments/{assignment}/readings", Who::OnSite(EVERYBODY)),
    post("/sites/{site}/assignments/{assignment}/readings", Who::OnSite(WORKS)),
    post("/sites/{site}/assignments/{assignment}/readings/strike", Who::OnSite(WORKS)),
    get("/sites", Who::Role(EVERYBODY)),
    get("/sites/{site}/jobs/new", Who::OnSite(WORKS)),
    post("/sites/{site}/jobs/new", Who::OnSite(WORKS)),
    get("/sites/{site}/jobs/{job}", Who::OnSite(EVERYBODY)),
    get("/sites/{site}/jobs/{job}/stand", Who::OnSite(EVERYBODY)),
    post("/sites/{site}/jobs/{job}/stand", Who::OnSite(WORKS)),
    post("/sites/{site}/jobs/{job}/stand/setup", Who::OnSite(WORKS)),
    post("/sites/{site}/jobs/{job}/stand/chosen", Who::OnSite(WORKS)),
    get("/sites/{site}/jobs/{job}/installed", Who::OnSite(EVERYBODY)),
    post("/sites/{site}/jobs/{job}/installed", Who::OnSite(WORKS)),
    post("/sites/{site}/jobs/{job}/installed/explanation", Who::OnSite(WORKS)),
    get("/sites/{site}/jobs/{job}/as-built", Who::OnSite(EVERYBODY)),
    post("/sites/{site}/jobs/{job}/as-built", Who::OnSite(WORKS)),
    get("/sites/{site}/jobs/{job}/exposure", Who::OnSite(EVERYBODY)),
    post("/sites/{site}/jobs/{job}/exposure", Who::OnSite(WORKS)),
    get("/sites/{site}/jobs/{job}/checks/{item}", Who::OnSite(EVERYBODY)),
    post("/sites/{site}/jobs/{job}/checks/{item}", Who::OnSite(WORKS)),
    get("/sites/{site}/jobs/{job}/gates/{stage}", Who::OnSite(EVERYBODY)),
    post("/sites/{site}/jobs/{job}/gates/{stage}", Who::OnSite(WORKS)),
    get("/sites/{site}/jobs/{job}/entries/{fact}", Who::OnSite(EVERYBODY)),
    post("/sites/{site}/jobs/{job}/entries/{fact}", Who::OnSite(WORKS)),
    post("/sites/{site}/jobs/{job}/entries/{fact}/withdraw", Who::OnSite(WORKS)),
    get("/sites/{site}/jobs/{job}/photos", Who::OnSite(EVERYBODY)),
    post("/sites/{site}/jobs/{job}/photos", Who::OnSite(WORKS)),
    get("/sites/{site}/jobs/{job}/photos/{photo}", Who::OnSite(EVERYBODY)),
    get("/sites/{site}/jobs/{job}/photos/{photo}/original", Who::OnSite(EVERYBODY)),
    get("/sites/{site}/jobs/{job}/photos/{photo}/thumbnail", Who::OnSite(EVERYBODY)),
    get("/sites/{site}/jobs/{job}/snags", Who::OnSite(EVERYBODY)),
    post("/sites/{site}/jobs/{job}/snags", Who::OnSite(WORKS)),
    get("/sites/{site}/jobs/{job}/snags/{snag}", Who::OnSite(EVERYBODY)),
    post("/sites/{site}/jobs/{job}/snags/{snag}/closing", Who::OnSite(WORKS)),
    get("/sites/{site}/jobs/{job}/independence", Who::OnSite(MANAGER)),
    post("/sites/{site}/jobs/{job}/independence", Who::OnSite(MANAGER)),
    get("/sites/{site}/jobs/{job}/declaration", Who::OnSite(WORKS)),
    post("/sites/{site}/jobs/{job}/declaration", Who::OnSite(WORKS)),
    get("/sites/{site}/jobs/{job}/report.pdf", Who::OnSite(EVERYBODY)),
    get("/sites/{site}/jobs/{job}/decision", Who::OnSite(EVERYBODY)),
    post("/sites/{site}/jobs/{job}/decision", Who::OnSite(EVERYBODY)),
];

const JOB: [(&str, &str); 3] =
    [("assignment", "1"), ("kind", "new-installation"), ("class", "independent")];

const STAND_SETUP: [(&str, &str); 6] = [
    ("stand_height_m", "6"),
    ("nearest_metal_m", "8"),
    ("orientation", "vertical"),
    ("jumper", "J1"),
    ("jumper_loss_db", "0.2"),
    ("supply_protected", "yes"),
];

/// Routes without a type: nobody's permit is asked for them, so each is named here.
const UNTYPED: [&str; 3] = ["/", "/health", "/static/{*name}"];

/// The records that stand for the names in the paths.
async fn names(app: &TestApp) -> BTreeMap<&'static str, String> {
    app.site("tern-ridge", "Tern Ridge").await;
    let spare = app.someone(Role::Reader).added().await;
    let engineer = app.signed_in(Role::Engineer, &[]).await;
    engineer.post("/sites/tern-ridge/assignments/new", &ASSIGNMENT).await.must(303);
    engineer.post("/sites/tern-ridge/jobs/new", &JOB).await.must(303);
    engineer.post("/sites/tern-ridge/jobs/1/stand/setup", &STAND_SETUP).await.must(303);
    let fact: Uuid =
        sqlx::query_scalar("SELECT uuid FROM fact WHERE id = (SELECT fact_id FROM stand_setup)")
            .fetch_one(&mut app.database().await)
            .await
            .unwrap();
    let snags = "/sites/tern-ridge/jobs/1/snags";
    let fields = [("class", "C"), ("text", "paint chipped at the second section")];
    engineer.post_files(app.clock.uuid(), snags, &fields, &[("a", &jpeg(40, 30))]).await.must(303);
    let (photo, snag) = (newest(app, "photo").await, newest(app, "snag").await);
    let firm: Uuid = sqlx::query_scalar("SELECT uuid FROM firm LIMIT 1")
        .fetch_one(&mut app.database().await)
        .await
        .unwrap();
    // Of the contractors' own firm: what of another firm's is refused stands in tests/outside/instruments.rs.
    let contractor = app.signed_in(Role::Contractor, &[]).await;
    let made = contractor.post("/instruments/new", &INSTRUMENT).await.must(303);
    let instrument = made.location().trim_start_matches("/instruments/").to_owned();
    BTreeMap::from([
        ("{assignment}", "1".to_owned()),
        ("{fact}", fact.to_string()),
        ("{firm}", firm.to_string()),
        ("{instrument}", instrument),
        ("{item}", "exclusion-zone".to_owned()),
        ("{job}", "1".to_owned()),
        ("{person}", spare.uuid.to_string()),
        ("{photo}", photo),
        ("{snag}", snag),
        ("{secret}", "not-the-secret".to_owned()),
        ("{site}", "tern-ridge".to_owned()),
        ("{stage}", "authority".to_owned()),
    ])
}

/// The name of the newest fact of a kind.
async fn newest(app: &TestApp, kind: &str) -> String {
    let sql = "SELECT uuid FROM fact WHERE kind = $1 ORDER BY id DESC LIMIT 1";
    let query = sqlx::query_scalar::<_, Uuid>(sql).bind(kind);
    query.fetch_one(&mut app.database().await).await.unwrap().to_string()
}

fn filled(path: &str, names: &BTreeMap<&'static str, String>) -> String {
    let filled =
        names.iter().fold(path.to_owned(), |path, (name, value)| path.replace(name, value));
    assert!(!filled.contains('{'), "{path}: give the name in it a record in names()");
    filled
}

#[derive(Debug, PartialEq, Eq)]
enum Outcome {
    LetIn,
    SignIn,
    Forbidden,
    NotFound,
}

fn outcome(line: &Line, answer: &Answer) -> Outcome {
    let sent_to_sign_in = answer.location().starts_with("/sign-in?next=");
    match answer.status {
        StatusCode::SEE_OTHER if sent_to_sign_in && line.method == Method::GET => Outcome::SignIn,
        StatusCode::UNAUTHORIZED if line.method != Method::GET => Outcome::SignIn,
        StatusCode::FORBIDDEN => Outcome::Forbidden,
        StatusCode::NOT_FOUND => Outcome::NotFound,
        status
            if status.is_success()
                || status == StatusCode::SEE_OTHER
                || status == StatusCode::UNPROCESSABLE_ENTITY
                || status == StatusCode::CONFLICT
                || status == StatusCode::TOO_MANY_REQUESTS =>
        {
            Outcome::LetIn
        }
        status => panic!("{} {}: {status}\n{}", line.method, line.path, answer.text()),
    }
}

/// What the table promises to a person, or to nobody.
fn promised(line: &Line, visitor: Option<Role>, granted: bool) -> Outcome {
    let by_role = |roles: &[Role], role| {
        if roles.contains(&role) { Outcome::LetIn } else { Outcome::Forbidden }
    };
    match (&line.who, visitor) {
        (Who::Anybody, _) => Outcome::LetIn,
        (_, None) => Outcome::SignIn,
        (Who::Role(roles), Some(role)) => by_role(roles, role),
        (Who::OnSite(_), Some(role)) if !granted && !role.sees_all_sites() => Outcome::NotFound,
        (Who::OnSite(roles), Some(role)) => by_role(roles, role),
    }
}

async fn ask(app: &TestApp, line: &Line, person: Option<&Person>, path: &str) -> Answer {
    // A browser of its own each time: some lines end the session.
    let browser = match person {
        Some(person) => app.browser_of(person).await,
        None => app.browser(),
    };
    if line.method == Method::GET { browser.get(path).await } else { browser.post(path, &[]).await }
}

#[tokio::test]
async fn each_role_may_do_what_the_table_says_and_no_more() {
    let app = TestApp::new().await;
    let names = names(&app).await;
    let mut visitors: Vec<(Option<Person>, bool)> = vec![(None, false)];
    for &role in EVERYBODY {
        visitors.push((Some(app.someone(role).added().await), false));
        visitors.push((Some(app.someone(role).sites(&["tern-ridge"]).added().await), true));
    }
    let mut wrong = Vec::new();
    for line in TABLE {
        let path = filled(line.path, &names);
        for (person, granted) in &visitors {
            let answer = ask(&app, line, person.as_ref(), &path).await;
            let got = outcome(line, &answer);
            let role = person.as_ref().map(|person| person.role);
            let wanted = promised(line, role, *granted);
            // A closed set-up says that it is closed, to everybody alike.
            let closed = line.path.starts_with("/set-up/") && got == Outcome::NotFound;
            if got != wanted && !closed {
                wrong.push(format!(
                    "{} {} as {role:?}, granted {granted}: {got:?}, not {wanted:?}",
                    line.method, line.path
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "\n{}\n", wrong.join("\n"));
}

#[tokio::test]
async fn what_the_table_does_not_name_is_no_request_of_that_address() {
    let app = TestApp::new().await;
    let names = names(&app).await;
    let manager = app.signed_in(Role::Manager, &[]).await;
    let mut wrong = Vec::new();
    for path in typed_paths() {
        for method in [Method::GET, Method::POST, Method::PUT, Method::PATCH, Method::DELETE] {
            if TABLE.iter().any(|line| line.path == path && line.method == method) {
                continue;
            }
            let answer =
                manager.send(method.clone(), &filled(&path, &names), &[], Vec::new()).await;
            if answer.status != StatusCode::METHOD_NOT_ALLOWED {
                wrong.push(format!("{method} {path}: {}, and no line says who may", answer.status));
            }
        }
    }
    assert!(wrong.is_empty(), "\n{}\n", wrong.join("\n"));
}

#[test]
fn a_site_is_unknown_to_whom_it_is_not_granted() {
    let line = get("/sites/{site}/example", Who::OnSite(&[Role::Contractor, Role::Manager]));
    let promised = |role, granted| promised(&line, role, granted);
    assert_eq!(promised(None, false), Outcome::SignIn);
    assert_eq!(promised(Some(Role::Contractor), false), Outcome::NotFound);
    assert_eq!(promised(Some(Role::Contractor), true), Outcome::LetIn);
    assert_eq!(promised(Some(Role::Reader), false), Outcome::NotFound);
    assert_eq!(promised(Some(Role::Reader), true), Outcome::Forbidden);
    assert_eq!(promised(Some(Role::Engineer), false), Outcome::Forbidden);
    assert_eq!(promised(Some(Role::Manager), false), Outcome::LetIn);
}

#[test]
fn every_path_of_the_program_is_in_the_table() {
    let known: BTreeSet<String> = TABLE.iter().map(|line| line.path.to_owned()).collect();
    let typed = typed_paths();
    let missing: Vec<_> = typed.difference(&known).collect();
    let gone: Vec<_> = known.difference(&typed).collect();
    assert!(typed.len() > 5, "the source was not read: {typed:?}");
    assert!(missing.is_empty(), "say in TABLE who may call {missing:?}");
    assert!(gone.is_empty(), "no such path any more: {gone:?}");
}

#[test]
fn untyped_routes_are_few_and_named() {
    let mut routes = BTreeSet::new();
    for text in sources(Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/src"))) {
        let program = text.split("#[cfg(test)]").next().unwrap_or_default();
        routes.extend(quoted_after(program, ".route(\""));
    }
    assert_eq!(routes, UNTYPED.map(str::to_owned).into());
}

fn typed_paths() -> BTreeSet<String> {
    sources(Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/src")))
        .iter()
        .flat_map(|text| quoted_after(text, "#[typed_path(\""))
        .collect()
}

fn quoted_after(text: &str, opening: &str) -> Vec<String> {
    text.lines()
        .filter(|line| !line.trim_start().starts_with("//"))
        .flat_map(|line| line.split(opening).skip(1))
        .filter_map(|rest| rest.split('"').next())
        .map(str::to_owned)
        .collect()
}

fn sources(folder: &Path) -> Vec<String> {
    let mut texts = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            texts.extend(sources(&path));
        } else if path.extension().is_some_and(|end| end == "rs") {
            texts.push(fs::read_to_string(&path).unwrap());
        }
    }
    texts
}
