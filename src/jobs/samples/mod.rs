//! Jobs for tests, told fact by fact without a database: the emptiest, an ordinary one at any place of
//! its way, and the longest.

mod longest;

pub(crate) use longest::longest;

use uuid::Uuid;

use crate::clock::{Date, Utc};
use crate::equipment::model::Chain;
use crate::equipment::model::tests::{ordinary, typed};
use crate::instruments::model::{Calibration, Instrument, Statement};
use crate::jobs::dossier::Dossier;
use crate::jobs::findings::{Findings, declaration_basis};
use crate::jobs::model::{
    Answer, Answered, Body, Declaration, Fact, Job, JobClass, JobKind, Manner, Named, Record,
    Release,
};
use crate::measurements::model::{
    ChosenSetting, Occasion, Orientation, PowerPair, Reading, StandSetup, Trial, Weather,
};
use crate::profiles::LOW_POWER;
use crate::profiles::model::{Profile, Stage};
use crate::sites::model::{Assignment, Licensed, Particulars, Polarization, Site, Structure};

/// The people of every sample, by what they do.
pub(crate) const CONTRACTOR: Uuid = Uuid::from_u128(0xc0);
/// See [`CONTRACTOR`].
pub(crate) const ENGINEER: Uuid = Uuid::from_u128(0xe0);
/// See [`CONTRACTOR`].
pub(crate) const MANAGER: Uuid = Uuid::from_u128(0xa0);

/// 8 March 2031, 10:05 UTC: when every sample begins.
const BEGINS: i64 = 1_930_730_700;

/// Between one fact and the next.
const STEP_SECONDS: i64 = 1_260;

/// A job being told.
pub(crate) struct Story {
    /// What is on the record so far.
    pub record: Record,
    next: u128,
    now: Utc,
}

fn person(uuid: Uuid, name: &str, firm: &str, role: &str) -> Named {
    Named { uuid, name: name.to_owned(), firm: firm.to_owned(), role: role.to_owned() }
}

fn site() -> Site {
    Site {
        id: 1,
        uuid: Uuid::from_u128(1),
        code: "tern-ridge".to_owned(),
        name: "Tern Ridge".to_owned(),
        latitude: typed("41.2034"),
        longitude: typed("-8.1007"),
        zone: "Europe/Lisbon".to_owned(),
        structure: Structure::Mast,
        structure_height: typed("30"),
        notes: String::new(),
        version: 1,
    }
}

fn assignment() -> Assignment {
    Assignment {
        revision_id: 1,
        assignment_id: 1,
        uuid: Uuid::from_u128(2),
        revision_uuid: Uuid::from_u128(3),
        number: 1,
        revision: 1,
        entered_at: Utc::from_seconds(BEGINS - 86_400),
        particulars: Particulars {
            station_name: "Ternfold Radio".to_owned(),
            call_sign: "TF1R".to_owned(),
            frequency: typed("98.4"),
            power: typed("300"),
            erp: typed("250"),
            height: typed("31.5"),
            polarization: Polarization::Vertical,
            licensed: Licensed::default(),
        },
    }
}

/// A meter of 5 % of full scale and 30 dB with ranges 1, 5, 25 and 500 W.
pub(crate) fn meter() -> Instrument {
    Instrument {
        id: 1,
        uuid: Uuid::from_u128(4),
        firm_id: 1,
        firm: "Ternfold Aerials".to_owned(),
        name: "directional power meter, two elements".to_owned(),
        serial: "DM-2207".to_owned(),
        retired: false,
        version: 1,
        calibration: Calibration {
            id: 1,
            uuid: Uuid::from_u128(5),
            number: 1,
            entered_at: Utc::from_seconds(BEGINS - 86_400),
            statement: Statement {
                certificate: "C 4471/30".to_owned(),
                calibrated_on: Some(Date::parse("2030-06-01").unwrap()),
                due_on: Some(Date::parse("2031-06-01").unwrap()),
                accuracy: typed("5"),
                directivity: Some(typed("30")),
                ranges: ["1", "5", "25", "500"].map(typed).to_vec(),
            },
        },
    }
}

/// A reading of powers on two ranges.
pub(crate) fn powers(forward: &str, reflected: &str, ranges: [&str; 2]) -> PowerPair {
    PowerPair {
        forward: typed(forward),
        reflected: typed(reflected),
        reflected_below: false,
        forward_range: typed(ranges[0]),
        reflected_range: typed(ranges[1]),
    }
}

/// A trial on the small ranges.
pub(crate) fn trial(half: &str, forward: &str, reflected: &str) -> Trial {
    Trial {
        upper: typed(half),
        lower: typed(half),
        powers: powers(forward, reflected, ["5", "1"]),
        note: String::new(),
    }
}

/// A stand of two metres with a short jumper.
pub(crate) fn setup() -> StandSetup {
    StandSetup {
        height: typed("2.5"),
        nearest_metal: typed("6"),
        orientation: Orientation::Vertical,
        jumper: "test jumper J3".to_owned(),
        jumper_loss: typed("0.21"),
        supply_protected: true,
        note: String::new(),
    }
}

/// A reading at full power.
pub(crate) fn reading(forward: &str, reflected: &str) -> Reading {
    Reading {
        occasion: Occasion::Installed,
        point_position: 2,
        frequency: typed("98.4"),
        powers: powers(forward, reflected, ["500", "25"]),
        power_set: Some(typed("300")),
        power_made: Some(typed("298")),
        fold_back: false,
        temperature: Some(typed("11")),
        weather: Weather::Dry,
        others_off: None,
        out_of_sequence: None,
        note: String::new(),
    }
}

/// An answer with a note.
pub(crate) fn answered(item: &str, answer: Answer, note: &str) -> Answered {
    Answered {
        item: item.to_owned(),
        answer,
        value: None,
        number: None,
        method: String::new(),
        note: note.to_owned(),
        condition: String::new(),
        owner: String::new(),
        due_on: None,
    }
}

impl Story {
    /// A job that was only just opened: no chain, no fact but its class.
    pub fn opened(class: JobClass) -> Self {
        let job = Job {
            id: 1,
            assignment_id: 1,
            profile_id: 1,
            uuid: Uuid::from_u128(6),
            number: 2,
            kind: JobKind::NewInstallation,
            opened_by: Some(CONTRACTOR),
            opened: site().time_zone().measured(Utc::from_seconds(BEGINS)),
        };
        let record = Record {
            site: site(),
            assignments: vec![assignment()],
            chains: Vec::new(),
            profile: Profile::parse(LOW_POWER).unwrap(),
            job,
            people: vec![
                person(CONTRACTOR, "Ines Café", "Ternfold Aerials", "contractor"),
                person(ENGINEER, "Tomas Ridge", "Ternfold Radio", "engineer"),
                person(MANAGER, "Ada Knoll", "Ternfold Radio", "manager"),
            ],
            instruments: Vec::new(),
            facts: Vec::new(),
            neighbours: Vec::new(),
        };
        let mut story = Self { record, next: 0x1000, now: Utc::from_seconds(BEGINS) };
        story.add(CONTRACTOR, Body::Independence(class));
        story
    }

    /// Adds a fact that pins what holds now.
    pub fn add(&mut self, by: Uuid, body: Body) -> Uuid {
        self.next += 1;
        let uuid = Uuid::from_u128(self.next);
        let measures = matches!(body, Body::Trial(_) | Body::Reading(_));
        let fact = Fact {
            id: 0,
            uuid,
            by: Some(by),
            measured: self.record.site.time_zone().measured(self.now),
            device_at: None,
            entered_at: self.now,
            supersedes: None,
            reason: None,
            assignment_revision: self.record.assignment().map(|one| one.revision_uuid),
            chain_revision: self.record.chain().map(|chain| chain.revision_uuid),
            calibration: measures
                .then(|| self.record.instruments.last().map(|one| one.calibration.uuid))
                .flatten(),
            body,
        };
        self.record.facts.push(fact);
        self.now = self.now.plus_seconds(STEP_SECONDS);
        uuid
    }

    /// Adds a fact that strikes another.
    pub fn correct(&mut self, by: Uuid, old: Uuid, reason: &str, body: Body) -> Uuid {
        let uuid = self.add(by, body);
        self.strike(uuid, old, reason);
        uuid
    }

    /// Says that one fact corrects another.
    pub fn strike(&mut self, by: Uuid, old: Uuid, reason: &str) {
        let fact = self.record.facts.iter_mut().find(|fact| fact.uuid == by).unwrap();
        fact.supersedes = Some(old);
        fact.reason = Some(reason.to_owned());
    }

    /// Puts a chain on the record as its newest revision.
    pub fn chain(&mut self, chain: Chain) {
        self.record.chains.push(chain);
    }

    /// Answers an item with a tick.
    pub fn tick(&mut self, item: &str, note: &str) -> Uuid {
        self.add(CONTRACTOR, Body::Answer(answered(item, Answer::Passed, note)))
    }

    /// Answers an item with a value.
    pub fn value(&mut self, item: &str, value: &str) -> Uuid {
        let unit = self.record.profile.item(item).unwrap().unit.unwrap();
        let typed = unit.parse(value).unwrap();
        let answer = Answered {
            value: Some(typed.typed),
            number: Some(crate::jobs::model::Decimal(typed.number)),
            ..answered(item, Answer::Passed, "")
        };
        self.add(CONTRACTOR, Body::Answer(answer))
    }

    /// Releases a gate on what stands beneath it now.
    pub fn release(&mut self, by: Uuid, stage: Stage, manner: Manner, read_back: &str) -> Uuid {
        let findings = Findings::of(&self.record, self.now);
        let found = findings.stages.iter().find(|finding| finding.stage == stage).unwrap();
        let basis = found.basis.clone();
        let read_back = read_back.to_owned();
        self.add(by, Body::Release(Release { stage, basis, manner, read_back }))
    }

    /// Declares the job complete on what stands beneath it now.
    pub fn declare(&mut self, by: Uuid, statement: &str) -> Uuid {
        let basis = declaration_basis(&self.record, &Findings::of(&self.record, self.now).stages);
        self.add(by, Body::Declaration(Declaration { basis, statement: statement.to_owned() }))
    }

    /// Everything of a stage as an ordinary job has it, without its release.
    pub fn stage(&mut self, stage: Stage) {
        match stage {
            Stage::Authority => {
                self.tick("authorised-particulars", "licence TF-98 of 3 Feb 2031");
                self.tick("permission-to-radiate", "test permission, frequency listened to");
                self.tick("stand-supply", "30 mA device, tested");
                self.tick("exclusion-zone", "3 m, one person at the key");
                self.tick("height-work", "plan HW-7, radio check");
            }
            Stage::Stand => self.tune(),
            Stage::Mast => {
                self.value("centre-height", "31.6");
                self.tick("ground-kits", "photos 11 to 13");
                self.tick("joints-sealed", "photo 14");
            }
            Stage::ColdTests => {
                self.value("ground-resistance", "4.1");
                self.value("bonding", "12");
                self.tick("arrester-fitted", "0.2 m to the entry bar");
            }
            Stage::RfOn => {
                self.tick("mast-clear", "two names, lock 7 returned");
                self.add(CONTRACTOR, Body::Reading(reading("296", "1.1")));
            }
            Stage::HandOver => {
                self.tick("signs-and-locks", "photos 20 to 23");
                self.tick("as-built-papers", "list of 12 papers");
            }
        }
    }

    /// The stand, five trials and the setting that is kept.
    fn tune(&mut self) {
        self.add(CONTRACTOR, Body::StandSetup(setup()));
        let settings = [
            ("742", "4.0", "0.58"),
            ("730", "4.1", "0.25"),
            ("718", "4.0", "0.06"),
            ("706", "4.0", "0.14"),
            ("715", "4.1", "0.05"),
        ];
        let mut last = Uuid::nil();
        for (half, forward, reflected) in settings {
            last = self.add(CONTRACTOR, Body::Trial(trial(half, forward, reflected)));
        }
        self.add(CONTRACTOR, Body::ChosenSetting(ChosenSetting { trial: last }));
        self.tick("dc-state", "short, as declared");
    }

    /// An ordinary job with all stages up to and including this one released.
    pub fn through(class: JobClass, last: Stage) -> Self {
        let mut story = Self::opened(class);
        story.record.instruments.push(meter());
        story.chain(ordinary());
        let by = if class == JobClass::SingleHanded { CONTRACTOR } else { ENGINEER };
        let (manner, read_back) = match class {
            JobClass::Independent => (Manner::Independent, ""),
            JobClass::Remote => (Manner::Remote, "read back by radio"),
            JobClass::SingleHanded => (Manner::SingleHanded, ""),
        };
        for stage in Stage::ALL.iter().copied().take_while(|stage| *stage <= last) {
            story.stage(stage);
            if stage != Stage::HandOver {
                story.release(by, stage, manner, read_back);
            }
        }
        story
    }

    /// An ordinary job that was declared.
    pub fn declared(class: JobClass) -> Self {
        let mut story = Self::through(class, Stage::HandOver);
        story.declare(CONTRACTOR, "The work is complete as recorded.");
        story
    }

    /// The present instant of the story.
    pub fn now(&self) -> Utc {
        self.now
    }

    /// The dossier of the job in work.
    pub fn live(self) -> Dossier {
        Dossier::live(Uuid::from_u128(7), self.record, self.now)
    }

    /// The dossier of the job accepted by somebody now.
    pub fn accepted(mut self, by: Uuid, remarks: &str) -> Dossier {
        let at = self.now;
        self.add(by, Body::Acceptance(remarks.to_owned()));
        self.live().frozen("A", at)
    }
}

/// The emptiest dossier: a job just opened, no chain.
pub(crate) fn emptiest() -> Dossier {
    Story::opened(JobClass::Independent).live()
}
