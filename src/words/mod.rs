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
