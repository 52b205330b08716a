//! Radiated power from measured power, and whether a power is within its tolerance.

use crate::rf::decision::Limit;
use crate::rf::line::KnownLoss;
use crate::rf::quantity::{GainDbd, Interval, LossDb, Percent, Quantity, Watts};

/// Power gain of a half-wave dipole over an isotropic radiator, 2.151 dB: by integration of its
/// pattern. The usual 1.64 and 2.15 dB differ from it by less than 0.03 %.
pub const DIPOLE_OVER_ISOTROPIC: f64 = 1.640_922;

/// Effective radiated power towards the antenna's best direction.
///
/// - `power`: measured at the plane where `losses` begins: forward power, or net power if the
///   antenna reflects much; never the rated power
/// - `losses`: everything between that plane and the antenna input, matched
///
/// Source: ERP = P · 10^((G − L)/10), gain over a half-wave dipole; 47 CFR 73.310, ITU-R BS.561.
#[must_use]
pub fn erp(power: Watts, losses: LossDb, gain: GainDbd) -> Watts {
    Watts::nearest(power.value() * 10.0_f64.powf((gain.value() - losses.value()) / 10.0))
}

/// The interval of the radiated power from those of power and losses, each at its worst.
#[must_use]
pub fn erp_interval(power: Interval<Watts>, losses: &KnownLoss, gain: GainDbd) -> Interval<Watts> {
    let loss = losses.interval();
    Interval::between(erp(power.low(), loss.high(), gain), erp(power.high(), loss.low(), gain))
}

/// Power at the transmitter that radiates a wanted ERP; the inverse of [`erp`].
#[must_use]
pub fn power_for_erp(wanted: Watts, losses: LossDb, gain: GainDbd) -> Watts {
    Watts::nearest(wanted.value() * 10.0_f64.powf((losses.value() - gain.value()) / 10.0))
}

/// Power radiated relative to an isotropic radiator.
#[must_use]
pub fn eirp(erp: Watts) -> Watts {
    Watts::nearest(erp.value() * DIPOLE_OVER_ISOTROPIC)
}

/// What goes on to the antenna: forward less reflected, read at the same plane; never below 0.
#[must_use]
pub fn net(forward: Watts, reflected: Watts) -> Watts {
    Watts::nearest(forward.value() - reflected.value())
}

/// The powers allowed around an authorised one.
///
/// - `least`: lower end in per cent of `authorised`; `None` where a lower power is allowed
/// - `greatest`: upper end in per cent of `authorised`
///
/// Example of a rule: 47 CFR 73.1560(b) allows 90 to 105 % of the *transmitter output* power
/// above 10 W, and only caps it at 105 % up to 10 W. It is no tolerance on ERP.
#[must_use]
pub fn allowed(authorised: Watts, least: Option<Percent>, greatest: Percent) -> Limit<Watts> {
    let part = |percent: Percent| Watts::nearest(authorised.value() * percent.value() / 100.0);
    match least {
        Some(least) => Limit::Between(Interval::between(part(least), part(greatest))),
        None => Limit::AtMost(part(greatest)),
    }
}

/// Whether the power that was made is the one that was set, as far as the meter can tell.
///
/// A transmitter that makes less may be folding back: that voids evidence about power, never the
/// ratio of reflected to forward.
/// - `set`: the power asked of the transmitter
/// - `made`: where the measured power lies
#[must_use]
pub fn made_as_set(set: Watts, made: Interval<Watts>) -> bool {
    made.contains(set)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn net_power_never_goes_below_nothing() {
        assert_eq!(net(Watts::nearest(4.0), Watts::nearest(5.0)), Watts::nearest(0.0));
        assert_eq!(net(Watts::nearest(100.0), Watts::nearest(4.0)), Watts::nearest(96.0));
    }

    #[test]
    fn fold_back_shows_when_the_meter_can_tell() {
        let made = Interval::between(Watts::nearest(95.0), Watts::nearest(105.0));
        assert!(made_as_set(Watts::nearest(100.0), made));
        assert!(!made_as_set(Watts::nearest(120.0), made));
    }

    proptest! {
        #[test]
        fn power_for_erp_undoes_erp(watts in 0.1..10_000.0, loss in 0.0..6.0, gain in -6.0..12.0) {
            let (loss, gain) = (LossDb::nearest(loss), GainDbd::nearest(gain));
            let radiated = erp(Watts::nearest(watts), loss, gain);
            prop_assert!((power_for_erp(radiated, loss, gain).value() / watts - 1.0).abs() < 1e-9);
        }

        #[test]
        fn the_interval_holds_the_nominal_erp(
            watts in 1.0..1000.0, error in 0.0..0.2, loss in 0.0..6.0, tolerance in 0.0..20.0
        ) {
            let power = Interval::between(
                Watts::nearest(watts * (1.0 - error)),
                Watts::nearest(watts * (1.0 + error)),
            );
            let known = KnownLoss::new(LossDb::nearest(loss), Percent::nearest(tolerance));
            let gain = GainDbd::nearest(0.0);
            let nominal = erp(Watts::nearest(watts), known.nominal(), gain);
            prop_assert!(erp_interval(power, &known, gain).contains(nominal));
        }
    }
}
