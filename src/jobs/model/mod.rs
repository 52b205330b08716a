//! The record of a job as one plain structure: what the judge reads, and what a dossier freezes.

mod fact;
mod record;
mod snag;
mod terms;

pub use fact::{Answered, Body, Decimal, Declaration, Fact, Release};
pub use record::{Job, Named, NumberedTrial, Record};
pub use snag::{Snag, SnagClass, SnagClosed};
pub use terms::{Answer, JobClass, JobKind, Manner};
