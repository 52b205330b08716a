//! A whole job as people send it with their browsers, stage by stage, as far as a test needs it.

use standmast::people::model::{Person, Role};
use uuid::Uuid;

use crate::equipment::ORDINARY;
use crate::instruments::INSTRUMENT;
use crate::sites::ASSIGNMENT;
use crate::support::{Answer, Browser, TestApp};

/// The job's page.
pub const JOB: &str = "/sites/tern-ridge/jobs/1";

/// The stages in order, by their words in addresses.
const STAGES: [&str; 5] = ["authority", "stand", "mast", "cold-tests", "rf-on"];

/// The chain's form.
pub const CHAIN: &str = "/sites/tern-ridge/assignments/1/chain/edit";

/// A trial's fields; the instrument comes beside them.
pub const TRIAL: [(&str, &str); 7] = [
    ("upper_mm", "715"),
    ("lower_mm", "715"),
    ("forward_w", "4.1"),
    ("reflected_w", "0.05"),
    ("forward_range_w", "5"),
    ("reflected_range_w", "1"),
    ("note", "nobody near"),
];

/// An installed reading's fields; the instrument comes beside them.
pub const READING: [(&str, &str); 10] = [
    ("point", "2"),
    ("frequency_mhz", "98.4"),
    ("forward_w", "296"),
    ("reflected_w", "1.1"),
    ("forward_range_w", "500"),
    ("reflected_range_w", "25"),
    ("power_set_w", "300"),
    ("power_made_w", "298"),
    ("fold_back", "no"),
    ("weather", "dry"),
];

/// The stand's fields.
pub const SETUP: [(&str, &str); 6] = [
    ("stand_height_m", "2.5"),
    ("nearest_metal_m", "6"),
    ("orientation", "vertical"),
    ("jumper", "J3"),
    ("jumper_loss_db", "0.21"),
    ("supply_protected", "yes"),
];

/// A job at Tern Ridge with the people who work on it.
pub struct WholeJob {
    /// The server.
    pub app: TestApp,
    /// Does the work.
    pub contractor: Browser,
    /// Releases the gates.
    pub engineer: Browser,
    /// The engineer as a person.
    pub engineer_person: Person,
    /// Accepts.
    pub manager: Browser,
    /// The meter.
    pub instrument: String,
}

impl WholeJob {
    /// A job that was just opened, of this class; its chain is described.
    pub async fn opened(class: &str) -> Self {
        let app = TestApp::new().await;
        app.site("tern-ridge", "Tern Ridge").await;
        let contractor = app.someone(Role::Contractor).name("Ines Café").sites(&["tern-ridge"]);
        let contractor = app.browser_of(&contractor.added().await).await;
        let engineer_person = app.someone(Role::Engineer).name("Tomas Ridge").added().await;
        let engineer = app.browser_of(&engineer_person).await;
        let manager = app.someone(Role::Manager).name("Ada Knoll").login("ada").added().await;
        let manager = app.browser_of(&manager).await;
        engineer.post("/sites/tern-ridge/assignments/new", &ASSIGNMENT).await.must(303);
        let mut meter = INSTRUMENT.to_vec();
        meter.retain(|(name, _)| !name.starts_with("full_scale"));
        meter.extend([
            ("full_scale_1_w", "1"),
            ("full_scale_2_w", "5"),
            ("full_scale_3_w", "25"),
            ("full_scale_4_w", "500"),
        ]);
        let made = contractor.post("/instruments/new", &meter).await.must(303);
        let instrument = made.location().trim_start_matches("/instruments/").to_owned();
        let job = [("assignment", "1"), ("kind", "new-installation"), ("class", class)];
        manager.post("/sites/tern-ridge/jobs/new", &job).await.must(303);
        engineer.post(CHAIN, ORDINARY).await.must(303);
        Self { app, contractor, engineer, engineer_person, manager, instrument }
    }

    /// The fields with the meter's name beside them.
    pub fn with_meter<'a>(&'a self, fields: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
        let mut all = fields.to_vec();
        all.push(("instrument", &self.instrument));
        all
    }

    /// The contractor answers an item with a tick.
    pub async fn tick(&self, item: &str) {
        let fields = [("answer", "passed"), ("note", "looked at")];
        self.contractor.post(&format!("{JOB}/checks/{item}"), &fields).await.must(303);
    }

    /// The contractor answers an item with a value.
    pub async fn value(&self, item: &str, value: &str) {
        let fields = [("answer", "measured"), ("value", value), ("note", "")];
        self.contractor.post(&format!("{JOB}/checks/{item}"), &fields).await.must(303);
    }

    /// Does everything of a stage, without its release.
    pub async fn work(&self, stage: &str) {
        let ticks: &[&str] = match stage {
            "authority" => &[
                "authorised-particulars",
                "permission-to-radiate",
                "stand-supply",
                "exclusion-zone",
                "height-work",
            ],
            "stand" => &["dc-state"],
            "mast" => &["ground-kits", "joints-sealed"],
            "cold-tests" => &["arrester-fitted"],
            "rf-on" => &["mast-clear"],
            _ => &["signs-and-locks", "as-built-papers"],
        };
        for item in ticks {
            self.tick(item).await;
        }
        match stage {
            "stand" => self.tune().await,
            "mast" => self.value("centre-height", "31.6").await,
            "cold-tests" => {
                self.value("ground-resistance", "4.1").await;
                self.value("bonding", "12").await;
            }
            "rf-on" => {
                let reading = self.with_meter(&READING);
                self.contractor.post(&format!("{JOB}/installed"), &reading).await.must(303);
            }
            _ => {}
        }
    }

    async fn tune(&self) {
        self.contractor.post(&format!("{JOB}/stand/setup"), &SETUP).await.must(303);
        let trial = self.with_meter(&TRIAL);
        self.contractor.post(&format!("{JOB}/stand"), &trial).await.must(303);
        let trial = self.fact("trial").await.to_string();
        let chosen = [("trial", trial.as_str())];
        self.contractor.post(&format!("{JOB}/stand/chosen"), &chosen).await.must(303);
    }

    /// The last fact of a kind.
    pub async fn fact(&self, kind: &str) -> Uuid {
        sqlx::query_scalar("SELECT uuid FROM fact WHERE kind = $1 ORDER BY id DESC LIMIT 1")
            .bind(kind)
            .fetch_one(&mut self.app.database().await)
            .await
            .unwrap()
    }

    /// The job with all its work done, its gates released and declared complete by the contractor.
    pub async fn declared(class: &str) -> Self {
        let job = Self::opened(class).await;
        for stage in STAGES {
            job.work(stage).await;
            let fields = [("read_back", "by radio")];
            job.engineer.post(&format!("{JOB}/gates/{stage}"), &fields).await.must(303);
        }
        job.work("hand-over").await;
        job.declare(&job.contractor).await.must(303);
        job
    }

    /// Somebody declares the job complete.
    pub async fn declare(&self, by: &Browser) -> Answer {
        let fields = [("statement", "The work is complete as recorded.")];
        by.post(&format!("{JOB}/declaration"), &fields).await
    }
}
