//! The mast drawing of a site with its chain, as the record declares it: nothing measured, no states.

use crate::equipment::budget::Budget;
use crate::equipment::model::Chain;
use crate::figure::mast::{
    Antenna, AntennaKind, FeedLine, Mast, Part, Structure, StructureKind, Transmitter,
};
use crate::rf::quantity::Quantity;
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
        height_m: Some(spec.plate.height.value().value()),
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
    use crate::sites::model::{Licensed, Polarization};

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
            licensed: Licensed::default(),
        }
    }

    #[test]
    fn without_a_chain_the_parts_are_not_recorded() {
        let bare = mast(&site(), &assigned(), None, "/sites/TRN/assignments/1/chain");
        assert!(bare.antenna.is_none() && bare.feed_line.is_none());
        assert!(draw(&bare, 368.0).texts().iter().any(|text| text.contains("not recorded")));
    }

    #[test]
    fn parts_lead_to_their_rows_and_no_power_is_claimed() {
        let chain = ordinary();
        let drawn = mast(&site(), &assigned(), Some(&chain), "/chain");
        assert_eq!(drawn.structure.part.name, "Guyed mast");
        assert_eq!(drawn.arrester.as_ref().unwrap().href.as_deref(), Some("/chain#part-4"));
        assert_eq!(drawn.transmitter.unwrap().power_w, None);
        let line = drawn.feed_line.unwrap();
        assert_eq!((line.length_m, line.power_in_w), (Some(30.0), None));
        // Catalogue table: 30 m of 1/2 in foam at 100 MHz lose 0.651 dB.
        assert!((line.loss_db.unwrap() - 0.651).abs() < 0.001);
    }
}
