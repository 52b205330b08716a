//! What the mast drawing says in words, in the drawing, its description and its table.

use crate::figure::axis::plain;
use crate::figure::marks::{Mark, State};
use crate::figure::table::Table;

use super::{Antenna, FeedLine, KitPlace, Mast, Part, Structure, StructureKind, Transmitter};

/// Watts, from 10 kW on in kilowatts, in no more digits than a meter shows.
pub(super) fn power(watts: f64) -> String {
    if watts >= 10_000.0 {
        format!("{} kW", plain(watts / 1000.0, 2))
    } else {
        format!("{} W", plain(watts, if watts >= 100.0 { 0 } else { 1 }))
    }
}

fn metres(value: f64) -> String {
    format!("{} m", plain(value, 2))
}

pub(super) fn site(input: &Mast) -> &str {
    if input.site.is_empty() { "The site" } else { &input.site }
}

fn or<'a>(name: &'a str, otherwise: &'a str) -> &'a str {
    if name.trim().is_empty() { otherwise } else { name }
}

pub(super) fn structure_name(structure: &Structure) -> &str {
    let kind = match structure.kind {
        StructureKind::Mast => "Mast",
        StructureKind::Tower => "Tower",
        StructureKind::Pole => "Pole",
        StructureKind::Roof => "Roof",
    };
    or(&structure.part.name, kind)
}

pub(super) fn structure_height(structure: &Structure) -> String {
    structure.height_m.map_or_else(|| "height not recorded".to_owned(), metres)
}

pub(super) fn antenna_name(antenna: &Antenna) -> &str {
    or(&antenna.part.name, "Antenna")
}

pub(super) fn antenna_height(antenna: &Antenna) -> String {
    match (antenna.height_m, antenna.authorised_height_m) {
        (Some(built), Some(allowed)) => {
            format!("{} of {} m authorised", metres(built), plain(allowed, 2))
        }
        (Some(built), None) => format!("{}, authorised height not recorded", metres(built)),
        (None, Some(allowed)) => {
            format!("height not recorded, {} authorised", metres(allowed))
        }
        (None, None) => "height not recorded".to_owned(),
    }
}

pub(super) fn line_name(line: &FeedLine) -> String {
    format!("Feed line {}", line.part.name).trim_end().to_owned()
}

pub(super) fn line_size(line: &FeedLine) -> String {
    let length = line.length_m.map_or_else(|| "length not recorded".to_owned(), metres);
    match line.loss_db {
        Some(loss) => format!("{length}, {} dB", plain(loss, 2)),
        None => format!("{length}, loss not known"),
    }
}

pub(super) fn line_power(line: &FeedLine) -> Option<String> {
    match (line.power_in_w, line.power_out_w) {
        (Some(into), Some(out)) => Some(format!("{} in, {} out", power(into), power(out))),
        (Some(into), None) => Some(format!("{} in", power(into))),
        (None, Some(out)) => Some(format!("{} out", power(out))),
        (None, None) => None,
    }
}

/// "296 W" and "of 300".
pub(super) fn transmitter_power(transmitter: &Transmitter) -> (Option<String>, Option<String>) {
    let allowed = transmitter.authorised_power_w.map(|watts| {
        let kilowatts =
            watts >= 10_000.0 && transmitter.power_w.is_none_or(|made| made >= 10_000.0);
        if kilowatts || watts < 10_000.0 {
            let text = power(watts);
            let bare = text.trim_end_matches(" W").trim_end_matches(" kW");
            format!("of {bare}")
        } else {
            format!("of {}", power(watts))
        }
    });
    (transmitter.power_w.map(power), allowed)
}

pub(super) fn transmitter_fact(transmitter: &Transmitter) -> String {
    match (transmitter.power_w.map(power), transmitter.authorised_power_w.map(power)) {
        (Some(made), Some(allowed)) => format!("{made} of {allowed} authorised"),
        (Some(made), None) => made,
        (None, Some(allowed)) => format!("power not measured, {allowed} authorised"),
        (None, None) => "power not measured".to_owned(),
    }
}

pub(super) const fn kit_name(place: KitPlace) -> &'static str {
    match place {
        KitPlace::Top => "top kit",
        KitPlace::Foot => "foot kit",
        KitPlace::Entry => "entry kit",
    }
}

pub(super) fn not_recorded() -> State {
    State::new(Mark::Ring, "not recorded")
}

/// The words of a part of the building or the ground that is there or is missing.
pub(super) fn part_or_missing(part: Option<&Part>, what: &str) -> Part {
    match part {
        Some(part) => Part { name: or(&part.name, what).to_owned(), ..part.clone() },
        None => Part { name: what.to_owned(), state: Some(not_recorded()), ..Part::default() },
    }
}

pub(super) fn transmitter_part(input: &Mast) -> Part {
    match &input.transmitter {
        None => part_or_missing(None, "Transmitter"),
        Some(transmitter) => {
            let mut part = part_or_missing(Some(&transmitter.part), "Transmitter");
            part.facts.insert(0, transmitter_fact(transmitter));
            part
        }
    }
}

pub(super) fn electrode_part(input: &Mast) -> Part {
    match &input.electrode {
        None => part_or_missing(None, "Ground electrode system"),
        Some(electrode) => {
            let mut part = part_or_missing(Some(&electrode.part), "Ground electrode system");
            let value = electrode.last_value.clone().unwrap_or_else(|| "not measured".to_owned());
            part.facts.insert(0, value);
            part
        }
    }
}

pub(super) fn kits_part(input: &Mast) -> Part {
    let mut kits: Vec<_> = input.ground_kits.iter().map(|kit| kit.place).collect();
    kits.sort_unstable();
    kits.dedup();
    if kits.is_empty() {
        return part_or_missing(None, "Ground kits on the line");
    }
    Part {
        name: "Ground kits on the line".to_owned(),
        facts: kits.into_iter().map(|kit| kit_name(kit).to_owned()).collect(),
        ..Part::default()
    }
}

pub(super) fn antenna_part(input: &Mast) -> Part {
    match &input.antenna {
        None => part_or_missing(None, "Antenna"),
        Some(antenna) => {
            let mut part = part_or_missing(Some(&antenna.part), "Antenna");
            part.facts.insert(0, antenna_height(antenna));
            part
        }
    }
}

pub(super) fn line_part(input: &Mast) -> Part {
    match &input.feed_line {
        None => part_or_missing(None, "Feed line"),
        Some(line) => {
            let mut part = part_or_missing(Some(&line.part), "Feed line");
            part.name = line_name(line);
            let mut facts = vec![line_size(line)];
            facts.extend(line_power(line));
            facts.append(&mut part.facts);
            part.facts = facts;
            part
        }
    }
}

fn structure_part(input: &Mast) -> Part {
    let mut part = input.structure.part.clone();
    part.name = structure_name(&input.structure).to_owned();
    part.facts.insert(0, structure_height(&input.structure));
    part
}

fn all_parts(input: &Mast) -> [Part; 8] {
    [
        structure_part(input),
        antenna_part(input),
        line_part(input),
        kits_part(input),
        part_or_missing(input.arrester.as_ref(), "Arrester"),
        part_or_missing(input.measuring_point.as_ref(), "Measuring point"),
        transmitter_part(input),
        electrode_part(input),
    ]
}

pub(super) fn table(input: &Mast) -> Table {
    let mut table = Table::new(
        &format!("{}: parts from the antenna to the ground", site(input)),
        ["Part", "Facts", "State"],
    );
    for part in all_parts(input) {
        let state = part.state.map_or_else(|| "—".to_owned(), |state| state.word);
        table.row([part.name, part.facts.join("; "), state]);
    }
    for kit in &input.ground_kits {
        if let Some(state) = &kit.state {
            table.row([kit_name(kit.place).to_owned(), String::new(), state.word.clone()]);
        }
    }
    table
}

pub(super) fn description(input: &Mast) -> String {
    let mut sentences = Vec::new();
    for part in all_parts(input) {
        let mut words = vec![part.name];
        words.extend(part.facts);
        words.extend(part.state.map(|state| state.word));
        sentences.push(words.join(", "));
    }
    format!("Heights are to scale, the building is not. {}.", sentences.join(". "))
}
