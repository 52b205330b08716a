//! Measurements: the stand's set-up, trials, the chosen setting, installed readings and explanations,
//! as facts that are added and never changed.

pub mod model;
pub mod store;
pub mod form;
