//! Each figure inside, outside and at the edge of its tolerance, unknown, and told in another way.

use crate::equipment::model::tests::typed;
use crate::jobs::findings::{BuiltRow, BuiltWhat, Findings};
use crate::jobs::model::{Answer, Body, JobClass};
use crate::jobs::samples::{CONTRACTOR, Story};
use crate::measurements::model::{
    AsBuilt, BuiltBearing, BuiltFrequency, BuiltHeight, BuiltPosition, HeightMethod, North,
    PositionMethod,
};
use crate::profiles::model::Stage;
use crate::sites::model::{Datum, Licensed, Polarization, Position};

pub(crate) fn nothing() -> AsBuilt {
    AsBuilt {
        height: None,
        position: None,
        polarization: None,
        bays: None,
        bearing: None,
        frequency: None,
        note: String::new(),
    }
}

fn position(latitude: &str, longitude: &str, datum: Datum) -> Position {
    Position { latitude: typed(latitude), longitude: typed(longitude), datum }
}

/// A job whose licence says everything.
fn licensed() -> Story {
    let mut story = Story::through(JobClass::Independent, Stage::Stand);
    let last = story.record.assignments.len() - 1;
    story.record.assignments[last].particulars.licensed = Licensed {
        position: Some(position("41.20340", "-8.10070", Datum::Wgs84)),
        bays: Some(1),
        bearing: Some(typed("220")),
        ..Licensed::default()
    };
    story
}

fn row_after(built: AsBuilt, what: BuiltWhat) -> BuiltRow {
    let mut story = licensed();
    story.add(CONTRACTOR, Body::AsBuilt(built));
    Findings::of(&story.record, story.now()).built.unwrap().row(what).unwrap().clone()
}

fn height(metres: &str, method: HeightMethod) -> AsBuilt {
    AsBuilt { height: Some(BuiltHeight { height: typed(metres), method }), ..nothing() }
}

fn stands(latitude: &str, longitude: &str, datum: Datum, method: PositionMethod) -> AsBuilt {
    let position = position(latitude, longitude, datum);
    AsBuilt { position: Some(BuiltPosition { position, method, accuracy: None }), ..nothing() }
}

fn points(bearing: &str, north: North, declination: Option<&str>) -> AsBuilt {
    let declination = declination.map(typed);
    AsBuilt {
        bearing: Some(BuiltBearing { bearing: typed(bearing), north, declination }),
        ..nothing()
    }
}

fn carrier(megahertz: &str) -> AsBuilt {
    let method = "counter".to_owned();
    AsBuilt { frequency: Some(BuiltFrequency { frequency: typed(megahertz), method }), ..nothing() }
}

#[test]
fn a_height_is_within_a_metre_or_not() {
    // 31.5 m are authorised, 1 m is the profile's room.
    for (metres, answer) in [
        ("31.5", Answer::Passed),
        ("32.5", Answer::Passed),
        ("30,5", Answer::Passed),
        ("32.51", Answer::Failed),
        ("14", Answer::Failed),
    ] {
        let row = row_after(height(metres, HeightMethod::Tape), BuiltWhat::Height);
        assert_eq!(row.answer, Some(answer), "{metres}: {row:?}");
    }
    let low = row_after(height("14", HeightMethod::Laser), BuiltWhat::Height);
    assert_eq!(low.verdict, "check the height: 17.5 m below");
    let drawn = row_after(height("31.5", HeightMethod::Drawing), BuiltWhat::Height);
    assert_eq!((drawn.answer, drawn.point_within), (Some(Answer::NotShown), true));
}

#[test]
fn a_position_lies_within_a_second_of_arc_by_the_ellipsoid() {
    let at = |latitude: &str, longitude: &str| {
        row_after(
            stands(latitude, longitude, Datum::Wgs84, PositionMethod::Averaged),
            BuiltWhat::Position,
        )
    };
    assert_eq!(at("41.20340", "-8.10070").answer, Some(Answer::Passed));
    // 0.001° of latitude at 41.2° is 111.06 m on WGS 84 (geographiclib 2.1).
    let north = at("41.20440", "-8.10070");
    assert_eq!(north.answer, Some(Answer::Failed));
    assert_eq!(north.difference, "111 m at 0°");
    // One decimal less leaves the question open: 0.001° is rounded to ± 70 m.
    let rough = at("41.203", "-8.101");
    assert_eq!(rough.answer, Some(Answer::NotShown), "{rough:?}");
    let map = stands("41.20340", "-8.10070", Datum::Wgs84, PositionMethod::Map);
    let map = row_after(map, BuiltWhat::Position);
    assert_eq!((map.answer, map.point_within), (Some(Answer::NotShown), true));
    let other = stands("41.20340", "-8.10070", Datum::Other, PositionMethod::Survey);
    let other = row_after(other, BuiltWhat::Position);
    assert_eq!((other.answer, other.point_within), (Some(Answer::NotShown), false));
    assert!(other.verdict.contains("convert to WGS 84"), "{}", other.verdict);
}

#[test]
fn a_bearing_counts_from_true_north() {
    let cases = [
        (points("222", North::True, None), Some(Answer::Passed)),
        (points("222", North::Magnetic, Some("-2")), Some(Answer::Passed)),
        (points("222", North::Magnetic, Some("6")), Some(Answer::Failed)),
        (points("220", North::Magnetic, None), Some(Answer::NotShown)),
    ];
    for (built, answer) in cases {
        assert_eq!(row_after(built.clone(), BuiltWhat::Bearing).answer, answer, "{built:?}");
    }
}

#[test]
fn a_frequency_is_within_two_kilohertz_as_far_as_it_was_written() {
    // 47 CFR 73.1545(b): ± 2000 Hz above 10 W; 98.4 MHz is authorised.
    for (megahertz, answer) in [
        ("98.400000", Answer::Passed),
        ("98.4015", Answer::Passed),
        ("98.40201", Answer::Failed),
        ("98.4", Answer::NotShown),
        ("98.3", Answer::Failed),
    ] {
        let row = row_after(carrier(megahertz), BuiltWhat::Frequency);
        assert_eq!(row.answer, Some(answer), "{megahertz}: {row:?}");
    }
    // The reading's frequency is what the transmitter was set to: not measured.
    let story = Story::through(JobClass::Independent, Stage::RfOn);
    let findings = Findings::of(&story.record, story.now());
    let set = findings.built.as_ref().unwrap().row(BuiltWhat::Frequency).unwrap();
    assert_eq!((set.answer, set.point_within), (Some(Answer::NotShown), true));
}

#[test]
fn bays_and_plane_are_counted_and_seen() {
    let bays = |bays| row_after(AsBuilt { bays: Some(bays), ..nothing() }, BuiltWhat::Bays);
    assert_eq!(bays(1).answer, Some(Answer::Passed));
    let two = bays(2);
    assert_eq!((two.answer, two.difference.as_str()), (Some(Answer::Failed), "+1"));
    let plane = |plane| {
        let built = AsBuilt { polarization: Some(plane), ..nothing() };
        row_after(built, BuiltWhat::Polarization).answer
    };
    assert_eq!(plane(Polarization::Vertical), Some(Answer::Passed));
    assert_eq!(plane(Polarization::Horizontal), Some(Answer::Failed));
}

#[test]
fn what_was_not_measured_is_said_and_differences_come_first() {
    let story = licensed();
    let finding = Findings::of(&story.record, story.now()).built.unwrap();
    assert!(finding.rows.iter().all(|row| row.verdict == "not measured"), "{finding:?}");
    assert!(finding.headline.starts_with("Not measured yet: "), "{}", finding.headline);
    let mut story = licensed();
    story.add(CONTRACTOR, Body::AsBuilt(height("31.4", HeightMethod::Tape)));
    let wrong = AsBuilt { polarization: Some(Polarization::Horizontal), ..nothing() };
    story.add(CONTRACTOR, Body::AsBuilt(wrong));
    let finding = Findings::of(&story.record, story.now()).built.unwrap();
    assert_eq!(finding.rows[0].what, BuiltWhat::Polarization);
    assert_eq!(finding.rows.last().unwrap().what, BuiltWhat::Height);
    assert_eq!(finding.headline, "Check what differs from the authorised: polarization.");
    // A later entry that does not say the height leaves the earlier one standing.
    assert_eq!(finding.row(BuiltWhat::Height).unwrap().answer, Some(Answer::Passed));
}

#[test]
fn nothing_authorised_is_no_difference() {
    let mut story = Story::through(JobClass::Independent, Stage::Stand);
    story.add(CONTRACTOR, Body::AsBuilt(AsBuilt { bays: Some(3), ..nothing() }));
    let finding = Findings::of(&story.record, story.now()).built.unwrap();
    let bays = finding.row(BuiltWhat::Bays).unwrap();
    assert_eq!((bays.answer, bays.open()), (None, false));
    assert_eq!(bays.built, "3");
    assert_eq!(bays.verdict, "nothing authorised is on the record");
}

#[test]
fn the_value_of_the_profiles_item_is_a_height_too() {
    let mut story = licensed();
    story.add(CONTRACTOR, Body::AsBuilt(height("14", HeightMethod::Tape)));
    story.value("centre-height", "31.6");
    let finding = Findings::of(&story.record, story.now()).built.unwrap();
    let row = finding.row(BuiltWhat::Height).unwrap();
    assert_eq!(row.answer, Some(Answer::Passed), "{row:?}");
    assert!(row.built.starts_with("31.6 m"));
}
