//! Sites of one and of several stations against figures reckoned outside.

use crate::clock::Utc;
use crate::equipment::exposure::{Clearance, SiteExposure, Station, planes};
use crate::equipment::model::Chain;
use crate::equipment::model::tests::{ordinary, typed};
use crate::profiles::model::ExposureRule;
use crate::rf::exposure::GroundReflection;
use crate::rf::quantity::{Metres, Percent, Quantity, WattsPerSquareMetre};
use crate::sites::model::{Assignment, Licensed, Particulars, Polarization, Site, Structure};
use proptest::prelude::*;
use uuid::Uuid;

fn site(structure: Structure, height: &str) -> Site {
    Site {
        id: 1,
        uuid: Uuid::nil(),
        code: "tern-ridge".to_owned(),
        name: "Tern Ridge".to_owned(),
        latitude: typed("41.2034"),
        longitude: typed("-8.1007"),
        zone: "UTC".to_owned(),
        structure,
        structure_height: typed(height),
        notes: String::new(),
        version: 1,
    }
}

fn assignment(erp: &str, height: &str, bays: u8) -> Assignment {
    Assignment {
        revision_id: 1,
        assignment_id: 1,
        uuid: Uuid::nil(),
        revision_uuid: Uuid::nil(),
        number: 1,
        revision: 1,
        entered_at: Utc::from_seconds(1_930_000_000),
        particulars: Particulars {
            station_name: "Ternfold Radio".to_owned(),
            call_sign: String::new(),
            frequency: typed("98"),
            power: typed("1"),
            erp: typed(erp),
            height: typed(height),
            polarization: Polarization::Vertical,
            licensed: Licensed { bays: Some(bays), ..Licensed::default() },
        },
    }
}

/// The power as it is: no tolerance on top.
fn rule() -> ExposureRule {
    ExposureRule {
        public: WattsPerSquareMetre::fixed(2.0),
        controlled: WattsPerSquareMetre::fixed(10.0),
        ground: GroundReflection::Typical,
        most: Percent::fixed(100.0),
        source: "47 CFR 1.1310".to_owned(),
    }
}

fn found(site: &Site, all: &[Assignment]) -> SiteExposure {
    let stations: Vec<Station<'_>> =
        all.iter().map(|one| Station { assignment: one, chain: None, built: None }).collect();
    SiteExposure::of(site, &stations, &rule()).unwrap()
}

fn near(found: f64, wanted: f64) {
    assert!((found / wanted - 1.0).abs() < 2e-3, "{found} is not {wanted}");
}

#[test]
fn one_station_reaches_as_far_as_the_bulletin_says() {
    // FCC OET Bulletin 65 (Ed. 97-01) formulas, × 2.56, recomputed with numpy: 1 kW ERP at 98 MHz is
    // 12.928 m to 2 W/m² and 5.782 m to 10 W/m²; at 10 % 4.088 and 1.828 m. Below 20 m of mast, 18 m to
    // the heads, it is 103.09 µW/cm² of 200.
    let found = found(&site(Structure::Mast, "20"), &[assignment("1000", "20", 1)]);
    near(found.full.public.value(), 12.928);
    near(found.full.controlled.value(), 5.782);
    near(found.low.public.value(), 4.088);
    near(found.low.controlled.value(), 1.828);
    near(found.share_below.value(), 103.09 / 200.0);
    near(found.clearance.value(), 18.0);
    assert_eq!(found.verdict, Clearance::Within);
    assert!(!found.shared());
}

#[test]
fn two_stations_count_as_their_sum() {
    // 360 W and 640 W at one height are 1 kW: 12.928 m.
    let all = [assignment("360", "20", 1), assignment("640", "20", 1)];
    let found = found(&site(Structure::Mast, "20"), &all);
    near(found.full.public.value(), 12.928);
    near(found.share_below.value(), 103.09 / 200.0);
    assert!(found.shared());
    // The lowest antenna counts for the clearance; each for its own share.
    let all = [assignment("1000", "50", 1), assignment("100", "12", 1)];
    let found = SiteExposure::of(
        &site(Structure::Mast, "50"),
        &all.iter()
            .map(|one| Station { assignment: one, chain: None, built: None })
            .collect::<Vec<_>>(),
        &rule(),
    )
    .unwrap();
    near(found.clearance.value(), 10.0);
    assert_eq!(found.verdict, Clearance::Beyond);
    assert!(found.said().starts_with("check who may stand on the ground"));
}

#[test]
fn near_a_large_array_no_formula_holds() {
    // Four bays a wavelength apart at 98 MHz are 3 × 3.0591 + 1.5296 = 10.707 m high: 2D²/λ is 74.9 m,
    // more than the 28 m down to people's heads (λ = 299.792458 / 98 m).
    let found = found(&site(Structure::Mast, "30"), &[assignment("1000", "30", 4)]);
    near(found.near_bound.value(), 74.95);
    assert_eq!(found.verdict, Clearance::NotValid);
    assert!(found.said().contains("formula not valid here"), "{}", found.said());
    let shown = found.stations[0].shown(found.full.public);
    assert!(shown.starts_with("formula not valid here (12.9 m)"), "{shown}");
}

#[test]
fn on_a_roof_people_stand_on_the_roof() {
    let high = [assignment("100", "26", 1)];
    let found = found(&site(Structure::Roof, "20"), &high);
    near(found.clearance.value(), 4.0);
    // 100 W: 4.088 m to 2 W/m².
    assert_eq!(found.verdict, Clearance::Beyond);
    assert!(found.said().contains("on the roof"));
}

#[test]
fn both_planes_count_and_the_chain_counts_where_it_radiates_more() {
    let all = assignment("250", "31.5", 1);
    let mut own = all.clone();
    own.particulars.power = typed("300");
    let chain: Chain = ordinary();
    let one = |assignment: &Assignment, chain| {
        let station = Station { assignment, chain, built: None };
        SiteExposure::of(&site(Structure::Mast, "30"), &[station], &rule()).unwrap()
    };
    let with_chain = one(&own, Some(&chain)).stations[0].erp.value();
    own.particulars.polarization = Polarization::Circular;
    let both = one(&own, Some(&chain)).stations[0].erp.value();
    let bare = one(&own, None).stations[0].erp.value();
    near(bare, 250.0);
    assert!(with_chain >= 250.0);
    assert!((planes(Polarization::Circular) - 2.0).abs() < 1e-12);
    // The ordinary chain radiates less than authorised in one plane, and more in two.
    assert!(both > 300.0, "{both}");
    // A lower antenna than authorised counts with its own height.
    let station = Station { assignment: &own, chain: None, built: Some(Metres::fixed(14.0)) };
    let low = SiteExposure::of(&site(Structure::Mast, "30"), &[station], &rule()).unwrap();
    near(low.clearance.value(), 12.0);
}

#[test]
fn figures_travel_as_text_and_come_back() {
    let found = found(&site(Structure::Mast, "20"), &[assignment("1000", "20", 1)]);
    let json = serde_json::to_value(&found).unwrap();
    assert!(json["full"]["public_m"].is_string() && json["share_below"].is_string());
    assert_eq!(serde_json::from_value::<SiteExposure>(json).unwrap(), found);
    // Under an antenna at head height the share has no bound: that travels too.
    let low = self::found(&site(Structure::Mast, "20"), &[assignment("1000", "1.5", 1)]);
    assert!(low.share_below.value().is_infinite());
    let json = serde_json::to_value(&low).unwrap();
    assert_eq!(serde_json::from_value::<SiteExposure>(json).unwrap(), low);
}

proptest! {
    #[test]
    fn a_further_station_never_brings_people_nearer(
        erps in proptest::collection::vec(1_u32..100_000, 2..6), height in 5_u32..300
    ) {
        let mast = site(Structure::Mast, "30");
        let height = height.to_string();
        let all: Vec<Assignment> =
            erps.iter().map(|erp| assignment(&erp.to_string(), &height, 1)).collect();
        let (fewer, more) = (found(&mast, &all[1..]), found(&mast, &all));
        prop_assert!(more.full.public >= fewer.full.public);
        prop_assert!(more.low.controlled >= fewer.low.controlled);
        prop_assert!(more.share_below >= fewer.share_below);
        prop_assert!(more.full.controlled <= more.full.public);
    }
}
