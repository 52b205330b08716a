//! Gas-tube arresters against the voltage of the signal they sit across.
//! The voltage rule is one condition of several: the maker's RF power rating, hold-over with RF
//! on and the added peaks of combined carriers are asked too.

use crate::rf::line::{LINE_OHMS, peak_volts};
use crate::rf::quantity::{Percent, Quantity, Ratio, Swr, Volts, Watts};

/// How many times the peak voltage the lowest spark-over must be: published in application notes
/// of the trade.
pub const VOLTAGE_RULE: Ratio = Ratio::fixed(1.5);

/// A gas tube's static (DC) spark-over voltage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GasTube {
    /// Nominal static spark-over.
    pub spark_over: Volts,
    /// How far a tube may differ to either side, per cent of nominal; 20 is common.
    pub tolerance: Percent,
}

impl GasTube {
    /// The lowest static spark-over that a tube of this kind may have.
    #[must_use]
    pub fn lowest(&self) -> Volts {
        Volts::nearest(self.spark_over.value() * (1.0 - self.tolerance.value() / 100.0))
    }

    /// The greatest forward power at which the voltage rule still holds.
    ///
    /// - `worst`: the worst SWR at which the transmitter stays at this power
    #[must_use]
    pub fn greatest_power(&self, worst: Swr) -> Watts {
        let peak = self.lowest().value() / VOLTAGE_RULE.value();
        let forward_peak = peak / (1.0 + worst.reflection().value());
        Watts::nearest(forward_peak * forward_peak / (2.0 * LINE_OHMS))
    }
}

/// The voltage rule with its figures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VoltageCheck {
    /// The greatest peak voltage on the line.
    pub peak: Volts,
    /// The lowest spark-over of the tube.
    pub lowest: Volts,
    /// Lowest spark-over over peak; infinite without power.
    pub ratio: Ratio,
    /// Whether the ratio is at least [`VOLTAGE_RULE`].
    pub holds: bool,
}

/// Checks a tube against one carrier.
///
/// - `forward`: the greatest *forward* power at the arrester
/// - `worst`: the worst SWR allowed there
///
/// Source: Vpk = √(2 · P · Z0)(1 + |Γ|); spark-over at its lowest tolerance at least 1.5 · Vpk,
/// application notes of the trade.
#[must_use]
pub fn check(tube: &GasTube, forward: Watts, worst: Swr) -> VoltageCheck {
    check_volts(tube, peak_volts(forward, worst.reflection()))
}

/// Checks a tube against several carriers on one line: their peaks add.
#[must_use]
pub fn check_combined(tube: &GasTube, carriers: &[(Watts, Swr)]) -> VoltageCheck {
    let peak = carriers
        .iter()
        .map(|(forward, worst)| peak_volts(*forward, worst.reflection()).value())
        .sum();
    check_volts(tube, Volts::nearest(peak))
}

/// Checks a tube against a peak voltage that is known already: the sum of the peaks of all carriers.
#[must_use]
pub fn check_volts(tube: &GasTube, peak: Volts) -> VoltageCheck {
    let lowest = tube.lowest();
    let ratio = if peak.value() > 0.0 {
        Ratio::nearest(lowest.value() / peak.value())
    } else {
        Ratio::nearest(f64::INFINITY)
    };
    VoltageCheck { peak, lowest, ratio, holds: ratio >= VOLTAGE_RULE }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn nothing_on_the_line_holds_and_two_carriers_add() {
        let tube = GasTube { spark_over: Volts::nearest(230.0), tolerance: Percent::nearest(20.0) };
        let swr = Swr::nearest(1.0);
        assert!(check(&tube, Watts::nearest(0.0), swr).holds);
        let one = check(&tube, Watts::nearest(100.0), swr);
        let two = check_combined(&tube, &[(Watts::nearest(100.0), swr); 2]);
        assert!(one.holds && !two.holds);
        assert!((two.peak.value() - 2.0 * one.peak.value()).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn the_greatest_power_is_where_the_rule_turns(
            volts in 90.0..3000.0, tolerance in 0.0..30.0, swr in 1.0..5.0
        ) {
            let tube = GasTube {
                spark_over: Volts::nearest(volts),
                tolerance: Percent::nearest(tolerance),
            };
            let worst = Swr::nearest(swr);
            let greatest = tube.greatest_power(worst).value();
            prop_assert!(check(&tube, Watts::nearest(greatest * 0.999), worst).holds);
            prop_assert!(!check(&tube, Watts::nearest(greatest * 1.001), worst).holds);
        }
    }
}
