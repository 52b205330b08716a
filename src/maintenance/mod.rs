//! What comes after acceptance: routine readings, and how an assignment's reflection goes over years.

pub mod acts;
pub mod history;
pub mod model;
pub mod pages;
pub mod store;
