//! What differs between two revisions of a chain.

use crate::equipment::model::{Chain, ChainPart};

/// One difference between two revisions.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Change {
    /// A part that was not there before.
    Added {
        /// What it is and which one.
        part: String,
    },
    /// A part that is no longer there.
    Removed {
        /// What it is and which one.
        part: String,
    },
    /// The same part, of which something else is declared.
    Declared {
        /// What it is and which one.
        part: String,
        /// The name of the value.
        what: &'static str,
        /// As it was.
        before: String,
        /// As it is.
        after: String,
    },
    /// The same part at another place.
    Moved {
        /// What it is and which one.
        part: String,
    },
}

impl Change {
    /// The change in words.
    #[must_use]
    pub fn shown(&self) -> String {
        match self {
            Self::Added { part } => format!("added: {part}"),
            Self::Removed { part } => format!("removed: {part}"),
            Self::Declared { part, what, before, after } => {
                format!("{part}: {what} was {before}, is {after}")
            }
            Self::Moved { part } => format!("moved: {part}"),
        }
    }
}

/// What differs between a revision and the one before it, in the order of the later one's parts.
///
/// Parts are told apart by their UUID. A part counts as moved when its order among the parts that both
/// revisions hold is another one, so that putting in an arrester does not move everything behind it.
#[must_use]
pub fn changes(before: &Chain, after: &Chain) -> Vec<Change> {
    let there = |chain: &Chain, part: &ChainPart| {
        chain.parts.iter().find(|other| other.uuid == part.uuid).cloned()
    };
    let mut found = Vec::new();
    for part in before.parts.iter().filter(|part| there(after, part).is_none()) {
        found.push(Change::Removed { part: part.named() });
    }
    let mut order = before.parts.iter().filter(|part| there(after, part).is_some());
    for part in &after.parts {
        let Some(old) = there(before, part) else {
            found.push(Change::Added { part: part.named() });
            continue;
        };
        if order.next().is_some_and(|expected| expected.uuid != part.uuid) {
            found.push(Change::Moved { part: part.named() });
        }
        found.extend(declared_changes(&old, part));
    }
    found
}

fn declared_changes(before: &ChainPart, after: &ChainPart) -> Vec<Change> {
    let old = before.spec.declared();
    after
        .spec
        .declared()
        .into_iter()
        .filter_map(|(what, value)| {
            let was = old.iter().find(|(name, _)| *name == what).map(|(_, value)| value)?;
            (*was != value).then(|| Change::Declared {
                part: after.named(),
                what,
                before: was.clone(),
                after: value,
            })
        })
        .collect()
}
