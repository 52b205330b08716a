//! The demo as its first visitor meets it: three sites in their states, every page open to whoever may see
//! it, and nothing deleted that the demo did not make.

use std::collections::BTreeSet;
use std::fs;
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use standmast::app::Failure;
use standmast::app::demo::{Account, make};
use standmast::clock::Clock;
use standmast::journal::verify;

use crate::support::{Browser, TestApp, fresh_path};

/// The demo's server and who can sign in.
async fn demo() -> (TestApp, Vec<Account>) {
    let made = make(&fresh_path("demo"), Clock::System.now()).await.unwrap();
    (TestApp::over(made.folder), made.accounts)
}

async fn signed_in(app: &TestApp, accounts: &[Account], login: &str) -> Browser {
    let account = accounts.iter().find(|account| account.login == login).unwrap();
    let browser = app.browser();
    let fields = [("login", account.login.as_str()), ("password", account.password.as_str())];
    browser.post("/sign-in", &fields).await.must(303);
    browser
}

/// The addresses of this server that a page links to.
fn links(body: &str) -> impl Iterator<Item = String> {
    body.split("href=\"").skip(1).filter_map(|rest| {
        let href = rest.split('"').next()?.split('#').next()?;
        (href.starts_with('/') && !href.starts_with("/static/")).then(|| href.replace("&#38;", "&"))
    })
}

/// Opens every page that can be reached by links; each must answer.
async fn walked(browser: &Browser) -> BTreeSet<String> {
    let mut seen = BTreeSet::new();
    let mut left = vec!["/sites".to_owned()];
    while let Some(path) = left.pop() {
        if !seen.insert(path.clone()) {
            continue;
        }
        let mut answer = browser.get(&path).await;
        if path == "/" {
            answer = browser.get(answer.must(303).location()).await;
        }
        assert_eq!(answer.status.as_u16(), 200, "{path}:\n{}", answer.text());
        if path.ends_with(".pdf") {
            assert!(answer.bytes.starts_with(b"%PDF"), "{path} is no PDF");
        } else {
            left.extend(links(&answer.body));
        }
    }
    seen
}

#[tokio::test]
async fn three_sites_stand_where_the_demo_says() {
    let (app, accounts) = demo().await;
    let manager = signed_in(&app, &accounts, "runa.oake").await;
    let sites = manager.get("/sites").await.must(200);
    sites.shows("Tern Ridge").shows("accepted");
    sites.shows("Alder Knoll").shows("a check failed");
    sites.shows("Gull Head").shows("in work");

    let accepted = manager.get("/sites/tern-ridge/jobs/1").await.must(200);
    accepted.shows("Accepted on").shows("Tobin Marsh").shows("No change that these instruments");
    manager.get("/sites/tern-ridge/jobs/1/report.pdf").await.must(200);

    let stopped = manager.get("/sites/alder-knoll/jobs/1").await.must(200);
    stopped.shows("Changed by more than these instruments explain");
    let gate = manager.get("/sites/alder-knoll/jobs/1/gates/rf-on").await.must(200);
    gate.shows("Failed: cross-needle power meter TR-12").shows("Not shown");
    gate.shows("Something in the list above stands in the way");
    let conceded = manager.get("/sites/alder-knoll/jobs/1/checks/ground-resistance").await;
    conceded.must(200).shows("14.6 Ω, limit at most 10 Ω. Rock");

    let stand = manager.get("/sites/gull-head/jobs/1/stand").await.must(200);
    stand.shows("Cut 6 mm from both halves.").shows("Trial 5");
}

#[tokio::test]
async fn the_accepted_site_was_tuned_by_the_advice_and_a_misread_trial_is_struck() {
    let (app, accounts) = demo().await;
    let contractor = signed_in(&app, &accounts, "mara.quill").await;
    let stand = contractor.get("/sites/tern-ridge/jobs/1/stand").await.must(200);
    stand.shows("The antenna keeps the setting of trial 7: 692 mm and 692 mm.");
    stand.shows("Stop: SWR 1.07 meets the target of 1.10.");
    stand.shows("Knob was at 1 W, I read the 5 W scale.");
    assert_eq!(stand.body.matches("class=\"struck\"").count(), 1);
}

#[tokio::test]
async fn every_page_answers_whoever_may_see_it() {
    let (app, accounts) = demo().await;
    for account in &accounts {
        let browser = signed_in(&app, &accounts, &account.login).await;
        let seen = walked(&browser).await;
        let report = "/sites/tern-ridge/jobs/1/report.pdf";
        assert!(seen.contains(report), "{} sees no report", account.login);
        let of = |code: &str| seen.iter().any(|path| path.starts_with(&format!("/sites/{code}")));
        assert!(of("tern-ridge") && of("alder-knoll"));
        assert_eq!(of("gull-head"), account.role != "reader");
    }
    let reader = signed_in(&app, &accounts, "sunna.reed").await;
    reader.get("/sites/gull-head").await.must(404);
}

#[tokio::test]
async fn what_the_demo_did_stands_in_an_unbroken_journal() {
    let (app, _) = demo().await;
    let mut snapshot = app.state.snapshot().await.unwrap();
    let entries = verify(snapshot.conn()).await.unwrap().unwrap();
    assert!(entries > 90, "{entries}");
}

#[tokio::test]
async fn a_new_demo_takes_the_place_of_a_former_one_alone() {
    let now = Clock::System.now();
    let path = fresh_path("demo");
    let first = make(&path, now).await.unwrap();
    assert!(matches!(make(&path, now).await, Err(Failure::DemoInUse(_))));
    first.folder.close().await;
    fs::write(path.join("left-over"), "").unwrap();
    let second = make(&path, now).await.unwrap();
    assert!(!path.join("left-over").exists());
    assert_ne!(first.accounts[0].password, second.accounts[0].password);
    second.folder.close().await;
    fs::remove_dir_all(&path).unwrap();

    fs::create_dir(&path).unwrap();
    fs::write(path.join("mine"), "").unwrap();
    assert!(matches!(make(&path, now).await, Err(Failure::NotADemo(_))));
    assert!(path.join("mine").exists());
    fs::remove_dir_all(&path).unwrap();
}

fn command(folder: &Path, listen: &str) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_standmast"));
    for (name, _) in std::env::vars().filter(|(name, _)| name.starts_with("STANDMAST_")) {
        command.env_remove(name);
    }
    command.args(["demo", "--listen", listen]).current_dir(folder);
    command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
    command
}

/// A folder to give the command in; it goes when the test ends.
struct Place(PathBuf);

impl Place {
    fn new() -> Self {
        let path = fresh_path("place");
        fs::create_dir(&path).unwrap();
        Self(path)
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

#[test]
fn the_command_prints_who_can_sign_in_and_where() {
    let place = Place::new();
    let among_sources = Path::new(env!("CARGO_MANIFEST_DIR")).join("standmast-demo");
    let was_there = among_sources.exists();
    let mut child = command(&place.0, "127.0.0.1:0").spawn().unwrap();
    let lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let mut said = Vec::new();
    for line in lines {
        said.push(line.unwrap());
        if said.last().unwrap().contains("serves the demo at http://127.0.0.1:") {
            break;
        }
    }
    let _ = Command::new("kill").args(["-TERM", &child.id().to_string()]).status().unwrap();
    assert!(child.wait().unwrap().success());
    let said = said.join("\n");
    for words in ["./standmast-demo", "PASSWORD", "runa.oake", "sunna.reed", "contractor"] {
        assert!(said.contains(words), "“{words}” is not in:\n{said}");
    }
    assert!(place.0.join("standmast-demo/standmast.db").is_file());
    assert_eq!(among_sources.exists(), was_there, "a test made a demo among the sources");
}

#[test]
fn a_folder_that_is_no_demo_is_refused_in_one_line_and_left_alone() {
    let place = Place::new();
    fs::create_dir(place.0.join("standmast-demo")).unwrap();
    fs::write(place.0.join("standmast-demo/mine"), "").unwrap();
    let output = command(&place.0, "127.0.0.1:0").output().unwrap();
    let told = String::from_utf8(output.stderr).unwrap();
    assert!(!output.status.success() && output.stdout.is_empty());
    assert_eq!(told.trim_end().lines().count(), 1, "{told}");
    assert!(told.contains("was not made by standmast demo"), "{told}");
    assert!(place.0.join("standmast-demo/mine").is_file());
}
