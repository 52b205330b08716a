//! Closed lists of words: one macro gives an enum its word for forms, database and JSON, and the words
//! that a page shows.

/// A closed list of words that stand for themselves in forms, in the database and in JSON.
macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($(#[$case_doc:meta])* $case:ident = $word:literal / $shown:literal,)+ }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
        pub enum $name {
            $($(#[$case_doc])* #[serde(rename = $word)] $case,)+
        }
        impl $name {
            /// All of them, in the order in which a form offers them.
            pub const ALL: &[Self] = &[$(Self::$case),+];

            /// The word in forms, database and JSON.
            #[must_use]
            pub fn word(self) -> &'static str {
                match self { $(Self::$case => $word),+ }
            }

            /// Reads the word.
            #[must_use]
            pub fn from_word(word: &str) -> Option<Self> {
                match word { $($word => Some(Self::$case),)+ _ => None }
            }

            /// The words a page shows.
            #[must_use]
            pub fn shown(self) -> &'static str {
                match self { $(Self::$case => $shown),+ }
            }

            /// Word and shown words of each, for a form.
            #[must_use]
            pub fn options() -> Vec<(String, String)> {
                Self::ALL.iter().map(|one| (one.word().to_owned(), one.shown().to_owned())).collect()
            }
        }
    };
}
pub(crate) use words;

/// Words and what follows them: a sentence of its own where one has ended or another begins.
#[must_use]
pub fn joined(words: String, more: &str) -> String {
    match (words.is_empty(), more.is_empty()) {
        (_, true) => words,
        (true, false) => more.to_owned(),
        (false, false) if words.ends_with(['.', '!', '?']) => {
            format!("{words} {}", upper_first(more))
        }
        (false, false) if more.starts_with(char::is_uppercase) => format!("{words}. {more}"),
        (false, false) => format!("{words}; {more}"),
    }
}

/// The same with a capital letter first, as a heading or a sentence begins.
#[must_use]
pub fn upper_first(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(|first| first.to_uppercase().collect::<String>());
    format!("{}{}", first.unwrap_or_default(), letters.as_str())
}

#[cfg(test)]
mod tests {
    use super::joined;

    #[test]
    fn what_follows_is_a_sentence_where_one_has_ended_or_begins() {
        let after = |words: &str, more: &str| joined(words.to_owned(), more);
        assert_eq!(
            after("4.1 Ω, limit at most 10 Ω", "Soil damp."),
            "4.1 Ω, limit at most 10 Ω. Soil damp."
        );
        assert_eq!(after("Still to be redrawn.", "owner Pell"), "Still to be redrawn. Owner Pell");
        assert_eq!(after("short", "no leads"), "short; no leads");
        assert_eq!(after("", "no leads"), "no leads");
        assert_eq!(after("short", ""), "short");
    }
}
