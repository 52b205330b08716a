//! The register: read models across sites, for whoever looks after many of them.

pub mod model;
pub mod store;
pub mod pages;
