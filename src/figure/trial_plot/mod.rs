//! The trial plot: reflected share against the setting of the antenna, trial by trial, with what
//! the meter allows, the fitted curve and the band in which the best setting lies.

mod field;
mod points;

use crate::figure::axis::{Axis, plain, round_step};
use crate::figure::label::heading;
use crate::figure::picture::{Anchor, Paint, Picture, text};
use crate::figure::table::Table;
use crate::figure::typeface::Face;

/// One trial.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Trial {
    /// The trial's number.
    pub number: u32,
    /// The setting, in the plot's unit.
    pub setting: f64,
    /// Reflected share of the power as read, in percent.
    pub share_percent: f64,
    /// Least share that the meter allows, in percent.
    pub low_percent: f64,
    /// Greatest share that the meter allows, in percent; may be infinite.
    pub high_percent: f64,
    /// Whether the meter's interval is a least one, because something of it is not stated: drawn
    /// with open ends.
    pub at_least: bool,
    /// Whether a correction has struck the trial.
    pub struck: bool,
    /// Where a press on the trial leads.
    pub href: Option<String>,
}

/// Everything the plot shows.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct TrialPlot {
    /// A heading drawn above the plot; a page that has its own leaves it out.
    pub heading: Option<String>,
    /// What is set, such as "each half".
    pub setting_name: String,
    /// Unit of the setting, such as "mm".
    pub unit: String,
    /// The trials in any order.
    pub trials: Vec<Trial>,
    /// Points of the fitted curve: setting, share in percent.
    pub fit: Vec<[f64; 2]>,
    /// The band in which the best setting lies.
    pub best: Option<[f64; 2]>,
    /// Share at which tuning may stop, in percent.
    pub target_percent: Option<f64>,
    /// Where the element stands now.
    pub present: Option<f64>,
}

const LEFT: f64 = 48.0;
const RIGHT: f64 = 12.0;
const ROW: f64 = 17.0;

/// The plot's field: its axes and edges in pixels.
struct Field {
    x: Axis,
    y: Axis,
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
}

/// Draws the plot in a column of `width` pixels (at least 280).
#[must_use]
pub fn draw(input: &TrialPlot, width: f64) -> Picture {
    let width = if width.is_finite() { width.max(280.0) } else { 280.0 };
    let mut shapes = Vec::new();
    let top = heading(input.heading.as_deref(), width, &mut shapes);
    let x = Axis::new(settings(input), (LEFT + 12.0, width - RIGHT - 12.0));
    let (flags, rows) = field::flags(input, &x, width);
    let field_top = top + rows * ROW + 10.0;
    let height = if width < 480.0 { 190.0 } else { 250.0 };
    let field = Field {
        x,
        y: Axis::new((0.0, greatest_share(input)), (field_top + height, field_top)),
        left: LEFT,
        right: width - RIGHT,
        top: field_top,
        bottom: field_top + height,
    };
    field::draw_field(input, &field, &mut shapes);
    field::draw_flags(&flags, &field, &mut shapes);
    points::draw_trials(input, &field, &mut shapes);
    shapes.push(text(
        [f64::midpoint(field.left, field.right), field.bottom + 40.0],
        axis_name(input),
        (Face::Text, 12.0),
        Anchor::Middle,
        Paint::Ink,
    ));
    Picture {
        kind: "trial-plot",
        width,
        height: field.bottom + 46.0,
        title: format!("Reflected share against {}", axis_name(input)),
        description: description(input),
        shapes,
    }
}

fn axis_name(input: &TrialPlot) -> String {
    match (input.setting_name.as_str(), input.unit.as_str()) {
        ("", "") => "setting".to_owned(),
        ("", unit) => format!("setting, {unit}"),
        (name, "") => name.to_owned(),
        (name, unit) => format!("{name}, {unit}"),
    }
}

/// Least and greatest setting shown.
fn settings(input: &TrialPlot) -> (f64, f64) {
    let (low, high) = input
        .trials
        .iter()
        .map(|trial| trial.setting)
        .chain(input.best.into_iter().flatten())
        .chain(input.present)
        .chain(input.fit.iter().map(|point| point[0]))
        .filter(|setting| setting.is_finite())
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
            (low.min(value), high.max(value))
        });
    if low > high {
        return (0.0, 1.0);
    }
    let least = low.abs().max(1.0) * 0.01;
    let middle = f64::midpoint(low, high);
    let half = ((high - low) / 2.0).max(least);
    (middle - half, middle + half)
}

/// The share at the top of the plot: all trials fit; a meter bar may end in an arrow.
fn greatest_share(input: &TrialPlot) -> f64 {
    let shares = input.trials.iter().map(|trial| trial.share_percent);
    let most = shares.filter(|share| share.is_finite()).fold(0.0, f64::max);
    let bars = input
        .trials
        .iter()
        .map(|trial| trial.high_percent)
        .filter(|high| high.is_finite())
        .fold(most, f64::max)
        .min(most * 2.0);
    let target = input.target_percent.filter(|target| target.is_finite()).unwrap_or(0.0);
    let most = bars.max(target * 1.3).max(1.0) * 1.06;
    let step = round_step(most / 5.0);
    (most / step).ceil() * step
}

fn interval(trial: &Trial) -> String {
    let range = if trial.high_percent.is_finite() {
        format!("{} to {}", plain(trial.low_percent, 2), plain(trial.high_percent, 2))
    } else {
        format!("{} and more", plain(trial.low_percent, 2))
    };
    if trial.at_least { format!("{range} or wider") } else { range }
}

/// The trials as rows.
#[must_use]
pub fn table(input: &TrialPlot) -> Table {
    let mut table =
        Table::new("Trials", ["Trial", "Setting", "Reflected %", "Meter allows %", "Remark"]);
    table.heads[1] = axis_name(input);
    for trial in &input.trials {
        let now = input.present.is_some_and(|present| (present - trial.setting).abs() < 1e-6);
        let remark = match (trial.struck, now) {
            (true, _) => "struck by a correction",
            (false, true) => "the present setting",
            (false, false) => "",
        };
        if trial.struck {
            table.struck.push(table.rows.len());
        }
        table.row([
            trial.number.to_string(),
            plain(trial.setting, 2),
            plain(trial.share_percent, 2),
            interval(trial),
            remark.to_owned(),
        ]);
    }
    table
}

fn description(input: &TrialPlot) -> String {
    let valid = input.trials.iter().filter(|trial| !trial.struck);
    let mut words = match input.trials.len() {
        0 => "No trial is recorded yet.".to_owned(),
        1 => "One trial.".to_owned(),
        count => format!("{count} trials."),
    };
    let lowest = valid.min_by(|a, b| a.share_percent.total_cmp(&b.share_percent));
    if let Some(lowest) = lowest {
        words.push_str(&format!(
            " The lowest is trial {}: {} % at {} {}.",
            lowest.number,
            plain(lowest.share_percent, 2),
            plain(lowest.setting, 2),
            input.unit
        ));
    }
    if let Some([low, high]) = input.best {
        words.push_str(&format!(
            " The best setting lies between {} and {} {}.",
            plain(low, 1),
            plain(high, 1),
            input.unit
        ));
    }
    if let Some(target) = input.target_percent {
        words.push_str(&format!(" The target is {} %.", plain(target, 2)));
    }
    if let Some(present) = input.present {
        words.push_str(&format!(
            " The element stands at {} {} now.",
            plain(present, 1),
            input.unit
        ));
    }
    words
}
