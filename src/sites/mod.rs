//! Sites with their structures, and the frequency assignments radiated from them.

pub mod model;
pub mod store;
