//! Gas tubes and peak voltage.

use crate::{close, near};
use standmast::rf::arrester::{GasTube, VOLTAGE_RULE, check};
use standmast::rf::quantity::{Percent, Quantity, Swr, Volts, Watts};

/// Forward W at SWR 1.5: peak V, times 1.5, least nominal tube at −20 % and at −15 %.
///
/// Source: Vpk = √(2PZ0)(1+|Γ|) and the rule "lowest static spark-over at least 1.5 Vpk", both
/// from published application notes of the trade; recomputed with numpy.
const AT_SWR_1_5: &[(f64, f64, f64, f64, f64)] = &[
    (10.0, 37.9, 56.9, 71.2, 67.0),
    (50.0, 84.9, 127.3, 159.1, 149.7),
    (100.0, 120.0, 180.0, 225.0, 211.8),
    (250.0, 189.7, 284.6, 355.8, 334.8),
    (1000.0, 379.5, 569.2, 711.5, 669.7),
    (5000.0, 848.5, 1272.8, 1591.0, 1497.0),
];

fn tube(volts: f64, tolerance: f64) -> GasTube {
    GasTube { spark_over: Volts::new(volts).unwrap(), tolerance: Percent::new(tolerance).unwrap() }
}

#[test]
fn peak_voltage_and_the_tube_it_needs() {
    let swr = Swr::new(1.5).unwrap();
    for &(power, peak, with_rule, at_20, at_15) in AT_SWR_1_5 {
        let forward = Watts::new(power).unwrap();
        let checked = check(&tube(at_20 * 1.002, 20.0), forward, swr);
        near(checked.peak.value(), peak, 0.051);
        near(checked.peak.value() * VOLTAGE_RULE.value(), with_rule, 0.051);
        assert!(checked.holds);
        assert!(!check(&tube(at_20 * 0.998, 20.0), forward, swr).holds);
        assert!(check(&tube(at_15 * 1.002, 15.0), forward, swr).holds);
        assert!(!check(&tube(at_15 * 0.998, 15.0), forward, swr).holds);
    }
}

/// Nominal V at −20 %: greatest W at SWR 1.0, 1.5 and 2.0. Source: as above.
const GREATEST_POWER: &[(f64, f64, f64, f64)] = &[
    (90.0, 23.0, 16.0, 13.0),
    (230.0, 150.5, 104.5, 84.6),
    (350.0, 348.4, 242.0, 196.0),
    (600.0, 1024.0, 711.0, 576.0),
    (1000.0, 2844.0, 1975.0, 1600.0),
    (2500.0, 17_778.0, 12_346.0, 10_000.0),
];

#[test]
fn greatest_power_of_a_tube() {
    for &(volts, at_1, at_1_5, at_2) in GREATEST_POWER {
        for (swr, watts) in [(1.0, at_1), (1.5, at_1_5), (2.0, at_2)] {
            let power = tube(volts, 20.0).greatest_power(Swr::new(swr).unwrap());
            close(power.value(), watts, 4e-3);
        }
    }
}

#[test]
fn voltage_multiplier_of_a_mismatch() {
    // Published table of 1 + |Γ|: 1.05, 1.09, 1.13, 1.17, 1.2 and 1.3 for 1.86.
    for (swr, multiplier) in
        [(1.1, 1.05), (1.2, 1.09), (1.3, 1.13), (1.4, 1.17), (1.5, 1.2), (1.86, 1.3)]
    {
        let at = |s: f64| {
            let swr = Swr::new(s).unwrap();
            check(&tube(230.0, 20.0), Watts::new(100.0).unwrap(), swr).peak.value()
        };
        close(at(swr) / at(1.0), multiplier, 0.004);
    }
}
