//! Routine readings as the record holds them.

use uuid::Uuid;

use crate::clock::Measured;
use crate::equipment::model::Chain;
use crate::instruments::model::Instrument;
use crate::measurements::model::Reading;

/// A routine reading with what it pins.
#[derive(Debug, Clone, PartialEq)]
pub struct Routine {
    /// The row.
    pub id: i64,
    /// The name outside.
    pub uuid: Uuid,
    /// The person's name; "operator" where no person entered it.
    pub by: String,
    /// When it was measured.
    pub measured: Measured,
    /// What was read.
    pub reading: Reading,
    /// The chain as it was then.
    pub chain: Option<Chain>,
    /// The instrument with the calibration of its day.
    pub instrument: Option<Instrument>,
    /// Who struck it and why, where somebody did.
    pub struck: Option<String>,
}
