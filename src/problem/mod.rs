//! What stands in the way: the one shape in which every judge of this program answers, and which
//! page, button and act all read.

use serde::{Deserialize, Serialize};

/// How much a problem weighs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// Worth knowing.
    Info,
    /// To be weighed by whoever decides; printed in the report.
    Warning,
    /// The act is refused until it is gone.
    Blocking,
}

impl Severity {
    /// The name for the style sheet.
    #[must_use]
    pub fn class(self) -> &'static str {
        match self {
            Self::Info => "info",
            Self::Warning => "warning",
            Self::Blocking => "blocking",
        }
    }

    /// The word a page shows.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Info => "note",
            Self::Warning => "warning",
            Self::Blocking => "in the way",
        }
    }
}

/// One thing that was found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Problem {
    /// A stable name for the rule, never used again for another.
    pub code: String,
    /// How much it weighs.
    pub severity: Severity,
    /// The field or checklist item it concerns, where there is one.
    pub field: Option<String>,
    /// What was found, with its numbers, and what is allowed: a sentence for a person.
    pub text: String,
}

impl Problem {
    /// A problem that refuses the act.
    #[must_use]
    pub fn blocking(code: &str, field: Option<&str>, text: impl Into<String>) -> Self {
        Self::new(Severity::Blocking, code, field, text)
    }

    /// A problem to be weighed.
    #[must_use]
    pub fn warning(code: &str, field: Option<&str>, text: impl Into<String>) -> Self {
        Self::new(Severity::Warning, code, field, text)
    }

    /// Something worth knowing.
    #[must_use]
    pub fn info(code: &str, field: Option<&str>, text: impl Into<String>) -> Self {
        Self::new(Severity::Info, code, field, text)
    }

    fn new(severity: Severity, code: &str, field: Option<&str>, text: impl Into<String>) -> Self {
        Self { code: code.to_owned(), severity, field: field.map(str::to_owned), text: text.into() }
    }

    /// Whether it refuses the act.
    #[must_use]
    pub fn blocks(&self) -> bool {
        self.severity == Severity::Blocking
    }
}
