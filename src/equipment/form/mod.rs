//! The form of an ordinary chain: transmitter, directional meter, jumper, arrester, feed line,
//! connectors, antenna. Browser text -> draft with a message for each field, and a chain back
//! into fields.

mod antenna;
mod fill;
mod read;

pub use antenna::Choices as AntennaChoices;
pub use fill::{filled, fresh};

use crate::equipment::model::{Chain, ChainDraft, OWN_CABLE, Spec};
use crate::rf::line::CABLES;
use crate::web::Fields;

/// What a form sends for a chain: its parts, the revision it was filled from, and why.
///
/// # Errors
/// The fields with their messages.
pub fn draft(fields: &Fields) -> Result<ChainDraft, Fields> {
    let mut checking = fields.check();
    let draft = read::draft(&mut checking);
    checking.finish(draft)
}

/// Yes and no, for a part that may be missing.
#[must_use]
pub fn fitted() -> Vec<(String, String)> {
    [("yes", "yes"), ("no", "no")].map(|(word, shown)| (word.to_owned(), shown.to_owned())).to_vec()
}

/// The cables that a form offers: the generic types, then own constants.
#[must_use]
pub fn cables() -> Vec<(String, String)> {
    let mut offered = vec![(String::new(), "choose the cable".to_owned())];
    offered.extend(CABLES.iter().map(|cable| (cable.key.to_owned(), cable.name.to_owned())));
    offered.push((OWN_CABLE.to_owned(), "another, by its data sheet".to_owned()));
    offered
}

/// The kinds of an ordinary chain with the prefixes of their fields, in order.
const ORDER: [(&str, &str); 6] = [
    ("transmitter", "transmitter"),
    ("directional-meter", "meter"),
    ("jumper", "jumper"),
    ("gas-tube-arrester", "arrester"),
    ("feed-line", "feed_line"),
    ("connectors", "connectors"),
];

/// The prefix of the fields of this kind of part; an antenna has the same of whatever kind.
fn prefix(spec: &Spec) -> &'static str {
    let known =
        ORDER.iter().find(|(kind, _)| *kind == spec.kind()).map_or("", |(_, prefix)| prefix);
    if spec.antenna().is_some() { "antenna" } else { known }
}

/// Whether the form can hold the chain: each kind at most once, in the ordinary order. A chain that
/// came another way and has more may not lose parts by passing through the form.
#[must_use]
pub fn fits(chain: &Chain) -> bool {
    let place = |spec: &Spec| {
        let listed = ORDER.iter().position(|(kind, _)| *kind == spec.kind());
        listed.or_else(|| spec.antenna().map(|_| ORDER.len()))
    };
    let places: Vec<_> = chain.parts.iter().map(|part| place(&part.spec)).collect();
    places.iter().all(Option::is_some) && places.windows(2).all(|pair| pair[0] < pair[1])
}

#[cfg(test)]
mod tests;
