//! The whole thread of a job, as two people walk it by the forms, on a held clock.

use sqlx::Row;
use standmast::journal::verify;
use standmast::profiles::model::Stage;

use crate::support::{JOB, PASSWORD, TRIAL, Work};

/// A dipole with a matching section on the stand, resonant at 703 mm a half, read with 4 W.
///
/// Its reflection is that of R + jX with X/R of 0.105 for each per cent of length: SWR 1.11, 1.23, 1.37
/// and 1.69 for 1, 2, 3 and 5 % (NEC2 figures for a 16 mm rod, common practice otherwise).
fn reflected_w(half_mm: f64) -> String {
    let off = 0.105 * (half_mm - 703.0) / 7.03;
    let share = off * off / (4.0 + off * off);
    format!("{:.3}", 4.0 * share)
}

#[test]
fn the_modelled_dipole_is_the_one_that_was_computed() {
    for (percent, swr) in [(1.0, 1.11), (2.0, 1.23), (3.0, 1.37), (5.0, 1.69)] {
        let watts: f64 = reflected_w(703.0 * (1.0 + percent / 100.0)).parse().unwrap();
        let rho = (watts / 4.0).sqrt();
        assert!(((1.0 + rho) / (1.0 - rho) - swr).abs() < 0.02, "{percent} %");
    }
}

/// The first whole number of millimetres after these words.
fn millimetres(text: &str, after: &str) -> Option<f64> {
    let (_, rest) = text.split_once(after)?;
    let digits: String = rest.chars().take_while(char::is_ascii_digit).collect();
    digits.parse().ok()
}

/// Follows the advice of the stand's page to the setting that it stops at.
async fn tune(work: &Work) -> usize {
    let page = work.page("/stand").await;
    let mut half = millimetres(&page.text(), "Set both halves to ").expect("where to begin");
    for trials in 1..=7 {
        work.later(120);
        let (setting, reflected) = (half.to_string(), reflected_w(half));
        let trial = [
            ("upper_mm", setting.as_str()),
            ("lower_mm", setting.as_str()),
            ("reflected_w", reflected.as_str()),
        ];
        work.trial(&trial).await.must(303);
        let text = work.page("/stand").await.text();
        if text.contains("Stop:") {
            return trials;
        }
        half = millimetres(&text, " To ").expect("the next setting");
    }
    panic!("no end after seven trials");
}

#[tokio::test]
async fn a_job_goes_from_its_opening_to_its_acceptance() {
    let work = Work::opened().await;
    work.contractor.get("/sites").await.must(200).shows("in work").shows("may start");
    work.page("").await.shows("Is the licence at hand").shows("5 checks open");

    work.work_of(Stage::Authority).await;
    work.page("/gates/authority").await.shows("someone else releases it");
    work.release(&work.contractor, Stage::Authority).await.must(409).shows("someone else releases");
    let gate = work.engineer.get(&work.path("/gates/authority")).await.must(200);
    gate.shows("After this gate there is RF.").shows("A release here is not a permit.");
    work.release(&work.engineer, Stage::Authority).await.must(303);
    work.page("").await.shows("Describe the stand.").shows("released by Tomas Ridge");

    work.later(600);
    work.setup(&[]).await.must(303);
    assert!(tune(&work).await >= 2);
    let best = work.dossier().await;
    let trial = best.findings.stand.trials.last().unwrap();
    work.choose(trial.fact).await.must(303);
    work.page("/stand").await.shows(&format!("keeps the setting of trial {}", trial.number));
    work.tick("dc-state").await;
    work.release(&work.engineer, Stage::Stand).await.must(303);

    work.work_of(Stage::Mast).await;
    work.release(&work.engineer, Stage::Mast).await.must(303);
    work.work_of(Stage::ColdTests).await;
    work.release(&work.engineer, Stage::ColdTests).await.must(303);

    work.later(600);
    work.tick("mast-clear").await;
    work.page("").await.shows("Take the installed reading.");
    work.reading(&[]).await.must(303);
    let installed = work.page("/installed").await;
    installed.shows("No change that these instruments can show");
    installed.shows("A good SWR says nothing of pattern, gain, radiated power");
    work.page("").await.shows("300 W (291 to 309 W), authorised 300 W");
    work.release(&work.engineer, Stage::RfOn).await.must(303);

    work.work_of(Stage::HandOver).await;
    work.page("").await.shows("Declare the job complete.");
    work.declare(&work.contractor).await.must(303);
    work.page("").await.shows("Waits for acceptance.").shows("declared, waiting for acceptance");
    work.engineer.get(JOB).await.must(200).shows("Accept the job, or return it with remarks.");
    work.engineer.get("/sites").await.must(200).shows("declared, waiting for acceptance");

    work.later(3600);
    let decision = work.path("/decision");
    work.manager.get(&decision).await.must(200).shows("Declared complete by Ines Holm");
    let accepting = [("decision", "accept"), ("remarks", "seen on site"), ("password", PASSWORD)];
    work.contractor.post(&decision, &accepting).await.must(422).shows("may not sign this");
    work.manager.post(&decision, &accepting).await.must(303);
    work.page("").await.shows("Accepted on 12 Mar 2031 by Ada Knoll.");
    work.contractor.get("/sites").await.must(200).shows("accepted");
    let report = work.contractor.get(&work.path("/report.pdf")).await.must(200);
    assert!(report.bytes.starts_with(b"%PDF-"));
    nothing_more_is_added(&work).await;
    journal_holds(&work).await;
}

/// An accepted job takes no fact, whoever sends it and by whichever form.
async fn nothing_more_is_added(work: &Work) {
    let dossier = work.dossier().await;
    let trial = dossier.record.trials()[0].fact.uuid;
    let before = work.written().await;
    let closed = "its record is closed and nothing is added to it";
    work.trial(&[]).await.must(409).shows(closed);
    work.setup(&[]).await.must(409).shows(closed);
    work.reading(&[]).await.must(409).shows(closed);
    work.choose(trial).await.must(409).shows(closed);
    work.withdraw(trial).await.must(409).shows(closed);
    work.correct(trial, &work.powers(&TRIAL, &[])).await.must(409).shows(closed);
    let form = [("answer", "passed"), ("note", "late")];
    work.answer_anew(&work.contractor, "ground-kits", &form).await.must(409).shows(closed);
    work.release(&work.engineer, Stage::Mast).await.must(409).shows(closed);
    work.declare(&work.contractor).await.must(409).shows(closed);
    let class = [("class", "single-handed")];
    work.manager.post(&work.path("/independence"), &class).await.must(409).shows(closed);
    let again = [("decision", "return"), ("remarks", "after all"), ("password", PASSWORD)];
    work.manager.post(&work.path("/decision"), &again).await.must(409);
    assert_eq!(work.written().await, before);
    for tail in ["", "/stand", "/installed", "/checks/ground-kits", &format!("/entries/{trial}")] {
        let page = work.page(tail).await;
        assert!(!page.body.contains("action=\"/sites/"), "{tail} offers a form");
    }
}

/// One entry for each act, and the chain unbroken.
async fn journal_holds(work: &Work) {
    let mut snapshot = work.app.state.snapshot().await.unwrap();
    let entries = verify(snapshot.conn()).await.unwrap().unwrap();
    assert_eq!(entries, work.app.count("journal").await);
    let rows = sqlx::query(
        "SELECT journal.kind, count(*) FROM fact JOIN journal ON journal.uuid = fact.act
         GROUP BY journal.uuid HAVING count(*) <> 1",
    )
    .fetch_all(&mut work.app.database().await)
    .await
    .unwrap();
    let odd: Vec<String> = rows.iter().map(|row| row.get(0)).collect();
    assert!(odd.is_empty(), "these wrote more than one fact: {odd:?}");
}
