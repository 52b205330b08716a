//! standmast: the station commissioning record server.

pub mod rf;
