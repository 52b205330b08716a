//! Whether what is left to be put right may go with the job.

use crate::jobs::findings::items::{Found, ItemFinding, Sources};
use crate::jobs::findings::snags::{self, SnagFinding, open_in_words};
use crate::jobs::model::{Answer, SnagClass};

impl Sources<'_> {
    /// No class A open, and each class B with its owner and day. It rests on what could say otherwise: class
    /// A with what closed it, and class B that lacks something. A trifle that somebody raises at the hand-over
    /// lapses no declaration.
    ///
    /// - `before`: the findings of the items before this one, for the concession of RF out of sequence
    pub(in crate::jobs::findings::items) fn snags(&self, before: &[ItemFinding]) -> Found {
        let snags = snags::find(self.record, before);
        let named = |fits: fn(&SnagFinding) -> bool| {
            let texts = snags.iter().filter(|snag| fits(snag)).map(|snag| snag.text.as_str());
            texts.collect::<Vec<_>>().join("; ")
        };
        let stopping = named(SnagFinding::stops_acceptance);
        let unowned = named(SnagFinding::is_unowned);
        let open = open_in_words(&snags);
        let found = match (stopping.is_empty(), unowned.is_empty()) {
            (false, _) => Found::of(Answer::Failed, format!("{open}. Class A: {stopping}")),
            (true, false) => {
                Found::of(Answer::Failed, format!("{open}. Without owner or day: {unowned}"))
            }
            (true, true) if open.is_empty() => Found::of(Answer::Passed, "nothing is open"),
            (true, true) => Found::of(Answer::Passed, format!("{open}, none of class A")),
        };
        let weighed = snags.iter().filter(|snag| snag.class == SnagClass::A || snag.is_unowned());
        let facts = weighed
            .flat_map(|snag| {
                std::iter::once(snag.fact).chain(snag.closed.as_ref().map(|closed| closed.fact))
            })
            .filter_map(|uuid| self.record.fact(uuid));
        facts.fold(found, Found::on)
    }
}
