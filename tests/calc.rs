//! `standmast calc` as whoever pipes it sees it: names, figures, exit codes, streams.
//! Each figure names what it was checked against.

#![expect(clippy::expect_used, clippy::panic, reason = "a test may stop at what it did not expect")]

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::Value;

fn calc(arguments: &str) -> Output {
    Command::new(env!("CARGO_BIN_EXE_standmast"))
        .arg("calc")
        .args(arguments.split_whitespace())
        .output()
        .expect("the program starts")
}

fn json(arguments: &str) -> Value {
    let output = calc(&format!("{arguments} --json"));
    assert!(output.status.success(), "{arguments}: {}", String::from_utf8_lossy(&output.stderr));
    assert!(output.stderr.is_empty(), "{arguments}");
    serde_json::from_slice(&output.stdout).expect("one JSON object")
}

/// The object has exactly these names, a reason if anything is null, and these figures.
fn figures(arguments: &str, wanted: &[(&str, Option<f64>)], relative: f64) {
    let found = json(arguments);
    let object = found.as_object().expect("an object");
    let mut names: Vec<&str> = object.keys().map(String::as_str).collect();
    names.retain(|name| *name != "reason");
    let mut asked: Vec<&str> = wanted.iter().map(|(name, _)| *name).collect();
    asked.sort_unstable();
    names.sort_unstable();
    assert_eq!(names, asked, "{arguments}");
    let unsaid = wanted.iter().any(|(_, value)| value.is_none());
    assert_eq!(object.contains_key("reason"), unsaid, "{arguments}: {found}");
    for (name, value) in wanted {
        match (found[*name].as_f64(), value) {
            (Some(found), Some(value)) => {
                let room = relative * value.abs().max(1e-9);
                assert!((found - value).abs() <= room, "{arguments}: {name} {found}, not {value}");
            }
            (None, None) => assert!(found[*name].is_null(), "{arguments}: {name}"),
            _ => panic!("{arguments}: {name} in {found}"),
        }
    }
}

fn refused(arguments: &str, part: &str) {
    let output = calc(arguments);
    assert_eq!(output.status.code(), Some(2), "{arguments}");
    assert!(output.stdout.is_empty(), "{arguments}");
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(said.lines().count(), 1, "{arguments}: {said}");
    assert!(said.contains(part), "{arguments}: {said}");
}

fn file(name: &str, content: &str) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    std::fs::write(&path, content).expect("a file for the test");
    path
}

/// Sources: λ = c/f (SI); PyNEC 2.3.4 within 0.4 % for rods up to 10 mm, 0.9 % above, 1 % for a ground
/// plane with 45° of droop.
#[test]
fn elements() {
    let names = |factor, length| {
        [
            ("wavelength_m", Some(3.059_106_7)),
            ("free_space_length_m", Some(1.529_553_4)),
            ("end_effect_factor", factor),
            ("length_m", length),
        ]
    };
    let half = "element --frequency-mhz 98 --kind half-wave";
    figures(half, &names(None, None), 1e-6);
    figures(&format!("{half} --diameter-mm 10"), &names(Some(0.9420), Some(1.4409)), 0.004);
    figures(&format!("{half} --diameter-mm 25"), &names(Some(0.9248), Some(1.4146)), 0.009);
    let drooped =
        json("element --frequency-mhz 98 --kind quarter-wave --diameter-mm 10 --droop-degrees 45");
    let length = drooped["length_m"].as_f64().expect("a length");
    assert!((length / 0.6897 - 1.0).abs() < 0.01, "{length}");
    let five = json("element --frequency-mhz 98 --kind five-eighths --diameter-mm 10");
    assert!(five["length_m"].is_null() && five["end_effect_factor"].is_null());
    assert!((five["free_space_length_m"].as_f64().expect("a length") - 1.911_942).abs() < 1e-6);
    refused("element --frequency-mhz 98 --kind half-wave --droop-degrees 45", "quarter-wave");
    refused("element --frequency-mhz x --kind half-wave", "not a number");
}

/// Sources: published SWR and return-loss tables; the lossy-line rows agree with scikit-rf.
#[test]
fn reflections_and_lines() {
    let of = |reflection, swr, loss, mismatch, share| {
        [
            ("reflection", reflection),
            ("swr", swr),
            ("return_loss_db", loss),
            ("mismatch_loss_db", mismatch),
            ("reflected_share", share),
        ]
    };
    let half = of(Some(0.2), Some(1.5), Some(13.9794), Some(0.17729), Some(0.04));
    figures("reflection --forward-w 100 --reflected-w 4", &half, 1e-4);
    figures("reflection --swr 1.5", &half, 1e-4);
    figures("reflection --return-loss-db 13.9794", &half, 1e-4);
    let perfect = of(Some(0.0), Some(1.0), None, Some(0.0), Some(0.0));
    figures("reflection --forward-w 100 --reflected-w 0", &perfect, 1e-9);
    let all = of(Some(1.0), None, Some(0.0), None, Some(1.0));
    figures("reflection --forward-w 5 --reflected-w 5", &all, 1e-9);
    refused("reflection --forward-w 4 --reflected-w 5", "more than");
    refused("reflection --swr 1.5 --return-loss-db 3", "cannot be used with");
    refused("reflection --swr 0.5", "too low");
    refused("reflection", "required");
    let there =
        [("reflection", Some(0.39905)), ("swr", Some(2.3281)), ("return_loss_db", Some(7.9794))];
    figures("antenna-input --swr 1.5 --line-loss-db 3", &there, 1e-4);
    refused("antenna-input --swr 2 --line-loss-db 5", "before the antenna");
    let line = "line --conductor-loss 0.21054 --dielectric-loss 0.000628 --frequency-mhz 100";
    let whole = [
        ("matched_loss_db", Some(2.1682)),
        ("total_loss_db", Some(2.1682)),
        ("efficiency", Some(0.60698)),
    ];
    figures(&format!("{line} --length-m 100"), &whole, 1e-4);
    let worn = json(
        "line --conductor-loss 0.1 --dielectric-loss 0 --length-m 100 --frequency-mhz 100 --load-swr 2",
    );
    assert!((worn["total_loss_db"].as_f64().expect("a loss") - 1.1959).abs() < 1e-4);
    refused("line --cable nothing --length-m 3 --frequency-mhz 98", "not a cable known here");
}

/// Sources: worst corners of full-scale errors by hand; true SWR behind 25 dB of directivity, published.
#[test]
fn meters_power_and_exposure() {
    let meter = |forward: &str| {
        format!("meter --forward-full-scale-w 100 --reflected-full-scale-w 100 {forward}")
    };
    let stated = |low, high| [("swr", Some(1.5)), ("swr_low", low), ("swr_high", high)];
    for (arguments, known, low, high) in [
        ("--forward-w 100 --reflected-w 4 --accuracy-percent 5", false, 1.0, 1.889),
        (
            "--forward-w 100 --reflected-w 4 --accuracy-percent 0 --directivity-db 25",
            true,
            1.336,
            1.689,
        ),
    ] {
        let found = json(&meter(arguments));
        assert_eq!(found["directivity_stated"].as_bool(), Some(known));
        for (name, wanted) in stated(Some(low), Some(high)) {
            let read = found[name].as_f64().expect("a number");
            assert!((read - wanted.expect("a figure")).abs() < 6e-4, "{arguments}: {name} {read}");
        }
    }
    refused(&meter("--forward-w 0 --reflected-w 0 --accuracy-percent 5"), "");
    refused(&meter("--forward-w 120 --reflected-w 0 --accuracy-percent 5"), "ends at 100 W");
    let power = [("erp_w", Some(384.592)), ("eirp_w", Some(631.085))];
    figures("power --transmitter-w 1000 --loss-db 0.75 --gain-dbd -3.4", &power, 1e-5);
    let far = json(
        "exposure --erp-w 1000 --limit-w-m2 2 --reflection ground --frequency-mhz 98 --aperture-m 3",
    );
    // FCC OET Bulletin 65 with EPA's factor; 2D²/λ of 3 m.
    assert!((far["distance_m"].as_f64().expect("a distance") / 12.928 - 1.0).abs() < 2e-4);
    assert!((far["near_field_bound_m"].as_f64().expect("a bound") - 5.884).abs() < 1e-3);
    assert_eq!(far["valid"].as_bool(), Some(true));
    let near = json("exposure --erp-w 1 --limit-w-m2 2 --reflection free --frequency-mhz 98");
    assert_eq!(near["valid"].as_bool(), Some(false));
    refused("exposure --erp-w 1 --limit-w-m2 0 --reflection free --frequency-mhz 98", "above 0");
}

/// Sources: Dwight's rod (MIL-HDBK-419A nomogram "32 Ω"), IEEE Std 142 factors, Wenner's handbook example,
/// the slope method's own model, an arrester maker's application note.
#[test]
fn ground_and_arresters() {
    let rod = "rod --resistivity-ohm-m 100 --length-m 3.048 --diameter-mm 19.05";
    figures(rod, &[("resistance_ohm", Some(32.137))], 1e-4);
    figures(&format!("{rod} --rods 4"), &[("resistance_ohm", Some(32.137 * 1.36 / 4.0))], 1e-4);
    refused("rod --resistivity-ohm-m 100 --length-m 0 --diameter-mm 19", "above 0");
    figures(
        "soil --spacing-m 6.10 --resistance-ohm 2",
        &[("resistivity_ohm_m", Some(76.655))],
        1e-4,
    );
    let place = [
        ("slope", Some(0.9056)),
        ("potential_probe_share", Some(0.5607)),
        ("potential_probe_m", Some(33.64)),
    ];
    let pins = "fall-of-potential --current-probe-m 60";
    figures(&format!("{pins} --r20-ohm 3.3430 --r40-ohm 3.7292 --r60-ohm 4.0788"), &place, 1e-3);
    let nowhere = [("slope", None), ("potential_probe_share", None), ("potential_probe_m", None)];
    figures(&format!("{pins} --r20-ohm 4 --r40-ohm 3 --r60-ohm 5"), &nowhere, 0.0);
    let tube = json("arrester --forward-w 100 --swr 1.5 --sparkover-v 230 --tolerance-percent 20");
    assert!((tube["peak_v"].as_f64().expect("volts") - 120.0).abs() < 1e-9);
    assert!((tube["lowest_sparkover_v"].as_f64().expect("volts") - 184.0).abs() < 1e-9);
    assert!((tube["ratio"].as_f64().expect("a ratio") - 1.5333).abs() < 1e-4);
    assert_eq!(tube["passes_voltage_rule"].as_bool(), Some(true));
}

/// Source: the figures of the file by hand.
#[test]
fn sweeps() {
    let good = file("three.s1p", "# MHz S RI R 50\n97 0.2 0\n98 0.1 0.2\n99 -0.2 0\n");
    let found = json(&format!("sweep {} --at-mhz 98.5", good.display()));
    assert_eq!(found["points"].as_u64(), Some(3));
    for (name, wanted) in [
        ("start_mhz", 97.0),
        ("stop_mhz", 99.0),
        ("best_frequency_mhz", 97.0),
        ("best_return_loss_db", 13.9794),
        ("best_swr", 1.5),
        // (−0.05 + 0.1j) has magnitude 0.1118.
        ("return_loss_db_at", 19.0309),
        ("swr_at", 1.25175),
    ] {
        let read = found[name].as_f64().expect("a number");
        assert!((read - wanted).abs() < 1e-4, "{name} {read}");
    }
    let wild = file("wild.s1p", "# MHz S RI R 50\n97 1.2 0\n98 1.1 0\n");
    let found = json(&format!("sweep {}", wild.display()));
    assert!(found["best_swr"].is_null() && found["reason"].is_string());
    let cut = file("cut.s1p", "# MHz S RI R 50\n97 0.2 0\n98 0.1\n");
    refused(&format!("sweep {}", cut.display()), "line 3");
    refused(&format!("fault {} --velocity-factor 0.88", good.display()), "too few");
    refused("sweep no-such-file.s1p", "no-such-file.s1p");
}

/// Sources: EPA QA/G-9S, p. 109 (secondary print) and scipy's theilslopes for the 95 % slopes.
#[test]
fn trends() {
    let values = [10, 10, 10, 5, 10, 20, 18, 17, 15, 24, 15];
    let mut text = "date,value\n".to_owned();
    for (at, value) in values.iter().enumerate() {
        text.push_str(&format!("2020-01-{:02},{value}\n", at + 1));
    }
    let path = file("series.csv", &text);
    let wanted = [
        ("slope_per_year", Some(365.25)),
        ("slope_low", Some(0.0)),
        ("slope_high", Some(730.5)),
        ("kendall_s", Some(22.0)),
        ("z", Some(1.684_95)),
        ("p_value", Some(0.091_998)),
    ];
    figures(&format!("trend {}", path.display()), &wanted, 1e-5);
    let few = file("few.csv", "2020-01-01T00:00:00Z,1.1\n2021-01-01T00:00:00+02:00,1.2\n");
    let found = json(&format!("trend {}", few.display()));
    assert!(found["p_value"].is_null() && found["slope_per_year"].is_f64());
    let back = file("back.csv", "2020-01-01,1\n2019-01-01,2\n");
    refused(&format!("trend {}", back.display()), "line 2: the date is before");
    let wide = file("wide.csv", "2020-01-01,1,2\n");
    refused(&format!("trend {}", wide.display()), "line 1: 3 columns");
    let word = file("word.csv", "2020-01-01,1\n2020-01-02,nan\n");
    refused(&format!("trend {}", word.display()), "line 2: “nan” is not a finite number");
}
