//! A derived quantity as JSON carries it: the number as its shortest decimal text, so that no reader
//! rounds it. For `#[serde(with = …)]`.

use crate::rf::quantity::Quantity;
use serde::{Deserialize, Deserializer, Serializer, de};

/// Writes the number in its unit.
///
/// # Errors
/// Those of the serializer.
pub fn serialize<Q: Quantity, S: Serializer>(value: &Q, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_str(&value.value())
}

/// Reads the number in its unit.
///
/// # Errors
/// For a text that is no number of this quantity.
pub fn deserialize<'de, Q: Quantity, D: Deserializer<'de>>(deserializer: D) -> Result<Q, D::Error> {
    let text = String::deserialize(deserializer)?;
    let number: f64 = text.parse().map_err(de::Error::custom)?;
    Q::new(number).map_err(de::Error::custom)
}
