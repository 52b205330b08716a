//! Finished text for the page of a chain.

use crate::clock::Zone;
use crate::equipment::budget::{Budget, power_shown};
use crate::equipment::model::{Chain, ChainPart, Change, Revision, Spec, changes};
use crate::rf::arrester::VOLTAGE_RULE;
use crate::rf::decision::Evidence;
use crate::rf::line::KnownLoss;
use crate::rf::quantity::{Quantity, Swr, Watts};
use crate::sites::model::Particulars;

/// One part as the table shows it.
pub(super) struct PartRow {
    /// Its position; also the anchor `part-3`.
    pub position: i64,
    /// What it is.
    pub kind: &'static str,
    /// Its designation.
    pub designation: String,
    /// Its serial number, or empty.
    pub serial: String,
    /// Declared values with their names.
    pub declared: Vec<(&'static str, String)>,
    /// Where its constants are from, or empty.
    pub source: String,
    /// `0.65 ± 0.03`, or empty where a part has no loss.
    pub loss: String,
}

/// The parts in order, with their losses.
pub(super) fn parts(budget: &Budget<'_>) -> Vec<PartRow> {
    let row = |part: &ChainPart| {
        let (source, declared) =
            part.spec.declared().into_iter().partition(|(what, _)| *what == "source");
        let source: Vec<(&str, String)> = source;
        PartRow {
            position: part.position,
            kind: part.spec.kind_shown(),
            designation: part.designation.clone(),
            serial: part.serial.clone(),
            declared,
            source: source.into_iter().map(|(_, text)| text).collect(),
            loss: budget.loss_of(&part.spec).map(|loss| plus_minus(&loss)).unwrap_or_default(),
        }
    };
    budget.chain().parts.iter().map(row).collect()
}

fn plus_minus(loss: &KnownLoss) -> String {
    let nominal = loss.nominal().value();
    let to_side = loss.interval().high().value() - nominal;
    if to_side < 0.005 {
        format!("{nominal:.2}")
    } else {
        format!("{nominal:.2}\u{a0}±\u{a0}{to_side:.2}")
    }
}

/// Losses and powers of the whole chain: name and finished value.
pub(super) fn totals(budget: &Budget<'_>, assigned: &Particulars) -> Vec<(String, String)> {
    let points = budget.measuring_points();
    let mut rows: Vec<(String, String)> = points
        .iter()
        .map(|point| {
            let loss = budget.loss_to_antenna(point.position);
            (format!("Loss, {}, to the antenna", point.words), lost(&loss))
        })
        .collect();
    let Some((transmitter, _)) = budget.chain().transmitter() else {
        return rows;
    };
    let from = transmitter.position;
    if points.is_empty() {
        rows.push(("Loss, transmitter to antenna".to_owned(), lost(&budget.loss_to_antenna(from))));
    }
    let output = Evidence::exact(assigned.power.value());
    let at = budget.power_at_antenna(&output, from);
    rows.push((format!("Power at the antenna, of {}", assigned.power), interval(&at)));
    if let Some(erp) = budget.erp(&output, from) {
        let value = format!("{}; {} authorised", interval(&erp), assigned.erp);
        rows.push((format!("ERP, of {}", assigned.power), value));
    }
    rows
}

/// Loss with its interval, and how much of the power arrives.
fn lost(loss: &KnownLoss) -> String {
    let share = 100.0 * 10.0_f64.powf(-loss.nominal().value() / 10.0);
    let (low, high) = (loss.interval().low().value(), loss.interval().high().value());
    format!("{:.2} ({low:.2} to {high:.2}); {share:.0} % arrives", loss.nominal())
}

fn interval(power: &Evidence<Watts>) -> String {
    let (low, high) = (power.interval.low(), power.interval.high());
    format!("{} ({} to {})", power_shown(power.point), power_shown(low), power_shown(high))
}

/// What antenna and arrester are good for on this frequency and power: name and finished value.
pub(super) fn fitness(
    budget: &Budget<'_>,
    assigned: &Particulars,
    worst: Swr,
) -> Vec<(String, String)> {
    let mut rows = Vec::new();
    let element = budget.chain().antenna().and_then(|(_, antenna)| antenna.element());
    if let (Some(resonance), Some(element)) = (budget.resonance(), element) {
        let half = resonance.half;
        let value = format!(
            "about {:.0} ({:.0} to {:.0}); can be set from {} to {}",
            resonance.nominal,
            half.low().value(),
            half.high().value(),
            element.shortest.text(),
            element.longest
        );
        rows.push(("Each half, resonant in free space".to_owned(), value));
    }
    if let Some(check) = budget.arrester_check(assigned.power.value(), worst) {
        let value = format!(
            "may spark over from {:.0}, {:.2} times the peak of {} at an SWR of {worst}; {} times are \
             asked. Check the maker's RF rating and hold-over too",
            check.lowest, check.ratio, assigned.power, VOLTAGE_RULE
        );
        rows.push(("Arrester's voltage rule".to_owned(), value));
    }
    rows
}

/// One revision as the list of revisions shows it.
pub(super) struct RevisionView {
    /// Its number.
    pub number: i64,
    /// When and by whom it was entered, and in which job.
    pub entered: String,
    /// Why, or empty.
    pub note: String,
    /// What it changed against the one before; empty for the first.
    pub changes: Vec<String>,
    /// Its parts, for a revision that no longer holds; empty for the newest.
    pub parts: Vec<String>,
}

/// The revisions, newest first, each with what it changed.
pub(super) fn revisions(all: &[Revision], zone: &Zone) -> Vec<RevisionView> {
    let view = |(index, revision): (usize, &Revision)| {
        let chain = &revision.chain;
        let before = all.get(index + 1).map(|revision| &revision.chain);
        let job = revision.job.map(|job| format!(", in job {job}")).unwrap_or_default();
        let at = zone.measured(chain.entered_at).shown();
        RevisionView {
            number: chain.revision,
            entered: format!("{at}, {}{job}", revision.by),
            note: chain.note.clone(),
            changes: before.map(|before| changed(before, chain)).unwrap_or_default(),
            parts: if index == 0 { Vec::new() } else { chain.parts.iter().map(told).collect() },
        }
    };
    all.iter().enumerate().map(view).collect()
}

fn changed(before: &Chain, after: &Chain) -> Vec<String> {
    changes(before, after).iter().map(Change::shown).collect()
}

/// A part of an older revision in one line.
fn told(part: &ChainPart) -> String {
    let shown = |spec: &Spec| {
        let all: Vec<String> = spec
            .declared()
            .into_iter()
            .filter(|(what, _)| *what != "source")
            .map(|(what, value)| format!("{what} {value}"))
            .collect();
        all.join("; ")
    };
    format!("{}: {}", part.named(), shown(&part.spec))
}
