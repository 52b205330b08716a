//! Longest, usual and emptiest samples of every picture, and their files for looking at.

use std::fmt::Write as _;

use crate::figure::comparison_plot::{ComparisonPlot, Interval, Role};
use crate::figure::gate_rail::{Gate, GateRail, Stage};
use crate::figure::marks::{self, Mark, State};
use crate::figure::mast::{
    Antenna, AntennaKind, Electrode, FeedLine, GroundKit, KitPlace, Mast, Part, Structure,
    StructureKind, Transmitter,
};
use crate::figure::picture::{Picture, Shape};
use crate::figure::trial_plot::{Trial, TrialPlot};
use crate::figure::{comparison_plot, gate_rail, mast, svg, trial_plot};

fn part(name: &str, facts: &[&str], state: Option<State>) -> Part {
    Part {
        name: name.to_owned(),
        facts: facts.iter().map(|fact| (*fact).to_owned()).collect(),
        state,
        href: Some(format!("/sites/TRN/{}", name.len())),
    }
}

fn passed() -> Option<State> {
    Some(State::new(Mark::Tick, "passed"))
}

/// The site as it mostly is.
pub(crate) fn usual_mast() -> Mast {
    Mast {
        site: "Tern Ridge".to_owned(),
        structure: Structure {
            part: part("Guyed mast", &[], None),
            kind: StructureKind::Mast,
            height_m: Some(30.0),
        },
        antenna: Some(Antenna {
            part: part("Half-wave dipole", &["ERP 238 W of 250 W"], passed()),
            kind: AntennaKind::HalfWaveDipole,
            height_m: Some(31.6),
            authorised_height_m: Some(31.5),
        }),
        feed_line: Some(FeedLine {
            part: part("½ in foam", &[], None),
            length_m: Some(34.0),
            loss_db: Some(0.73),
            power_in_w: Some(296.0),
            power_out_w: Some(250.2),
        }),
        ground_kits: [KitPlace::Top, KitPlace::Foot, KitPlace::Entry]
            .map(|place| GroundKit { place, state: None, href: Some("/kits".to_owned()) })
            .to_vec(),
        arrester: Some(part("Gas-tube arrester", &["350 V, bonded 12 mΩ"], passed())),
        measuring_point: Some(part(
            "Directional meter",
            &["SWR 1.44 (1.36 to 1.53)"],
            Some(State::new(Mark::Ring, "not shown ≤ 1.5")),
        )),
        transmitter: Some(Transmitter {
            part: part("FM transmitter", &[], passed()),
            power_w: Some(296.0),
            authorised_power_w: Some(300.0),
        }),
        electrode: Some(Electrode {
            part: part(
                "Ground electrode system",
                &["fall of potential, 22 Mar 2031", "soil moist"],
                passed(),
            ),
            last_value: Some("4.1 Ω".to_owned()),
        }),
        record_href: Some("/sites/TRN/chain".to_owned()),
    }
}

/// Long names everywhere, at the given heights.
#[expect(clippy::too_many_lines, reason = "one sample, part by part")]
pub(crate) fn longest_mast(kind: StructureKind, structure_m: f64, antenna_m: f64) -> Mast {
    let long = Some(State::new(
        Mark::Diamond,
        "under concession until the second climb in the spring of next year",
    ));
    let mut mast = usual_mast();
    mast.site = "Gull Head with the long name of the old lighthouse station".to_owned();
    mast.structure.kind = kind;
    mast.structure.height_m = Some(structure_m);
    mast.structure.part = part(
        "Self-supporting lattice tower of three sections, refurbished",
        &["inspected 3 Feb 2031"],
        long.clone(),
    );
    mast.antenna = Some(Antenna {
        part: part(
            "Half-wave dipole, adjustable, stainless elements with a heated radome",
            &["ERP 238 W of 250 W, vertical", "serial TRN-000123456789-ABCDEFGHIJKLMNOP"],
            long.clone(),
        ),
        kind: AntennaKind::HalfWaveDipole,
        height_m: Some(antenna_m),
        authorised_height_m: Some(antenna_m * 0.94),
    });
    mast.feed_line = Some(FeedLine {
        part: part(
            "⅞ in air dielectric, pressurised, with factory-fitted connectors",
            &["drum 4711/2030, batch 12"],
            long.clone(),
        ),
        length_m: Some(163.25),
        loss_db: Some(1.234),
        power_in_w: Some(19_850.0),
        power_out_w: Some(14_936.5),
    });
    for kit in &mut mast.ground_kits {
        kit.state = Some(State::new(Mark::Cross, "failed"));
    }
    mast.arrester = Some(part(
        "Quarter-wave stub arrester with inspection flange",
        &["serial 99887766554433221100", "bonded 12 mΩ"],
        long.clone(),
    ));
    mast.measuring_point = Some(part(
        "Directional coupler at the output of the low-pass filter",
        &["SWR 1.44 (1.36 to 1.53)"],
        long.clone(),
    ));
    mast.transmitter = Some(Transmitter {
        part: part("Main transmitter with N+1 exciter changeover", &[], long.clone()),
        power_w: Some(19_850.0),
        authorised_power_w: Some(20_000.0),
    });
    mast.electrode = Some(Electrode {
        part: part(
            "Ring of bare copper with eight driven rods",
            &["fall of potential, slope check good, 22 Mar 2031, soil moist after rain"],
            long,
        ),
        last_value: Some("below 0.5 Ω".to_owned()),
    });
    mast
}

fn masts() -> Vec<(&'static str, Mast)> {
    let mut unplaced = usual_mast();
    unplaced.feed_line = None;
    unplaced.ground_kits.clear();
    unplaced.arrester = None;
    if let Some(antenna) = &mut unplaced.antenna {
        antenna.height_m = None;
    }
    let mut wrong = usual_mast();
    wrong.structure.height_m = Some(150.0);
    if let Some(antenna) = &mut wrong.antenna {
        antenna.height_m = Some(3.0);
        antenna.authorised_height_m = Some(148.0);
    }
    vec![
        ("usual", usual_mast()),
        ("longest-150", longest_mast(StructureKind::Tower, 150.0, 146.0)),
        ("longest-3", longest_mast(StructureKind::Pole, 3.0, 3.0)),
        ("roof", longest_mast(StructureKind::Roof, 12.0, 16.5)),
        ("low-antenna", wrong),
        ("unplaced", unplaced),
        ("emptiest", Mast::default()),
    ]
}

fn trial(number: u32, setting: f64, share: f64, half: f64) -> Trial {
    Trial {
        number,
        setting,
        share_percent: share,
        low_percent: (share - half).max(0.0),
        high_percent: share + half,
        href: Some(format!("/trials/{number}")),
        ..Trial::default()
    }
}

/// A tuning of seven trials.
pub(crate) fn usual_trials() -> TrialPlot {
    let mut trials = vec![
        trial(1, 742.0, 14.6, 1.6),
        trial(2, 736.0, 9.7, 1.3),
        trial(3, 730.0, 6.2, 1.1),
        trial(4, 724.0, 3.5, 0.9),
        trial(5, 718.0, 2.2, 0.8),
        trial(6, 712.0, 2.8, 0.8),
        trial(7, 730.0, 12.1, 1.4),
    ];
    trials[6].struck = true;
    TrialPlot {
        heading: Some("Reflected share on the stand".to_owned()),
        setting_name: "each half".to_owned(),
        unit: "mm".to_owned(),
        trials,
        fit: (0..=36)
            .map(|index| {
                let setting = 708.0 + f64::from(index);
                [setting, 2.1 + 0.021 * (setting - 717.0).powi(2)]
            })
            .collect(),
        best: Some([713.0, 720.0]),
        target_percent: Some(2.0),
        present: Some(712.0),
    }
}

fn longest_trials() -> TrialPlot {
    let mut trials: Vec<Trial> = (1..=24)
        .map(|number| {
            let step = f64::from(number);
            let mut trial = trial(
                number,
                700.0 + (step * 7.3) % 31.0,
                3.0 + (step * 5.1) % 9.0,
                1.0 + step / 8.0,
            );
            trial.at_least = number % 3 == 0;
            trial.struck = number % 7 == 0;
            trial
        })
        .collect();
    for trial in trials.iter_mut().take(5) {
        trial.setting = 712.5;
        trial.share_percent = 4.0;
    }
    trials[10].high_percent = f64::INFINITY;
    TrialPlot {
        heading: Some(
            "Reflected share on the stand at Gull Head with the long name, second day".to_owned(),
        ),
        setting_name: "each half of the element from the feed point to its tip".to_owned(),
        unit: "mm".to_owned(),
        trials,
        fit: Vec::new(),
        best: Some([712.0, 713.0]),
        target_percent: Some(4.0),
        present: Some(712.5),
    }
}

fn trials() -> Vec<(&'static str, TrialPlot)> {
    let mut one = usual_trials();
    one.trials.truncate(1);
    one.fit.clear();
    one.best = None;
    one.present = Some(742.0);
    vec![
        ("usual", usual_trials()),
        ("longest", longest_trials()),
        ("one", one),
        ("emptiest", TrialPlot::default()),
    ]
}

fn interval(role: Role, name: &str, note: &str, value: Option<f64>, range: [f64; 2]) -> Interval {
    Interval {
        role,
        name: name.to_owned(),
        note: note.to_owned(),
        value,
        range: Some(range),
        ..Interval::default()
    }
}

/// A stand reading, its prediction and an installed reading that is higher.
pub(crate) fn usual_comparison() -> ComparisonPlot {
    let mut predicted =
        interval(Role::Predicted, "Predicted", "if the mast adds nothing", None, [1.0, 1.28]);
    predicted.widest = Some([1.0, 1.37]);
    ComparisonPlot {
        heading: Some("Stand against installed".to_owned()),
        point_name: "the measuring point in the building".to_owned(),
        rows: vec![
            interval(
                Role::Stand,
                "Stand",
                "12 Mar 2031, 0.21 dB of line",
                Some(1.09),
                [1.04, 1.15],
            ),
            predicted,
            interval(Role::Installed, "Installed", "19 Mar 2031, dry", Some(1.44), [1.36, 1.53]),
        ],
        limit: Some(1.5),
    }
}

fn longest_comparison() -> ComparisonPlot {
    let mut plot = usual_comparison();
    plot.heading = Some("Stand against installed, referred to one point, second day".to_owned());
    plot.point_name =
        "the output of the directional coupler behind the low-pass filter in the upper room"
            .to_owned();
    plot.rows[0].at_least = true;
    plot.rows[0].note = "12 Mar 2031, 0.21 dB of line, damp, directivity not stated".to_owned();
    plot.rows[1].range = Some([1.0, 2.4]);
    plot.rows[1].widest = Some([1.0, f64::INFINITY]);
    plot.rows[2].value = Some(18.4);
    plot.rows[2].range = Some([4.2, f64::INFINITY]);
    plot.rows[2].at_least = true;
    plot.rows[2].href = Some("/readings/9".to_owned());
    plot
}

fn comparisons() -> Vec<(&'static str, ComparisonPlot)> {
    let mut waiting = usual_comparison();
    waiting.rows[2].value = None;
    waiting.rows[2].range = None;
    waiting.rows[2].note = String::new();
    let mut beyond = usual_comparison();
    beyond.limit = Some(8.0);
    vec![
        ("usual", usual_comparison()),
        ("longest", longest_comparison()),
        ("beyond", beyond),
        ("waiting", waiting),
        ("emptiest", ComparisonPlot::default()),
    ]
}

fn stage(name: &str, gate: Gate, word: &str) -> Stage {
    Stage {
        name: name.to_owned(),
        gate,
        word: word.to_owned(),
        href: Some(format!("#{}", name.len())),
    }
}

/// A job in its fourth stage.
pub(crate) fn usual_rail() -> GateRail {
    GateRail {
        stages: vec![
            stage("Authority and safety", Gate::Passed, "released 8 Mar"),
            stage("Stand", Gate::Passed, "released 12 Mar"),
            stage("On the mast", Gate::Lapsed, "lapsed: a reading was corrected"),
            stage("Cold tests", Gate::Blocked, "2 checks open"),
            stage("RF on", Gate::Ahead, ""),
            stage("Hand-over", Gate::Ahead, ""),
        ],
        present: 3,
    }
}

fn rails() -> Vec<(&'static str, GateRail)> {
    let mut ready = usual_rail();
    ready.stages[2].gate = Gate::Passed;
    ready.stages[3].gate = Gate::Ready;
    ready.stages[3].word = "nothing in the way, waits for its release by an engineer".to_owned();
    let mut done = usual_rail();
    for stage in &mut done.stages {
        stage.gate = Gate::Passed;
        stage.word = "released".to_owned();
    }
    done.present = 6;
    vec![
        ("usual", usual_rail()),
        ("ready", ready),
        ("done", done),
        ("emptiest", GateRail::default()),
    ]
}

/// Every sample of every picture, drawn for a page's column and for a phone.
pub(crate) fn all() -> Vec<(String, Picture, Picture)> {
    let mut pictures = Vec::new();
    for (name, input) in masts() {
        let draw = |width| mast::draw(&input, width);
        pictures.push((format!("mast-{name}"), draw(760.0), draw(358.0)));
    }
    for (name, input) in trials() {
        let draw = |width| trial_plot::draw(&input, width);
        pictures.push((format!("trial-plot-{name}"), draw(760.0), draw(358.0)));
    }
    for (name, input) in comparisons() {
        let draw = |width| comparison_plot::draw(&input, width);
        pictures.push((format!("comparison-plot-{name}"), draw(760.0), draw(358.0)));
    }
    for (name, input) in rails() {
        let draw = |width| gate_rail::draw(&input, width);
        pictures.push((format!("gate-rail-{name}"), draw(760.0), draw(358.0)));
    }
    pictures
}

fn extents(shapes: &[Shape], found: &mut Vec<(String, [f64; 4])>) {
    use crate::figure::picture::Anchor;
    for shape in shapes {
        match shape {
            Shape::Group { shapes, .. } => extents(shapes, found),
            Shape::Text { at: [x, y], text, size, face, anchor, .. } => {
                let width = face.measure(text, *size);
                let left = match anchor {
                    Anchor::Start => *x,
                    Anchor::Middle => x - width / 2.0,
                    Anchor::End => x - width,
                };
                found.push((text.clone(), [left, y - size * 0.72, left + width, y + size * 0.12]));
            }
            _ => {}
        }
    }
}

#[test]
fn no_text_meets_another_or_leaves_its_picture() {
    for (name, wide, narrow) in all() {
        for picture in [wide, narrow] {
            let mut found = Vec::new();
            extents(&picture.shapes, &mut found);
            for (index, (text, a)) in found.iter().enumerate() {
                assert!(
                    a[0] >= -1.0
                        && a[1] >= -1.0
                        && a[2] <= picture.width + 1.0
                        && a[3] <= picture.height + 1.0,
                    "{name} at {}: {text:?} leaves the picture: {a:?} of {}",
                    picture.width,
                    picture.height
                );
                for (other, b) in found.iter().skip(index + 1) {
                    assert!(
                        a[2] <= b[0] || b[2] <= a[0] || a[3] <= b[1] || b[3] <= a[1],
                        "{name} at {}: {text:?} meets {other:?}",
                        picture.width
                    );
                }
            }
        }
    }
}

#[test]
fn every_picture_is_named_and_has_its_numbers_as_a_table() {
    for (name, wide, narrow) in all() {
        for picture in [wide, narrow] {
            assert!(!picture.title.is_empty(), "{name}");
            let drawn = svg::inline(&picture, "p1");
            assert!(drawn.contains("<title id=\"p1-title\">"), "{name}");
            assert!(!drawn.contains("NaN") && !drawn.contains("inf"), "{name}");
            let role = if picture.has_links() { "group" } else { "img" };
            assert!(drawn.contains(&format!("role=\"{role}\"")), "{name}");
        }
    }
    for (_, input) in masts() {
        let table = mast::table(&input);
        assert!(table.rows.iter().all(|row| row.len() == table.heads.len()));
    }
    let table = trial_plot::table(&usual_trials());
    assert_eq!(table.rows[0], ["1", "742", "14.6", "13 to 16.2", ""]);
    let table = comparison_plot::table(&usual_comparison());
    assert_eq!(table.rows[2][..4], ["Installed", "1.44", "1.36", "1.53"]);
    assert_eq!(gate_rail::table(&usual_rail()).rows[3][1], "blocked (present stage)");
}

/// Writes every sample under `target/pictures`, for looking at.
#[test]
fn samples_are_written_for_looking_at() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("target/pictures");
    std::fs::create_dir_all(&folder).unwrap();
    let mut page = format!(
        "<!doctype html><meta charset=utf-8><meta name=viewport content=\"width=device-width\">\
         <style>@font-face{{font-family:'Fira Sans';src:url(../../static/fonts/FiraSans-Regular.ttf)}}\
         @font-face{{font-family:'Fira Sans';font-weight:600;src:url(../../static/fonts/FiraSans-SemiBold.ttf)}}\
         @font-face{{font-family:Vollkorn;font-weight:600;src:url(../../static/fonts/Vollkorn-SemiBold.ttf)}}\
         body{{background:#fbf9f4;margin:16px;font-family:'Fira Sans'}}{}</style>",
        svg::STYLE_RULES
    );
    for (name, wide, narrow) in all() {
        let _ = write!(page, "<p>{name}</p>{}", svg::responsive(&wide, &narrow, &name));
    }
    page.push_str("<p>");
    for mark in Mark::ALL {
        let _ = write!(page, "{} {mark:?} &nbsp; ", svg::decorative(&marks::picture(mark)));
    }
    std::fs::write(folder.join("figures.html"), page).unwrap();
}
