//! Each kind of antenna as its form declares it, and what the stand then says of it.

use standmast::profiles::model::Stage;

use crate::support::{Form, Start, Work};

const GROUND_PLANE: [(&str, &str); 7] = [
    ("antenna_kind", "ground-plane"),
    ("antenna_radials", "4"),
    ("antenna_radial_length_mm", "765"),
    ("antenna_droop_least_deg", "0"),
    ("antenna_droop_most_deg", "60"),
    ("antenna_diameter_mm", "10"),
    ("antenna_dc_state", "open"),
];

const FIVE_EIGHTHS: [(&str, &str); 8] = [
    ("antenna_kind", "five-eighths"),
    ("antenna_shortest_mm", "1700"),
    ("antenna_longest_mm", "2000"),
    ("antenna_radials", "4"),
    ("antenna_radial_length_mm", "765"),
    ("antenna_matched_by", "coil"),
    ("antenna_coil_least_turns", "2"),
    ("antenna_coil_most_turns", "6"),
];

const FOLDED: [(&str, &str); 4] = [
    ("antenna_kind", "folded-dipole"),
    ("antenna_conductor_spacing_mm", "60"),
    ("antenna_strap_least_mm", "500"),
    ("antenna_strap_most_mm", "700"),
];

const BAYS: [(&str, &str); 6] = [
    ("antenna_kind", "multi-bay"),
    ("antenna_bay", "vertical-dipole"),
    ("antenna_bays", "4"),
    ("antenna_bay_spacing_m", "3.0"),
    ("antenna_harness_loss_db", "0.2"),
    ("antenna_bays_set", "maker"),
];

const TUNED: [(&str, &str); 5] = [
    ("antenna_bays", "1"),
    ("antenna_kind", "factory-tuned"),
    ("antenna_shape", "panel"),
    ("antenna_extent_m", "2.4"),
    ("antenna_stated_swr", "1.2"),
];

const KINDS: [(&Form<'_>, &str, &str); 5] = [
    (&GROUND_PLANE, "antenna_radials", "ground plane"),
    (&FIVE_EIGHTHS, "antenna_matched_by", "five-eighths"),
    (&FOLDED, "antenna_conductor_spacing_mm", "folded dipole"),
    (&BAYS, "antenna_bay_spacing_m", "bay"),
    (&TUNED, "antenna_extent_m", "tuned"),
];

#[tokio::test]
async fn every_kind_is_declared_shown_and_asks_for_what_it_needs() {
    for (form, needed, words) in KINDS {
        let work = Work::started(Start { chain: form, ..Start::default() }).await;
        let chain = "/sites/tern-ridge/assignments/1/chain";
        let page = work.contractor.get(chain).await.must(200);
        assert!(page.text().to_lowercase().contains(words), "{words}: {}", page.text());
        let again = work.contractor.get(&format!("{chain}/edit")).await.must(200);
        for (name, value) in form.iter().filter(|(name, _)| name.ends_with("_mm")) {
            assert_eq!(again.value(name), *value, "{words}: {name}");
        }
        let mut bare: Vec<(&str, &str)> = crate::equipment::ORDINARY.to_vec();
        bare.retain(|(name, _)| !form.iter().any(|(other, _)| other == name) && *name != "version");
        bare.extend(form.iter().filter(|(name, _)| *name != needed));
        bare.push(("version", "1"));
        let refused = work.contractor.post(&format!("{chain}/edit"), &bare).await.must(422);
        assert!(!refused.message(needed).is_empty(), "{words}: {}", refused.text());
        refused.shows("Nothing was saved.");
    }
}

#[tokio::test]
async fn the_stand_reckons_no_next_setting_of_what_it_has_no_model_for() {
    for (form, says) in [
        (&GROUND_PLANE[..], "Set the"),
        (&FIVE_EIGHTHS[..], "Set the"),
        (&FOLDED[..], "Set the"),
        (&BAYS[..], "Set the"),
        (&TUNED[..], "It comes tuned by its maker."),
    ] {
        let work = Work::started(Start { chain: form, ..Start::default() }).await;
        work.on_through(Stage::Authority).await;
        work.setup(&[]).await.must(303);
        work.page("").await.shows(says);
        work.page("/stand").await.shows(says);
        work.trial(&[]).await.must(303);
        let page = work.page("/stand").await;
        page.shows(says);
        assert!(!page.text_has("Lengths at this frequency"), "{}", page.text());
        let trial = work.trials().await.remove(0);
        work.choose(trial).await.must(303);
        work.page("/report.pdf").await;
    }
}
