//! An ordinary chain for tests, and what holds of any chain.

use uuid::Uuid;

use crate::clock::Utc;
use crate::equipment::model::*;
use crate::rf::quantity::{Quantity, Typed};

pub(crate) fn typed<Q: Quantity>(text: &str) -> Typed<Q> {
    Typed::parse(text).unwrap()
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
    }
}

pub(crate) fn dipole() -> HalfWaveDipole {
    HalfWaveDipole {
        setting: Setting::Adjustable,
        element_diameter: typed("16"),
        shortest: typed("640"),
        longest: typed("820"),
        matching: Matching::Section,
        gain: typed("0"),
        dc_state: DcState::Short,
        rated_power: Some(typed("500")),
        height: typed("31.5"),
        spacing: Some(typed("1.2")),
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
    }
}

/// Transmitter, meter, jumper, arrester, 30 m of feed line, connectors, antenna.
pub(crate) fn ordinary() -> Chain {
    chain_of(vec![
        Spec::Transmitter(Transmitter { rated_power: typed("300") }),
        Spec::DirectionalMeter(DirectionalMeter { loss: typed("0.05") }),
        Spec::Jumper(Line {
            cable: "rg-213".to_owned(),
            length: typed("2"),
            conductor_loss: typed("0.56764"),
            dielectric_loss: typed("0.0049646"),
            tolerance: typed("12"),
            velocity_factor: typed("0.66"),
            worst_swr: typed("1.05"),
            source: "catalogue table".to_owned(),
        }),
        Spec::GasTubeArrester(GasTubeArrester {
            sparkover: typed("600"),
            tolerance: typed("20"),
            rated_power: Some(typed("700")),
            loss: typed("0.1"),
            worst_swr: typed("1.1"),
        }),
        Spec::FeedLine(half_inch("30")),
        Spec::Connectors(Connectors { count: 4, loss: typed("0.12"), worst_swr: typed("1.06") }),
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
