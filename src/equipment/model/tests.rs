//! An ordinary chain for tests, and what holds of any chain.

use uuid::Uuid;

use crate::clock::Utc;
use crate::equipment::model::*;
use crate::rf::quantity::{Quantity, Typed};

pub(crate) fn typed<Q: Quantity>(text: &str) -> Typed<Q> {
    Typed::parse(text).unwrap()
}

pub(crate) fn rated(watts: &str) -> Rated {
    Rated { rated_power: Some(typed(watts)), rated_peak: None }
}

pub(crate) fn meter() -> DirectionalMeter {
    DirectionalMeter { loss: typed("0.05"), loss_tolerance: None, rated: rated("1000") }
}

pub(crate) fn joints() -> Connectors {
    Connectors {
        count: 4,
        loss: typed("0.12"),
        loss_tolerance: None,
        worst_swr: typed("1.06"),
        rated: rated("1000"),
    }
}

/// 600 V ± 20 %, rated 700 W.
pub(crate) fn tube() -> GasTubeArrester {
    GasTubeArrester {
        sparkover: typed("600"),
        tolerance: typed("20"),
        rated_power: Some(typed("700")),
        loss: typed("0.1"),
        loss_tolerance: None,
        worst_swr: typed("1.1"),
    }
}

/// 0.1 dB, SWR 1.1, rated 1 kW and 1 kV peak.
pub(crate) fn in_line() -> InLine {
    InLine {
        loss: typed("0.1"),
        loss_tolerance: None,
        worst_swr: typed("1.1"),
        rated: Rated { rated_power: Some(typed("1000")), rated_peak: Some(typed("1000")) },
    }
}

pub(crate) fn switch() -> Spec {
    Spec::ChangeoverSwitch(Switch { own: in_line() })
}

/// Inputs for 98.4 MHz, 0.3 dB, and 101.2 MHz, 0.5 dB; 30 dB between them; output 1 kW and 1 kV.
pub(crate) fn combiner() -> Combiner {
    let input = |frequency: &str, loss: &str| CombinerInput {
        frequency: typed(frequency),
        loss: typed(loss),
        rated_power: Some(typed("500")),
    };
    Combiner {
        inputs: vec![input("98.4", "0.3"), input("101.2", "0.5")],
        loss_tolerance: None,
        isolation: Some(typed("30")),
        worst_swr: typed("1.1"),
        rated: in_line().rated,
        dc: DcPath::Short,
    }
}

/// One part of each kind that stands in the line, besides those of [`ordinary`].
pub(crate) fn further() -> Vec<Spec> {
    vec![
        switch(),
        Spec::DummyLoad(DummyLoad { rated_power: Some(typed("300")), worst_swr: typed("1.05") }),
        Spec::Filter(Filter { own: in_line(), dc: DcPath::Open }),
        Spec::Combiner(combiner()),
        Spec::StubArrester(StubArrester { own: in_line() }),
        Spec::FilterArrester(FilterArrester { own: in_line(), dc: DcPath::Short }),
        Spec::Splitter(Splitter { ways: 2, own: in_line(), dc: DcPath::Through }),
        Spec::Choke(Choke { form: ChokeKind::Balun, own: in_line(), dc: DcPath::Through }),
    ]
}

/// Main transmitter with meter, reserve transmitter with meter, switch, dummy load, then as [`ordinary`].
pub(crate) fn reserve_head() -> Vec<Spec> {
    let mut specs: Vec<Spec> = ordinary().parts.into_iter().map(|part| part.spec).collect();
    let head = [
        specs[0].clone(),
        specs[1].clone(),
        switch(),
        Spec::DummyLoad(DummyLoad { rated_power: Some(typed("300")), worst_swr: typed("1.05") }),
    ];
    specs.splice(2..2, head);
    specs
}

/// 30 m of 1/2 in foam with the constants of the table of generic types.
pub(crate) fn half_inch(length: &str) -> Line {
    Line {
        cable: "foam-1-2".to_owned(),
        length: typed(length),
        conductor_loss: typed("0.21054"),
        dielectric_loss: typed("0.000628"),
        tolerance: typed("5"),
        velocity_factor: typed("0.88"),
        worst_swr: typed("1.06"),
        source: "catalogue table".to_owned(),
        rated: Rated::default(),
        pressure: None,
    }
}

pub(crate) fn dipole() -> HalfWaveDipole {
    HalfWaveDipole { element: halves(), matching: Matching::Section, plate: plate() }
}

pub(crate) fn halves() -> Element {
    Element {
        setting: Setting::Adjustable,
        element_diameter: typed("16"),
        shortest: typed("640"),
        longest: typed("820"),
    }
}

pub(crate) fn plate() -> Plate {
    Plate {
        gain: typed("0"),
        dc_state: DcState::Short,
        rated_power: Some(typed("500")),
        height: typed("31.5"),
        spacing: Some(typed("1.2")),
        polarization: None,
    }
}

/// One antenna of each kind, each as small stations use it at 98 MHz.
pub(crate) fn antennas() -> Vec<Spec> {
    let radiator = |shortest: &str, longest: &str| Element {
        element_diameter: typed("10"),
        shortest: typed(shortest),
        longest: typed(longest),
        ..halves()
    };
    let radials = || Radials { radials: 4, radial_length: typed("765") };
    vec![
        Spec::HalfWaveDipole(dipole()),
        Spec::FoldedDipole(FoldedDipole {
            element: halves(),
            conductor_spacing: typed("60"),
            matching: Matching::Section,
            strap: Some(SetBetween { least: typed("40"), most: typed("200") }),
            plate: plate(),
        }),
        Spec::GroundPlane(GroundPlane {
            element: radiator("620", "800"),
            radials: radials(),
            droop: SetBetween { least: typed("0"), most: typed("60") },
            plate: Plate { dc_state: DcState::Open, spacing: None, ..plate() },
        }),
        Spec::FiveEighths(FiveEighths {
            element: radiator("1800", "2000"),
            radials: radials(),
            matched_by: BaseMatch::Coil(SetBetween { least: typed("2"), most: typed("8") }),
            plate: Plate { spacing: None, ..plate() },
        }),
        Spec::MultiBay(MultiBay {
            bay: BayKind::VerticalDipole,
            bays: 4,
            bay_spacing: typed("2.6"),
            harness_loss: typed("0.3"),
            element: Some(halves()),
            plate: Plate { gain: typed("6"), ..plate() },
        }),
        Spec::FactoryTuned(FactoryTuned {
            shape: FactoryShape::Panel,
            bays: 2,
            extent: typed("4.2"),
            stated_swr: Some(typed("1.2")),
            plate: Plate { gain: typed("7"), ..plate() },
        }),
    ]
}

#[test]
fn each_kind_of_antenna_comes_back_from_its_json_and_says_what_is_declared() {
    for spec in antennas() {
        let json = serde_json::to_value(&spec).unwrap();
        assert_eq!(json["kind"], spec.kind());
        assert_eq!(serde_json::from_value::<Spec>(json).unwrap(), spec);
        let text = serde_json::to_string(&spec).unwrap();
        assert_eq!(serde_json::from_str::<Spec>(&text).unwrap(), spec);
        let declared = spec.declared();
        assert!(declared.iter().any(|(what, value)| *what == "rated power" && value == "500 W"));
        assert!(declared.iter().all(|(_, value)| !value.is_empty()), "{declared:?}");
        let antenna = spec.antenna().unwrap();
        assert_eq!(antenna.has_stand(), spec.kind() != "factory-tuned");
        let mut chain = ordinary();
        chain.parts.last_mut().unwrap().spec = spec.clone();
        assert_eq!(chain.antenna().unwrap().1, antenna);
    }
    let seconds: Vec<Option<Second>> = antennas()
        .iter()
        .map(|spec| spec.antenna().unwrap().second().map(SecondRange::what))
        .collect();
    let (strap, droop, coil) = (Second::Strap, Second::Droop, Second::Coil);
    assert_eq!(seconds, [None, Some(strap), Some(droop), Some(coil), None, None]);
}

/// As the first release stored a dipole: flat, without a word of what came later.
#[test]
fn a_dipole_stored_before_there_were_other_kinds_still_reads_and_is_written_alike() {
    let stored = r#"{"kind":"half-wave-dipole","setting":"adjustable","element_diameter":"16 mm","shortest":"640 mm","longest":"820 mm","matching":"section","gain":"0 dBd","dc_state":"short","rated_power":"500 W","height":"31.5 m","spacing":"1.2 m"}"#;
    let spec = serde_json::from_str::<Spec>(stored).unwrap();
    assert_eq!(spec, Spec::HalfWaveDipole(dipole()));
    assert_eq!(serde_json::to_string(&spec).unwrap(), stored);
    let bare = stored.replace(r#""500 W""#, "null").replace(r#""1.2 m""#, "null");
    let Spec::HalfWaveDipole(dipole) = serde_json::from_str(&bare).unwrap() else { panic!() };
    assert_eq!((dipole.plate.rated_power, dipole.plate.spacing), (None, None));
}

#[test]
fn an_antenna_is_as_high_as_its_bays_stand_apart() {
    let frequency = crate::rf::quantity::Megahertz::fixed(98.0);
    let extents: Vec<f64> =
        antennas().iter().map(|spec| spec.antenna().unwrap().extent(frequency).value()).collect();
    // By hand at λ = 3.0591 m: half a wavelength, five eighths, three gaps of 2.6 m and half a wavelength.
    for (extent, expected) in extents.iter().zip([1.530, 1.530, 1.530, 1.912, 9.330, 4.2]) {
        assert!((extent - expected).abs() < 0.001, "{extents:?}");
    }
}

pub(crate) fn chain_of(specs: Vec<Spec>) -> Chain {
    let parts = (1..)
        .zip(specs)
        .map(|(position, spec)| ChainPart {
            position,
            uuid: Uuid::from_u128(position.unsigned_abs().into()),
            designation: format!("part {position}"),
            serial: String::new(),
            spec,
        })
        .collect();
    Chain {
        revision_id: 0,
        chain_id: 0,
        uuid: Uuid::from_u128(100),
        revision_uuid: Uuid::from_u128(101),
        revision: 1,
        note: "as delivered".to_owned(),
        entered_at: Utc::from_seconds(1_930_000_000),
        parts,
        others: Vec::new(),
    }
}

/// Transmitter, meter, jumper, arrester, 30 m of feed line, connectors, antenna.
pub(crate) fn ordinary() -> Chain {
    chain_of(vec![
        Spec::Transmitter(Transmitter { rated_power: typed("300") }),
        Spec::DirectionalMeter(meter()),
        Spec::Jumper(Line {
            cable: "rg-213".to_owned(),
            length: typed("2"),
            conductor_loss: typed("0.56764"),
            dielectric_loss: typed("0.0049646"),
            tolerance: typed("12"),
            velocity_factor: typed("0.66"),
            worst_swr: typed("1.05"),
            ..half_inch("2")
        }),
        Spec::GasTubeArrester(tube()),
        Spec::FeedLine(half_inch("30")),
        Spec::Connectors(joints()),
        Spec::HalfWaveDipole(dipole()),
    ])
}

#[test]
fn a_chain_comes_back_from_its_json_text_for_text() {
    let chain = ordinary();
    let json = serde_json::to_string(&chain).unwrap();
    assert_eq!(serde_json::from_str::<Chain>(&json).unwrap(), chain);
    let spec = serde_json::to_value(&chain.parts[4].spec).unwrap();
    assert_eq!(spec["kind"], "feed-line");
    assert_eq!(spec["length"], "30 m");
    assert_eq!(spec["conductor_loss"], "0.21054 dB");
    for part in &chain.parts {
        let text = serde_json::to_string(&part.spec).unwrap();
        assert_eq!(serde_json::from_str::<Spec>(&text).unwrap(), part.spec);
        assert_eq!(serde_json::to_value(&part.spec).unwrap()["kind"], part.spec.kind());
    }
}

#[test]
fn further_parts_come_back_from_their_json_and_say_what_is_declared() {
    for spec in further() {
        let json = serde_json::to_value(&spec).unwrap();
        assert_eq!(json["kind"], spec.kind());
        assert_eq!(serde_json::from_value::<Spec>(json).unwrap(), spec);
        assert!(!spec.declared().is_empty());
        assert!(spec.declared().iter().all(|(_, value)| !value.is_empty()));
    }
    let mut line = half_inch("30");
    line.pressure = Some(Pressure { least: typed("20"), greatest: typed("35") });
    let spec = Spec::FeedLine(line);
    let text = serde_json::to_string(&spec).unwrap();
    assert_eq!(serde_json::from_str::<Spec>(&text).unwrap(), spec);
    assert!(spec.declared().contains(&("kept at a pressure of", "20 to 35 kPa".to_owned())));
}

/// As the first release stored them.
#[test]
fn parts_stored_before_ratings_were_asked_still_read() {
    for old in [
        r#"{"kind":"directional-meter","loss":"0.05 dB"}"#,
        r#"{"kind":"connectors","count":4,"loss":"0.12 dB","worst_swr":"1.06"}"#,
        r#"{"kind":"gas-tube-arrester","sparkover":"600 V","tolerance":"20 %","rated_power":null,"loss":"0.1 dB","worst_swr":"1.1"}"#,
        r#"{"kind":"feed-line","cable":"foam-1-2","length":"30 m","conductor_loss":"0.21054 dB","dielectric_loss":"0.000628 dB","tolerance":"5 %","velocity_factor":"0.88","worst_swr":"1.06","source":"table"}"#,
    ] {
        let spec: Spec = serde_json::from_str(old).unwrap();
        let again = serde_json::to_value(&spec).unwrap();
        assert_eq!(again, serde_json::from_str::<serde_json::Value>(old).unwrap());
    }
}

#[test]
fn the_way_leads_past_the_other_transmitter_and_the_load() {
    let chain = chain_of(reserve_head());
    let way = |from: i64| -> Vec<i64> {
        let on = chain.parts.iter().filter(|part| chain.on_way(from, part));
        on.map(|part| part.position).collect()
    };
    // 1 main, 2 its meter, 3 reserve, 4 its meter, 5 switch, 6 load, 7 jumper to 11 antenna.
    assert_eq!(way(1), [2, 5, 7, 8, 9, 10, 11]);
    assert_eq!(way(3), [4, 5, 7, 8, 9, 10, 11]);
    assert_eq!(way(5), [7, 8, 9, 10, 11]);
    assert_eq!((chain.leg(2), chain.leg(4), chain.leg(5)), (Some(1), Some(2), None));
    let transmitters: Vec<_> = chain.transmitters().collect();
    assert!(chain.feeds(transmitters[1], &chain.parts[5]));
    assert_eq!(ordinary().leg(2), None);
}

#[test]
fn a_dc_test_ends_at_the_first_short_or_gap() {
    let mut chain = ordinary();
    let seen = |chain: &Chain| {
        let seen = chain.dc_seen_from(5).unwrap();
        (seen.state, seen.by.position)
    };
    assert_eq!(seen(&chain), (DcState::Short, 7));
    chain.parts[5].spec =
        Spec::Choke(Choke { form: ChokeKind::Choke, own: in_line(), dc: DcPath::Through });
    assert_eq!(seen(&chain), (DcState::Short, 7));
    chain.parts[5].spec = Spec::Filter(Filter { own: in_line(), dc: DcPath::Open });
    assert_eq!(seen(&chain), (DcState::Open, 6));
    chain.parts[5].spec = Spec::StubArrester(StubArrester { own: in_line() });
    assert_eq!(seen(&chain), (DcState::Short, 6));
    chain.parts.truncate(5);
    assert!(chain.dc_seen_from(5).is_none());
}

#[test]
fn every_part_says_what_is_declared_of_it() {
    let chain = ordinary();
    let (_, line) = chain.feed_line().unwrap();
    let declared = Spec::FeedLine(line.clone()).declared();
    assert!(declared.contains(&("length", "30 m".to_owned())));
    assert!(declared[1].1.starts_with("0.21054 × √f + 0.000628 × f dB"));
    assert!(chain.parts.iter().all(|part| !part.spec.declared().is_empty()));
    assert_eq!(chain.parts[4].named(), "feed line, part 5");
}

#[test]
fn changes_name_what_was_added_removed_replaced_and_declared_anew() {
    let before = ordinary();
    assert_eq!(changes(&before, &before), []);
    let mut after = before.clone();
    after.parts.remove(2);
    let mut line = half_inch("34");
    line.tolerance = typed("5");
    after.parts[3].spec = Spec::FeedLine(line);
    after.parts.last_mut().unwrap().uuid = Uuid::from_u128(77);
    let shown: Vec<String> = changes(&before, &after).iter().map(Change::shown).collect();
    assert_eq!(
        shown,
        [
            "removed: jumper, part 3",
            "removed: half-wave dipole, part 7",
            "feed line, part 5: length was 30 m, is 34 m",
            "added: half-wave dipole, part 7",
        ]
    );
}

#[test]
fn a_part_that_changes_places_is_said_to_have_moved() {
    let before = ordinary();
    let mut after = before.clone();
    after.parts.swap(2, 3);
    let moved = changes(&before, &after);
    assert!(moved.contains(&Change::Moved { part: "arrester, gas tube, part 4".to_owned() }));
    assert!(moved.iter().all(|change| matches!(change, Change::Moved { .. })));
}

#[test]
fn the_same_piece_is_told_by_kind_designation_and_serial() {
    let chain = ordinary();
    let draft = PartDraft {
        designation: "part 5".to_owned(),
        serial: String::new(),
        spec: Spec::FeedLine(half_inch("99")),
    };
    assert!(draft.is_same_piece(&chain.parts[4]));
    assert!(!PartDraft { serial: "7".to_owned(), ..draft.clone() }.is_same_piece(&chain.parts[4]));
    let other = PartDraft { spec: Spec::Jumper(half_inch("99")), ..draft };
    assert!(!other.is_same_piece(&chain.parts[4]));
}
