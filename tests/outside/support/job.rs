//! A job at any point of its life, brought there by the forms that people send.

use axum::http::Method;
use standmast::clock::Utc;
use standmast::instruments::model::Instrument;
use standmast::jobs::dossier::Dossier;
use standmast::jobs::findings::ItemFinding;
use standmast::jobs::model::{Answer as Answered, JobClass};
use standmast::jobs::store;
use standmast::people::model::{Person, Role};
use standmast::profiles::model::Stage;
use uuid::Uuid;

use crate::equipment::ORDINARY;
use crate::sites::ASSIGNMENT;
use crate::support::{Answer, Browser, NOON, PASSWORD, TestApp};

/// The fields of a form.
pub type Form<'a> = [(&'a str, &'a str)];

/// A stand that is taken as it stands.
pub const SETUP: [(&str, &str); 7] = [
    ("stand_height_m", "3.5"),
    ("nearest_metal_m", "9"),
    ("orientation", "vertical"),
    ("jumper", "RG-213, J3"),
    ("jumper_loss_db", "0.10"),
    ("supply_protected", "yes"),
    ("note", ""),
];

/// A trial that passes; the meter is added by [`Work::powers`].
pub const TRIAL: [(&str, &str); 7] = [
    ("upper_mm", "712"),
    ("lower_mm", "712"),
    ("forward_w", "4.00"),
    ("reflected_w", "0.020"),
    ("forward_range_w", "5"),
    ("reflected_range_w", "0.25"),
    ("note", ""),
];

/// An installed reading that passes all that it answers.
pub const READING: [(&str, &str); 14] = [
    ("point", "2"),
    ("frequency_mhz", "98.4"),
    ("forward_w", "300"),
    ("reflected_w", "0.90"),
    ("forward_range_w", "300"),
    ("reflected_range_w", "5"),
    ("power_set_w", "300"),
    ("power_made_w", "301"),
    ("fold_back", "no"),
    ("weather", "dry"),
    ("temperature_c", "14"),
    ("others_off", ""),
    ("out_of_sequence", ""),
    ("note", ""),
];

/// A meter of 3 % of full scale and 30 dB.
const METER: [(&str, &str); 12] = [
    ("firm", "Ternfold Aerials"),
    ("name", "directional power meter, two elements"),
    ("serial", "DM-2207"),
    ("certificate", "C 4471/30"),
    ("calibrated_on", "2030-06-01"),
    ("due_on", "2031-06-01"),
    ("accuracy_percent", "3"),
    ("directivity_db", "30"),
    ("full_scale_1_w", "0.25"),
    ("full_scale_2_w", "5"),
    ("full_scale_3_w", "25"),
    ("full_scale_4_w", "300"),
];

/// The form with some fields changed, and others added.
pub fn with<'a>(form: &Form<'a>, changes: &Form<'a>) -> Vec<(&'a str, &'a str)> {
    let mut all = form.to_vec();
    for (name, value) in changes {
        match all.iter_mut().find(|(known, _)| known == name) {
            Some(field) => field.1 = value,
            None => all.push((name, value)),
        }
    }
    all
}

/// What to begin a job with.
pub struct Start<'a> {
    /// How independent its releases are.
    pub class: JobClass,
    /// What differs from the ordinary chain.
    pub chain: &'a Form<'a>,
    /// What differs from the ordinary meter.
    pub meter: &'a Form<'a>,
    /// What differs from the ordinary assignment.
    pub assignment: &'a Form<'a>,
    /// The text of a profile that is published before the job is opened.
    pub profile: Option<&'a str>,
}

impl Default for Start<'_> {
    fn default() -> Self {
        Self {
            class: JobClass::Independent,
            chain: &[],
            meter: &[],
            assignment: &[],
            profile: None,
        }
    }
}

/// A job at Tern Ridge with the people who work on it, all signed in.
pub struct Work {
    /// The server.
    pub app: TestApp,
    /// Does the work; the site is granted.
    pub contractor: Browser,
    /// The same person, for further devices.
    pub contractor_person: Person,
    /// Releases.
    pub engineer: Browser,
    /// Decides.
    pub manager: Browser,
    /// The meter's name.
    pub meter: String,
}

/// The job's address.
pub const JOB: &str = "/sites/tern-ridge/jobs/1";

impl Work {
    /// An ordinary independent job that was only just opened, with its chain.
    pub async fn opened() -> Self {
        Self::started(Start::default()).await
    }

    /// The job after the gate of this stage; of the last stage: declared.
    pub async fn through(stage: Stage) -> Self {
        let work = Self::opened().await;
        work.on_through(stage).await;
        work
    }

    /// A job that was only just opened.
    pub async fn started(start: Start<'_>) -> Self {
        let app = TestApp::new().await;
        app.site("tern-ridge", "Tern Ridge").await;
        if let Some(text) = start.profile {
            app.publish(text).await;
        }
        let contractor_person =
            app.someone(Role::Contractor).name("Ines Holm").sites(&["tern-ridge"]).added().await;
        let engineer = app.someone(Role::Engineer).name("Tomas Ridge").added().await;
        let manager = app.someone(Role::Manager).name("Ada Knoll").added().await;
        let contractor = app.browser_of(&contractor_person).await;
        let (engineer, manager) = (app.browser_of(&engineer).await, app.browser_of(&manager).await);
        let assignment = with(&ASSIGNMENT, start.assignment);
        engineer.post("/sites/tern-ridge/assignments/new", &assignment).await.must(303);
        let made = contractor.post("/instruments/new", &with(&METER, start.meter)).await.must(303);
        let meter = made.location().trim_start_matches("/instruments/").to_owned();
        let job =
            [("assignment", "1"), ("kind", "new-installation"), ("class", start.class.word())];
        manager.post("/sites/tern-ridge/jobs/new", &job).await.must(303);
        let chain = with(ORDINARY, start.chain);
        let edit = "/sites/tern-ridge/assignments/1/chain/edit";
        contractor.post(edit, &chain).await.must(303);
        Self { app, contractor, contractor_person, engineer, manager, meter }
    }

    /// Does everything up to and with the gate of this stage, from where the job is.
    pub async fn on_through(&self, last: Stage) {
        let from = self.dossier().await.findings.progress.stage();
        for &stage in Stage::ALL.iter().filter(|&&stage| from <= stage && stage <= last) {
            self.work_of(stage).await;
            if stage == Stage::HandOver {
                self.declare(&self.contractor).await.must(303);
            } else {
                self.release(&self.engineer, stage).await.must(303);
            }
        }
    }

    /// Does everything that belongs to a stage, as the contractor, without its gate.
    pub async fn work_of(&self, stage: Stage) {
        self.later(600);
        match stage {
            Stage::Authority => {
                for item in [
                    "authorised-particulars",
                    "permission-to-radiate",
                    "stand-supply",
                    "exclusion-zone",
                    "height-work",
                ] {
                    self.tick(item).await;
                }
            }
            Stage::Stand => {
                self.setup(&[]).await.must(303);
                self.trial(&[]).await.must(303);
                let trial = self.trials().await.pop().unwrap();
                self.choose(trial).await.must(303);
                self.tick("dc-state").await;
            }
            Stage::Mast => {
                self.value("centre-height", "31.5").await.must(303);
                self.tick("ground-kits").await;
                self.tick("joints-sealed").await;
            }
            Stage::ColdTests => {
                self.value("ground-resistance", "4.1").await.must(303);
                self.value("bonding", "12").await.must(303);
                self.tick("arrester-fitted").await;
            }
            Stage::RfOn => {
                self.tick("mast-clear").await;
                self.reading(&[]).await.must(303);
            }
            Stage::HandOver => {
                self.tick("signs-and-locks").await;
                self.tick("as-built-papers").await;
            }
        }
    }

    /// Lets time pass.
    pub fn later(&self, seconds: i64) {
        self.app.clock.set(self.app.clock.now().plus_seconds(seconds));
    }

    /// A moment of the first day, as a form has it: Lisbon keeps UTC in March.
    pub fn at(&self, seconds_after_noon: i64) -> String {
        let at = Utc::from_seconds(NOON + seconds_after_noon).to_string();
        at.trim_end_matches('Z').to_owned()
    }

    /// An address below the job's.
    pub fn path(&self, tail: &str) -> String {
        format!("{JOB}{tail}")
    }

    /// A page of the job as the contractor sees it.
    pub async fn page(&self, tail: &str) -> Answer {
        self.contractor.get(&self.path(tail)).await.must(200)
    }

    /// A form of powers with the job's meter.
    pub fn powers<'a>(&'a self, form: &Form<'a>, changes: &Form<'a>) -> Vec<(&'a str, &'a str)> {
        let meter = [("instrument", self.meter.as_str())];
        with(&with(form, &meter), changes)
    }

    /// Sends the stand's set-up.
    pub async fn setup(&self, changes: &Form<'_>) -> Answer {
        self.contractor.post(&self.path("/stand/setup"), &with(&SETUP, changes)).await
    }

    /// Sends a trial.
    pub async fn trial(&self, changes: &Form<'_>) -> Answer {
        self.contractor.post(&self.path("/stand"), &self.powers(&TRIAL, changes)).await
    }

    /// Sends an installed reading.
    pub async fn reading(&self, changes: &Form<'_>) -> Answer {
        self.contractor.post(&self.path("/installed"), &self.powers(&READING, changes)).await
    }

    /// Chooses a trial's setting.
    pub async fn choose(&self, trial: Uuid) -> Answer {
        let trial = trial.to_string();
        self.contractor.post(&self.path("/stand/chosen"), &[("trial", &trial)]).await
    }

    /// Ticks an item.
    pub async fn tick(&self, item: &str) {
        self.answer(item, &[("answer", "passed"), ("note", "seen")]).await.must(303);
    }

    /// Answers an item with a value.
    pub async fn value(&self, item: &str, value: &str) -> Answer {
        self.answer(item, &[("answer", "measured"), ("value", value)]).await
    }

    /// Answers an item.
    pub async fn answer(&self, item: &str, form: &Form<'_>) -> Answer {
        self.contractor.post(&self.path(&format!("/checks/{item}")), form).await
    }

    /// Corrects an answer: the one that holds now is named.
    pub async fn answer_anew(&self, by: &Browser, item: &str, form: &Form<'_>) -> Answer {
        let dossier = self.dossier().await;
        let (fact, _) = dossier.record.answered(item).expect("answered before");
        let corrects = fact.uuid.to_string();
        let naming = [("corrects", corrects.as_str()), ("reason", "looked again")];
        by.post(&self.path(&format!("/checks/{item}")), &with(form, &naming)).await
    }

    /// Corrects an entry with this form.
    pub async fn correct(&self, fact: Uuid, form: &Form<'_>) -> Answer {
        let corrects = fact.to_string();
        let naming = [("corrects", corrects.as_str()), ("reason", "typed wrongly")];
        self.contractor.post(&self.path(&format!("/entries/{fact}")), &with(form, &naming)).await
    }

    /// Withdraws an entry.
    pub async fn withdraw(&self, fact: Uuid) -> Answer {
        let corrects = fact.to_string();
        let form = [("corrects", corrects.as_str()), ("reason", "not of this job")];
        self.contractor.post(&self.path(&format!("/entries/{fact}/withdraw")), &form).await
    }

    /// Releases a gate as this person, on the list as it stands now.
    pub async fn release(&self, by: &Browser, stage: Stage) -> Answer {
        let note = [("read_back", "read back by radio")];
        by.post(&self.path(&format!("/gates/{}", stage.word())), &note).await
    }

    /// Declares the job complete as this person.
    pub async fn declare(&self, by: &Browser) -> Answer {
        by.post(&self.path("/declaration"), &[("statement", "complete as recorded")]).await
    }

    /// Accepts the job, signed.
    pub async fn accept(&self, by: &Browser) -> Answer {
        let fields = [("decision", "accept"), ("remarks", ""), ("password", PASSWORD)];
        by.post(&self.path("/decision"), &fields).await
    }

    /// The job with all that follows from it.
    pub async fn dossier(&self) -> Dossier {
        let mut snapshot = self.app.state.snapshot().await.unwrap();
        store::dossier(snapshot.conn(), 1, 1, self.app.clock.now()).await.unwrap().expect("a job")
    }

    /// What is known of an item.
    pub async fn item(&self, id: &str) -> ItemFinding {
        self.dossier().await.findings.item(id).cloned().expect("an item of the profile")
    }

    /// An item's answer.
    pub async fn answered(&self, id: &str) -> Option<Answered> {
        self.item(id).await.answer
    }

    /// Whether a stage's gate stands open, and whether it has lapsed.
    pub async fn gate(&self, stage: Stage) -> (bool, bool) {
        let dossier = self.dossier().await;
        let found = dossier.findings.stages.iter().find(|found| found.stage == stage).unwrap();
        (found.is_open(), found.lapsed)
    }

    /// The trials that hold, in order.
    pub async fn trials(&self) -> Vec<Uuid> {
        let dossier = self.dossier().await;
        let trials = dossier.record.trials();
        trials.iter().filter(|one| one.struck_by.is_none()).map(|one| one.fact.uuid).collect()
    }

    /// The reading that counts.
    pub async fn installed(&self) -> Uuid {
        self.dossier().await.record.installed().expect("a reading").0.uuid
    }

    /// The instrument of the reading that counts, with the calibration that it pins.
    pub async fn instrument_of(&self, fact: Uuid) -> Instrument {
        let dossier = self.dossier().await;
        let fact = dossier.record.fact(fact).unwrap();
        dossier.record.instrument_of(fact).cloned().unwrap()
    }

    /// How many facts and entries of the journal there are.
    pub async fn written(&self) -> (i64, i64) {
        (self.app.count("fact").await, self.app.count("journal").await)
    }

    /// Sends a body as it is.
    pub async fn send(&self, tail: &str, body: Vec<u8>) -> Answer {
        let headers = [("sec-fetch-site", "same-origin")];
        self.contractor.send(Method::POST, &self.path(tail), &headers, body).await
    }
}
