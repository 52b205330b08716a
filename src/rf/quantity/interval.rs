//! What is known of a value: it lies between two ends.

use crate::rf::quantity::Quantity;
use std::fmt;

/// A closed interval of a quantity, low end first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval<Q> {
    low: Q,
    high: Q,
}

impl<Q: Quantity> Interval<Q> {
    /// The interval between two values, given in any order.
    #[must_use]
    pub fn between(one: Q, other: Q) -> Self {
        if one <= other { Self { low: one, high: other } } else { Self { low: other, high: one } }
    }

    /// The interval that holds one value only.
    #[must_use]
    pub fn point(value: Q) -> Self {
        Self { low: value, high: value }
    }

    /// Everything that the quantity can be: nothing is known.
    #[must_use]
    pub fn whole() -> Self {
        Self { low: Q::nearest(Q::LEAST), high: Q::nearest(Q::GREATEST) }
    }

    /// The low end, itself inside.
    #[must_use]
    pub fn low(&self) -> Q {
        self.low
    }

    /// The high end, itself inside.
    #[must_use]
    pub fn high(&self) -> Q {
        self.high
    }

    /// Whether `value` lies inside, ends included.
    #[must_use]
    pub fn contains(&self, value: Q) -> bool {
        self.low <= value && value <= self.high
    }

    /// Whether the two have at least one value in common: if not, something has changed.
    #[must_use]
    pub fn meets(&self, other: &Self) -> bool {
        self.low <= other.high && other.low <= self.high
    }

    /// Whether the whole of this interval lies inside `other`.
    #[must_use]
    pub fn within(&self, other: &Self) -> bool {
        other.low <= self.low && self.high <= other.high
    }

    /// Each end turned into another quantity by a function that only rises or only falls.
    #[must_use]
    pub fn map<R: Quantity>(&self, turn: impl Fn(Q) -> R) -> Interval<R> {
        Interval::between(turn(self.low), turn(self.high))
    }
}

impl<Q: Quantity> fmt::Display for Interval<Q> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match f.precision() {
            Some(decimals) => write!(f, "{:.decimals$} to {:.decimals$}", self.low, self.high),
            None => write!(f, "{} to {}", self.low, self.high),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rf::quantity::Swr;
    use proptest::prelude::*;

    fn between(one: f64, other: f64) -> Interval<Swr> {
        Interval::between(Swr::nearest(one), Swr::nearest(other))
    }

    #[test]
    fn ends_are_inside_and_touching_is_meeting() {
        let first = between(1.1, 1.3);
        assert!(first.contains(Swr::nearest(1.3)));
        assert!(first.meets(&between(1.3, 1.5)));
        assert!(!first.meets(&between(1.31, 1.5)));
        assert!(between(1.15, 1.2).within(&first));
        assert!(!between(1.15, 1.31).within(&first));
        assert_eq!(format!("{first:.2}"), "1.10 to 1.30");
    }

    proptest! {
        #[test]
        fn meeting_is_mutual_and_within_implies_it(
            a in 1.0..9.0, b in 1.0..9.0, c in 1.0..9.0, d in 1.0..9.0
        ) {
            let (one, other) = (between(a, b), between(c, d));
            prop_assert_eq!(one.meets(&other), other.meets(&one));
            prop_assert!(!one.within(&other) || one.meets(&other));
            prop_assert!(one.within(&Interval::whole()));
        }
    }
}
