//! Names of fields as people read them, for messages that stand apart from their field.

/// Units that end a field's name, and how they are written.
const UNITS: [(&str, &str); 12] = [
    ("_mhz", "MHz"),
    ("_w", "W"),
    ("_v", "V"),
    ("_mm", "mm"),
    ("_m", "m"),
    ("_db", "dB"),
    ("_dbd", "dBd"),
    ("_percent", "%"),
    ("_deg", "°"),
    ("_turns", "turns"),
    ("_c", "°C"),
    ("_ohm", "Ω"),
];

/// A field's name as a person reads it: `feed_line_length_m` is "feed line length, m".
pub(super) fn in_words(name: &str) -> String {
    let unit = UNITS.iter().find_map(|(end, unit)| Some((name.strip_suffix(end)?, *unit)));
    let words = |name: &str| {
        let word = |word: &str| match word {
            "swr" | "erp" | "dc" => word.to_uppercase(),
            word => word.to_owned(),
        };
        name.split('_').map(word).collect::<Vec<_>>().join(" ")
    };
    match unit {
        Some((name, unit)) => format!("{}, {unit}", words(name)),
        None => words(name),
    }
}

/// The same with a capital letter first.
pub(super) fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::{capital, in_words};

    #[test]
    fn a_field_is_named_in_words_with_its_unit() {
        assert_eq!(in_words("feed_line_length_m"), "feed line length, m");
        assert_eq!(in_words("antenna_gain_dbd"), "antenna gain, dBd");
        assert_eq!(in_words("antenna_longest_mm"), "antenna longest, mm");
        assert_eq!(capital(&in_words("erp_w")), "ERP, W");
        assert_eq!(capital(&in_words("station_name")), "Station name");
        assert_eq!(capital(""), "");
    }
}
