//! Distances and differences of the rows, reckoned and in words.

use crate::rf::geodesy::way;
use crate::rf::quantity::{Interval, Quantity, Watts};
use crate::sites::model::Position;

/// Room for a binary fraction: 30.5 + 1 is not exactly 31.5.
pub(super) const EXACT: f64 = 1e-6;

pub(super) fn short(number: f64) -> String {
    if number >= 100.0 { format!("{number:.0}") } else { format!("{number:.1}") }
}

pub(super) fn more_or_less(watts: f64, from: f64) -> String {
    let percent = (watts / from - 1.0) * 100.0;
    let sign = if percent < 0.0 { "−" } else { "+" };
    format!("{sign}{:.0} %", percent.abs())
}

/// Metres from one position to another, the bearing there, and how far both may be off; `None` where the
/// datum of either is not that of the ellipsoid.
pub(super) fn between(from: &Position, to: &Position) -> Option<(f64, f64, f64)> {
    let shift = if from.datum == to.datum {
        from.datum.shift().map(|_| 0.0)?
    } else {
        from.datum.shift()?.value().max(to.datum.shift()?.value())
    };
    let way = way(from.place(), to.place());
    let room = from.rounding().value() + to.rounding().value() + shift;
    Some((way.distance.value(), way.bearing.value(), room))
}

pub(super) fn far(metres: f64) -> String {
    if metres >= 10_000.0 {
        format!("{:.0} km", metres / 1000.0)
    } else {
        format!("{} m", short(metres))
    }
}

pub(super) fn up_or_down(metres: f64) -> String {
    if metres.abs() < EXACT {
        return "none".to_owned();
    }
    format!("{:.1} m {}", metres.abs(), if metres > 0.0 { "above" } else { "below" })
}

pub(super) fn watts_shown(interval: &Interval<Watts>) -> String {
    format!("{:.0} to {:.0} W", interval.low().value(), interval.high().value())
}
