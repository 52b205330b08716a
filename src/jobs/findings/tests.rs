//! What follows from a record, as tables: each case tells a job and says what it makes of an item, a gate or
//! the job's progress.

use uuid::Uuid;

use crate::clock::Date;
use crate::equipment::model::tests::{ordinary, typed};
use crate::equipment::model::{Chain, Spec};
use crate::jobs::findings::{Findings, Progress};
use crate::jobs::model::{Answer, Answered, Body, JobClass, Manner};
use crate::jobs::samples::{
    CONTRACTOR, ENGINEER, MANAGER, Story, answered, emptiest, longest, meter, powers, reading,
    setup, trial,
};
use crate::measurements::model::{ChosenSetting, Explanation, Reading, StandSetup};
use crate::profiles::model::Stage;

fn findings(story: &Story) -> Findings {
    Findings::of(&story.record, story.now())
}

fn answer(story: &Story, item: &str) -> Option<Answer> {
    findings(story).item(item).unwrap().answer
}

fn evidence(story: &Story, item: &str) -> String {
    findings(story).item(item).unwrap().evidence.clone()
}

fn gate(story: &Story, stage: Stage) -> (bool, bool) {
    let findings = findings(story);
    let found = findings.stages.iter().find(|found| found.stage == stage).unwrap();
    (found.is_open(), found.lapsed)
}

fn last(story: &Story, kind: fn(&Body) -> bool) -> Uuid {
    story.record.live().rev().find(|fact| kind(&fact.body)).unwrap().uuid
}

fn last_reading(story: &Story) -> Uuid {
    last(story, |body| matches!(body, Body::Reading(_)))
}

/// A job ready for RF, with the arithmetic's meter of 5 % of full scale.
fn ready() -> Story {
    Story::through(JobClass::Independent, Stage::ColdTests)
}

#[test]
fn nothing_is_answered_by_a_job_that_was_only_opened() {
    let dossier = emptiest();
    for item in &dossier.findings.items {
        assert_eq!(item.answer, None, "{}", item.id);
        assert!(item.rests_on.is_empty() && item.doers.is_empty(), "{}", item.id);
        assert!(!item.evidence.is_empty(), "{}", item.id);
    }
    assert_eq!(dossier.findings.progress, Progress::Open(Stage::Authority));
}

#[test]
fn power_is_judged_by_its_interval_against_90_to_105_percent() {
    // 47 CFR 73.1560(b): 90 to 105 % of the authorised output power, 270 to 315 W of 300 W. The meter errs by
    // 5 % of 500 W, which is 25 W to either side.
    let cases = [
        ("296", Answer::NotShown, true),
        ("295", Answer::NotShown, true),
        ("294", Answer::NotShown, true),
        ("316", Answer::NotShown, false),
        ("244", Answer::Failed, false),
        ("246", Answer::NotShown, false),
        ("341", Answer::Failed, false),
        ("339", Answer::NotShown, false),
    ];
    for (forward, judged, point_within) in cases {
        let mut story = ready();
        story.add(CONTRACTOR, Body::Reading(reading(forward, "1.1")));
        let findings = findings(&story);
        let item = findings.item("power").unwrap();
        assert_eq!((item.answer, item.point_within), (Some(judged), point_within), "{forward} W");
    }
    // With 1 % it errs by 5 W.
    let mut story = ready();
    story.record.instruments[0].calibration.statement.accuracy = typed("1");
    story.add(CONTRACTOR, Body::Reading(reading("296", "1.1")));
    assert_eq!(answer(&story, "power"), Some(Answer::Passed));
    assert!(evidence(&story, "power").contains("291 to 301 W"), "{}", evidence(&story, "power"));
}

#[test]
fn at_ten_watts_or_less_only_the_ceiling_holds() {
    // 47 CFR 73.840 and 73.1560(b) for stations of 10 W or less: at most 105 %, no floor.
    for (authorised, forward, judged) in [
        ("10", "3", Answer::Passed),
        ("10", "10.1", Answer::NotShown),
        ("10", "12", Answer::Failed),
        ("10.1", "3", Answer::Failed),
    ] {
        let mut story = ready();
        story.record.assignments[0].particulars.power = typed(authorised);
        let small = Reading { powers: powers(forward, "0.1", ["25", "1"]), ..reading("10", "0.1") };
        story.add(CONTRACTOR, Body::Reading(small));
        assert_eq!(answer(&story, "power"), Some(judged), "{forward} W of {authorised} W");
    }
}

#[test]
fn fold_back_is_no_evidence_of_power_but_the_ratio_holds() {
    let mut story = ready();
    story.add(CONTRACTOR, Body::Reading(Reading { fold_back: true, ..reading("296", "1.1") }));
    assert_eq!(answer(&story, "fold-back"), Some(Answer::Failed));
    assert_eq!(answer(&story, "power"), Some(Answer::NotShown));
    assert_eq!(answer(&story, "installed-swr"), Some(Answer::Passed));
    assert!(findings(&story).readings[0].erp_w.is_none());
}

#[test]
fn a_reflection_is_judged_by_its_interval_against_the_limit() {
    // SWR 1.5 is 4 % of reflected power. The meter: 30 dB and 5 % of full scale.
    for (reflected, ranges, judged) in [
        ("1.1", ["500", "25"], Answer::Passed),
        ("9", ["500", "25"], Answer::NotShown),
        ("12", ["500", "25"], Answer::NotShown),
        ("30", ["500", "25"], Answer::Failed),
        ("2", ["500", "500"], Answer::NotShown),
    ] {
        let mut story = ready();
        let read = Reading { powers: powers("296", reflected, ranges), ..reading("296", "1") };
        story.add(CONTRACTOR, Body::Reading(read));
        assert_eq!(answer(&story, "installed-swr"), Some(judged), "{reflected} W");
    }
    // Without a stated directivity nothing passes by itself.
    let mut story = ready();
    story.record.instruments[0].calibration.statement.directivity = None;
    story.add(CONTRACTOR, Body::Reading(reading("296", "0.5")));
    assert_eq!(answer(&story, "installed-swr"), Some(Answer::NotShown));
    assert!(evidence(&story, "installed-swr").contains("at least"));
}

#[test]
fn what_the_declared_loss_makes_impossible_is_withheld_and_kept() {
    let mut story = ready();
    let all = Reading { powers: powers("20", "20", ["25", "25"]), ..reading("20", "20") };
    let fact = story.add(CONTRACTOR, Body::Reading(all));
    let findings = findings(&story);
    let found = &findings.readings[0];
    assert!(found.at_antenna.is_none() && found.at_meter.is_some());
    assert!(found.withheld.as_ref().unwrap().contains("the declared loss is too high"));
    assert!(found.marks.iter().any(|mark| mark.contains("everything comes back")));
    assert!(story.record.fact(fact).is_some());
    assert!(findings.comparison.unwrap().at_antenna.contains("withheld"));
    // On the stand too: it is not a pass and not a fail.
    let mut story = Story::through(JobClass::Independent, Stage::Authority);
    story.add(CONTRACTOR, Body::StandSetup(setup()));
    let all = trial("715", "0.9", "0.9");
    let fact = story.add(CONTRACTOR, Body::Trial(all));
    story.add(CONTRACTOR, Body::ChosenSetting(ChosenSetting { trial: fact }));
    assert_eq!(answer(&story, "stand-swr"), Some(Answer::NotShown));
    assert!(evidence(&story, "stand-swr").contains("withheld: check the cable"));
}

#[test]
fn calibration_is_judged_on_the_day_of_the_reading() {
    let cases: [(Option<&str>, Option<&str>, Answer, &str); 5] = [
        (Some("2030-06-01"), Some("2031-06-01"), Answer::Passed, ""),
        (Some("2030-01-01"), Some("2031-03-01"), Answer::Failed, "had run out"),
        (Some("2031-04-01"), Some("2032-04-01"), Answer::Failed, "calibrated only after"),
        (None, None, Answer::NotShown, "no calibration of the meter"),
        (Some("2030-06-01"), None, Answer::NotShown, "no calibration of the meter"),
    ];
    let date = |text: Option<&str>| text.map(|text| Date::parse(text).unwrap());
    for (done, due, judged, mark) in cases {
        let mut story = ready();
        let statement = &mut story.record.instruments[0].calibration.statement;
        (statement.calibrated_on, statement.due_on) = (date(done), date(due));
        story.add(CONTRACTOR, Body::Reading(reading("296", "1.1")));
        assert_eq!(answer(&story, "calibration-installed"), Some(judged), "{done:?} {due:?}");
        assert_eq!(answer(&story, "calibration-stand"), Some(judged), "{done:?} {due:?}");
        let findings = findings(&story);
        let told = findings.readings[0].marks.iter().any(|told| told.contains(mark));
        assert!(told || mark.is_empty(), "{:?}", findings.readings[0].marks);
        let indicative = findings.readings[0].marks.iter().any(|told| told.contains("indicative"));
        assert_eq!(indicative, !mark.is_empty());
    }
}

#[test]
fn the_arresters_rule_is_judged_by_the_chain() {
    // Lowest static spark-over at least 1.5 times the peak of 315 W at SWR 1.5, which is
    // √(2 · 315 · 50) · 1.2 = 213 V before the losses of meter and jumper.
    let with_tube = |volts: &str| {
        let mut chain = ordinary();
        for part in &mut chain.parts {
            if let Spec::GasTubeArrester(arrester) = &mut part.spec {
                arrester.sparkover = typed(volts);
            }
        }
        let mut story = Story::opened(JobClass::Independent);
        story.chain(chain);
        answer(&story, "arrester-voltage")
    };
    assert_eq!(with_tube("600"), Some(Answer::Passed));
    assert_eq!(with_tube("230"), Some(Answer::Failed));
    let mut story = Story::opened(JobClass::Independent);
    assert_eq!(answer(&story, "arrester-voltage"), None, "no chain is not no arrester");
    let mut without = ordinary();
    without.parts.retain(|part| !matches!(part.spec, Spec::GasTubeArrester(_)));
    story.chain(without);
    assert_eq!(answer(&story, "arrester-voltage"), Some(Answer::NotApplicable));
}

#[test]
fn a_change_asks_for_its_cause_until_it_is_explained() {
    let mut story = ready();
    let worse = Reading { powers: powers("296", "100", ["500", "500"]), ..reading("296", "1") };
    let fact = story.add(CONTRACTOR, Body::Reading(worse));
    assert_eq!(answer(&story, "change-explained"), None);
    let explanation = Explanation {
        reading: fact,
        cause: "a guy wire".to_owned(),
        checked: "moved it".to_owned(),
    };
    let explained = story.add(CONTRACTOR, Body::Explanation(explanation));
    assert_eq!(answer(&story, "change-explained"), Some(Answer::Passed));
    story.correct(ENGINEER, explained, "it was not that", Body::Withdrawal);
    assert_eq!(answer(&story, "change-explained"), None);
    // Without a setting from the stand there is nothing to compare with.
    let chosen = last(&story, |body| matches!(body, Body::Trial(_)));
    story.correct(CONTRACTOR, chosen, "typed twice", Body::Withdrawal);
    assert_eq!(answer(&story, "change-explained"), Some(Answer::NotShown));
}

#[test]
fn rf_before_its_gate_stays_said_and_each_time_needs_its_own_concession() {
    let mut story = Story::through(JobClass::Independent, Stage::Mast);
    let early = Reading { out_of_sequence: Some("by mistake".to_owned()), ..reading("30", "0.2") };
    story.add(CONTRACTOR, Body::Reading(early.clone()));
    story.add(CONTRACTOR, Body::Reading(reading("296", "1.1")));
    assert_eq!(answer(&story, "rf-sequence"), Some(Answer::Failed));
    let granted = answered("rf-sequence", Answer::UnderConcession, "nobody was there");
    story.add(MANAGER, Body::Answer(granted));
    assert_eq!(answer(&story, "rf-sequence"), Some(Answer::UnderConcession));
    let second = story.add(CONTRACTOR, Body::Reading(early));
    assert_eq!(answer(&story, "rf-sequence"), Some(Answer::Failed));
    story.correct(CONTRACTOR, second, "was not RF at all", Body::Withdrawal);
    assert_eq!(answer(&story, "rf-sequence"), Some(Answer::UnderConcession));
}

#[test]
fn a_concession_covers_what_it_was_granted_on_and_strikes_nothing() {
    let concede = |story: &mut Story, item: &str| {
        story.add(MANAGER, Body::Answer(answered(item, Answer::UnderConcession, "for now")))
    };
    let mut story = ready();
    let old = story.value("ground-resistance", "14");
    concede(&mut story, "ground-resistance");
    assert_eq!(answer(&story, "ground-resistance"), Some(Answer::UnderConcession));
    assert_eq!(evidence(&story, "ground-resistance"), "14 Ω, limit at most 10 Ω; for now");
    let worse = story.value("ground-resistance", "140");
    story.strike(worse, old, "misread");
    assert_eq!(answer(&story, "ground-resistance"), Some(Answer::Failed));
    assert!(evidence(&story, "ground-resistance").contains("granted on other facts"));
    concede(&mut story, "ground-resistance");
    assert_eq!(answer(&story, "ground-resistance"), Some(Answer::UnderConcession));
    // The record's own answers likewise, by the revisions beneath them.
    let mut chain = ordinary();
    chain.parts.iter_mut().for_each(|part| {
        if let Spec::GasTubeArrester(arrester) = &mut part.spec {
            arrester.sparkover = typed("230");
        }
    });
    chain.revision_uuid = Uuid::from_u128(0x77);
    story.chain(chain.clone());
    concede(&mut story, "arrester-voltage");
    assert_eq!(answer(&story, "arrester-voltage"), Some(Answer::UnderConcession));
    story.chain(Chain { revision_uuid: Uuid::from_u128(0x78), ..chain });
    assert_eq!(answer(&story, "arrester-voltage"), Some(Answer::Failed));
    // What passes, does not apply or is put off stays so.
    let mut story = ready();
    concede(&mut story, "ground-resistance");
    assert_eq!(answer(&story, "ground-resistance"), Some(Answer::Passed));
    // What was never answered goes on under it.
    let mut story = Story::opened(JobClass::Independent);
    concede(&mut story, "ground-kits");
    assert_eq!(answer(&story, "ground-kits"), Some(Answer::UnderConcession));
    assert_eq!(evidence(&story, "ground-kits"), "for now");
}

#[test]
fn a_correction_keeps_its_trials_number_and_its_choice() {
    let mut story = Story::through(JobClass::Independent, Stage::Authority);
    story.add(CONTRACTOR, Body::StandSetup(setup()));
    let first = story.add(CONTRACTOR, Body::Trial(trial("720", "4.0", "0.06")));
    story.add(CONTRACTOR, Body::Trial(trial("715", "4.0", "0.05")));
    story.add(CONTRACTOR, Body::ChosenSetting(ChosenSetting { trial: first }));
    let second = story.correct(CONTRACTOR, first, "x", Body::Trial(trial("719", "4.0", "0.06")));
    let third = story.correct(ENGINEER, second, "y", Body::Trial(trial("718", "4.0", "0.06")));
    let numbers: Vec<(usize, bool)> =
        story.record.trials().iter().map(|one| (one.number, one.struck_by.is_some())).collect();
    assert_eq!(numbers, [(1, true), (2, false), (1, true), (1, false)]);
    let (_, chosen) = story.record.chosen().unwrap();
    assert_eq!((chosen.fact.uuid, chosen.number), (third, 1));
    assert_eq!(findings(&story).stand.chosen, Some(third));
    story.correct(ENGINEER, third, "not of this antenna", Body::Withdrawal);
    assert!(story.record.chosen().is_none());
    assert_eq!(answer(&story, "stand-swr"), None);
    assert_eq!(answer(&story, "calibration-stand"), None);
}

#[test]
fn the_reading_that_counts_is_the_one_measured_last() {
    let mut story = ready();
    let first = story.add(CONTRACTOR, Body::Reading(reading("290", "1.1")));
    let second = story.add(CONTRACTOR, Body::Reading(reading("296", "1.1")));
    assert_eq!(story.record.installed().unwrap().0.uuid, second);
    // A late correction of the earlier one does not make it the later one.
    let measured = story.record.fact(first).unwrap().measured;
    let mended = story.correct(CONTRACTOR, first, "x", Body::Reading(reading("291", "1.1")));
    let fact = story.record.facts.iter_mut().find(|fact| fact.uuid == mended).unwrap();
    fact.measured = measured;
    assert_eq!(story.record.installed().unwrap().0.uuid, second);
    story.correct(CONTRACTOR, second, "x", Body::Withdrawal);
    assert_eq!(story.record.installed().unwrap().0.uuid, mended);
}

#[test]
fn a_gate_lapses_with_each_thing_beneath_it_and_with_nothing_else() {
    type Change = fn(&mut Story);
    let cases: [(Stage, bool, Change); 10] = [
        (Stage::Authority, true, |story| {
            let old = story.record.answered("stand-supply").unwrap().0.uuid;
            let again = answered("stand-supply", Answer::Passed, "seen again");
            story.correct(CONTRACTOR, old, "x", Body::Answer(again));
        }),
        (Stage::Authority, true, |story| {
            let old = story.record.answered("stand-supply").unwrap().0.uuid;
            story.correct(CONTRACTOR, old, "x", Body::Withdrawal);
        }),
        (Stage::Stand, true, |story| {
            let old = last(story, |body| matches!(body, Body::StandSetup(_)));
            let mended = StandSetup { jumper_loss: typed("0.3"), ..setup() };
            story.correct(CONTRACTOR, old, "x", Body::StandSetup(mended));
        }),
        (Stage::Stand, true, |story| {
            let other = story.record.trials()[2].fact.uuid;
            story.add(CONTRACTOR, Body::ChosenSetting(ChosenSetting { trial: other }));
        }),
        // A trial more, and a correction of one that was not chosen.
        (Stage::Stand, false, |story| {
            story.add(CONTRACTOR, Body::Trial(trial("700", "4.0", "0.2")));
            let other = story.record.trials()[1].fact.uuid;
            story.correct(CONTRACTOR, other, "x", Body::Withdrawal);
        }),
        (Stage::Mast, true, |story| {
            let mut later = story.record.assignments[0].clone();
            later.revision_uuid = Uuid::from_u128(0x99);
            story.record.assignments.push(later);
        }),
        (Stage::ColdTests, true, |story| {
            story.chain(Chain { revision_uuid: Uuid::from_u128(0x98), ..ordinary() });
        }),
        (Stage::Stand, false, |story| {
            story.chain(Chain { revision_uuid: Uuid::from_u128(0x98), ..ordinary() });
        }),
        (Stage::RfOn, true, |story| {
            story.add(CONTRACTOR, Body::Reading(reading("297", "1.1")));
        }),
        // What a newer program says in other words.
        (Stage::RfOn, false, |story| {
            story.record.profile.items.iter_mut().for_each(|item| item.text.push('!'));
        }),
    ];
    for (index, (stage, lapses, change)) in cases.into_iter().enumerate() {
        let mut story = Story::declared(JobClass::Independent);
        assert_eq!(gate(&story, stage), (true, false));
        assert_eq!(findings(&story).progress, Progress::Declared);
        change(&mut story);
        assert_eq!(gate(&story, stage), (!lapses, lapses), "case {index}");
        let declared = findings(&story).progress == Progress::Declared;
        assert!(!(lapses && declared), "case {index}: the declaration stands on a lapsed gate");
    }
}

#[test]
fn a_release_of_own_work_stands_only_while_the_job_is_single_handed() {
    let mut story = Story::declared(JobClass::SingleHanded);
    assert_eq!(findings(&story).progress, Progress::Declared);
    story.add(MANAGER, Body::Independence(JobClass::Remote));
    assert_eq!(gate(&story, Stage::Authority), (false, true));
    assert_eq!(findings(&story).progress, Progress::Open(Stage::Authority));
    story.add(MANAGER, Body::Independence(JobClass::SingleHanded));
    assert_eq!(findings(&story).progress, Progress::Declared);
    let mut story = Story::declared(JobClass::Independent);
    story.add(MANAGER, Body::Independence(JobClass::SingleHanded));
    assert_eq!(findings(&story).progress, Progress::Declared);
}

#[test]
fn a_job_goes_on_from_the_first_gate_that_is_shut() {
    for &stage in Stage::ALL {
        let Some(before) = stage.before() else { continue };
        let story = Story::through(JobClass::Independent, before);
        assert_eq!(findings(&story).progress, Progress::Open(stage));
    }
    let mut story = Story::declared(JobClass::Independent);
    story.add(MANAGER, Body::Return("signs are missing".to_owned()));
    assert_eq!(findings(&story).progress, Progress::Returned(Stage::HandOver));
    let old = story.record.answered("bonding").unwrap().0.uuid;
    let worse = story.value("bonding", "140");
    story.strike(worse, old, "x");
    assert_eq!(findings(&story).progress, Progress::Returned(Stage::ColdTests));
    let better = story.value("bonding", "14");
    story.strike(better, worse, "x");
    story.release(ENGINEER, Stage::ColdTests, Manner::Independent, "");
    story.declare(CONTRACTOR, "done");
    assert_eq!(findings(&story).progress, Progress::Declared);
    assert!(story.record.returned().is_none());
    story.add(MANAGER, Body::Acceptance(String::new()));
    assert_eq!(findings(&story).progress, Progress::Accepted);
}

#[test]
fn the_record_of_an_instant_holds_what_was_entered_by_then() {
    let story = ready();
    let first = &story.record.facts[3];
    let then = story.record.entered_by(first.entered_at);
    assert_eq!(then.facts.len(), 4);
    assert_eq!(Findings::of(&then, story.now()).progress, Progress::Open(Stage::Authority));
    assert_eq!(story.record.entered_by(story.now()).facts, story.record.facts);
}

#[test]
fn findings_come_back_from_their_json_number_for_number() {
    for dossier in [emptiest(), longest(false), longest(true)] {
        let json = serde_json::to_string(&dossier.findings).unwrap();
        assert_eq!(serde_json::from_str::<Findings>(&json).unwrap(), dossier.findings);
        assert!(!json.contains("null]") && !json.contains("NaN"));
    }
}

#[test]
fn an_answer_left_for_later_names_who_and_when() {
    let mut story = ready();
    let left = Answered {
        owner: "Ines Café".to_owned(),
        due_on: Some(Date::parse("2031-05-01").unwrap()),
        ..answered("signs-and-locks", Answer::Deferred, "painted in spring")
    };
    story.add(CONTRACTOR, Body::Answer(left));
    assert_eq!(
        evidence(&story, "signs-and-locks"),
        "painted in spring; owner Ines Café, by 1 May 2031"
    );
}

#[test]
fn a_reading_without_its_instrument_says_nothing_of_itself() {
    let mut story = ready();
    story.record.instruments.clear();
    story.add(CONTRACTOR, Body::Reading(reading("296", "1.1")));
    let findings = findings(&story);
    assert!(findings.readings[0].at_meter.is_none());
    for item in ["installed-swr", "power"] {
        assert_eq!(findings.item(item).unwrap().answer, Some(Answer::NotShown), "{item}");
    }
    assert_eq!(findings.item("calibration-installed").unwrap().answer, None);
    assert_eq!(meter().calibration.statement.ranges.len(), 4);
    let mut story = ready();
    let odd = Reading { powers: powers("9", "0.1", ["10", "1"]), ..reading("9", "0.1") };
    story.add(CONTRACTOR, Body::Reading(odd));
    let findings = Findings::of(&story.record, story.now());
    assert!(findings.readings[0].marks.contains(&"the instrument has no such range".to_owned()));
    assert!(last_reading(&story) == findings.readings[0].fact);
}
