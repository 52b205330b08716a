//! What follows from the chain alone: the loss of each part, and the loss from each measuring point to
//! the antenna.

use serde::{Deserialize, Serialize};

use crate::equipment::budget::Budget;
use crate::jobs::model::{Decimal, Record};
use crate::rf::line::KnownLoss;
use crate::rf::quantity::Quantity;

/// A matched loss with its ends, dB.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LossFinding {
    /// As declared.
    pub nominal: Decimal,
    /// The least it may be.
    pub low: Decimal,
    /// The greatest it may be.
    pub high: Decimal,
}

impl From<&KnownLoss> for LossFinding {
    fn from(loss: &KnownLoss) -> Self {
        let interval = loss.interval();
        Self {
            nominal: Decimal(loss.nominal().value()),
            low: Decimal(interval.low().value()),
            high: Decimal(interval.high().value()),
        }
    }
}

/// What one part takes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PartFinding {
    /// Its place in the chain.
    pub position: i64,
    /// Its loss; `None` for the two ends of the chain, which have none.
    pub loss: Option<LossFinding>,
}

/// What lies between a measuring point and the antenna.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PointFinding {
    /// The point in words.
    pub words: String,
    /// The loss from it to the antenna input.
    pub loss: LossFinding,
}

/// The newest chain at the assigned frequency, its lines at 20 °C.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ChainFinding {
    /// Each part in order.
    pub parts: Vec<PartFinding>,
    /// Each measuring point.
    pub points: Vec<PointFinding>,
}

impl ChainFinding {
    /// The loss of the part at a position.
    #[must_use]
    pub fn loss_of(&self, position: i64) -> Option<LossFinding> {
        self.parts.iter().find(|part| part.position == position)?.loss
    }
}

pub(super) fn find(record: &Record) -> Option<ChainFinding> {
    let (chain, assignment) = (record.chain()?, record.assignment()?);
    let budget = Budget::new(chain, assignment.particulars.frequency.value());
    let parts = chain.parts.iter().map(|part| PartFinding {
        position: part.position,
        loss: budget.loss_of(&part.spec).as_ref().map(LossFinding::from),
    });
    let points = budget.measuring_points().into_iter().map(|point| PointFinding {
        loss: LossFinding::from(&budget.loss_to_antenna(point.position)),
        words: point.words,
    });
    Some(ChainFinding { parts: parts.collect(), points: points.collect() })
}
