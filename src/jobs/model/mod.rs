//! The record of a job as one plain structure: what the judge reads, and what a dossier freezes.

mod built;
mod fact;
mod holds;
mod record;
mod snag;
mod terms;

pub use fact::{Answered, Body, Decimal, Declaration, Fact, Release};
pub use holds::{Against, HoldRelease, SameDayCheck};
pub use record::{Job, Named, Neighbour, NumberedTrial, Record};
pub use snag::{Snag, SnagClass, SnagClosed};
pub use terms::{Answer, How, JobClass, Manner};

pub use crate::profiles::model::JobKind;
