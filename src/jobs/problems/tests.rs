//! What stands in the way of each act, as tables: who, in which state of the job, and the codes that are given.

use std::collections::BTreeMap;

use uuid::Uuid;

use crate::clock::Measured;
use crate::jobs::findings::Findings;
use crate::jobs::model::{Answer, Body, Fact, JobClass, Manner, Record};
use crate::jobs::problems::{self, Who};
use crate::jobs::samples::{
    CONTRACTOR, ENGINEER, MANAGER, Story, answered, powers, reading, trial,
};
use crate::measurements::model::{ChosenSetting, Explanation, Reading};
use crate::people::model::Role;
use crate::problem::{Problem, Severity};
use crate::profiles::model::Stage;

const DOER: Who = Who { uuid: CONTRACTOR, role: Role::Contractor };
const HELPER: Who = Who { uuid: Uuid::from_u128(0xc1), role: Role::Contractor };
const CHECKER: Who = Who { uuid: ENGINEER, role: Role::Engineer };
const DECIDER: Who = Who { uuid: MANAGER, role: Role::Manager };

fn blocking(problems: &[Problem]) -> Vec<&str> {
    problems
        .iter()
        .filter(|problem| problem.blocks())
        .map(|problem| problem.code.as_str())
        .collect()
}

fn release(story: &Story, stage: Stage, who: Who) -> Vec<Problem> {
    problems::release(&story.record, &Findings::of(&story.record, story.now()), stage, who)
}

fn accepted() -> Record {
    Story::declared(JobClass::Independent).accepted(MANAGER, "").record
}

#[test]
fn an_accepted_job_takes_nothing_of_anybody() {
    let record = accepted();
    let findings = Findings::of(&record, record.job.opened.at.plus_seconds(86_400));
    let trial = record.trials()[0].fact.clone();
    let at = trial.measured;
    let item = record.profile.item("ground-kits").unwrap().clone();
    for who in [DOER, CHECKER, DECIDER] {
        let all = [
            problems::record_fact(&findings),
            problems::installed_reading(&record, &findings, at, true),
            problems::answer(&findings, &item, Answer::Passed, who.role),
            problems::release(&record, &findings, Stage::Mast, who),
            problems::declare(&record, &findings, who),
            problems::decide(&record, &findings, who),
            problems::correct(&record, &findings, &trial),
            problems::choose(&record, &findings, &trial),
        ];
        for (act, problems) in all.iter().enumerate() {
            assert!(blocking(problems).contains(&"JOB_ACCEPTED"), "act {act}: {problems:?}");
        }
    }
}

#[test]
fn an_answer_is_judged_by_what_its_item_allows() {
    let story = Story::opened(JobClass::Independent);
    let findings = Findings::of(&story.record, story.now());
    let none: &[&str] = &[];
    // Contractor, engineer, manager; the profile's flags of each item stand in its text.
    let cases: [(&str, Answer, [&[&str]; 3]); 15] = [
        ("exclusion-zone", Answer::Passed, [none; 3]),
        ("exclusion-zone", Answer::Failed, [none; 3]),
        ("exclusion-zone", Answer::NotApplicable, [&["ALWAYS_APPLIES"]; 3]),
        ("height-work", Answer::NotApplicable, [none; 3]),
        ("exclusion-zone", Answer::Deferred, [&["NOT_DEFERRABLE"]; 3]),
        ("dc-state", Answer::Deferred, [none; 3]),
        ("dc-state", Answer::NotShown, [&["NOT_SHOWN_IS_DERIVED"]; 3]),
        ("exclusion-zone", Answer::UnderConcession, [&["NO_CONCESSION"]; 3]),
        (
            "ground-kits",
            Answer::UnderConcession,
            [&["CONCESSION_BY_MANAGER"], &["CONCESSION_BY_MANAGER"], none],
        ),
        (
            "power",
            Answer::UnderConcession,
            [&["CONCESSION_BY_MANAGER"], &["CONCESSION_BY_MANAGER"], none],
        ),
        ("stand-setup", Answer::UnderConcession, [&["NO_CONCESSION"]; 3]),
        ("power", Answer::Passed, [&["DERIVED"]; 3]),
        ("power", Answer::Failed, [&["DERIVED"]; 3]),
        ("power", Answer::NotApplicable, [&["DERIVED"]; 3]),
        ("power", Answer::Deferred, [&["DERIVED"]; 3]),
    ];
    for (id, answer, codes) in cases {
        let item = story.record.profile.item(id).unwrap();
        for (role, wanted) in [Role::Contractor, Role::Engineer, Role::Manager].iter().zip(codes) {
            let found = problems::answer(&findings, item, answer, *role);
            assert_eq!(blocking(&found), wanted, "{id} {answer:?} {role:?}");
        }
    }
}

#[test]
fn no_item_that_is_safety_can_be_conceded_or_deferred() {
    let story = Story::opened(JobClass::Independent);
    let findings = Findings::of(&story.record, story.now());
    let safety: Vec<_> = story.record.profile.items.iter().filter(|item| item.safety).collect();
    assert!(safety.len() >= 5);
    for item in safety {
        for answer in [Answer::UnderConcession, Answer::Deferred] {
            let found = problems::answer(&findings, item, answer, Role::Manager);
            assert!(!blocking(&found).is_empty(), "{} {answer:?}", item.id);
        }
    }
}

#[test]
fn whoever_strikes_an_answer_names_the_one_that_holds() {
    let mut story = Story::opened(JobClass::Independent);
    let codes = |story: &Story, item: &str, answer: Answer, corrected: Option<Uuid>| {
        let found = problems::answer_again(&story.record, item, answer, corrected);
        blocking(&found).into_iter().map(str::to_owned).collect::<Vec<_>>()
    };
    let open = |codes: Vec<String>| codes.is_empty();
    let stray = Some(Uuid::from_u128(9));
    assert!(open(codes(&story, "ground-kits", Answer::Passed, None)));
    assert_eq!(codes(&story, "ground-kits", Answer::Passed, stray), ["ANSWERED"]);
    let first = story.tick("ground-kits", "");
    assert_eq!(codes(&story, "ground-kits", Answer::Failed, None), ["ANSWERED"]);
    assert!(open(codes(&story, "ground-kits", Answer::Failed, Some(first))));
    assert_eq!(codes(&story, "joints-sealed", Answer::Passed, Some(first)), ["ANSWERED"]);
    // A concession leaves the answer alone and follows concessions only.
    assert!(open(codes(&story, "ground-kits", Answer::UnderConcession, None)));
    assert_eq!(codes(&story, "ground-kits", Answer::UnderConcession, Some(first)), ["ANSWERED"]);
    let granted = answered("ground-kits", Answer::UnderConcession, "x");
    let granted = story.add(MANAGER, Body::Answer(granted));
    assert!(open(codes(&story, "ground-kits", Answer::UnderConcession, Some(granted))));
    assert!(open(codes(&story, "ground-kits", Answer::Failed, Some(first))));
    assert_eq!(codes(&story, "ground-kits", Answer::Failed, Some(granted)), ["ANSWERED"]);
}

#[test]
fn a_gate_is_released_by_who_may() {
    let stand = |class| {
        let mut story = Story::through(class, Stage::Authority);
        story.stage(Stage::Stand);
        story
    };
    use JobClass::{Independent, Remote, SingleHanded};
    let none: &[&str] = &[];
    // The small meter shows the stand's SWR to be at most 1.9: not shown, within on the point.
    let cases: [(JobClass, Who, &[&str], Manner); 8] = [
        (Independent, DOER, &["NOT_SHOWN", "OWN_WORK"], Manner::Independent),
        (Independent, HELPER, &["NOT_SHOWN"], Manner::Independent),
        (Independent, CHECKER, none, Manner::Independent),
        (Independent, DECIDER, none, Manner::Independent),
        (Remote, DOER, &["NOT_SHOWN", "OWN_WORK"], Manner::Remote),
        (Remote, CHECKER, none, Manner::Remote),
        (SingleHanded, DOER, &["NOT_SHOWN"], Manner::SingleHanded),
        (SingleHanded, CHECKER, none, Manner::Independent),
    ];
    for (class, who, codes, manner) in cases {
        let story = stand(class);
        let found = release(&story, Stage::Stand, who);
        assert_eq!(blocking(&found), codes, "{class:?} {who:?}: {found:?}");
        let findings = Findings::of(&story.record, story.now());
        assert_eq!(problems::manner(&story.record, &findings, Stage::Stand, who), manner);
        let accepts = found.iter().any(|one| one.code == "NOT_SHOWN_ACCEPTED");
        assert_eq!(accepts, who.role != Role::Contractor, "{who:?}");
        assert!(found.iter().all(|one| one.severity != Severity::Info));
    }
}

#[test]
fn gates_open_in_order_once_and_never_the_last() {
    let mut story = Story::through(JobClass::Independent, Stage::Authority);
    assert_eq!(blocking(&release(&story, Stage::Authority, CHECKER)), ["RELEASED"]);
    story.stage(Stage::Mast);
    assert_eq!(blocking(&release(&story, Stage::Mast, CHECKER)), ["GATE_BEFORE"]);
    let story = Story::through(JobClass::Independent, Stage::HandOver);
    assert_eq!(blocking(&release(&story, Stage::HandOver, CHECKER)), ["NO_RELEASE"]);
    // A gate before that lapsed holds the next one shut.
    let mut story = Story::through(JobClass::Independent, Stage::Mast);
    story.stage(Stage::ColdTests);
    let old = story.record.answered("joints-sealed").unwrap().0.uuid;
    let again = answered("joints-sealed", Answer::Passed, "photo 15");
    story.correct(CONTRACTOR, old, "x", Body::Answer(again));
    assert_eq!(blocking(&release(&story, Stage::ColdTests, CHECKER)), ["GATE_BEFORE"]);
    assert_eq!(blocking(&release(&story, Stage::Mast, CHECKER)), Vec::<&str>::new());
}

#[test]
fn every_state_of_an_item_holds_its_gate_or_not() {
    let states: [(Answer, &[&str]); 6] = [
        (Answer::Passed, &[]),
        (Answer::NotApplicable, &[]),
        (Answer::UnderConcession, &[]),
        (Answer::Deferred, &[]),
        (Answer::Failed, &["FAILED"]),
        (Answer::NotShown, &["NOT_SHOWN"]),
    ];
    for (answer, codes) in states {
        let mut story = Story::through(JobClass::Independent, Stage::Authority);
        let told = answered("dc-state", answer, "x");
        story.add(CONTRACTOR, Body::Answer(told));
        let findings = Findings::of(&story.record, story.now());
        let found = problems::item_problems(&story.record, &findings, Stage::Stand, Role::Manager);
        let of_item: Vec<&str> = found
            .iter()
            .filter(|problem| problem.field.as_deref() == Some("dc-state"))
            .map(|problem| problem.code.as_str())
            .collect();
        assert_eq!(of_item, codes, "{answer:?}");
    }
    let story = Story::through(JobClass::Independent, Stage::Authority);
    let findings = Findings::of(&story.record, story.now());
    let found = problems::item_problems(&story.record, &findings, Stage::Stand, Role::Manager);
    assert!(found.iter().all(|problem| problem.code == "OPEN") && found.len() == 4);
}

#[test]
fn a_reading_is_in_order_if_the_gate_stood_open_when_it_was_taken() {
    let codes = |story: &Story, measured: Measured, reasoned: bool| {
        let findings = Findings::of(&story.record, story.now());
        let found = problems::installed_reading(&story.record, &findings, measured, reasoned);
        blocking(&found).into_iter().map(str::to_owned).collect::<Vec<_>>()
    };
    let early = ["NOT_READY_FOR_RF"];
    let fine: [&str; 0] = [];
    let at = |story: &Story, seconds: i64| {
        let at = story.now().plus_seconds(seconds);
        story.record.site.time_zone().measured(at)
    };
    let mut story = Story::through(JobClass::Independent, Stage::Mast);
    story.stage(Stage::ColdTests);
    let before = at(&story, -600);
    assert_eq!(codes(&story, before, false), early);
    assert_eq!(codes(&story, before, true), fine);
    story.release(ENGINEER, Stage::ColdTests, Manner::Independent, "");
    let open = at(&story, -600);
    assert_eq!(codes(&story, open, false), fine);
    let released = story.record.facts.last().unwrap().measured;
    let minute = Measured { at: released.at.plus_seconds(-59), ..released };
    let earlier = Measured { at: released.at.plus_seconds(-60), ..released };
    assert_eq!((codes(&story, minute, false).len(), codes(&story, earlier, false).len()), (0, 1));
    // It lapses: what was measured before stays in order, what is measured now is not.
    let old = story.record.answered("bonding").unwrap().0.uuid;
    let other = story.value("bonding", "13");
    story.strike(other, old, "misread");
    let lapsed = at(&story, 0);
    assert_eq!(codes(&story, open, false), fine);
    assert_eq!(codes(&story, lapsed, false), early);
    story.release(ENGINEER, Stage::ColdTests, Manner::Independent, "");
    let again = at(&story, 0);
    assert_eq!(codes(&story, again, false), fine);
    assert_eq!(codes(&story, open, false), fine);
    assert_eq!(codes(&story, before, false), early);
    // Without a chain it holds nowhere.
    story.record.chains.clear();
    assert!(codes(&story, again, true).contains(&"NO_CHAIN".to_owned()));
}

#[test]
fn a_declaration_waits_for_all_gates_and_the_hand_over() {
    let declare = |story: &Story| {
        let found =
            problems::declare(&story.record, &Findings::of(&story.record, story.now()), DOER);
        let mut counted = BTreeMap::new();
        for code in blocking(&found) {
            *counted.entry(code.to_owned()).or_insert(0) += 1;
        }
        counted
    };
    let counted = |list: &[(&str, i32)]| -> BTreeMap<String, i32> {
        list.iter().map(|(code, count)| ((*code).to_owned(), *count)).collect()
    };
    let story = Story::opened(JobClass::Independent);
    assert_eq!(declare(&story), counted(&[("GATE_CLOSED", 5), ("OPEN", 2)]));
    let mut story = Story::through(JobClass::Independent, Stage::RfOn);
    assert_eq!(declare(&story), counted(&[("OPEN", 2)]));
    story.stage(Stage::HandOver);
    assert_eq!(declare(&story), counted(&[]));
    story.declare(CONTRACTOR, "done");
    assert_eq!(declare(&story), counted(&[("DECLARED", 1)]));
}

#[test]
fn a_decision_is_not_the_declarers_unless_they_work_alone() {
    let decide = |story: &Story, who| {
        let found = problems::decide(&story.record, &Findings::of(&story.record, story.now()), who);
        blocking(&found).into_iter().map(str::to_owned).collect::<Vec<_>>()
    };
    let none: [&str; 0] = [];
    let story = Story::through(JobClass::Independent, Stage::HandOver);
    assert_eq!(decide(&story, DECIDER), ["NOT_DECLARED"]);
    let story = Story::declared(JobClass::Independent);
    assert_eq!(decide(&story, DECIDER), none);
    assert_eq!(decide(&story, DOER), ["OWN_DECLARATION"]);
    let story = Story::declared(JobClass::Remote);
    assert_eq!(decide(&story, DOER), ["OWN_DECLARATION"]);
    let story = Story::declared(JobClass::SingleHanded);
    assert_eq!(decide(&story, DOER), none);
    let mut story = Story::declared(JobClass::Independent);
    story.add(MANAGER, Body::Return("x".to_owned()));
    assert_eq!(decide(&story, DECIDER), ["NOT_DECLARED"]);
}

#[test]
fn only_what_people_measured_or_answered_is_corrected_and_only_once() {
    let mut story = Story::declared(JobClass::Independent);
    let explanation = Explanation {
        reading: story.record.installed().unwrap().0.uuid,
        cause: "x".to_owned(),
        checked: "y".to_owned(),
    };
    story.add(CONTRACTOR, Body::Explanation(explanation));
    let findings = Findings::of(&story.record, story.now());
    let codes = |record: &Record, fact: &Fact| {
        let found = problems::correct(record, &findings, fact);
        blocking(&found).into_iter().map(str::to_owned).collect::<Vec<_>>()
    };
    for fact in &story.record.facts {
        let may = matches!(
            fact.body,
            Body::StandSetup(_)
                | Body::Trial(_)
                | Body::Reading(_)
                | Body::Answer(_)
                | Body::Explanation(_)
        );
        let wanted: &[&str] = if may { &[] } else { &["NOT_CORRECTABLE"] };
        assert_eq!(codes(&story.record, fact), wanted, "{}", fact.body.shown());
    }
    let old = story.record.trials()[0].fact.uuid;
    let new = Body::Trial(trial("740", "4.0", "0.5"));
    story.correct(CONTRACTOR, old, "x", new);
    let struck = story.record.fact(old).unwrap();
    assert_eq!(codes(&story.record, struck), ["STRUCK"]);
    let found = problems::choose(&story.record, &findings, struck);
    assert_eq!(blocking(&found), ["NO_TRIAL"]);
    let chosen = story.record.facts.iter().find(|fact| matches!(fact.body, Body::ChosenSetting(_)));
    let found = problems::choose(&story.record, &findings, chosen.unwrap());
    assert_eq!(blocking(&found), ["NO_TRIAL"]);
}

#[test]
fn an_explanation_is_of_the_reading_that_holds_and_follows_the_one_before() {
    let mut story = Story::through(JobClass::Independent, Stage::ColdTests);
    let worse = Reading { powers: powers("296", "100", ["500", "500"]), ..reading("296", "1") };
    let first = story.add(CONTRACTOR, Body::Reading(worse.clone()));
    let codes = |story: &Story, reading: Uuid, corrected: Option<Uuid>| {
        let fact = story.record.fact(reading).unwrap();
        let found = problems::explain(&story.record, fact, corrected);
        blocking(&found).into_iter().map(str::to_owned).collect::<Vec<_>>()
    };
    let none: [&str; 0] = [];
    assert_eq!(codes(&story, first, None), none);
    let of = |reading| Explanation { reading, cause: "x".to_owned(), checked: "y".to_owned() };
    let explained = story.add(CONTRACTOR, Body::Explanation(of(first)));
    assert_eq!(codes(&story, first, None), ["EXPLAINED"]);
    assert_eq!(codes(&story, first, Some(explained)), none);
    let second = story.correct(CONTRACTOR, first, "x", Body::Reading(worse));
    assert_eq!(codes(&story, first, Some(explained)), ["READING_STRUCK"]);
    assert_eq!(codes(&story, second, Some(explained)), ["EXPLAINED"]);
    assert_eq!(codes(&story, second, None), none);
}

#[test]
fn what_is_signed_is_what_was_shown() {
    assert!(problems::signed_unseen("ab", None).is_empty());
    assert!(problems::signed_unseen("ab", Some("ab")).is_empty());
    assert_eq!(blocking(&problems::signed_unseen("ab", Some("cd"))), ["LIST_CHANGED"]);
}

#[test]
fn each_code_stands_for_one_rule() {
    let source = include_str!("../problems.rs");
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for code in source.split('"').skip(1).step_by(2) {
        let named =
            code.len() > 3 && code.bytes().all(|byte| byte.is_ascii_uppercase() || byte == b'_');
        if named {
            *seen.entry(code).or_default() += 1;
        }
    }
    // A not-shown item stands in the way for two reasons, told apart by its text.
    seen.remove("NOT_SHOWN");
    assert!(seen.len() > 20, "{seen:?}");
    assert!(seen.values().all(|count| *count == 1), "{seen:?}");
}

#[test]
fn the_meaning_of_a_trial_choice_is_the_trial_itself() {
    let mut story = Story::through(JobClass::Independent, Stage::Authority);
    let fact = story.add(CONTRACTOR, Body::Trial(trial("715", "4.0", "0.05")));
    let findings = Findings::of(&story.record, story.now());
    let trial = story.record.fact(fact).unwrap();
    assert!(problems::choose(&story.record, &findings, trial).is_empty());
    story.add(CONTRACTOR, Body::ChosenSetting(ChosenSetting { trial: fact }));
    // Choosing it again says nothing new and harms nothing.
    let trial = story.record.fact(fact).unwrap();
    assert!(
        problems::choose(&story.record, &Findings::of(&story.record, story.now()), trial)
            .is_empty()
    );
}
