//! Photos as evidence: what a file must be to be taken, the renditions made of it, and the rows that
//! name it. Whether a photo may be added is judged in jobs.

pub mod model;
pub mod examine;
pub mod store;
pub mod keep;
