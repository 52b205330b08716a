//! The whole record of a job, and what can be looked up in it.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::clock::{Measured, Utc};
use crate::equipment::budget::{Budget, MeasuringPoint};
use crate::equipment::model::{Chain, ChainPart};
use crate::instruments::model::Instrument;
use crate::jobs::model::{Answer, Answered, Body, Declaration, Fact, JobClass, JobKind, Release};
use crate::measurements::model::{Explanation, Reading, StandSetup, Trial};
use crate::photos::model::Photo;
use crate::profiles::model::{Profile, Stage};
use crate::sites::model::{Assignment, Site};

/// A person as a report names them.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Named {
    /// The name outside.
    pub uuid: Uuid,
    /// The person's name.
    pub name: String,
    /// The firm.
    pub firm: String,
    /// The role.
    pub role: String,
}

/// What is fixed of a job when it is opened.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Job {
    /// The row.
    #[serde(skip)]
    pub id: i64,
    /// The row of its assignment.
    #[serde(skip)]
    pub assignment_id: i64,
    /// The row of its profile.
    #[serde(skip)]
    pub profile_id: i64,
    /// The name outside.
    pub uuid: Uuid,
    /// Its number at the site, from 1.
    pub number: i64,
    /// What it is for.
    pub kind: JobKind,
    /// Who opened it.
    pub opened_by: Option<Uuid>,
    /// When, at the site's clock.
    pub opened: Measured,
}

/// Everything that is on the record of a job.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Record {
    /// The site.
    pub site: Site,
    /// The assignment's revisions, ascending; the last one holds.
    pub assignments: Vec<Assignment>,
    /// The chain's revisions that facts pin and the newest, ascending; the last one holds.
    pub chains: Vec<Chain>,
    /// The profile it is judged by.
    pub profile: Profile,
    /// The job.
    pub job: Job,
    /// The people that the facts name.
    pub people: Vec<Named>,
    /// The instruments that the facts name, each with the calibration that was pinned.
    pub instruments: Vec<Instrument>,
    /// The facts in the order in which they were entered.
    pub facts: Vec<Fact>,
    /// The site's other assignments, which radiate there too.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub neighbours: Vec<Neighbour>,
}

/// Another assignment of the site, as it held when the record was read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Neighbour {
    /// Its newest revision.
    pub assignment: Assignment,
    /// The newest revision of its chain; `None` while it has none.
    pub chain: Option<Chain>,
}

impl Record {
    /// The assignment as it holds now. A job's assignment always has a revision; the store sees to it.
    #[must_use]
    pub fn assignment(&self) -> Option<&Assignment> {
        self.assignments.last()
    }

    /// The assignment that a fact pins: a trial was made on its frequency, whatever was assigned since.
    #[must_use]
    pub fn assignment_of(&self, fact: &Fact) -> Option<&Assignment> {
        let pinned = fact.assignment_revision?;
        self.assignments.iter().find(|assignment| assignment.revision_uuid == pinned)
    }

    /// The chain as it holds now.
    #[must_use]
    pub fn chain(&self) -> Option<&Chain> {
        self.chains.last()
    }

    /// The places where an instrument reads in the chain as it holds now; none without a chain.
    #[must_use]
    pub fn measuring_points(&self) -> Vec<MeasuringPoint> {
        let (Some(chain), Some(assignment)) = (self.chain(), self.assignment()) else {
            return Vec::new();
        };
        Budget::new(chain, assignment.particulars.frequency.value()).measuring_points()
    }

    /// Whether an instrument reads at the output of the part at this position.
    #[must_use]
    pub fn measures_at(&self, position: i64) -> bool {
        self.measuring_points().iter().any(|point| point.position == position)
    }

    /// The chain that a fact pins.
    #[must_use]
    pub fn chain_of(&self, fact: &Fact) -> Option<&Chain> {
        let pinned = fact.chain_revision?;
        self.chains.iter().find(|chain| chain.revision_uuid == pinned)
    }

    /// The instrument that a fact names, with the calibration of its day.
    #[must_use]
    pub fn instrument_of(&self, fact: &Fact) -> Option<&Instrument> {
        let pinned = fact.calibration?;
        self.instruments.iter().find(|instrument| instrument.calibration.uuid == pinned)
    }

    /// The record as it stood at an instant: without the facts and revisions that were entered later.
    #[must_use]
    pub fn entered_by(&self, at: Utc) -> Self {
        let mut then = self.clone();
        then.facts.retain(|fact| fact.entered_at <= at);
        then.chains.retain(|chain| chain.entered_at <= at);
        then.assignments.retain(|assignment| assignment.entered_at <= at);
        then
    }

    /// The fact with this name.
    #[must_use]
    pub fn fact(&self, uuid: Uuid) -> Option<&Fact> {
        self.facts.iter().find(|fact| fact.uuid == uuid)
    }

    /// Which fact stands in each one's place now: itself, or the last correction of it; none where it was
    /// withdrawn.
    #[must_use]
    pub fn standing(&self) -> BTreeMap<Uuid, Uuid> {
        let struck = self.struck();
        let mut standing = BTreeMap::new();
        // A correction is entered after what it corrects.
        for fact in self.facts.iter().rev() {
            let now = match struck.get(&fact.uuid) {
                Some(next) => standing.get(&next.uuid).copied(),
                None => (fact.body != Body::Withdrawal).then_some(fact.uuid),
            };
            if let Some(now) = now {
                standing.insert(fact.uuid, now);
            }
        }
        standing
    }

    /// Which fact struck which: from the old one's name to the new fact.
    #[must_use]
    pub fn struck(&self) -> BTreeMap<Uuid, &Fact> {
        self.facts.iter().filter_map(|fact| Some((fact.supersedes?, fact))).collect()
    }

    /// The facts that hold: not struck, and no withdrawals.
    pub fn live(&self) -> impl DoubleEndedIterator<Item = &Fact> {
        let struck: BTreeSet<Uuid> = self.facts.iter().filter_map(|fact| fact.supersedes).collect();
        self.facts
            .iter()
            .filter(move |fact| !struck.contains(&fact.uuid) && fact.body != Body::Withdrawal)
    }

    /// How independent the releases are.
    #[must_use]
    pub fn class(&self) -> JobClass {
        self.live()
            .rev()
            .find_map(|fact| match fact.body {
                Body::Independence(class) => Some(class),
                _ => None,
            })
            .unwrap_or(JobClass::Independent)
    }

    /// The stand set-up that holds: the last one entered.
    #[must_use]
    pub fn stand_setup(&self) -> Option<(&Fact, &StandSetup)> {
        self.live().rev().find_map(|fact| match &fact.body {
            Body::StandSetup(setup) => Some((fact, setup)),
            _ => None,
        })
    }

    /// All trials with their numbers from 1, struck ones too, in the order of entry; a correction keeps
    /// the number of what it corrects.
    #[must_use]
    pub fn trials(&self) -> Vec<NumberedTrial<'_>> {
        let struck = self.struck();
        let mut numbers: BTreeMap<Uuid, usize> = BTreeMap::new();
        let mut next = 1;
        let mut all = Vec::new();
        for fact in &self.facts {
            let Body::Trial(trial) = &fact.body else { continue };
            let kept = fact.supersedes.and_then(|old| numbers.get(&old).copied());
            let number = kept.unwrap_or_else(|| {
                next += 1;
                next - 1
            });
            numbers.insert(fact.uuid, number);
            let struck_by = struck.get(&fact.uuid).copied();
            all.push(NumberedTrial { number, fact, trial, struck_by });
        }
        all
    }

    /// The trial whose setting was chosen; none if that trial was withdrawn. A correction of the trial
    /// stays chosen.
    #[must_use]
    pub fn chosen(&self) -> Option<(&Fact, NumberedTrial<'_>)> {
        let (fact, mut trial) = self.live().rev().find_map(|fact| match &fact.body {
            Body::ChosenSetting(chosen) => Some((fact, chosen.trial)),
            _ => None,
        })?;
        let trials = self.trials();
        loop {
            let found = trials.iter().find(|numbered| numbered.fact.uuid == trial)?;
            match found.struck_by {
                None => return Some((fact, *found)),
                Some(by) => trial = by.uuid,
            }
        }
    }

    /// The installed readings that hold, in the order of entry.
    pub fn readings(&self) -> impl DoubleEndedIterator<Item = (&Fact, &Reading)> {
        self.live().filter_map(|fact| match &fact.body {
            Body::Reading(reading) => Some((fact, reading)),
            _ => None,
        })
    }

    /// The installed reading that counts: the one measured last.
    #[must_use]
    pub fn installed(&self) -> Option<(&Fact, &Reading)> {
        self.readings().max_by_key(|(fact, _)| (fact.measured.at, fact.entered_at))
    }

    /// The answer that holds for an item: the last one entered. A concession is none: it leaves the answer
    /// standing, and permits to go on without it.
    #[must_use]
    pub fn answered(&self, item: &str) -> Option<(&Fact, &Answered)> {
        self.last_answer(item, |answer| answer != Answer::UnderConcession)
    }

    /// The last concession that was granted for an item, also where it covers the item no longer.
    #[must_use]
    pub fn conceded(&self, item: &str) -> Option<(&Fact, &Answered)> {
        self.last_answer(item, |answer| answer == Answer::UnderConcession)
    }

    fn last_answer(&self, item: &str, wanted: fn(Answer) -> bool) -> Option<(&Fact, &Answered)> {
        self.live().rev().find_map(|fact| match &fact.body {
            Body::Answer(answered) if answered.item == item && wanted(answered.answer) => {
                Some((fact, answered))
            }
            _ => None,
        })
    }

    /// Whether everything beneath an answer was on the record when a fact was entered: a concession covers
    /// what was seen then, and nothing that came after.
    ///
    /// - `beneath`: names of facts, revisions and calibrations; a calibration is pinned by its fact
    #[must_use]
    pub fn knew(&self, fact: &Fact, beneath: &[Uuid]) -> bool {
        let place = |uuid: Uuid| self.place(uuid);
        let own = place(fact.uuid);
        let chain = |uuid| self.chains.iter().any(|chain| chain.revision_uuid == uuid);
        let assignment = |uuid| self.assignments.iter().any(|one| one.revision_uuid == uuid);
        beneath.iter().all(|&uuid| match place(uuid) {
            Some(before) => own.is_some_and(|own| before < own),
            None if chain(uuid) => fact.chain_revision == Some(uuid),
            None if assignment(uuid) => fact.assignment_revision == Some(uuid),
            None => true,
        })
    }

    /// The explanation of a reading.
    #[must_use]
    pub fn explanation(&self, reading: Uuid) -> Option<(&Fact, &Explanation)> {
        self.live().rev().find_map(|fact| match &fact.body {
            Body::Explanation(explanation) if explanation.reading == reading => {
                Some((fact, explanation))
            }
            _ => None,
        })
    }

    /// The photos that hold, in the order of entry.
    pub fn photos(&self) -> impl DoubleEndedIterator<Item = (&Fact, &Photo)> {
        self.live().filter_map(|fact| match &fact.body {
            Body::Photo(photo) => Some((fact, photo)),
            _ => None,
        })
    }

    /// The photos that hold and are evidence for an item, in the order of entry.
    pub fn photos_of<'a>(
        &'a self,
        item: &'a str,
    ) -> impl DoubleEndedIterator<Item = (&'a Fact, &'a Photo)> {
        self.photos().filter(move |(_, photo)| photo.item.as_deref() == Some(item))
    }

    /// A part by its name outside, as the newest revision that holds it names it.
    #[must_use]
    pub fn part(&self, uuid: Uuid) -> Option<&ChainPart> {
        let mut chains = self.chains.iter().rev();
        chains.find_map(|chain| chain.parts.iter().find(|part| part.uuid == uuid))
    }

    /// The last release of a stage, lapsed or not.
    #[must_use]
    pub fn release(&self, stage: Stage) -> Option<(&Fact, &Release)> {
        self.live().rev().find_map(|fact| match &fact.body {
            Body::Release(release) if release.stage == stage => Some((fact, release)),
            _ => None,
        })
    }

    /// The last declaration, if the job was not returned since.
    #[must_use]
    pub fn declaration(&self) -> Option<(&Fact, &Declaration)> {
        for fact in self.live().rev() {
            match &fact.body {
                Body::Return(_) => return None,
                Body::Declaration(declaration) => return Some((fact, declaration)),
                _ => {}
            }
        }
        None
    }

    /// The last return, if nothing was declared since.
    #[must_use]
    pub fn returned(&self) -> Option<(&Fact, &str)> {
        for fact in self.live().rev() {
            match &fact.body {
                Body::Declaration(_) => return None,
                Body::Return(remarks) => return Some((fact, remarks)),
                _ => {}
            }
        }
        None
    }

    /// The acceptance.
    #[must_use]
    pub fn acceptance(&self) -> Option<(&Fact, &str)> {
        self.live().rev().find_map(|fact| match &fact.body {
            Body::Acceptance(remarks) => Some((fact, remarks.as_str())),
            _ => None,
        })
    }

    /// The name of a person, as reports print it.
    #[must_use]
    pub fn name(&self, person: Option<Uuid>) -> String {
        let found = person.and_then(|uuid| self.people.iter().find(|named| named.uuid == uuid));
        found.map_or_else(|| "standmast".to_owned(), |named| named.name.clone())
    }
}

/// A trial with its number.
#[derive(Debug, Clone, Copy)]
pub struct NumberedTrial<'a> {
    /// Its number on the job, from 1.
    pub number: usize,
    /// The fact.
    pub fact: &'a Fact,
    /// What it says.
    pub trial: &'a Trial,
    /// What struck it.
    pub struck_by: Option<&'a Fact>,
}
