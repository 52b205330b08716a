//! Acceptance: the decision on a declared job, the frozen dossier, and the report, which is made from a
//! dossier alone.

pub mod store;
pub mod acts;
pub mod form;
pub mod report;
pub mod pages;
