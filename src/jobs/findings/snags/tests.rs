//! Snags and what follows without a row, by cases.

use super::{SnagFinding, SnagOrigin, open_by_class, open_in_words};
use crate::clock::Date;
use crate::jobs::findings::{Findings, Progress};
use crate::jobs::model::{Answer, Body, JobClass, Record, Snag, SnagClass, SnagClosed};
use crate::jobs::problems::{self, Who};
use crate::jobs::samples::{CONTRACTOR, ENGINEER, MANAGER, Story, answered, reading};
use crate::people::model::Role;
use crate::profiles::model::{Answering, Stage};

fn snag(class: SnagClass, text: &str) -> Snag {
    let (owner, due_on) = (String::new(), None);
    Snag { class, text: text.to_owned(), owner, due_on, item: None, part: None }
}

fn snags(record: &Record) -> Vec<SnagFinding> {
    Findings::of(record, record.job.opened.at).snags
}

fn codes(problems: &[crate::problem::Problem]) -> Vec<&str> {
    problems.iter().map(|problem| problem.code.as_str()).collect()
}

const DECIDES: Who = Who { uuid: MANAGER, role: Role::Manager };
const DECLARES: Who = Who { uuid: CONTRACTOR, role: Role::Contractor };

#[test]
fn open_snags_stand_first_the_heavier_before_the_lighter() {
    let mut story = Story::opened(JobClass::Independent);
    let shut = story.add(ENGINEER, Body::Snag(snag(SnagClass::A, "guy slack")));
    story.add(ENGINEER, Body::Snag(snag(SnagClass::C, "paint chipped")));
    story.add(ENGINEER, Body::Snag(snag(SnagClass::B, "label missing")));
    let (done, done_by) = ("tightened".to_owned(), "Ruan Vale".to_owned());
    let proof = "tension read".to_owned();
    story.add(CONTRACTOR, Body::SnagClosed(SnagClosed { snag: shut, done, done_by, proof }));
    let found = snags(&story.record);
    let texts: Vec<&str> = found.iter().map(|one| one.text.as_str()).collect();
    assert_eq!(texts, ["label missing", "paint chipped", "guy slack"]);
    assert_eq!(
        found[2].closed.as_ref().unwrap().what,
        "tightened; by Ruan Vale; proof: tension read"
    );
    assert_eq!(open_by_class(&found), [0, 1, 1]);
    assert_eq!(open_in_words(&found), "1 B, 1 C open");
}

#[test]
fn a_corrected_snag_stays_closed_and_a_struck_closing_opens_it() {
    let mut story = Story::opened(JobClass::Independent);
    let first = story.add(ENGINEER, Body::Snag(snag(SnagClass::A, "bond lose")));
    let (done, done_by, proof) = ("tightened".to_owned(), String::new(), String::new());
    let closed = SnagClosed { snag: first, done, done_by, proof };
    let closing = story.add(CONTRACTOR, Body::SnagClosed(closed));
    let spelt = Body::Snag(snag(SnagClass::A, "bond loose"));
    let second = story.correct(ENGINEER, first, "spelling", spelt);
    let found = snags(&story.record);
    assert_eq!((found.len(), found[0].fact, found[0].is_open()), (1, second, false));
    story.correct(CONTRACTOR, closing, "it came loose again", Body::Withdrawal);
    assert!(snags(&story.record)[0].stops_acceptance());
    story.correct(ENGINEER, second, "another site's", Body::Withdrawal);
    assert!(snags(&story.record).is_empty());
}

#[test]
fn a_deferred_check_is_a_snag_with_its_owner_and_day_until_it_is_answered() {
    let mut story = Story::opened(JobClass::Independent);
    let mut later = answered("as-built-papers", Answer::Deferred, "drawing 4 to be redrawn");
    later.owner = "Ines Holm".to_owned();
    later.due_on = Some(Date::parse("2031-05-01").unwrap());
    let first = story.add(CONTRACTOR, Body::Answer(later.clone()));
    let found = snags(&story.record);
    assert_eq!((found[0].origin, found[0].class), (SnagOrigin::Deferred, SnagClass::B));
    assert_eq!(found[0].left_to(), "Ines Holm, by 1 May 2031");
    assert!(found[0].is_open() && !found[0].is_unowned());
    later.due_on = Some(Date::parse("2031-06-01").unwrap());
    let second = story.correct(CONTRACTOR, first, "the printer is ill", Body::Answer(later));
    assert_eq!(snags(&story.record).len(), 1);
    assert_eq!(snags(&story.record)[0].left_to(), "Ines Holm, by 1 Jun 2031");
    let passed = Body::Answer(answered("as-built-papers", Answer::Passed, "drawing 4, issue 2"));
    story.correct(CONTRACTOR, second, "done", passed);
    let closed = snags(&story.record);
    assert_eq!(closed.len(), 1);
    assert!(!closed[0].is_open());
}

#[test]
fn rf_out_of_sequence_is_a_class_a_snag_until_a_concession_covers_it() {
    let mut story = Story::through(JobClass::Independent, Stage::Mast);
    let mut early = reading("300", "0.9");
    early.out_of_sequence = Some("the mast crew asked for a check".to_owned());
    let fact = story.add(CONTRACTOR, Body::Reading(early));
    let found = snags(&story.record);
    assert_eq!((found[0].origin, found[0].class), (SnagOrigin::OutOfSequence, SnagClass::A));
    assert_eq!(found[0].item.as_deref(), Some("rf-sequence"));
    let judged =
        problems::declare(&story.record, &Findings::of(&story.record, story.now()), DECLARES);
    assert!(codes(&judged).contains(&"SNAG_A_OPEN"));
    let granted = answered("rf-sequence", Answer::UnderConcession, "once, zone was clear");
    story.add(MANAGER, Body::Answer(granted));
    assert!(!snags(&story.record)[0].is_open());
    story.correct(CONTRACTOR, fact, "entered on the wrong job", Body::Withdrawal);
    assert!(snags(&story.record).is_empty());
}

#[test]
fn class_a_stops_declaring_and_accepting_and_its_closing_opens_both() {
    let mut story = Story::declared(JobClass::Independent);
    let raised = story.add(ENGINEER, Body::Snag(snag(SnagClass::A, "guard missing")));
    let judged = |story: &Story| {
        let findings = Findings::of(&story.record, story.now());
        let declare = problems::declare(&story.record, &findings, DECLARES);
        let accept = problems::accept(&story.record, &findings, DECIDES);
        let back = problems::decide(&story.record, &findings, DECIDES);
        [declare, accept, back].map(|all| codes(&all).contains(&"SNAG_A_OPEN"))
    };
    assert_eq!(judged(&story), [true, true, false]);
    let (done, done_by) = ("guard fitted".to_owned(), String::new());
    let closed = SnagClosed { snag: raised, done, done_by, proof: "photo".to_owned() };
    story.add(CONTRACTOR, Body::SnagClosed(closed));
    assert_eq!(judged(&story), [false, false, false]);
    let twice = problems::close_snag(&Findings::of(&story.record, story.now()), raised, None);
    assert_eq!(codes(&twice), ["SNAG_CLOSED"]);
}

#[test]
fn class_b_wants_an_owner_and_a_day_before_anything_is_declared() {
    let mut story = Story::through(JobClass::Independent, Stage::RfOn);
    let raised = story.add(ENGINEER, Body::Snag(snag(SnagClass::B, "cable tie missing")));
    let unowned = |story: &Story| {
        let judged =
            problems::declare(&story.record, &Findings::of(&story.record, story.now()), DECLARES);
        codes(&judged).contains(&"SNAG_UNOWNED")
    };
    assert!(unowned(&story));
    let whole = Snag {
        owner: "Ines Holm".to_owned(),
        due_on: Some(Date::parse("2031-05-01").unwrap()),
        ..snag(SnagClass::B, "cable tie missing")
    };
    story.correct(ENGINEER, raised, "owner named", Body::Snag(whole));
    assert!(!unowned(&story));
}

/// A job whose checklist asks for its snags, at the hand-over.
fn asked(mut story: Story) -> Story {
    let items = &mut story.record.profile.items;
    let mut item = items.iter().find(|item| item.id == "signs-and-locks").unwrap().clone();
    item.id = "snags".to_owned();
    item.answer = Answering::Snags;
    items.push(item);
    story
}

fn check(story: &Story) -> (Option<Answer>, String) {
    let findings = Findings::of(&story.record, story.now());
    let item = findings.item("snags").unwrap();
    (item.answer, item.evidence.clone())
}

#[test]
fn the_check_of_snags_is_answered_by_the_record_and_cannot_be_ticked() {
    let mut story = asked(Story::through(JobClass::Independent, Stage::RfOn));
    assert_eq!(check(&story), (Some(Answer::Passed), "nothing is open".to_owned()));
    let findings = Findings::of(&story.record, story.now());
    let item = story.record.profile.item("snags").unwrap();
    for answer in [Answer::Passed, Answer::Failed] {
        let judged = problems::answer(&findings, item, answer, Role::Manager);
        assert_eq!(codes(&judged), ["DERIVED"]);
    }
    story.add(ENGINEER, Body::Snag(snag(SnagClass::C, "paint chipped")));
    assert_eq!(check(&story).0, Some(Answer::Passed));
    let raised = story.add(ENGINEER, Body::Snag(snag(SnagClass::A, "guard missing")));
    assert_eq!(
        check(&story),
        (Some(Answer::Failed), "1 A, 1 C open. Class A: guard missing".to_owned())
    );
    // Corrected to a lighter class it flips; withdrawn it passes.
    let lighter = Body::Snag(snag(SnagClass::B, "guard dented"));
    let second = story.correct(ENGINEER, raised, "it is only dented", lighter);
    assert_eq!(
        check(&story),
        (Some(Answer::Failed), "1 B, 1 C open. Without owner or day: guard dented".to_owned())
    );
    story.correct(ENGINEER, second, "not dented either", Body::Withdrawal);
    assert_eq!(check(&story), (Some(Answer::Passed), "1 C open, none of class A".to_owned()));
}

#[test]
fn a_class_a_snag_lapses_the_declaration_and_a_noted_one_does_not() {
    let mut story = asked(Story::through(JobClass::Independent, Stage::RfOn));
    story.stage(Stage::HandOver);
    story.declare(CONTRACTOR, "complete as recorded");
    let progress = |story: &Story| Findings::of(&story.record, story.now()).progress;
    assert_eq!(progress(&story), Progress::Declared);
    story.add(ENGINEER, Body::Snag(snag(SnagClass::C, "paint chipped")));
    assert_eq!(progress(&story), Progress::Declared);
    let raised = story.add(ENGINEER, Body::Snag(snag(SnagClass::A, "guard missing")));
    assert_eq!(progress(&story), Progress::Open(Stage::HandOver));
    let (done, done_by, proof) = ("fitted".to_owned(), String::new(), "photo".to_owned());
    let closed = Body::SnagClosed(SnagClosed { snag: raised, done, done_by, proof });
    story.add(CONTRACTOR, closed);
    // What was declared did not know of it: it is declared again.
    assert_eq!(check(&story).0, Some(Answer::Passed));
    assert_eq!(progress(&story), Progress::Open(Stage::HandOver));
}
