//! A job's pictures, filled from its dossier: the mast drawing, the trial plot, the comparison plot and
//! the rail of gates. Pages give addresses for the parts; a report gives none.

use crate::figure::comparison_plot::{ComparisonPlot, Interval, Role};
use crate::figure::gate_rail::{Gate, GateRail, Stage as RailStage};
use crate::figure::mast::{
    Antenna, AntennaKind, Electrode, FeedLine, GroundKit, KitPlace, Mast, Part,
    Structure as MastStructure, StructureKind, Transmitter,
};
use crate::figure::trial_plot::{Trial, TrialPlot};
use crate::figure::{Mark, State};
use crate::jobs::dossier::Dossier;
use crate::jobs::findings::{ItemFinding, Known, Progress, StageFinding, swr_of};
use crate::jobs::model::{Answer, Decimal, Record};
use crate::profiles::model::Stage;
use crate::rf::quantity::Quantity;
use crate::sites::model::Structure;

/// The mark of an answer; a ring while there is none.
#[must_use]
pub fn mark(answer: Option<Answer>) -> Mark {
    match answer {
        Some(Answer::Passed) => Mark::Tick,
        Some(Answer::Failed) => Mark::Cross,
        Some(Answer::NotApplicable) => Mark::Dash,
        Some(Answer::UnderConcession) => Mark::Diamond,
        Some(Answer::Deferred) => Mark::Flag,
        Some(Answer::NotShown) | None => Mark::Ring,
    }
}

/// The word of an answer; "open" while there is none.
#[must_use]
pub fn word(answer: Option<Answer>) -> &'static str {
    answer.map_or("open", Answer::shown)
}

fn state(item: Option<&ItemFinding>) -> Option<State> {
    item.map(|item| State::new(mark(item.answer), word(item.answer)))
}

/// Where the parts of a picture lead: a function from the tail of an address below the job's page.
pub type Lead<'a> = &'a dyn Fn(&str) -> Option<String>;

/// The site in elevation as the job's record knows it.
#[must_use]
pub fn mast(dossier: &Dossier, lead: Lead<'_>) -> Mast {
    let record = &dossier.record;
    let item = |id: &str| dossier.findings.item(id);
    let check = |id: &str| lead(&format!("/checks/{id}"));
    let site = &record.site;
    let kind = match site.structure {
        Structure::Mast => StructureKind::Mast,
        Structure::Tower => StructureKind::Tower,
        Structure::Pole => StructureKind::Pole,
        Structure::Roof => StructureKind::Roof,
    };
    let part = |name: &str| Part { name: name.to_owned(), ..Part::default() };
    Mast {
        site: site.name.clone(),
        structure: MastStructure {
            part: part(site.structure.shown()),
            kind,
            height_m: Some(site.structure_height.value().value()),
        },
        antenna: antenna(dossier, lead),
        feed_line: feed_line(dossier, lead),
        ground_kits: kits(item("ground-kits"), check("ground-kits")),
        arrester: record.chain().and_then(|chain| chain.arrester()).map(|(arrester, _)| Part {
            name: "arrester".to_owned(),
            facts: vec![arrester.designation.clone()],
            state: state(item("arrester-voltage")),
            href: check("arrester-voltage"),
        }),
        measuring_point: record.chain().and_then(|chain| chain.meters().next()).map(
            |(meter, _)| Part {
                name: "measuring point".to_owned(),
                facts: vec![meter.designation.clone()],
                state: state(item("installed-swr")),
                href: lead("/installed"),
            },
        ),
        transmitter: transmitter(dossier, lead),
        electrode: item("ground-resistance")
            .map(|item| electrode(record, item, check("ground-resistance"))),
        record_href: lead("/chain"),
    }
}

fn antenna(dossier: &Dossier, lead: Lead<'_>) -> Option<Antenna> {
    let record = &dossier.record;
    let (part, antenna) = record.chain()?.antenna()?;
    let authorised = record.assignment().map(|one| &one.particulars);
    let built = record.answered("centre-height").and_then(|(_, answered)| answered.number);
    let mut facts = Vec::new();
    if let (Some(erp), Some(authorised)) =
        (dossier.findings.installed(record).and_then(|reading| reading.erp_w), authorised)
    {
        facts.push(format!("ERP {:.0} W of {} W", erp.0, authorised.erp.text()));
    }
    Some(Antenna {
        part: Part {
            name: part.designation.clone(),
            facts,
            state: state(dossier.findings.item("centre-height")),
            href: lead("/stand"),
        },
        kind: AntennaKind::HalfWaveDipole,
        height_m: Some(built.map_or(antenna.plate.height.value().value(), |number| number.0)),
        authorised_height_m: authorised.map(|one| one.height.value().value()),
    })
}

fn feed_line(dossier: &Dossier, lead: Lead<'_>) -> Option<FeedLine> {
    let record = &dossier.record;
    let (part, line) = record.chain()?.feed_line()?;
    let loss = dossier.findings.chain.as_ref().and_then(|chain| chain.loss_of(part.position));
    let reading = record.installed().map(|(_, reading)| reading);
    let out = dossier.findings.installed(record).and_then(|reading| reading.at_antenna_w);
    Some(FeedLine {
        part: Part {
            name: part.designation.clone(),
            facts: Vec::new(),
            state: None,
            href: lead("/chain"),
        },
        length_m: Some(line.length.value().value()),
        loss_db: loss.map(|loss| loss.nominal.0),
        power_in_w: reading.map(|reading| reading.powers.forward.value().value()),
        power_out_w: out.map(|watts| watts.0),
    })
}

fn transmitter(dossier: &Dossier, lead: Lead<'_>) -> Option<Transmitter> {
    let record = &dossier.record;
    let (part, _) = record.chain()?.transmitter()?;
    let reading = record.installed().map(|(_, reading)| reading);
    Some(Transmitter {
        part: Part {
            name: part.designation.clone(),
            facts: Vec::new(),
            state: state(dossier.findings.item("power")),
            href: lead("/installed"),
        },
        power_w: reading.map(|reading| reading.powers.forward.value().value()),
        authorised_power_w: record.assignment().map(|one| one.particulars.power.value().value()),
    })
}

/// The profile asks for all three kits in one question: they share its state.
fn kits(item: Option<&ItemFinding>, href: Option<String>) -> Vec<GroundKit> {
    let Some(item) = item else { return Vec::new() };
    let kit = |place| GroundKit { place, state: state(Some(item)), href: href.clone() };
    vec![kit(KitPlace::Top), kit(KitPlace::Foot), kit(KitPlace::Entry)]
}

/// The electrode system with the value that was measured last, its method and day: also where a
/// concession now stands for it.
fn electrode(record: &Record, item: &ItemFinding, href: Option<String>) -> Electrode {
    let measured = record.answered(&item.id);
    let facts = measured.map_or_else(Vec::new, |(fact, answered)| {
        let method = Some(answered.method.clone()).filter(|method| !method.is_empty());
        method.into_iter().chain([fact.measured.shown_date()]).collect()
    });
    Electrode {
        part: Part {
            name: "ground electrode system".to_owned(),
            facts,
            state: state(Some(item)),
            href,
        },
        last_value: measured.and_then(|(_, answered)| answered.value.clone()),
    }
}

/// Reflected share against the setting, at the antenna input.
#[must_use]
pub fn trial_plot(dossier: &Dossier, heading: Option<&str>, lead: Lead<'_>) -> TrialPlot {
    let stand = &dossier.findings.stand;
    let trials = stand.trials.iter().filter_map(|trial| {
        let known = trial.at_antenna.or(trial.at_meter)?;
        let [low, high] = known.share_interval_percent();
        Some(Trial {
            number: u32::try_from(trial.number).unwrap_or(u32::MAX),
            setting: trial.setting.0,
            share_percent: known.share_percent(),
            low_percent: low,
            high_percent: high,
            at_least: known.at_least,
            struck: trial.struck,
            href: lead(&format!("/entries/{}", trial.fact)),
        })
    });
    let pair = |pair: &[Decimal; 2]| [pair[0].0, pair[1].0];
    TrialPlot {
        heading: heading.map(str::to_owned),
        setting_name: "each half".to_owned(),
        unit: "mm".to_owned(),
        trials: trials.collect(),
        fit: stand.fit.iter().map(pair).collect(),
        // A rod is set to whole millimetres: the band is rounded outward.
        best: stand.best.as_ref().map(|[low, high]| [low.0.floor(), high.0.ceil()]),
        target_percent: stand.target_percent.map(|percent| percent.0),
        present: stand.present.map(|setting| setting.0),
    }
}

fn swr_pair(pair: &[Decimal; 2]) -> [f64; 2] {
    [swr_of(pair[0]), swr_of(pair[1])]
}

fn row(role: Role, name: &str, note: String, known: Option<&Known>) -> Interval {
    Interval {
        role,
        name: name.to_owned(),
        note,
        value: known.map(|known| known.swr().value()),
        range: known.map(|known| swr_pair(&[known.low, known.high])),
        widest: None,
        at_least: known.is_some_and(|known| known.at_least),
        ..Interval::default()
    }
}

/// Stand, predicted and installed on one axis at the measuring point.
#[must_use]
pub fn comparison_plot(dossier: &Dossier, heading: Option<&str>) -> ComparisonPlot {
    let record = &dossier.record;
    let comparison = dossier.findings.comparison.as_ref();
    let chosen = record.chosen().map(|(_, trial)| trial.fact.measured.shown_date());
    let stand = comparison.and_then(|comparison| comparison.stand_at_meter.as_ref());
    let through = chosen.map_or_else(String::new, |date| format!("{date}, seen through the line"));
    let installed = record.installed();
    let reading = dossier.findings.installed(record).and_then(|reading| reading.at_meter.as_ref());
    let note = installed.map_or_else(String::new, |(fact, reading)| {
        format!("{}, {}", fact.measured.shown_date(), reading.weather.shown())
    });
    let prediction = comparison.and_then(|comparison| comparison.prediction.as_ref());
    let predicted = Interval {
        role: Role::Predicted,
        name: "Predicted".to_owned(),
        note: "if the mast adds nothing".to_owned(),
        value: prediction.map(|prediction| swr_of(prediction.point)),
        range: prediction.map(|prediction| swr_pair(&prediction.expected)),
        widest: prediction.map(|prediction| swr_pair(&prediction.widest)),
        at_least: prediction.is_some_and(|prediction| prediction.at_least),
        ..Interval::default()
    };
    ComparisonPlot {
        heading: heading.map(str::to_owned),
        point_name: point_name(record),
        rows: vec![
            row(Role::Stand, "Stand", through, stand),
            predicted,
            row(Role::Installed, "Installed", note, reading),
        ],
        limit: Some(record.profile.limits.installed_swr.value().value()),
    }
}

/// The measuring point of the reading that counts, in words.
#[must_use]
pub fn point_name(record: &Record) -> String {
    let named = record.installed().and_then(|(fact, reading)| {
        let part = record.chain_of(fact)?.part(reading.point_position)?;
        Some(format!("the measuring point (output of {})", part.designation))
    });
    named.unwrap_or_else(|| "the measuring point".to_owned())
}

/// The six stages with their gates.
#[must_use]
pub fn gate_rail(dossier: &Dossier, lead: Lead<'_>) -> GateRail {
    let findings = &dossier.findings;
    let present = findings.progress.stage();
    let stages = findings.stages.iter().map(|finding| {
        let released = finding
            .released
            .and_then(|uuid| dossier.record.fact(uuid))
            .map(|fact| format!("released {}", fact.measured.shown_date()));
        let (gate, word) = match finding.stage {
            Stage::HandOver => hand_over(findings.progress, finding),
            _ if !finding.needed => (Gate::Passed, NO_PART.to_owned()),
            _ if finding.is_open() => (Gate::Passed, released.unwrap_or_default()),
            _ if finding.lapsed => (Gate::Lapsed, "lapsed".to_owned()),
            stage if stage > present => (Gate::Ahead, String::new()),
            _ if finding.unsettled() == 0 => (Gate::Ready, "waits for release".to_owned()),
            _ => (Gate::Blocked, checks_left(finding.open, finding.failed)),
        };
        RailStage {
            name: finding.stage.shown().to_owned(),
            gate,
            word,
            href: lead(&format!("#{}", finding.stage.word())),
        }
    });
    let index = Stage::ALL.iter().position(|stage| *stage == present).unwrap_or_default();
    let past = usize::from(findings.progress == Progress::Accepted);
    GateRail { stages: stages.collect(), present: index + past }
}

fn hand_over(progress: Progress, finding: &StageFinding) -> (Gate, String) {
    match progress {
        Progress::Accepted => (Gate::Passed, "accepted".to_owned()),
        Progress::Declared => (Gate::Ready, "declared".to_owned()),
        _ if progress.stage() != Stage::HandOver => (Gate::Ahead, String::new()),
        _ if finding.unsettled() == 0 => (Gate::Ready, "to declare".to_owned()),
        _ => (Gate::Blocked, checks_left(finding.open, finding.failed)),
    }
}

/// What is said of a stage of which no item applies.
pub const NO_PART: &str = "no part of this job";

/// `1 check open`, `3 checks open, 1 failed`, `2 checks failed`
#[must_use]
pub fn checks_left(open: usize, failed: usize) -> String {
    let checks = |count: usize| if count == 1 { "check" } else { "checks" };
    match (open, failed) {
        (0, failed) if failed > 0 => format!("{failed} {} failed", checks(failed)),
        (open, 0) => format!("{open} {} open", checks(open)),
        (open, failed) => format!("{open} {} open, {failed} failed", checks(open)),
    }
}
