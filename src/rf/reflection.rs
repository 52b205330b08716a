//! Reflection in its four coats: magnitude, SWR, return loss and share of power.
//! All hold at the plane where they were read; `line` moves them to another one.

use crate::rf::quantity::{
    Interval, LossDb, Quantity, ReflectedShare, Reflection, ReturnLossDb, Swr, Watts,
};
use std::fmt;

impl Swr {
    /// The magnitude of reflection that makes this SWR; 1 for an infinite one.
    ///
    /// Source: |Γ| = (S − 1)/(S + 1), e.g. ARRL Antenna Book, transmission lines.
    #[must_use]
    pub fn reflection(self) -> Reflection {
        let swr = self.value();
        if swr.is_infinite() {
            return Reflection::nearest(1.0);
        }
        Reflection::nearest((swr - 1.0) / (swr + 1.0))
    }
}

impl Reflection {
    /// The SWR on a line that sees this reflection; infinite for total reflection.
    ///
    /// Source: S = (1 + |Γ|)/(1 − |Γ|).
    #[must_use]
    pub fn swr(self) -> Swr {
        let magnitude = self.value();
        if magnitude >= 1.0 {
            return Swr::nearest(f64::INFINITY);
        }
        Swr::nearest((1.0 + magnitude) / (1.0 - magnitude))
    }

    /// Return loss, positive for a passive load, infinite for a perfect match.
    ///
    /// Source: T. S. Bird, "Definition and Misuse of Return Loss", IEEE Antennas Propag. Mag.
    /// 51(2), 2009.
    #[must_use]
    pub fn return_loss(self) -> ReturnLossDb {
        ReturnLossDb::nearest(-20.0 * self.value().log10())
    }

    /// The share of the forward power that comes back: |Γ|².
    #[must_use]
    pub fn share(self) -> ReflectedShare {
        ReflectedShare::nearest(self.value() * self.value())
    }

    /// What the mismatch takes from the forward power: −10 log10(1 − |Γ|²).
    ///
    /// Total reflection is infinite and is given as the greatest loss there is, 200 dB.
    #[must_use]
    pub fn mismatch_loss(self) -> LossDb {
        LossDb::nearest(-10.0 * (1.0 - self.share().value()).log10())
    }
}

impl ReflectedShare {
    /// The magnitude of reflection that sends this share of the power back.
    #[must_use]
    pub fn reflection(self) -> Reflection {
        Reflection::nearest(self.value().sqrt())
    }
}

impl ReturnLossDb {
    /// The magnitude of reflection with this return loss; 0 for an infinite one.
    #[must_use]
    pub fn reflection(self) -> Reflection {
        Reflection::nearest(10.0_f64.powf(-self.value() / 20.0))
    }
}

/// Why two powers give no reflection.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PowersError {
    /// Nothing goes forward: there is nothing to compare with.
    NoForward,
    /// More comes back than went: the readings are exchanged, or another transmitter is heard.
    ReflectedAboveForward {
        /// Power towards the antenna.
        forward: Watts,
        /// Power coming back.
        reflected: Watts,
    },
}

impl fmt::Display for PowersError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoForward => write!(f, "the forward power is 0 W: there is nothing to compare"),
            Self::ReflectedAboveForward { forward, reflected } => write!(
                f,
                "{reflected} reflected is more than {forward} forward: check which is which, \
                 and whether another transmitter is heard"
            ),
        }
    }
}

impl std::error::Error for PowersError {}

/// The reflection between two powers read at the same plane: |Γ| = √(reflected/forward).
///
/// Equal powers are total reflection, an infinite SWR: a shorted or open cable reads so.
///
/// # Errors
/// [`PowersError`] without forward power, or with more reflected than forward.
pub fn from_powers(forward: Watts, reflected: Watts) -> Result<Reflection, PowersError> {
    if forward.value() <= 0.0 {
        return Err(PowersError::NoForward);
    }
    if reflected > forward {
        return Err(PowersError::ReflectedAboveForward { forward, reflected });
    }
    Ok(Reflection::nearest((reflected.value() / forward.value()).sqrt()))
}

/// A magnitude of reflection at one plane, with what is known about it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KnownReflection {
    /// The value as read or computed; for a "below" reading the greatest that it may be.
    pub point: Reflection,
    /// Where the true value lies, as far as the instrument says.
    pub interval: Interval<Reflection>,
    /// The instrument does not state everything (its directivity), so that the true interval is
    /// wider: print "at least".
    pub at_least: bool,
    /// The reflected power was "below" a value: `point` is a ceiling, print "up to".
    pub ceiling: bool,
}

impl KnownReflection {
    /// A value known exactly: of a reference, or in a test.
    #[must_use]
    pub fn exact(point: Reflection) -> Self {
        Self { point, interval: Interval::point(point), at_least: false, ceiling: false }
    }

    /// The interval as SWR.
    #[must_use]
    pub fn swr_interval(&self) -> Interval<Swr> {
        self.interval.map(Reflection::swr)
    }

    /// The interval as share of the forward power.
    #[must_use]
    pub fn share_interval(&self) -> Interval<ReflectedShare> {
        self.interval.map(Reflection::share)
    }

    /// The same knowledge moved to another plane by a function that never turns the order round.
    pub(in crate::rf) fn moved(
        &self,
        point: Reflection,
        low: Reflection,
        high: Reflection,
    ) -> Self {
        Self { point, interval: Interval::between(low, high), ..*self }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn equal_powers_are_total_reflection_and_more_is_an_error() {
        let watts = Watts::nearest;
        let total = from_powers(watts(10.0), watts(10.0)).unwrap();
        assert!(total.swr().value().is_infinite());
        assert!(total.return_loss().value().abs() < 1e-12);
        assert!(from_powers(watts(0.0), watts(0.0)).is_err());
        let message = from_powers(watts(4.0), watts(5.0)).unwrap_err().to_string();
        assert!(message.starts_with("5 W reflected is more than 4 W forward"));
        assert!(Reflection::nearest(0.0).return_loss().value().is_infinite());
    }

    proptest! {
        #[test]
        fn swr_and_reflection_turn_into_each_other(swr in 1.0..1000.0) {
            let back = Swr::nearest(swr).reflection().swr().value();
            prop_assert!((back / swr - 1.0).abs() < 1e-9);
        }

        #[test]
        fn a_worse_swr_never_has_the_better_return_loss(a in 1.0..50.0, b in 1.0..50.0) {
            let (one, other) = (Swr::nearest(a), Swr::nearest(b));
            if one < other {
                let loss = |swr: Swr| swr.reflection().return_loss();
                prop_assert!(loss(one) >= loss(other));
            }
        }

        #[test]
        fn return_loss_and_share_come_back(magnitude in 0.0001..1.0) {
            let reflection = Reflection::nearest(magnitude);
            let by_loss = reflection.return_loss().reflection().value();
            let by_share = reflection.share().reflection().value();
            prop_assert!((by_loss - magnitude).abs() < 1e-9);
            prop_assert!((by_share - magnitude).abs() < 1e-9);
        }
    }
}
