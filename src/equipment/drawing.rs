//! The mast drawing of a site with its chain: what the record declares, and where a power was
//! measured, what that makes of it. Whoever knows states of parts adds them to the result.

use crate::equipment::budget::Budget;
use crate::equipment::model::Chain;
use crate::figure::mast::{
    Antenna, AntennaKind, FeedLine, Mast, Part, Structure, StructureKind, Transmitter,
};
use crate::rf::decision::Evidence;
use crate::rf::quantity::{Quantity, Watts};
use crate::sites::model::Structure as SiteStructure;
use crate::sites::model::{Particulars, Site};

/// The site in elevation with the parts of its chain; without a chain they are said to be not
/// recorded. Grounding is not the chain's, and is left out.
///
/// - `chain_href`: the address of the chain's page, to which each part leads
#[must_use]
pub fn mast(site: &Site, assigned: &Particulars, chain: Option<&Chain>, chain_href: &str) -> Mast {
    let height = |metres: f64| (metres > 0.0).then_some(metres);
    let mut mast = Mast {
        site: site.name.clone(),
        structure: Structure {
            part: Part { name: capital(site.structure.shown()), ..Part::default() },
            kind: kind(site.structure),
            height_m: height(site.structure_height.value().value()),
        },
        record_href: Some(chain_href.to_owned()),
        ..Mast::default()
    };
    let Some(chain) = chain else {
        return mast;
    };
    let part = |position: i64, name: String, facts: Vec<String>| Part {
        name,
        facts,
        state: None,
        href: Some(format!("{chain_href}#part-{position}")),
    };
    let budget = Budget::new(chain, assigned.frequency.value());
    mast.antenna = chain.antenna().map(|(placed, spec)| Antenna {
        part: part(placed.position, capital(placed.spec.kind_shown()), vec![]),
        kind: AntennaKind::HalfWaveDipole,
        height_m: Some(spec.height.value().value()),
        authorised_height_m: Some(assigned.height.value().value()),
    });
    mast.feed_line = chain.feed_line().map(|(placed, line)| FeedLine {
        part: part(placed.position, placed.designation.clone(), vec![]),
        length_m: Some(line.length.value().value()),
        loss_db: budget.loss_of(&placed.spec).map(|loss| loss.nominal().value()),
        power_in_w: None,
        power_out_w: None,
    });
    mast.arrester = chain.arrester().map(|(placed, spec)| {
        let facts = vec![format!("{} ± {}", spec.sparkover, spec.tolerance)];
        part(placed.position, "Gas-tube arrester".to_owned(), facts)
    });
    mast.measuring_point = chain
        .meters()
        .next()
        .map(|(placed, _)| part(placed.position, "Directional meter".to_owned(), vec![]));
    mast.transmitter = chain.transmitter().map(|(placed, _)| Transmitter {
        part: part(placed.position, "Transmitter".to_owned(), vec![]),
        power_w: None,
        authorised_power_w: Some(assigned.power.value().value()),
    });
    mast
}

/// The same with a power measured at a position's output: what the transmitter made, what goes into the
/// feed line and comes out of it, and what radiates of the authorised ERP.
#[must_use]
pub fn with_power(
    mut mast: Mast,
    budget: &Budget<'_>,
    assigned: &Particulars,
    measured: &Evidence<Watts>,
    from_position: i64,
) -> Mast {
    let after = |loss: f64| measured.point.value() * 10.0_f64.powf(-loss / 10.0);
    let chain = budget.chain();
    let lost = |from: i64, to: i64| budget.loss_between(from, to).nominal().value();
    if let (Some(drawn), Some((transmitter, _))) = (&mut mast.transmitter, chain.transmitter()) {
        // A meter's own loss lies before its output, so it is part of the way back.
        drawn.power_w = Some(after(-lost(transmitter.position, from_position.saturating_add(1))));
    }
    if let (Some(drawn), Some((line, _))) = (&mut mast.feed_line, chain.feed_line()) {
        let before = lost(from_position, line.position);
        drawn.power_in_w = Some(after(before));
        drawn.power_out_w = drawn.loss_db.map(|loss| after(before + loss));
    }
    if let (Some(drawn), Some(erp)) = (&mut mast.antenna, budget.erp(measured, from_position)) {
        drawn.part.facts.push(format!("ERP {:.0} of {} authorised", erp.point, assigned.erp));
    }
    mast
}

fn kind(structure: SiteStructure) -> StructureKind {
    match structure {
        SiteStructure::Mast => StructureKind::Mast,
        SiteStructure::Tower => StructureKind::Tower,
        SiteStructure::Pole => StructureKind::Pole,
        SiteStructure::Roof => StructureKind::Roof,
    }
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::equipment::model::tests::{ordinary, typed};
    use crate::figure::mast::draw;
    use crate::rf::quantity::Megahertz;
    use crate::sites::model::Polarization;

    fn site() -> Site {
        Site {
            id: 1,
            uuid: uuid::Uuid::from_u128(1),
            code: "TRN".to_owned(),
            name: "Tern Ridge".to_owned(),
            latitude: typed("41.2"),
            longitude: typed("-8.1"),
            zone: "UTC".to_owned(),
            structure: SiteStructure::Mast,
            structure_height: typed("30"),
            notes: String::new(),
            version: 1,
        }
    }

    fn assigned() -> Particulars {
        Particulars {
            station_name: "Ternfold Radio".to_owned(),
            call_sign: String::new(),
            frequency: typed("100"),
            power: typed("250"),
            erp: typed("200"),
            height: typed("31"),
            polarization: Polarization::Vertical,
        }
    }

    #[test]
    fn without_a_chain_the_parts_are_not_recorded() {
        let bare = mast(&site(), &assigned(), None, "/sites/TRN/assignments/1/chain");
        assert!(bare.antenna.is_none() && bare.feed_line.is_none());
        assert!(draw(&bare, 368.0).texts().iter().any(|text| text.contains("not recorded")));
    }

    #[test]
    fn a_measured_power_goes_down_the_chain() {
        let chain = ordinary();
        let declared = mast(&site(), &assigned(), Some(&chain), "/chain");
        assert_eq!(declared.structure.part.name, "Guyed mast");
        assert_eq!(declared.feed_line.as_ref().unwrap().power_in_w, None);
        assert_eq!(declared.arrester.as_ref().unwrap().href.as_deref(), Some("/chain#part-4"));
        let budget = Budget::new(&chain, Megahertz::fixed(100.0));
        let measured = Evidence::exact(Watts::fixed(250.0));
        let drawn = with_power(declared, &budget, &assigned(), &measured, 2);
        let close = |value: Option<f64>, expected: f64| {
            assert!((value.unwrap() - expected).abs() < 0.01, "{value:?} against {expected}");
        };
        // By hand: the meter's 0.05 dB back; 0.22346 dB down to the line; 0.65046 dB through it.
        close(drawn.transmitter.unwrap().power_w, 250.0 * 10.0_f64.powf(0.005));
        close(drawn.feed_line.as_ref().unwrap().power_in_w, 250.0 * 10.0_f64.powf(-0.022_346));
        close(drawn.feed_line.unwrap().power_out_w, 250.0 * 10.0_f64.powf(-0.087_392));
        assert_eq!(drawn.antenna.unwrap().part.facts, ["ERP 199 W of 200 W authorised"]);
    }
}
