//! Reports of every sample job: that each can be made, what stands on which page, and that an accepted
//! one is the same each time. The files are left under `target/pictures`, for looking at.

use std::time::Instant;

use lopdf::Document as Pdf;

use super::{Sources, file_name, finished};
use crate::clock::Utc;
use crate::db::FileError;
use crate::jobs::dossier::Dossier;
use crate::jobs::model::{Answer, Body, JobClass};
use crate::jobs::samples::{CONTRACTOR, ENGINEER, MANAGER, Story, answered, emptiest, longest};
use crate::journal::canonical;
use crate::paper::{Finished, STAND_IN};
use crate::profiles::model::Stage;

/// 12 March 2031, 14:05 UTC.
fn drawn_at() -> Utc {
    Utc::from_seconds(1_931_090_700)
}

fn accepted() -> Dossier {
    Story::declared(JobClass::Independent).accepted(MANAGER, "")
}

fn drawn(dossier: &Dossier) -> Finished {
    drawn_with(dossier, drawn_at(), None)
}

fn drawn_with(dossier: &Dossier, at: Utc, digest: Option<&[u8; 32]>) -> Finished {
    let sources = Sources::new(dossier, at, digest, &|_| Err(FileError::Missing));
    finished(&sources).unwrap()
}

/// The file of a report without photos.
fn bytes(finished: &Finished) -> Vec<u8> {
    finished.bytes(&mut |_| Err(std::io::ErrorKind::NotFound.into())).unwrap()
}

/// The pages as text, with single spaces.
fn pages(finished: &Finished) -> Vec<String> {
    let pdf = Pdf::load_mem(&bytes(finished)).unwrap();
    (1..=u32::try_from(finished.pages).unwrap())
        .map(|page| {
            let text = pdf.extract_text(&[page]).unwrap();
            text.split_whitespace().collect::<Vec<_>>().join(" ")
        })
        .collect()
}

fn text(dossier: &Dossier) -> String {
    pages(&drawn(dossier)).join(" ")
}

#[track_caller]
fn shows(text: &str, words: &str) {
    let begins: String = text.chars().take(2000).collect();
    assert!(text.contains(words), "“{words}” is not in what begins:\n{begins}");
}

fn samples() -> Vec<(&'static str, Dossier)> {
    vec![
        ("emptiest", emptiest()),
        ("on-the-stand", Story::through(JobClass::Remote, Stage::Stand).live()),
        ("declared", Story::declared(JobClass::Independent).live()),
        ("accepted", accepted()),
        ("single-handed", Story::declared(JobClass::SingleHanded).accepted(CONTRACTOR, "Done.")),
        ("longest-draft", longest(false)),
        ("longest-accepted", longest(true)),
    ]
}

#[test]
fn every_job_has_a_report_of_two_pages_or_more() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("target/pictures");
    std::fs::create_dir_all(&folder).unwrap();
    for (name, dossier) in samples() {
        let made = drawn(&dossier);
        std::fs::write(folder.join(format!("report-{name}.pdf")), bytes(&made)).unwrap();
        assert!(made.pages >= 2, "{name}");
        let odd = name.starts_with("longest");
        let signs: Vec<char> = made.replaced.iter().map(|(sign, _)| *sign).collect();
        assert_eq!(signs, if odd { vec!['📡'] } else { Vec::new() }, "{name}");
        let text = pages(&made).join(" ");
        assert_eq!(text.contains(STAND_IN), odd, "{name}");
        shows(&text, &format!("end of report {}", dossier.number()));
    }
}

#[test]
fn every_page_says_that_a_job_is_not_accepted_until_it_is() {
    for (name, dossier) in samples() {
        let pages = pages(&drawn(&dossier));
        for (index, page) in pages.iter().enumerate() {
            assert_eq!(page.contains("not accepted ·"), !dossier.accepted(), "{name} {index}");
            shows(page, &format!("page {} of {}", index + 1, pages.len()));
            let code = &dossier.record.site.code;
            assert!(page.contains(&format!("{code}-2-")), "{name} {index}: {page}");
        }
    }
}

#[test]
fn the_verdict_stands_first() {
    let made = pages(&drawn(&accepted()));
    let first = &made[0];
    shows(first, "Accepted by Ada Knoll, Ternfold Radio, on");
    shows(first, "Independent release: a gate is released by someone who did no item");
    shows(first, "No change that these instruments can show");
    shows(first, "not shown, accepted on the point value by Tomas Ridge");
    shows(first, "Declared complete.");
    shows(first, "31.6 m");
    shows(first, "98.4 MHz");
    shows(&made.join(" "), "41.2034° N, 8.1007° W");
}

#[test]
fn long_remarks_begin_on_the_first_page_and_go_on_with_the_releases() {
    let long = format!("{}the last words.", "word ".repeat(200));
    let made = pages(&drawn(&Story::declared(JobClass::Independent).accepted(MANAGER, &long)));
    shows(&made[0], "word… (all of it under “Releases and signatures”)");
    shows(&made[0], "Height of the antenna’s centre");
    assert!(!made[0].contains("the last words."));
    shows(&made.join(" "), "the last words.");
}

#[test]
fn a_job_done_by_one_person_says_so_on_the_first_page() {
    let dossier = Story::declared(JobClass::SingleHanded).accepted(CONTRACTOR, "Done.");
    let first = &pages(&drawn(&dossier))[0];
    shows(
        first,
        "SINGLE-HANDED: the same person may do the work, release its gates and accept it.",
    );
    shows(first, "5 releases were given by the one who did the work.");
    shows(first, "It was accepted by the one who declared it complete.");
    let remote = Story::through(JobClass::Remote, Stage::Stand).live();
    shows(&pages(&drawn(&remote))[0], "Remote release: gates are released by someone elsewhere");
    shows(&text(&remote), "read back by radio");
}

#[test]
fn what_is_missing_is_said_and_never_left_blank() {
    let text = text(&emptiest());
    for words in [
        "Not accepted: work goes on, stage: authority and safety.",
        "Not compared: no installed reading is on the record.",
        "Of 25: 0 passed, 25 open.",
        "Transmitter power 300 W not measured",
        "ERP, both planes 250 W not measured",
        "Set-up of the stand not measured",
        "No trial is on the record",
        "No RF chain is on the record",
        "No gate is released",
        "No measurement with an instrument",
        "Nothing on this record was corrected or withdrawn.",
        "Nothing is under concession and nothing is deferred.",
    ] {
        shows(&text, words);
    }
    assert!(!text.contains("0 W forward") && !text.contains("NaN") && !text.contains("inf"));
}

#[test]
fn the_report_holds_the_whole_record() {
    let text = text(&accepted());
    for words in [
        "Trial",
        "742",
        "0.58",
        "Setting kept",
        "test jumper J3",
        "I1, ranges 5 and 1 W",
        "Loss from the output of the directional meter (M) to the antenna input",
        "30 mA device, tested",
        "Source: IEC 60364-4-41",
        "Gate “ready for RF” released",
        "DM-2207",
        "C 4471/30",
        "1 Jun 2031",
        "30 dB",
        "1; 5; 25; 500",
        "SWR at the antenna input, on the stand ≤ 1.5",
        "≤ 10 Ω",
        "λ/2π and 2D²/λ",
        "Ines Café",
        "5 trials",
        "accepted the job",
        "JCGM 106",
        "SWR does not show pattern, gain, radiated power",
        "unchanged since it was entered",
        "For the contractor",
        "Local codes",
    ] {
        shows(&text, words);
    }
    assert!(!text.contains("not accepted"));
}

#[test]
fn corrections_conceded_and_deferred_items_are_told() {
    let text = text(&longest(false));
    for words in [
        "corrected",
        "withdrawn",
        "typed twice",
        "the range was 25 W",
        "lapsed",
        "under concession",
        "deferred",
        "Returned.",
        "The signs are missing.",
        "Changed from independent release to remote release",
        "Revisions of the chain",
        "RF chain at the time revision 2",
        "removed: jumper",
        "Revisions of the assignment",
        "225.5 W",
        "not measurable here; method used instead",
        "withheld",
        "out of sequence",
        "I2, ranges",
        "not stated",
        "<b onclick=\"x\">Gull & Head</b>",
        "U+1F4E1",
    ] {
        shows(&text, words);
    }
}

#[test]
fn an_accepted_report_is_the_same_file_whenever_it_is_made() {
    let dossier = accepted();
    let digest = [0xab; 32];
    let first = drawn_with(&dossier, drawn_at(), Some(&digest));
    let later = drawn_with(&dossier, drawn_at().plus_seconds(86_400), Some(&digest));
    assert!(first == later);
    shows(&pages(&first).join(" "), "abababababababab abababababababab");
    assert_eq!(file_name(&dossier), "tern-ridge-2-A.pdf");
    assert_eq!(file_name(&emptiest()), "tern-ridge-2-draft.pdf");
}

#[test]
fn a_frozen_dossier_comes_back_from_its_json_word_for_word() {
    for (name, dossier) in samples() {
        let kept = canonical(&dossier).unwrap();
        let read: Dossier = serde_json::from_str(&kept).unwrap();
        assert_eq!(canonical(&read).unwrap(), kept, "{name}");
        let (one, other) = (drawn(&dossier), drawn(&read));
        assert!(one == other, "{name}");
    }
}

#[test]
fn a_concession_and_its_end_are_on_the_first_page_and_in_a_list() {
    let mut story = Story::through(JobClass::Independent, Stage::RfOn);
    let conceded = answered("bonding", Answer::UnderConcession, "until the bar is moved");
    let old = story.record.answered("bonding").unwrap().0.uuid;
    let worse = story.value("bonding", "140");
    story.strike(worse, old, "measured again");
    story.add(MANAGER, Body::Answer(conceded));
    let dossier = story.live();
    let made = pages(&drawn(&dossier));
    shows(&made[0], "1 under concession");
    let text = made.join(" ");
    shows(&text, "140 mΩ, limit at most 100 mΩ; until the bar is moved");
    shows(&text, "measured; 12 mΩ");
    shows(&text, "no owner named, no day named");
    shows(&text, "lapsed");
    assert_eq!(dossier.record.name(Some(ENGINEER)), "Tomas Ridge");
}

/// How long a report takes once fonts are read; printed, since machines differ. The limit is wide: a
/// build without optimisation is an order of magnitude slower than the one that is shipped.
#[test]
#[expect(clippy::print_stdout, reason = "the figure is for whoever looks at it")]
fn a_report_takes_no_noticeable_time() {
    let dossier = accepted();
    drawn(&dossier);
    let began = Instant::now();
    for _ in 0..5 {
        drawn(&dossier);
    }
    let each = began.elapsed() / 5;
    println!("one report: {} ms", each.as_millis());
    assert!(each.as_millis() < 3000);
}
