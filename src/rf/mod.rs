//! Pure arithmetic of radio frequency work: no input or output, no clock, no other part of the
//! program. Every formula names its source beside it and is checked against it in a test.

pub mod arrester;
pub mod comparison;
pub mod decision;
pub mod element;
pub mod exposure;
pub mod fall_of_potential;
pub mod fault;
pub mod five_eighths;
pub mod geodesy;
pub mod ground_plane;
pub mod grounding;
pub mod line;
pub mod meter;
pub mod power;
pub mod quantity;
pub mod rating;
pub mod reflection;
pub mod stacking;
pub mod sweep;
pub mod touchstone;
pub mod trend;
pub mod tuning;
pub mod uncertainty;
