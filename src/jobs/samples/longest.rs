//! The longest job: every kind of fact, every answer, corrections and withdrawals, lapsed releases, two
//! revisions of chain and assignment, markup and signs of all kinds in what people typed.

use uuid::Uuid;

use crate::clock::Date;
use crate::equipment::model::tests::{ordinary, typed};
use crate::equipment::model::{Chain, Spec};
use crate::instruments::model::{Calibration, Instrument, Statement};
use crate::jobs::dossier::Dossier;
use crate::jobs::model::{Answer, Answered, Body, JobClass, Manner, Neighbour};
use crate::jobs::samples::{
    CONTRACTOR, ENGINEER, MANAGER, Story, answered, meter, powers, reading, setup, trial,
};
use crate::measurements::model::{
    Area, AsBuilt, BuiltBearing, BuiltFrequency, BuiltHeight, BuiltPosition, ChosenSetting,
    Explanation, ExposureSurvey, HeightMethod, North, PositionMethod, Reading, StandSetup,
    SurveyPoint, Weather,
};
use crate::profiles::model::Stage;
use crate::sites::model::{Datum, Licensed, Polarization, Position};

/// Markup, a sign that no font here has, signs that all have.
const ODD: &str = "<b onclick=\"x\">Gull & Head</b> “é Ω λ ≤ 1.5” 📡";

fn long_note() -> String {
    format!(
        "{ODD}. {}",
        "A note that goes on about what was seen on the mast that day. ".repeat(60)
    )
}

fn long_word() -> String {
    "unbreakable".repeat(18)
}

/// The longest job, in work after a return or accepted.
pub(crate) fn longest(accepted: bool) -> Dossier {
    let mut story = Story::opened(JobClass::Independent);
    name_oddly(&mut story);
    story.chain(ordinary());
    stand(&mut story);
    story.stage(Stage::Authority);
    story.release(ENGINEER, Stage::Authority, Manner::Independent, ODD);
    story.release(ENGINEER, Stage::Stand, Manner::Independent, "");
    story.add(MANAGER, Body::Independence(JobClass::Remote));
    mast(&mut story);
    story.add(MANAGER, Body::Independence(JobClass::SingleHanded));
    revised(&mut story);
    installed(&mut story);
    built(&mut story);
    for stage in [Stage::Authority, Stage::Stand, Stage::Mast, Stage::ColdTests, Stage::RfOn] {
        story.release(CONTRACTOR, stage, Manner::SingleHanded, &long_note());
    }
    hand_over(&mut story);
    story.declare(CONTRACTOR, &long_note());
    story.add(MANAGER, Body::Return(format!("The signs are missing. {ODD}")));
    if accepted {
        story.declare(CONTRACTOR, "Signs are up.");
        return story.accepted(MANAGER, &long_note());
    }
    story.live()
}

fn name_oddly(story: &mut Story) {
    let record = &mut story.record;
    record.site.name = format!("Gull Head with the long name of the old lighthouse station, {ODD}");
    record.site.code = "gull-head-lighthouse-old".to_owned();
    record.site.notes = long_note();
    for person in &mut record.people {
        person.name = format!("{} {ODD}", person.name);
        person.firm = format!("{} {}", person.firm, long_word());
    }
    record.instruments.push(unstated());
    record.instruments.push(meter());
    let particulars = &mut record.assignments[0].particulars;
    particulars.station_name = format!("Ternfold Radio {ODD} {}", long_word());
    particulars.call_sign = ODD.to_owned();
    particulars.licensed = Licensed {
        position: Some(place("-41,20345", Datum::Other)),
        bays: Some(12),
        bearing: Some(typed("220.5")),
        antenna: format!("twelve bays {ODD}"),
        reference: long_word(),
        expires_on: Some(Date::parse("2036-03-01").unwrap()),
    };
    let mut other = record.assignments[0].clone();
    other.number = 2;
    other.revision_uuid = Uuid::from_u128(0x1077);
    let chain = Some(ordinary());
    record.neighbours = vec![
        Neighbour { assignment: other.clone(), chain: None },
        Neighbour { assignment: other, chain },
    ];
}

fn place(latitude: &str, datum: Datum) -> Position {
    Position { latitude: typed(latitude), longitude: typed("-8.1007"), datum }
}

/// Everything that can be said of what was built, and surveys.
fn built(story: &mut Story) {
    let everything = AsBuilt {
        height: Some(BuiltHeight { height: typed("28.4"), method: HeightMethod::Theodolite }),
        position: Some(BuiltPosition {
            position: place("-41.2039", Datum::Nad83),
            method: PositionMethod::SingleFix,
            accuracy: Some(typed("4,5")),
        }),
        polarization: Some(Polarization::Mixed),
        bays: Some(11),
        bearing: Some(BuiltBearing {
            bearing: typed("359"),
            north: North::Magnetic,
            declination: Some(typed("-12.5")),
        }),
        frequency: Some(BuiltFrequency { frequency: typed("98.402300"), method: ODD.to_owned() }),
        note: long_note(),
    };
    let first = story.add(CONTRACTOR, Body::AsBuilt(everything.clone()));
    let again = AsBuilt { bays: Some(12), ..everything };
    story.correct(CONTRACTOR, first, ODD, Body::AsBuilt(again));
    let point = |number: u32| SurveyPoint {
        place: format!("point {number} {ODD}"),
        area: if number.is_multiple_of(2) { Area::Public } else { Area::Controlled },
        share: typed(&format!("{}.5", number * 19)),
    };
    let survey = ExposureSurvey {
        instrument: format!("field probe {}", long_word()),
        all_on: true,
        points: (1..=6).map(point).collect(),
        note: long_note(),
    };
    story.add(ENGINEER, Body::ExposureSurvey(survey));
}

/// A meter of which nothing is stated.
fn unstated() -> Instrument {
    let known = meter();
    Instrument {
        uuid: Uuid::from_u128(0x14),
        name: format!("meter {ODD}"),
        serial: long_word(),
        calibration: Calibration {
            uuid: Uuid::from_u128(0x15),
            statement: Statement {
                certificate: String::new(),
                calibrated_on: None,
                due_on: None,
                directivity: None,
                ..known.calibration.statement.clone()
            },
            ..known.calibration.clone()
        },
        ..known
    }
}

fn stand(story: &mut Story) {
    let first = story.add(CONTRACTOR, Body::StandSetup(setup()));
    let jumper = format!("jumper {}", long_word());
    let mended = StandSetup { jumper, supply_protected: false, note: long_note(), ..setup() };
    story.correct(CONTRACTOR, first, "the other jumper", Body::StandSetup(mended));
    let mut trials = Vec::new();
    for step in 0..24_u32 {
        let half = format!("{}.5", 700 + (step * 7) % 31);
        let reflected = format!("0.{:02}", 5 + (step * 11) % 50);
        trials.push(story.add(CONTRACTOR, Body::Trial(trial(&half, "4.0", &reflected))));
    }
    let everything = Body::Trial(trial("715", "0.9", "0.9"));
    let shorted = story.correct(CONTRACTOR, trials[3], &long_note(), everything);
    story.correct(ENGINEER, shorted, ODD, Body::Withdrawal);
    story.correct(CONTRACTOR, trials[7], "typed twice", Body::Withdrawal);
    let mut uneven = trial("712.25", "4,05", "0.05");
    uneven.lower = typed("719");
    uneven.powers.reflected_below = true;
    uneven.note = long_note();
    let kept = story.correct(CONTRACTOR, trials[20], "misread", Body::Trial(uneven));
    story.add(CONTRACTOR, Body::ChosenSetting(ChosenSetting { trial: trials[2] }));
    story.add(CONTRACTOR, Body::ChosenSetting(ChosenSetting { trial: kept }));
    let dc = answered("dc-state", Answer::NotApplicable, "no meter for it on that day");
    story.add(CONTRACTOR, Body::Answer(dc));
}

fn mast(story: &mut Story) {
    story.value("centre-height", "28.4");
    let failed = answered("ground-kits", Answer::Failed, "no kit at the foot");
    story.add(CONTRACTOR, Body::Answer(failed));
    let conceded = answered("ground-kits", Answer::UnderConcession, "until the second climb");
    let due_on = Some(Date::parse("2031-09-30").unwrap());
    let conceded = Answered { owner: ODD.to_owned(), due_on, ..conceded };
    story.add(MANAGER, Body::Answer(conceded));
    let height = answered("centre-height", Answer::UnderConcession, "the authority was asked");
    let height = Answered { due_on, ..height };
    story.add(MANAGER, Body::Answer(height));
    story.tick("joints-sealed", &long_note());
    let method = "two clamps on the ring, compared with last year’s".to_owned();
    let ground = answered("ground-resistance", Answer::Passed, "roof, no room for probes");
    story.add(CONTRACTOR, Body::Answer(Answered { method, ..ground }));
    story.value("bonding", "140");
    story.tick("arrester-fitted", "");
}

/// A second revision of chain and assignment, which lapses what rested on the first.
fn revised(story: &mut Story) {
    let before = story.record.chain().unwrap().clone();
    let mut parts = before.parts.clone();
    parts.remove(2);
    for part in &mut parts {
        part.designation = format!("{} {ODD}", part.designation);
        part.serial = long_word();
        if let Spec::GasTubeArrester(arrester) = &mut part.spec {
            arrester.sparkover = typed("350");
        }
    }
    story.chain(Chain {
        revision: 2,
        revision_uuid: Uuid::from_u128(0x1065),
        note: long_note(),
        entered_at: story.now(),
        parts,
        ..before
    });
    let mut later = story.record.assignment().unwrap().clone();
    later.revision = 2;
    later.revision_uuid = Uuid::from_u128(0x1033);
    later.entered_at = story.now();
    later.particulars.erp = typed("225.5");
    story.record.assignments.push(later);
}

fn installed(story: &mut Story) {
    story.tick("mast-clear", "");
    let early = Reading { out_of_sequence: Some(long_note()), ..reading("30", "2.5") };
    story.add(CONTRACTOR, Body::Reading(early));
    let mistaken = story.add(CONTRACTOR, Body::Reading(reading("290", "29")));
    let folding = Reading {
        fold_back: true,
        powers: powers("120", "20", ["500", "25"]),
        weather: Weather::Ice,
        others_off: Some(true),
        note: ODD.to_owned(),
        ..reading("120", "20")
    };
    story.correct(CONTRACTOR, mistaken, "the range was 25 W", Body::Reading(folding));
    // Everything comes back: behind the declared loss no antenna can do that.
    let fault = Reading { powers: powers("20", "20", ["25", "25"]), ..reading("20", "20") };
    story.add(CONTRACTOR, Body::Reading(fault));
    let mut bare = reading("296", "18");
    (bare.power_set, bare.power_made, bare.temperature) = (None, None, None);
    let counts = story.add(CONTRACTOR, Body::Reading(bare));
    let cause = format!("joint at the arrester {ODD}");
    let checked = long_note();
    let first = Explanation { reading: counts, cause: "water".to_owned(), checked: ODD.to_owned() };
    let first = story.add(CONTRACTOR, Body::Explanation(first));
    let second = Explanation { reading: counts, cause, checked };
    story.correct(CONTRACTOR, first, "found later", Body::Explanation(second));
}

fn hand_over(story: &mut Story) {
    let due_on = Some(Date::parse("2031-04-30").unwrap());
    let signs = answered("signs-and-locks", Answer::Deferred, &long_note());
    let signs = Answered { owner: format!("owner {ODD}"), due_on, ..signs };
    story.add(CONTRACTOR, Body::Answer(signs));
    story.tick("as-built-papers", ODD);
}
