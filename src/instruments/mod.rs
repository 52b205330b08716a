//! Instruments: directional power meters with their ranges, accuracy, directivity and calibration.

pub mod model;
pub mod store;
pub mod acts;
pub mod form;
pub mod pages;
