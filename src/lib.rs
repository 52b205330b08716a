//! standmast: the station commissioning record server.

pub mod rf;
pub mod clock;
pub mod problem;
pub mod db;
pub mod journal;
pub mod people;
pub mod web;
