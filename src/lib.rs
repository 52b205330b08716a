//! standmast: the station commissioning record server.
