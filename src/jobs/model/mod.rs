//! The record of a job as one plain structure: what the judge reads, and what a dossier freezes.

mod built;
mod fact;
mod record;
mod snag;
mod terms;

pub use fact::{Answered, Body, Decimal, Declaration, Fact, Release};
pub use record::{Job, Named, Neighbour, NumberedTrial, Record};
pub use snag::{Snag, SnagClass, SnagClosed};
pub use terms::{Answer, JobClass, JobKind, Manner};
