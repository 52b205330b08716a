//! The form of an ordinary chain against the chain it holds.

use crate::clock::{Clock, Utc};
use crate::equipment::form::*;
use crate::equipment::model::tests::{antennas, dipole, ordinary, plate, typed};
use crate::equipment::model::{ChainPart, HalfWaveDipole, Plate};

fn empty() -> Fields {
    Fields::empty(&Clock::held(Utc::from_seconds(1_930_000_000)))
}

/// An ordinary chain's fields, some of them sent otherwise.
fn sent(changes: &[(&str, &str)]) -> Fields {
    let mut fields = empty();
    for (name, value) in changes {
        // The first value of a name counts.
        fields = fields.with(name, value);
    }
    filled(fields, &ordinary()).with("note", "arrester replaced after a storm")
}

fn refused(changes: &[(&str, &str)]) -> Fields {
    draft(&sent(changes)).unwrap_err()
}

#[test]
fn an_unchanged_form_gives_the_chain_back() {
    let chain = ordinary();
    let back = draft(&sent(&[])).unwrap();
    assert_eq!(back.base, 1);
    assert_eq!(back.parts.len(), chain.parts.len());
    for (draft, part) in back.parts.iter().zip(&chain.parts) {
        assert!(draft.is_same_piece(part));
        let told = |spec: &Spec| -> Vec<_> {
            spec.declared().into_iter().filter(|(what, _)| *what != "source").collect()
        };
        assert_eq!(told(&draft.spec), told(&part.spec));
    }
}

#[test]
fn a_table_cable_brings_its_constants_and_its_name() {
    let back = draft(&sent(&[
        ("feed_line_cable", "foam-7-8"),
        ("feed_line_designation", ""),
        ("feed_line_conductor_db", "9"),
    ]))
    .unwrap();
    let Spec::FeedLine(line) = &back.parts[4].spec else { panic!("no feed line") };
    assert_eq!(back.parts[4].designation, "7/8 in foam corrugated");
    assert_eq!(line.conductor_loss.text(), "0.11431");
    assert_eq!(line.dielectric_loss.text(), "0.000499");
    assert_eq!(line.tolerance.text(), "5");
    assert_eq!(line.velocity_factor.text(), "0.89");
    assert!(line.source.contains("catalogue table"));
    // Every type of the table can be chosen.
    for (key, _) in cables().iter().filter(|(key, _)| !key.is_empty() && key != OWN_CABLE) {
        assert!(draft(&sent(&[("feed_line_cable", key)])).is_ok(), "{key}");
    }
}

#[test]
fn own_constants_need_all_their_fields_and_a_source() {
    let fields = refused(&[("feed_line_cable", "own"), ("feed_line_designation", "")]);
    let without: Vec<&str> = fields.errors().iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(
        without,
        [
            "feed_line_designation",
            "feed_line_conductor_db",
            "feed_line_dielectric_db",
            "feed_line_tolerance_percent",
            "feed_line_velocity",
            "feed_line_source",
        ]
    );
    let own = [
        ("feed_line_cable", "own"),
        ("feed_line_conductor_db", "0.217"),
        ("feed_line_dielectric_db", "0"),
        ("feed_line_tolerance_percent", "10"),
        ("feed_line_velocity", "0.88"),
        ("feed_line_source", "data sheet, 2.17 dB per 100 m at 100 MHz"),
    ];
    let back = draft(&sent(&own)).unwrap();
    let Spec::FeedLine(line) = &back.parts[4].spec else { panic!("no feed line") };
    assert_eq!(line.cable, OWN_CABLE);
    let mut lossless = own;
    lossless[1].1 = "0";
    assert!(refused(&lossless).error("feed_line_conductor_db").contains("without any loss"));
}

#[test]
fn parts_that_are_not_fitted_need_no_fields() {
    let bare = [
        ("meter_fitted", "no"),
        ("meter_loss_db", "much"),
        ("jumper_fitted", "no"),
        ("arrester_fitted", "no"),
        ("connectors_fitted", "no"),
    ];
    let back = draft(&sent(&bare)).unwrap();
    let kinds: Vec<&str> = back.parts.iter().map(|part| part.spec.kind()).collect();
    assert_eq!(kinds, ["transmitter", "feed-line", "half-wave-dipole"]);
}

#[test]
fn each_bad_answer_has_its_message_and_all_come_at_once() {
    let fields = refused(&[
        ("transmitter_rated_power_w", "NaN"),
        ("meter_loss_db", "-0.1"),
        ("jumper_cable", "rg-999"),
        ("arrester_fitted", "perhaps"),
        ("feed_line_length_m", "1,500"),
        ("feed_line_swr", "0.9"),
        ("connectors_count", "200"),
        ("antenna_diameter_mm", "0.016"),
        ("antenna_shortest_mm", "820"),
        ("antenna_longest_mm", "640"),
        ("antenna_gain_dbd", "16"),
        ("antenna_height_m", ""),
        ("note", " "),
    ]);
    let message = |name: &str| fields.error(name).to_owned();
    assert!(message("transmitter_rated_power_w").contains("not a plain number"));
    assert!(message("meter_loss_db").contains("too low"));
    assert!(message("jumper_cable").contains("not one of the choices"));
    assert!(message("arrester_fitted").contains("not one of the choices"));
    assert!(message("feed_line_length_m").contains("two ways"));
    assert!(message("feed_line_swr").contains("too low"));
    assert!(message("connectors_count").contains("1 to 30"));
    assert!(message("antenna_diameter_mm").contains("1 mm to 120 mm"));
    assert!(message("antenna_longest_mm").contains("not longer than the shortest"));
    assert!(message("antenna_gain_dbd").contains("cannot be taken"));
    assert_eq!(message("antenna_height_m"), "this is needed, in m");
    assert!(message("note").contains("say why"));
    assert_eq!(fields.errors_count(), 12);
    assert_eq!(fields.value("feed_line_length_m"), "1,500");
}

#[test]
fn a_number_without_unit_is_asked_for_without_one() {
    assert_eq!(refused(&[("feed_line_swr", "")]).error("feed_line_swr"), "this is needed");
}

#[test]
fn a_first_revision_needs_no_reason() {
    let first = sent(&[("version", "0"), ("note", "")]);
    assert_eq!(draft(&first).unwrap().base, 0);
    assert_eq!(fresh(empty()).value("version"), "0");
}

#[test]
fn what_is_not_stated_may_stay_empty() {
    let bare = [
        ("arrester_rated_power_w", ""),
        ("antenna_rated_power_w", ""),
        ("antenna_spacing_m", ""),
        ("transmitter_serial", ""),
    ];
    let back = draft(&sent(&bare)).unwrap();
    let Spec::HalfWaveDipole(antenna) = &back.parts[6].spec else { panic!("no antenna") };
    let bare = Plate { rated_power: None, spacing: None, ..plate() };
    assert_eq!(antenna, &HalfWaveDipole { plate: bare, ..dipole() });
    assert_eq!(antenna.plate.height, typed("31.5"));
}

#[test]
fn a_chain_with_more_than_the_form_holds_does_not_fit_it() {
    let mut chain = ordinary();
    assert!(fits(&chain));
    let again: ChainPart = chain.parts[2].clone();
    chain.parts.insert(3, again);
    assert!(!fits(&chain));
}

/// An ordinary chain's fields with another antenna, some of them sent otherwise.
fn sent_with(antenna: Spec, changes: &[(&str, &str)]) -> Fields {
    let mut fields = empty();
    for (name, value) in changes {
        fields = fields.with(name, value);
    }
    let mut chain = ordinary();
    chain.parts.last_mut().unwrap().spec = antenna;
    filled(fields, &chain).with("note", "another antenna")
}

#[test]
fn each_kind_of_antenna_passes_through_the_form_whole() {
    for spec in antennas() {
        let mut chain = ordinary();
        chain.parts.last_mut().unwrap().spec = spec.clone();
        assert!(fits(&chain));
        let back = draft(&sent_with(spec.clone(), &[])).unwrap();
        assert_eq!(back.parts.last().unwrap().spec, spec);
        // What the other kinds would need is not looked at.
        let nonsense = [("antenna_polarization", "vertical"), ("antenna_of_another_kind", "NaN")];
        let back = draft(&sent_with(spec.clone(), &nonsense)).unwrap();
        let plane = back.parts.last().unwrap().spec.antenna().unwrap().plate.polarization;
        assert_eq!(plane.unwrap().word(), "vertical");
    }
    let fixed = [("antenna_droop_least_deg", "45"), ("antenna_droop_most_deg", "")];
    let Spec::GroundPlane(plane) =
        &draft(&sent_with(antennas()[2].clone(), &fixed)).unwrap().parts[6].spec
    else {
        panic!("no ground plane")
    };
    assert_eq!(plane.droop.shown(), "45°, fixed");
    let made = [("antenna_bays_set", "maker"), ("antenna_shortest_mm", "junk")];
    let Spec::MultiBay(array) =
        &draft(&sent_with(antennas()[4].clone(), &made)).unwrap().parts[6].spec
    else {
        panic!("no array")
    };
    assert_eq!(array.element, None);
}

#[test]
fn each_kind_of_antenna_says_beside_its_fields_what_cannot_be() {
    let cases: [(usize, &str, &str, &str); 22] = [
        (0, "antenna_kind", "", "choose one"),
        (0, "antenna_kind", "loop", "not one of the choices"),
        (0, "antenna_polarization", "slanting", "not one of the choices"),
        (1, "antenna_conductor_spacing_mm", "10", "further apart"),
        (1, "antenna_conductor_spacing_mm", "", "needed"),
        (1, "antenna_strap_most_mm", "", "both ends"),
        (1, "antenna_strap_least_mm", "300", "less than the other end"),
        (2, "antenna_radials", "1", "2 to 32"),
        (2, "antenna_radials", "four", "whole number"),
        (2, "antenna_radials", "", "count them"),
        (2, "antenna_radial_length_mm", "76", "cannot be taken"),
        (2, "antenna_droop_most_deg", "95", "cannot be taken"),
        (2, "antenna_droop_least_deg", "-5", "too low"),
        (3, "antenna_matched_by", "", "choose one"),
        (3, "antenna_coil_most_turns", "2", "both ends"),
        (3, "antenna_shortest_mm", "500", "cannot be taken"),
        (4, "antenna_bay", "", "choose one"),
        (4, "antenna_bays", "17", "2 to 16"),
        (4, "antenna_bay_spacing_m", "260", "cannot be taken"),
        (4, "antenna_harness_loss_db", "-1", "too low"),
        (5, "antenna_stated_swr", "0.9", "too low"),
        (5, "antenna_extent_m", "", "needed"),
    ];
    for (kind, name, value, message) in cases {
        let fields = draft(&sent_with(antennas()[kind].clone(), &[(name, value)])).unwrap_err();
        let told = fields.errors().iter().any(|(_, told)| told.contains(message));
        assert!(told, "{name} = {value}: {:?}", fields.errors());
        assert_eq!(fields.value(name), value);
    }
}
