//! A reflection with what is known of it, as findings keep and show it.

use serde::{Deserialize, Serialize};

use crate::jobs::model::Decimal;
use crate::rf::quantity::{Interval, Quantity, Reflection, Swr};
use crate::rf::reflection::KnownReflection;

/// Magnitudes of reflection: the point and the ends of its interval.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Known {
    /// As read or referred.
    pub point: Decimal,
    /// The least it may be.
    pub low: Decimal,
    /// The greatest it may be.
    pub high: Decimal,
    /// Whether the interval is a least one, since an instrument's directivity is not stated.
    pub at_least: bool,
    /// Whether the point is a ceiling: the reflected power was below what the range shows.
    pub ceiling: bool,
}

impl From<&KnownReflection> for Known {
    fn from(known: &KnownReflection) -> Self {
        Self {
            point: Decimal(known.point.value()),
            low: Decimal(known.interval.low().value()),
            high: Decimal(known.interval.high().value()),
            at_least: known.at_least,
            ceiling: known.ceiling,
        }
    }
}

/// An SWR as people write it: two decimals, ∞ where everything comes back.
#[must_use]
pub fn swr_text(swr: f64) -> String {
    match swr {
        swr if swr.is_infinite() || swr > 999.0 => "∞".to_owned(),
        swr if swr >= 10.0 => format!("{swr:.1}"),
        swr => format!("{swr:.2}"),
    }
}

/// The SWR of a magnitude of reflection.
#[must_use]
pub fn swr_of(reflection: Decimal) -> f64 {
    Reflection::nearest(reflection.0).swr().value()
}

impl Known {
    /// Back into the arithmetic.
    #[must_use]
    pub fn reflection(&self) -> KnownReflection {
        KnownReflection {
            point: Reflection::nearest(self.point.0),
            interval: Interval::between(
                Reflection::nearest(self.low.0),
                Reflection::nearest(self.high.0),
            ),
            at_least: self.at_least,
            ceiling: self.ceiling,
        }
    }

    /// The SWR of the point.
    #[must_use]
    pub fn swr(&self) -> Swr {
        Reflection::nearest(self.point.0).swr()
    }

    /// `1.44 (1.36 to 1.53)`
    #[must_use]
    pub fn shown(&self) -> String {
        let point = swr_text(swr_of(self.point));
        let up_to = if self.ceiling { "up to " } else { "" };
        format!("{up_to}{point} ({})", self.interval_shown())
    }

    /// `1.36 to 1.53`, with "at least" where the interval is a least one.
    #[must_use]
    pub fn interval_shown(&self) -> String {
        let at_least = if self.at_least { "at least " } else { "" };
        format!("{at_least}{} to {}", swr_text(swr_of(self.low)), swr_text(swr_of(self.high)))
    }

    /// The reflected share of the point, in percent.
    #[must_use]
    pub fn share_percent(&self) -> f64 {
        self.point.0 * self.point.0 * 100.0
    }

    /// The ends of the interval as reflected share in percent.
    #[must_use]
    pub fn share_interval_percent(&self) -> [f64; 2] {
        [self.low.0 * self.low.0 * 100.0, self.high.0 * self.high.0 * 100.0]
    }
}
