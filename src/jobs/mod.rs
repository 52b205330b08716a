//! Jobs: stages, gates, answers, releases. The judge lives here: one list of problems serves page,
//! button and act.

pub mod model;
pub mod findings;
pub mod dossier;
pub mod pictures;
pub mod problems;
pub mod next;
pub mod store;
pub mod acts;
pub mod form;
pub mod words;
pub mod pages;

#[cfg(test)]
pub(crate) mod samples;
