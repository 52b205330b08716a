//! The journal: the append-only, hash-chained list of acts, and `Act`, the only door to a write.

mod act;
mod canonical;
mod chain;

pub use act::{Act, ActError, Actor, Begun, Entry, Intent, answered_before};
pub use canonical::{canonical, digest_of, hex, unhex};
pub use chain::{Broken, verify};
