//! What parts are called in forms: a word for each kind, and a number where a chain has several of it.
//! The names of fields begin with it, and findings point at fields.

use crate::equipment::model::{ChainPart, Spec};

/// The kinds that a form offers: word and what a page shows, in the order from transmitter to antenna.
pub const KINDS: [(&str, &str); 15] = [
    ("transmitter", "Transmitter"),
    ("meter", "Directional meter"),
    ("switch", "Changeover switch"),
    ("load", "Dummy load"),
    ("jumper", "Jumper"),
    ("filter", "Filter"),
    ("combiner", "Combiner"),
    ("arrester", "Arrester, gas tube"),
    ("stub", "Arrester, shorted stub"),
    ("filter_arrester", "Arrester, filter"),
    ("feed_line", "Feed line"),
    ("connectors", "Connectors"),
    ("splitter", "Splitter"),
    ("choke", "Choke or balun"),
    ("antenna", "Antenna"),
];

impl Spec {
    /// The word of its kind in forms; every antenna is an `antenna`.
    #[must_use]
    pub fn word(&self) -> &'static str {
        match self {
            Self::Transmitter(_) => "transmitter",
            Self::DirectionalMeter(_) => "meter",
            Self::ChangeoverSwitch(_) => "switch",
            Self::DummyLoad(_) => "load",
            Self::Jumper(_) => "jumper",
            Self::Filter(_) => "filter",
            Self::Combiner(_) => "combiner",
            Self::GasTubeArrester(_) => "arrester",
            Self::StubArrester(_) => "stub",
            Self::FilterArrester(_) => "filter_arrester",
            Self::FeedLine(_) => "feed_line",
            Self::Connectors(_) => "connectors",
            Self::Splitter(_) => "splitter",
            Self::Choke(_) => "choke",
            _ => "antenna",
        }
    }
}

/// The kind's word of a key: `feed_line` of `feed_line` and of `feed_line_2`.
#[must_use]
pub fn kind_of(key: &str) -> Option<&'static str> {
    let is = |word: &str| {
        key.strip_prefix(word).is_some_and(|rest| {
            rest.is_empty()
                || rest.strip_prefix('_').is_some_and(|number| {
                    (1..=3).contains(&number.len())
                        && number.bytes().all(|byte| byte.is_ascii_digit())
                })
        })
    };
    KINDS.iter().map(|(word, _)| *word).find(|word| is(word))
}

/// The key of a further part of a kind: the word itself, or with the least number that is free.
#[must_use]
pub fn free_key<S: AsRef<str>>(word: &str, taken: &[S]) -> String {
    let numbered = (2..).map(|number| format!("{word}_{number}"));
    let mut names = std::iter::once(word.to_owned()).chain(numbered);
    let free = |name: &String| taken.iter().all(|one| one.as_ref() != name);
    names.find(free).unwrap_or_default()
}

/// The keys of parts, in their order.
#[must_use]
pub fn keys(parts: &[ChainPart]) -> Vec<String> {
    parts.iter().fold(Vec::new(), |mut keys, part| {
        keys.push(free_key(part.spec.word(), &keys));
        keys
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::equipment::model::tests::ordinary;

    #[test]
    fn every_kind_has_its_word_and_a_second_one_a_number() {
        let mut parts = ordinary().parts;
        parts.insert(3, parts[2].clone());
        parts.insert(3, parts[2].clone());
        let keys = keys(&parts);
        assert_eq!(
            keys,
            [
                "transmitter",
                "meter",
                "jumper",
                "jumper_2",
                "jumper_3",
                "arrester",
                "feed_line",
                "connectors",
                "antenna"
            ]
        );
        for (key, part) in keys.iter().zip(&parts) {
            assert_eq!(kind_of(key), Some(part.spec.word()));
        }
    }

    #[test]
    fn what_is_no_key_has_no_kind() {
        for key in ["", "feed_line_", "feed_line_x", "meter2", "jumper_1000", "act", "antenna__2"] {
            assert_eq!(kind_of(key), None, "{key}");
        }
        assert_eq!(kind_of("filter_arrester_2"), Some("filter_arrester"));
        assert_eq!(kind_of("filter_2"), Some("filter"));
    }

    #[test]
    fn a_key_that_became_free_is_given_again() {
        assert_eq!(free_key("meter", &["jumper", "meter", "meter_3"]), "meter_2");
    }
}
