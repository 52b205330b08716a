//! Sites with their structures, and the frequency assignments radiated from them.

pub mod model;
pub mod store;
pub mod acts;
pub mod form;
pub mod pages;
