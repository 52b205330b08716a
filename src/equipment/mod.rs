//! Equipment: parts, and the RF chains they make from transmitter to antenna, in revisions.

pub mod model;
pub mod budget;
pub mod drawing;
pub mod exposure;
pub mod store;
pub mod acts;
pub mod form;
pub mod pages;
