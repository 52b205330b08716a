//! standmast: the station commissioning record server.

pub mod rf;
pub mod figure;
pub mod paper;
pub mod words;
pub mod clock;
pub mod problem;
pub mod db;
pub mod journal;
pub mod people;
pub mod profiles;
pub mod instruments;
pub mod sites;
pub mod equipment;
pub mod measurements;
pub mod photos;
pub mod jobs;
pub mod acceptance;
pub mod maintenance;
pub mod register;
pub mod web;
pub mod app;
