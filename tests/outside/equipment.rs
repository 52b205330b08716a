//! Chains from outside: described, revised, refused.

use sqlx::Row;
use standmast::people::model::Role;

use crate::support::{Answer, Browser, TestApp};

const CHAIN: &str = "/sites/tern-ridge/assignments/1/chain";
const EDIT: &str = "/sites/tern-ridge/assignments/1/chain/edit";

/// The fields of an ordinary chain as a browser sends them.
pub const ORDINARY: &[(&str, &str)] = &[
    ("version", "0"),
    ("transmitter_designation", "FM exciter with 300 W amplifier"),
    ("transmitter_serial", "T-0412"),
    ("transmitter_rated_power_w", "300"),
    ("meter_fitted", "yes"),
    ("meter_designation", "directional coupler"),
    ("meter_serial", "M-77"),
    ("meter_loss_db", "0,05"),
    ("jumper_fitted", "yes"),
    ("jumper_designation", ""),
    ("jumper_serial", ""),
    ("jumper_cable", "rg-213"),
    ("jumper_length_m", "2"),
    ("jumper_swr", "1.05"),
    ("arrester_fitted", "yes"),
    ("arrester_designation", "gas-tube arrester, N"),
    ("arrester_serial", "A-1"),
    ("arrester_sparkover_v", "600"),
    ("arrester_tolerance_percent", "20"),
    ("arrester_rated_power_w", "700"),
    ("arrester_loss_db", "0.1"),
    ("arrester_swr", "1.10"),
    ("feed_line_designation", ""),
    ("feed_line_serial", "drum 12"),
    ("feed_line_cable", "foam-1-2"),
    ("feed_line_length_m", "30"),
    ("feed_line_swr", "1.06"),
    ("connectors_fitted", "yes"),
    ("connectors_designation", "N, at arrester and antenna"),
    ("connectors_serial", ""),
    ("connectors_count", "4"),
    ("connectors_loss_db", "0.12"),
    ("connectors_swr", "1.06"),
    ("antenna_designation", "adjustable dipole"),
    ("antenna_serial", "D-9"),
    ("antenna_kind", "half-wave-dipole"),
    ("antenna_setting", "adjustable"),
    ("antenna_shortest_mm", "640"),
    ("antenna_longest_mm", "820"),
    ("antenna_diameter_mm", "16"),
    ("antenna_gain_dbd", "0"),
    ("antenna_matching", "section"),
    ("antenna_dc_state", "short"),
    ("antenna_rated_power_w", "500"),
    ("antenna_height_m", "31.5"),
    ("antenna_spacing_m", "1.2"),
    ("note", ""),
];

/// The ordinary fields, some of them otherwise.
fn with<'a>(changes: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    let changed = |(name, value): &(&'a str, &'a str)| {
        let other = changes.iter().find(|(other, _)| other == name);
        (*name, other.map_or(*value, |(_, value)| *value))
    };
    let mut fields: Vec<_> = ORDINARY.iter().map(changed).collect();
    let known = |name: &str| ORDINARY.iter().any(|(known, _)| *known == name);
    fields.extend(changes.iter().filter(|(name, _)| !known(name)));
    fields
}

/// A site with one assignment on 98.4 MHz, and an engineer.
async fn ridge(app: &TestApp) -> Browser {
    app.site("tern-ridge", "Tern Ridge").await;
    let engineer = app.signed_in(Role::Engineer, &[]).await;
    let assigned = [
        ("station_name", "Ternfold Radio"),
        ("call_sign", ""),
        ("frequency_mhz", "98.4"),
        ("power_w", "250"),
        ("erp_w", "200"),
        ("height_m", "31.5"),
        ("polarization", "vertical"),
    ];
    engineer.post("/sites/tern-ridge/assignments/new", &assigned).await.must(303);
    engineer
}

/// Opens a job on the assignment as its own pages would; `false` when it is already accepted.
async fn job(app: &TestApp, open: bool) {
    let database = &mut app.database().await;
    let act: Vec<u8> = sqlx::query("SELECT uuid FROM journal ORDER BY seq DESC LIMIT 1")
        .fetch_one(&mut *database)
        .await
        .unwrap()
        .get(0);
    sqlx::query(
        "INSERT INTO job (id, uuid, act, site_id, number, assignment_id, profile_id, kind, opened_at)
         SELECT 1, randomblob(16), $1, site_id, 1, id, (SELECT id FROM profile), 'new-installation', 0 FROM assignment",
    )
    .bind(&act)
    .execute(&mut *database)
    .await
    .unwrap();
    if !open {
        sqlx::query(
            "INSERT INTO fact (uuid, act, kind, site_id, job_id, measured_at, measured_offset_min, entered_at)
             SELECT randomblob(16), $1, 'acceptance', site_id, id, 0, 0, 0 FROM job",
        )
        .bind(&act)
        .execute(database)
        .await
        .unwrap();
    }
}

async fn opened(browser: &Browser, path: &str) -> Answer {
    browser.get(path).await.must(200)
}

#[tokio::test]
async fn an_engineer_describes_a_chain_and_sees_what_it_does() {
    let app = TestApp::new().await;
    let engineer = ridge(&app).await;
    opened(&engineer, CHAIN).await.shows("Describe the chain.").shows("No part is recorded yet.");
    let form = opened(&engineer, EDIT).await;
    form.shows("RF chain, revision 1").shows("each half is resonant at about");
    assert_eq!(form.value("version"), "0");
    let made = engineer.post(EDIT, ORDINARY).await.must(303);
    assert_eq!(made.location(), CHAIN);
    let page = opened(&engineer, CHAIN).await;
    page.shows("The chain is complete.")
        .shows("Loss, output of the directional meter (M), to the antenna 0.99 dB")
        .shows("ERP, of 250 W 197 W (195 W to 199 W); 200 W authorised")
        .shows("1/2 in foam corrugated")
        .shows("length 30 m")
        .shows("0.65 ± 0.03")
        .shows("Revision 1, 12 Mar 2031")
        .shows("engineer no. 1");
}

#[tokio::test]
async fn a_revision_keeps_the_pieces_that_stay_and_says_what_changed() {
    let app = TestApp::new().await;
    let engineer = ridge(&app).await;
    engineer.post(EDIT, ORDINARY).await.must(303);
    let form = opened(&engineer, EDIT).await;
    assert_eq!(form.value("version"), "1");
    assert_eq!(form.value("feed_line_length_m"), "30");
    assert_eq!(form.value("meter_loss_db"), "0,05");
    let parts = app.count("part").await;
    assert_eq!(parts, 7);
    let changes = with(&[
        ("version", "1"),
        ("arrester_serial", "A-2"),
        ("feed_line_length_m", "34"),
        ("note", "arrester replaced after a storm, line measured again"),
    ]);
    engineer.post(EDIT, &changes).await.must(303);
    assert_eq!(app.count("part").await, parts + 1);
    assert_eq!(app.count("chain").await, 1);
    opened(&engineer, CHAIN)
        .await
        .shows("Revision 2, 12 Mar 2031")
        .shows("arrester replaced after a storm")
        .shows("removed: arrester, gas tube, gas-tube arrester, N, serial A-1")
        .shows("added: arrester, gas tube, gas-tube arrester, N, serial A-2")
        .shows("length was 30 m, is 34 m");
}

#[tokio::test]
async fn a_bad_answer_is_told_beside_its_field_and_everything_typed_is_kept() {
    let app = TestApp::new().await;
    let engineer = ridge(&app).await;
    let bad = with(&[
        ("transmitter_designation", "<b>loud</b>"),
        ("transmitter_rated_power_w", "NaN"),
        ("feed_line_length_m", "-30"),
        ("feed_line_cable", "own"),
        ("feed_line_conductor_db", "1,500"),
        ("antenna_shortest_mm", "900"),
        ("antenna_gain_dbd", ""),
        ("jumper_cable", "string"),
    ]);
    let page = engineer.post(EDIT, &bad).await.must(422);
    page.shows("Nothing was saved.");
    assert!(page.message("transmitter_rated_power_w").contains("not a plain number"));
    assert!(page.message("feed_line_length_m").contains("too low"));
    assert!(page.message("feed_line_conductor_db").contains("two ways"));
    assert_eq!(page.message("feed_line_source"), "this is needed");
    assert_eq!(page.message("feed_line_designation"), "this is needed");
    assert!(page.message("antenna_longest_mm").contains("not longer than the shortest"));
    assert_eq!(page.message("antenna_gain_dbd"), "this is needed, in dBd");
    assert!(page.message("jumper_cable").contains("not one of the choices"));
    assert_eq!(page.value("transmitter_designation"), "<b>loud</b>");
    assert!(!page.body.contains("<b>loud"));
    assert_eq!(page.value("feed_line_length_m"), "-30");
    assert_eq!(page.value("antenna_serial"), "D-9");
    assert_eq!(app.count("chain").await, 0);
    // The same form, mended, under the same number.
    engineer.post(EDIT, ORDINARY).await.must(303);
}

#[tokio::test]
async fn a_form_filled_from_an_older_revision_is_refused_with_what_was_typed() {
    let app = TestApp::new().await;
    let engineer = ridge(&app).await;
    engineer.post(EDIT, ORDINARY).await.must(303);
    let other = app.signed_in(Role::Manager, &[]).await;
    let first = with(&[("version", "1"), ("feed_line_length_m", "34"), ("note", "measured again")]);
    other.post(EDIT, &first).await.must(303);
    let late =
        with(&[("version", "1"), ("feed_line_length_m", "36"), ("note", "from the drawing")]);
    engineer.post(EDIT, &late).await.must(409).shows("Somebody else").shows("from the drawing");
    let never = with(&[("version", "0"), ("feed_line_length_m", "36")]);
    engineer.post(EDIT, &never).await.must(409);
    assert_eq!(app.count("chain_revision").await, 2);
    let same = with(&[("version", "2"), ("feed_line_length_m", "34"), ("note", "nothing")]);
    engineer.post(EDIT, &same).await.must(422).shows("Nothing differs from revision 2");
}

#[tokio::test]
async fn the_same_form_twice_makes_one_revision() {
    let app = TestApp::new().await;
    let engineer = ridge(&app).await;
    let act = app.clock.uuid();
    engineer.post_as(act, EDIT, ORDINARY).await.must(303);
    let again = engineer.post_as(act, EDIT, ORDINARY).await.must(303);
    assert_eq!(again.location(), CHAIN);
    assert_eq!(app.count("chain_revision").await, 1);
    let other = with(&[("feed_line_length_m", "31")]);
    engineer.post_as(act, EDIT, &other).await.must(409).shows("other content");
    let somebody = app.signed_in(Role::Engineer, &[]).await;
    somebody.post_as(act, EDIT, ORDINARY).await.must(404);
    assert_eq!(app.count("chain_revision").await, 1);
}

#[tokio::test]
async fn a_contractor_revises_within_an_open_job_alone() {
    let app = TestApp::new().await;
    let engineer = ridge(&app).await;
    let contractor = app.signed_in(Role::Contractor, &["tern-ridge"]).await;
    opened(&contractor, CHAIN).await.shows("Open a job first.");
    opened(&contractor, EDIT).await.shows("a contractor revises a chain within an open job");
    contractor.post(EDIT, ORDINARY).await.must(409).shows("within an open job");
    assert_eq!(app.count("chain").await, 0);
    job(&app, true).await;
    opened(&contractor, EDIT).await.shows("This revision will belong to job 1.");
    contractor.post(EDIT, ORDINARY).await.must(303);
    opened(&engineer, CHAIN).await.shows("contractor no. 2, in job 1");
}

#[tokio::test]
async fn after_acceptance_the_contractor_cannot_revise_and_the_keeper_can() {
    let app = TestApp::new().await;
    let engineer = ridge(&app).await;
    job(&app, false).await;
    let contractor = app.signed_in(Role::Contractor, &["tern-ridge"]).await;
    contractor.post(EDIT, ORDINARY).await.must(409);
    engineer.post(EDIT, ORDINARY).await.must(303);
    let page = opened(&contractor, CHAIN).await;
    page.shows("You may revise the chain within an open job");
    assert!(!page.text_has("in job 1"));
}

#[tokio::test]
async fn a_reader_sees_the_chain_and_a_stranger_finds_nothing() {
    let app = TestApp::new().await;
    let engineer = ridge(&app).await;
    engineer.post(EDIT, ORDINARY).await.must(303);
    let reader = app.signed_in(Role::Reader, &["tern-ridge"]).await;
    let page = opened(&reader, CHAIN).await;
    page.shows("half-wave dipole");
    assert!(!page.text_has("Revise the chain"));
    reader.get(EDIT).await.must(403);
    reader.post(EDIT, ORDINARY).await.must(403);
    let stranger = app.signed_in(Role::Contractor, &[]).await;
    stranger.get(CHAIN).await.must(404);
    stranger.post(EDIT, ORDINARY).await.must(404);
    for path in ["/sites/tern-ridge/assignments/2/chain", "/sites/tern-ridge/assignments/x/chain"] {
        engineer.get(path).await.must(404);
    }
}

#[tokio::test]
async fn a_chain_that_does_not_fit_its_assignment_says_so_and_is_kept() {
    let app = TestApp::new().await;
    let engineer = ridge(&app).await;
    let odd = with(&[
        ("meter_fitted", "no"),
        ("arrester_fitted", "no"),
        ("antenna_longest_mm", "700"),
        ("transmitter_rated_power_w", "100"),
    ]);
    engineer.post(EDIT, &odd).await.must(303);
    opened(&engineer, CHAIN)
        .await
        .shows("Look at 5 points below.")
        .shows("there is no directional meter")
        .shows("going without one needs a concession")
        .shows("below the 250 W assigned")
        .shows("above the 200 W authorised")
        .shows("the range 640 to 700 mm does not hold it");
}
