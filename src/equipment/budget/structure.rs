//! Whether parts, in their order, make a chain at all.

use crate::equipment::model::Spec;
use crate::problem::Problem;

/// The longest chain that is taken.
pub const MOST_PARTS: usize = 60;

/// Whether these parts, in this order, make a chain at all. Anything found here stops a revision.
///
/// A transmitter is the first part and one antenna the last; further transmitters are reserves and come
/// before the switch that chooses among them; a dummy load needs a switch before it.
#[must_use]
pub fn structure<'s>(parts: impl IntoIterator<Item = &'s Spec>) -> Vec<Problem> {
    let parts: Vec<&Spec> = parts.into_iter().collect();
    let is_antenna = |spec: &&&Spec| spec.antenna().is_some();
    let antennas = parts.iter().filter(is_antenna).count();
    let mut found = heads(&parts);
    if antennas != 1 {
        let text = format!("a chain has one antenna; this one has {antennas}");
        found.push(Problem::blocking("CHAIN_ONE_ANTENNA", None, text));
    } else if parts.last().filter(is_antenna).is_none() {
        let text = "the antenna is not the last part: write the parts in order up to it";
        found.push(Problem::blocking("CHAIN_ANTENNA_LAST", None, text));
    }
    if parts.len() > MOST_PARTS {
        let text = format!("this chain has {} parts; at most {MOST_PARTS} are taken", parts.len());
        found.push(Problem::blocking("CHAIN_TOO_LONG", None, text));
    }
    found
}

/// Transmitters, the switch that chooses among them, and the load it may put in the antenna's place.
fn heads(parts: &[&Spec]) -> Vec<Problem> {
    let places = |is: fn(&Spec) -> bool| -> Vec<usize> {
        let all = parts.iter().enumerate().filter(|(_, spec)| is(spec));
        all.map(|(place, _)| place).collect()
    };
    let transmitters = places(|spec| matches!(spec, Spec::Transmitter(_)));
    let switches = places(|spec| matches!(spec, Spec::ChangeoverSwitch(_)));
    let loads = places(|spec| matches!(spec, Spec::DummyLoad(_)));
    let mut found = Vec::new();
    let mut blocking = |code, text: &str| found.push(Problem::blocking(code, None, text));
    if transmitters.is_empty() {
        blocking("CHAIN_ONE_TRANSMITTER", "a chain has a transmitter; this one has none");
    } else if transmitters.first() != Some(&0) {
        blocking(
            "CHAIN_TRANSMITTER_FIRST",
            "the transmitter is not the first part: write the parts in order from it",
        );
    }
    if switches.len() > 1 {
        blocking(
            "CHAIN_ONE_SWITCH",
            "a chain has at most one changeover switch: the one that chooses its transmitter",
        );
    }
    match (transmitters.last(), switches.first()) {
        (_, None) if transmitters.len() > 1 => blocking(
            "CHAIN_NEEDS_SWITCH",
            "two transmitters and no changeover switch: add the switch after the last of them; carriers \
             that are on the line together have chains of their own and meet in a combiner",
        ),
        (Some(last), Some(switch)) if last > switch => blocking(
            "CHAIN_RESERVE_BEHIND_SWITCH",
            "a transmitter stands behind the changeover switch: move it before the switch",
        ),
        _ => {}
    }
    if let Some(load) = loads.first()
        && switches.first().is_none_or(|switch| switch > load)
    {
        blocking(
            "CHAIN_LOAD_NEEDS_SWITCH",
            "a dummy load has no changeover switch before it: add the switch, or remove the load",
        );
    }
    if loads.len() > 1 {
        blocking("CHAIN_ONE_LOAD", "a chain has at most one dummy load on its switch");
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::equipment::model::tests::{ordinary, reserve_head, switch};

    fn codes(parts: &[Spec]) -> Vec<String> {
        structure(parts).into_iter().map(|problem| problem.code).collect()
    }

    fn specs() -> Vec<Spec> {
        ordinary().parts.into_iter().map(|part| part.spec).collect()
    }

    #[test]
    fn a_reserve_a_switch_and_a_load_make_a_head() {
        assert_eq!(codes(&reserve_head()), [""; 0]);
    }

    #[test]
    fn what_is_out_of_place_at_the_head_is_told() {
        let mut two = specs();
        two.insert(1, two[0].clone());
        assert_eq!(codes(&two), ["CHAIN_NEEDS_SWITCH"]);
        let mut behind = specs();
        behind.insert(1, switch());
        behind.insert(2, behind[0].clone());
        assert_eq!(codes(&behind), ["CHAIN_RESERVE_BEHIND_SWITCH"]);
        let mut switches = specs();
        switches.splice(1..1, [switch(), switch()]);
        assert_eq!(codes(&switches), ["CHAIN_ONE_SWITCH"]);
        let mut early = reserve_head();
        let load = early.iter().position(|spec| matches!(spec, Spec::DummyLoad(_))).unwrap();
        let taken = early.remove(load);
        early.insert(1, taken.clone());
        assert_eq!(codes(&early), ["CHAIN_LOAD_NEEDS_SWITCH"]);
        let mut loads = reserve_head();
        loads.insert(load, taken);
        assert_eq!(codes(&loads), ["CHAIN_ONE_LOAD"]);
        let mut none = specs();
        none.remove(0);
        assert_eq!(codes(&none), ["CHAIN_ONE_TRANSMITTER"]);
        let mut long = specs();
        let jumper = long[2].clone();
        long.splice(2..2, std::iter::repeat_n(jumper, MOST_PARTS));
        assert_eq!(codes(&long), ["CHAIN_TOO_LONG"]);
    }
}
