//! Profiles: published, versioned checklists with their conditions, limits, decision rules and sources.
//! A job is judged by the profile of its day for ever.

pub mod model;
pub mod store;
pub mod acts;

/// The profile for a low-power station with one simple antenna, as this program publishes it.
pub const LOW_POWER: &str = include_str!("low-power.toml");

/// Its second edition: chosen by kinds of job and by facts, with holds.
pub const LOW_POWER_2: &str = include_str!("low-power-2.toml");
