//! A server without a port, over a data folder of its own and a clock that stands still, and the browsers
//! of the people who use it.

mod answer;
mod browser;
mod job;
mod picture;
mod someone;

pub use answer::Answer;
pub use browser::Browser;
pub use job::{Form, JOB, READING, SETUP, Start, TRIAL, Work, with};
pub use picture::{bomb, jpeg, png, webp};
pub use someone::{PASSWORD, Someone};

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};

use axum::Router;
use sqlx::sqlite::SqliteConnectOptions;
use sqlx::{Connection, SqliteConnection};
use standmast::app::router::router;
use standmast::app::serve::open_record;
use standmast::clock::{Clock, Utc};
use standmast::db::DataFolder;
use standmast::journal::{Act, Actor, Begun, Entry, Intent, digest_of};
use standmast::people::model::{Person, Role, SessionRules};
use standmast::profiles;
use standmast::profiles::model::Profile;
use standmast::web::AppState;

/// What the held clock shows at first: 12 March 2031, 14:05 UTC.
pub const NOON: i64 = 1_931_090_700;

/// The server. Its folder goes when it goes.
pub struct TestApp {
    /// What handlers reach.
    pub state: AppState,
    /// The clock of the server; `clock.set` moves it.
    pub clock: Clock,
    /// Kept open as long as the server lives.
    pub folder: DataFolder,
    router: Router,
    people: AtomicU32,
}

impl Drop for TestApp {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(self.folder.path());
    }
}

/// A path below the temporary folder that nothing else uses.
pub fn fresh_path(what: &str) -> PathBuf {
    std::env::temp_dir().join(format!("standmast-{what}-{}", Clock::System.uuid()))
}

impl TestApp {
    /// A server over an empty record. Whoever is needed comes by [`TestApp::signed_in`] or
    /// [`TestApp::someone`].
    pub async fn new() -> Self {
        Self::with_public_url(None).await
    }

    /// A server over a record that is there already, on the machine's clock.
    pub fn over(folder: DataFolder) -> Self {
        let clock = Clock::System;
        let (reads, writer) = (folder.reads.clone(), folder.writer.clone());
        let state = AppState::new(reads, writer, folder.files.clone(), clock.clone(), None);
        let router = router(state.clone());
        Self { state, clock, folder, router, people: AtomicU32::new(0) }
    }

    /// The same behind a proxy that people reach at this address.
    pub async fn with_public_url(url: Option<&str>) -> Self {
        // Tests move the clock by days between two requests of one browser.
        let rules = SessionRules::default();
        let patient = SessionRules { idle_seconds: rules.longest_seconds, ..rules };
        Self::with(url, patient).await
    }

    /// The same with these rules for sessions.
    pub async fn with_sessions(rules: SessionRules) -> Self {
        Self::with(None, rules).await
    }

    async fn with(url: Option<&str>, rules: SessionRules) -> Self {
        let clock = Clock::held(Utc::from_seconds(NOON));
        let folder = open_record(&fresh_path("outside"), &clock).await.unwrap();
        let (reads, writer) = (folder.reads.clone(), folder.writer.clone());
        let files = folder.files.clone();
        let state = AppState::new(reads, writer, files, clock.clone(), url.map(str::to_owned))
            .with_sessions(rules);
        let router = router(state.clone());
        Self { state, clock, folder, router, people: AtomicU32::new(0) }
    }

    /// A browser nobody has signed in with.
    pub fn browser(&self) -> Browser {
        Browser::new(self.router.clone(), self.clock.clone())
    }

    /// A new person with this role and these sites (by code), in a browser that is signed in.
    pub async fn signed_in(&self, role: Role, sites: &[&str]) -> Browser {
        let person = self.someone(role).sites(sites).added().await;
        self.browser_of(&person).await
    }

    /// A new person, to be described further.
    pub fn someone(&self, role: Role) -> Someone<'_> {
        Someone::new(self, role, self.people.fetch_add(1, Ordering::Relaxed) + 1)
    }

    /// A browser that is signed in for somebody, as if on one more device.
    pub async fn browser_of(&self, person: &Person) -> Browser {
        let browser = self.browser();
        browser.hold_session(&self.state, person).await;
        browser
    }

    /// The database itself: for rows that no page under test makes, and for looking at what was kept.
    pub async fn database(&self) -> SqliteConnection {
        open_database(self.folder.path()).await
    }

    /// A site that stands there already.
    pub async fn site(&self, code: &str, name: &str) {
        let uuid = self.clock.uuid();
        sqlx::query(
            "INSERT INTO site (uuid, code, name, latitude_deg, latitude_typed, longitude_deg, longitude_typed, zone,
                               structure, structure_height_m, structure_height_typed)
             VALUES ($1, $2, $3, 41.2, '41.2°', -8.1, '-8.1°', 'Europe/Lisbon', 'mast', 32.0, '32 m')",
        )
        .bind(uuid)
        .bind(code)
        .bind(name)
        .execute(&mut self.database().await)
        .await
        .unwrap();
    }

    /// Publishes a profile: jobs that are opened now have its newest edition.
    pub async fn publish(&self, text: &str) {
        let profile = Profile::parse(text).unwrap();
        let intent =
            Intent::without_form(&self.clock, Actor::System, "profile published", &text).unwrap();
        let begun = Act::begin(&self.folder.writer, &self.clock, intent).await.unwrap();
        let Begun::New(mut act) = begun else { panic!("published before") };
        profiles::store::insert(&mut act, &profile, text, &digest_of(text)).await.unwrap();
        let what = serde_json::json!({"edition": profile.edition.to_string()});
        act.commit(Entry { site_id: None, what, answer: String::new() }).await.unwrap();
    }

    /// How many rows a table holds.
    pub async fn count(&self, table: &'static str) -> i64 {
        let sql = sqlx::AssertSqlSafe(format!("SELECT count(*) FROM {table}"));
        sqlx::query_scalar(sql).fetch_one(&mut self.database().await).await.unwrap()
    }
}

/// The database file of a data folder.
pub async fn open_database(folder: &Path) -> SqliteConnection {
    let options = SqliteConnectOptions::new().filename(folder.join("standmast.db"));
    SqliteConnection::connect_with(&options.foreign_keys(true)).await.unwrap()
}
