//! The trial plot: reflected share against the setting of the antenna, trial by trial, with what
//! the meter allows, the fitted curve and the band in which the best setting lies.

use crate::figure::axis::{Axis, plain, round_step, tick_texts};
use crate::figure::picture::{Anchor, Fill, Paint, Picture, Shape, Stroke};
use crate::figure::picture::{circle, line, polygon, polyline, rect, text};
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
    let mut top = 0.0;
    if let Some(heading) = &input.heading {
        for words in Face::Heading.wrap(heading, 16.0, width) {
            top += 21.0;
            shapes.push(text(
                [0.0, top - 4.0],
                words,
                (Face::Heading, 16.0),
                Anchor::Start,
                Paint::Ink,
            ));
        }
        top += 6.0;
    }
    let x = Axis::new(settings(input), (LEFT + 12.0, width - RIGHT - 12.0));
    let (flags, rows) = flags(input, &x, width);
    let field_top = top + rows * ROW + 6.0;
    let height = if width < 480.0 { 190.0 } else { 250.0 };
    let field = Field {
        x,
        y: Axis::new((0.0, greatest_share(input)), (field_top + height, field_top)),
        left: LEFT,
        right: width - RIGHT,
        top: field_top,
        bottom: field_top + height,
    };
    draw_field(input, &field, &mut shapes);
    draw_flags(&flags, &field, &mut shapes);
    draw_trials(input, &field, &mut shapes);
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

/// A word above the plot that belongs to one place on the axis.
struct Flag {
    words: String,
    x: f64,
    anchor: Anchor,
    paint: Paint,
    row: f64,
    line: bool,
}

/// The words above the plot on as many rows as they need, the lowest first.
fn flags(input: &TrialPlot, axis: &Axis, width: f64) -> (Vec<Flag>, f64) {
    let mut wanted = vec![Flag {
        words: "reflected share, %".to_owned(),
        x: 0.0,
        anchor: Anchor::Start,
        paint: Paint::Ink,
        row: 0.0,
        line: false,
    }];
    if let Some(present) = input.present.filter(|present| present.is_finite()) {
        wanted.push(Flag {
            words: format!("now {} {}", plain(present, 1), input.unit),
            x: axis.at(present),
            anchor: Anchor::Middle,
            paint: Paint::Ink,
            row: 0.0,
            line: true,
        });
    }
    if let Some([low, high]) = input.best {
        wanted.push(Flag {
            words: format!("best {} to {}", plain(low, 1), plain(high, 1)),
            x: axis.at(f64::midpoint(low, high)),
            anchor: Anchor::Middle,
            paint: Paint::Oxide,
            row: 0.0,
            line: false,
        });
    }
    let mut taken: Vec<(f64, f64, f64)> = Vec::new();
    let mut rows: f64 = 1.0;
    for flag in &mut wanted {
        let room = Face::Text.measure(&flag.words, 12.0) * 1.04;
        let left = match flag.anchor {
            Anchor::Middle => (flag.x - room / 2.0).clamp(0.0, (width - room).max(0.0)),
            Anchor::Start | Anchor::End => flag.x,
        };
        while taken.iter().any(|(row, from, to)| {
            (row - flag.row).abs() < 0.5 && left < to + 8.0 && left + room + 8.0 > *from
        }) {
            flag.row += 1.0;
        }
        taken.push((flag.row, left, left + room));
        rows = rows.max(flag.row + 1.0);
        if flag.anchor == Anchor::Middle {
            flag.anchor = Anchor::Start;
            // The line keeps the setting's place; only the words move.
            flag.x = left;
        }
    }
    (wanted, rows)
}

fn draw_flags(flags: &[Flag], field: &Field, shapes: &mut Vec<Shape>) {
    for flag in flags {
        let baseline = field.top - 8.0 - flag.row * ROW;
        let face = if flag.line { Face::Strong } else { Face::Text };
        shapes.push(text([flag.x, baseline], &*flag.words, (face, 12.0), flag.anchor, flag.paint));
    }
}

fn draw_field(input: &TrialPlot, field: &Field, shapes: &mut Vec<Shape>) {
    if let Some([low, high]) = input.best {
        let (left, right) = (field.x.at(low), field.x.at(high));
        shapes.push(rect(
            [left, field.top],
            [(right - left).max(2.0), field.bottom - field.top],
            Some(Fill::tint(Paint::Oxide, 16)),
            None,
        ));
    }
    draw_shares(input, field, shapes);
    draw_settings(field, shapes);
    if input.fit.len() > 1 {
        let points = input
            .fit
            .iter()
            .filter(|point| field.y.holds(point[1]))
            .map(|point| [field.x.at(point[0]), field.y.at(point[1])])
            .collect();
        shapes.push(polyline(points, Stroke::dashed(Paint::Sea, 1.8)));
    }
    if let Some(present) = input.present.filter(|present| present.is_finite()) {
        let x = field.x.at(present);
        shapes.push(line([x, field.top - 4.0], [x, field.bottom], Stroke::solid(Paint::Ink, 1.0)));
        shapes.push(polygon(
            vec![[x - 5.0, field.top - 5.0], [x + 5.0, field.top - 5.0], [x, field.top + 3.0]],
            Some(Fill::solid(Paint::Ink)),
            None,
        ));
    }
    if input.trials.is_empty() {
        shapes.push(text(
            [f64::midpoint(field.left, field.right), f64::midpoint(field.top, field.bottom)],
            "no trial recorded yet",
            (Face::Text, 13.0),
            Anchor::Middle,
            Paint::SoftInk,
        ));
    }
}

fn draw_shares(input: &TrialPlot, field: &Field, shapes: &mut Vec<Shape>) {
    let target = input.target_percent.filter(|target| target.is_finite());
    let ticks = field.y.ticks(5.0);
    for (tick, label) in ticks.iter().zip(tick_texts(&ticks)) {
        let y = field.y.at(*tick);
        let grid = Stroke::solid(Paint::Rule, 1.0);
        shapes.push(line([field.left, y], [field.right, y], grid));
        if target.is_none_or(|target| (field.y.at(target) - y).abs() > 15.0) {
            shapes.push(text(
                [field.left - 7.0, y + 4.0],
                label,
                (Face::Text, 11.5),
                Anchor::End,
                Paint::SoftInk,
            ));
        }
    }
    if let Some(target) = target {
        let y = field.y.at(target);
        shapes.push(line([field.left, y], [field.right, y], Stroke::solid(Paint::Oxide, 1.4)));
        for (words, face, base) in
            [("target".to_owned(), Face::Text, y - 1.0), (plain(target, 2), Face::Strong, y + 11.0)]
        {
            shapes.push(text(
                [field.left - 7.0, base],
                words,
                (face, 11.5),
                Anchor::End,
                Paint::Oxide,
            ));
        }
    }
}

fn draw_settings(field: &Field, shapes: &mut Vec<Shape>) {
    let axis = Stroke::solid(Paint::Ink, 1.2);
    let most = ((field.right - field.left) / 70.0).clamp(2.0, 8.0);
    let ticks = field.x.ticks(most);
    for (tick, label) in ticks.iter().zip(tick_texts(&ticks)) {
        let x = field.x.at(*tick);
        shapes.push(line([x, field.bottom], [x, field.bottom + 5.0], axis));
        shapes.push(text(
            [x, field.bottom + 19.0],
            label,
            (Face::Text, 11.5),
            Anchor::Middle,
            Paint::SoftInk,
        ));
    }
    shapes.push(polyline(
        vec![[field.left, field.top], [field.left, field.bottom], [field.right, field.bottom]],
        axis,
    ));
}

/// Left, top, right and bottom of something drawn.
type Extent = [f64; 4];

fn overlap(a: Extent, b: Extent) -> bool {
    a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3]
}

fn draw_trials(input: &TrialPlot, field: &Field, shapes: &mut Vec<Shape>) {
    let mut taken: Vec<Extent> = input
        .trials
        .iter()
        .map(|trial| {
            let (x, y) = (field.x.at(trial.setting), field.y.at(trial.share_percent));
            [x - 4.5, y - 4.5, x + 4.5, y + 4.5]
        })
        .collect();
    let mut order: Vec<&Trial> = input.trials.iter().collect();
    order.sort_by_key(|trial| (!trial.struck, trial.number));
    for trial in order {
        let mut parts = Vec::new();
        bar(trial, field, &mut parts);
        number(trial, field, &mut taken, &mut parts);
        shapes.push(Shape::Group {
            href: trial.href.clone(),
            name: format!("Trial {}", trial.number),
            shapes: parts,
        });
    }
}

/// The meter's bar and the point itself.
fn bar(trial: &Trial, field: &Field, parts: &mut Vec<Shape>) {
    let (x, y) = (field.x.at(trial.setting), field.y.at(trial.share_percent));
    let paint = if trial.struck { Paint::SoftInk } else { Paint::Ink };
    let stroke = if trial.struck { Stroke::dashed(paint, 1.0) } else { Stroke::solid(paint, 1.3) };
    let low = field.y.at(trial.low_percent.min(trial.share_percent));
    let high = field.y.at(trial.high_percent.max(trial.share_percent));
    parts.push(line([x, low], [x, high], stroke));
    let beyond = !field.y.holds(trial.high_percent);
    if beyond {
        parts.push(polygon(
            vec![[x - 4.0, high + 7.0], [x + 4.0, high + 7.0], [x, high - 1.0]],
            Some(Fill::solid(paint)),
            None,
        ));
    }
    for (end, outward) in [(low, 1.0), (high, -1.0)] {
        if trial.at_least {
            parts.push(line(
                [x, end + outward * 2.0],
                [x, (end + outward * 9.0).clamp(field.top, field.bottom)],
                Stroke { dash: Some([1.5, 2.0]), ..Stroke::solid(paint, 1.3) },
            ));
        } else if !(beyond && outward < 0.0) {
            parts.push(line([x - 4.0, end], [x + 4.0, end], stroke));
        }
    }
    if trial.struck {
        parts.push(circle([x, y], 4.0, Some(Fill::solid(Paint::Paper)), Some(stroke)));
        let cross = Stroke::solid(paint, 1.3);
        parts.push(line([x - 5.0, y - 5.0], [x + 5.0, y + 5.0], cross));
        parts.push(line([x - 5.0, y + 5.0], [x + 5.0, y - 5.0], cross));
    } else {
        parts.push(circle([x, y], 4.0, Some(Fill::solid(Paint::Ink)), None));
    }
}

/// The trial's number beside its point, clear of all other points and numbers.
fn number(trial: &Trial, field: &Field, taken: &mut Vec<Extent>, parts: &mut Vec<Shape>) {
    let words = trial.number.to_string();
    let (x, y) = (field.x.at(trial.setting), field.y.at(trial.share_percent));
    let room = Face::Strong.measure(&words, 12.0) + 2.0;
    let extent = |dx: f64, dy: f64| -> Extent {
        let (middle, base) = (x + dx, y + dy);
        [middle - room / 2.0, base - 5.5, middle + room / 2.0, base + 5.5]
    };
    let side = room / 2.0 + 7.0;
    let mut places = vec![(side, -8.0), (-side, -8.0), (side, 9.0), (-side, 9.0)];
    for distance in [18.0, 30.0, 42.0, 54.0, 66.0] {
        for (right, down) in [
            (0.7, -0.7),
            (-0.7, -0.7),
            (0.7, 0.7),
            (-0.7, 0.7),
            (1.0, 0.0),
            (-1.0, 0.0),
            (0.3, -1.0),
            (-0.3, -1.0),
        ] {
            places.push((right * distance + right * side, down * distance));
        }
    }
    let free = places.iter().copied().find(|(dx, dy)| {
        let place = extent(*dx, *dy);
        place[0] > field.left + 1.0
            && place[2] < field.right + RIGHT
            && place[1] > field.top - 6.0
            && place[3] < field.bottom - 1.0
            && !taken.iter().any(|other| overlap(place, *other))
    });
    let (dx, dy) = free.unwrap_or((side, -8.0));
    taken.push(extent(dx, dy));
    if dx.abs() > side + 1.0 || dy.abs() > 12.0 {
        parts.push(line(
            [x, y],
            [x + dx - dx.signum() * room / 2.0, y + dy],
            Stroke::solid(Paint::SoftInk, 0.7),
        ));
    }
    parts.push(Shape::Text {
        at: [x + dx, y + dy + 4.0],
        text: words,
        size: 12.0,
        face: Face::Strong,
        anchor: Anchor::Middle,
        paint: if trial.struck { Paint::SoftInk } else { Paint::Ink },
        struck: trial.struck,
    });
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
