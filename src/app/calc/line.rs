//! Reflections, lines, meters and arresters.

use super::BadInput;
use super::answer::Answer;
use super::options::{AntennaInput, Arrester, Line, Meter as MeterAsked, ReflectionOf};
use crate::rf::arrester::{GasTube, VOLTAGE_RULE, check};
use crate::rf::line::{CABLES, CableType, KnownLoss, LossModel, at_load, total_loss};
use crate::rf::meter::{Meter, Powers, Range, Reflected};
use crate::rf::quantity::{LossDb, Percent, Quantity, Reflection, ReturnLossDb, Swr, Typed, Watts};
use crate::rf::reflection::{KnownReflection, from_powers};

const ALL_BACK: &str = "everything comes back: the SWR is infinite";
const NONE_BACK: &str = "nothing comes back: the return loss is infinite";

pub(super) fn reflection(asked: &ReflectionOf) -> Result<Answer, BadInput> {
    let reflection = match (asked.forward_w, asked.reflected_w, asked.swr, asked.return_loss_db) {
        (Some(forward), Some(reflected), ..) => {
            from_powers(forward, reflected).map_err(BadInput::because)?
        }
        (_, _, Some(swr), _) => swr.reflection(),
        (_, _, _, Some(return_loss)) => return_loss.reflection(),
        _ => return Err(BadInput("give two powers, an SWR or a return loss".to_owned())),
    };
    let mismatch = reflection.mismatch_loss();
    let whole = reflection.value() >= 1.0;
    let answer =
        told(Answer::from_source("|Γ| = (S − 1)/(S + 1) = √(Pr/Pf), IEEE Std 145"), reflection);
    let answer = if whole {
        answer.unsaid("mismatch_loss_db", "everything comes back: the mismatch loss is infinite")
    } else {
        answer.quantity("mismatch_loss_db", mismatch, "")
    };
    Ok(answer.quantity("reflected_share", reflection.share(), ""))
}

/// Reflection, SWR and return loss.
fn told(answer: Answer, reflection: Reflection) -> Answer {
    let (swr, loss): (Swr, ReturnLossDb) = (reflection.swr(), reflection.return_loss());
    answer.quantity("reflection", reflection, "").quantity("swr", swr, ALL_BACK).quantity(
        "return_loss_db",
        loss,
        NONE_BACK,
    )
}

pub(super) fn antenna_input(asked: &AntennaInput) -> Result<Answer, BadInput> {
    let read = KnownReflection::exact(asked.swr.reflection());
    let loss = KnownLoss::new(asked.line_loss_db, Percent::fixed(0.0));
    let there = at_load(&read, &loss).map_err(BadInput::because)?;
    let source = "return loss at the antenna = return loss read − 2 × line loss";
    Ok(told(Answer::from_source(source), there.point))
}

pub(super) fn line(asked: &Line) -> Result<Answer, BadInput> {
    let model = match (&asked.cable, asked.conductor_loss, asked.dielectric_loss) {
        (Some(name), ..) => cable(name)?.model,
        (None, Some(conductor), Some(dielectric)) => LossModel::of(conductor, dielectric),
        _ => return Err(BadInput("give a cable or both loss constants".to_owned())),
    };
    let matched = model.loss(asked.frequency_mhz, asked.length_m, asked.temperature_c);
    let load = asked.load_swr.map_or(Reflection::fixed(0.0), Swr::reflection);
    let total = total_loss(matched, load);
    let share = 10.0_f64.powf(-total.value() / 10.0);
    let source =
        "A√f + Bf, +0.198 %/°C about 20 °C; total loss with a mismatch as in the ARRL Antenna Book";
    let answer = Answer::from_source(source).quantity("matched_loss_db", matched, "");
    if load.value() >= 1.0 || total.value() >= LossDb::GREATEST {
        let why = "nothing is delivered: the loss is infinite";
        return Ok(answer.unsaid("total_loss_db", why).number("efficiency", 0.0, "", ""));
    }
    Ok(answer.quantity("total_loss_db", total, "").number("efficiency", share, "", ""))
}

/// A cable by its name or key, in any case.
fn cable(name: &str) -> Result<&'static CableType, BadInput> {
    let is = |cable: &&CableType| {
        cable.key.eq_ignore_ascii_case(name) || cable.name.eq_ignore_ascii_case(name)
    };
    CABLES.iter().find(is).ok_or_else(|| {
        let known: Vec<&str> = CABLES.iter().map(|cable| cable.key).collect();
        BadInput(format!("“{name}” is not a cable known here: {}", known.join(", ")))
    })
}

/// A number of the command line stands for itself: it has no last digit that was read off a scale.
fn exact(watts: Watts) -> Result<Typed<Watts>, BadInput> {
    Typed::parse(&format!("{:.9}", watts.value())).map_err(BadInput::because)
}

pub(super) fn meter(asked: &MeterAsked) -> Result<Answer, BadInput> {
    let range = |full_scale| Range { full_scale, accuracy: asked.accuracy_percent };
    let meter = Meter {
        forward: range(asked.forward_full_scale_w),
        reflected: range(asked.reflected_full_scale_w),
        directivity: asked.directivity_db,
    };
    for (name, read, full) in [
        ("forward", asked.forward_w, asked.forward_full_scale_w),
        ("reflected", asked.reflected_w, asked.reflected_full_scale_w),
    ] {
        if read > full {
            return Err(BadInput(format!("{read} {name} was read on a range that ends at {full}")));
        }
    }
    let powers = Powers {
        forward: exact(asked.forward_w)?,
        reflected: Reflected::Shown(exact(asked.reflected_w)?),
    };
    let known = meter.measure(&powers).map_err(BadInput::because)?;
    let between = known.swr_interval();
    let source = "worst corners of both full-scale errors, then ± 10^(−D/20); without a stated directivity a least interval";
    Ok(Answer::from_source(source)
        .quantity("swr", known.point.swr(), ALL_BACK)
        .quantity("swr_low", between.low(), ALL_BACK)
        .quantity(
            "swr_high",
            between.high(),
            "the interval reaches total reflection: its end is infinite",
        )
        .yes("directivity_stated", asked.directivity_db.is_some()))
}

pub(super) fn arrester(asked: &Arrester) -> Answer {
    let tube = GasTube { spark_over: asked.sparkover_v, tolerance: asked.tolerance_percent };
    let found = check(&tube, asked.forward_w, asked.swr);
    let source = "Vpk = √(2 · P · 50)(1 + |Γ|); lowest spark-over at least 1.5 × Vpk, application notes of the trade. It says no more: the maker's RF rating and hold-over are asked too";
    Answer::from_source(source)
        .quantity("peak_v", found.peak, "")
        .quantity("lowest_sparkover_v", found.lowest, "")
        .quantity("ratio", found.ratio, "no power, no peak voltage: the ratio is infinite")
        .yes("passes_voltage_rule", found.ratio >= VOLTAGE_RULE)
}
