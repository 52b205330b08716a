//! What parts must stand: derating with SWR, peaks of combined carriers, reflection behind a loss.

use crate::{close, near};
use standmast::rf::quantity::{LossDb, Quantity, Reflection, Swr, Watts};
use standmast::rf::rating::{Load, behind, derated, matched_equivalent, sum_of_peaks};

fn watts(value: f64) -> Watts {
    Watts::new(value).unwrap()
}

fn at(power: f64, swr: f64) -> Load {
    Load { forward: watts(power), reflection: Swr::new(swr).unwrap().reflection() }
}

/// Forward W of each carrier, SWR, sum of their peak volts on 50 Ω.
///
/// Source: Vmax = √(2 · Pf · Z0)(1 + |Γ|), and "multi-carrier: add the peak voltages", application notes
/// of arrester makers; single carriers recomputed with numpy (100 W at 1.5: 120.00 V; 250 W: 189.74 V;
/// 1 kW: 379.47 V; 10 kW: 1200.0 V), sums by hand.
const PEAKS: &[(&[f64], f64, f64)] = &[
    (&[100.0], 1.5, 120.0),
    (&[250.0], 1.5, 189.74),
    (&[100.0, 100.0], 1.5, 240.0),
    (&[250.0, 1000.0], 1.5, 569.21),
    (&[1000.0, 1000.0], 1.0, 632.46),
    (&[1000.0, 10_000.0], 1.5, 1579.47),
];

#[test]
fn peaks_of_combined_carriers_add() {
    for (powers, swr, volts) in PEAKS {
        let loads: Vec<Load> = powers.iter().map(|power| at(*power, *swr)).collect();
        near(sum_of_peaks(&loads).value(), *volts, 0.011);
    }
}

/// SWR, share of an average rating that is left by the harder and by the milder rule.
///
/// Source: P / S and P · 2S/(S² + 1), the ends F′ = 1 and F′ = 0 of the interpolation that cable makers'
/// catalogues print; the formula is from memory.
const DERATING: &[(f64, f64, f64)] = &[
    (1.0, 1.0, 1.0),
    (1.2, 0.833_333_333, 0.983_606_557),
    (1.5, 0.666_666_667, 0.923_076_923),
    (2.0, 0.5, 0.8),
    (3.0, 0.333_333_333, 0.6),
];

#[test]
fn an_average_rating_shrinks_with_the_standing_wave() {
    for &(swr, hard, mild) in DERATING {
        let left = derated(watts(1000.0), Swr::new(swr).unwrap());
        close(left.low().value(), 1000.0 * hard, 1e-8);
        close(left.high().value(), 1000.0 * mild, 1e-8);
    }
}

#[test]
fn carriers_heat_as_their_sum_with_a_perfect_match() {
    // 100 W forward at SWR 1.5: |Γ| 0.2, so 104 to 144 W; at a match just the sum. By the formula above.
    let one = matched_equivalent(&[at(100.0, 1.5)]);
    close(one.low().value(), 104.0, 1e-9);
    close(one.high().value(), 144.0, 1e-9);
    let two = matched_equivalent(&[at(250.0, 1.0), at(1000.0, 1.0)]);
    close(two.low().value(), 1250.0, 1e-9);
    close(two.high().value(), 1250.0, 1e-9);
}

#[test]
fn a_limit_at_the_meter_allows_more_behind_the_line() {
    // SWR at the input, loss dB, |Γ| at the load. Source: |Γ load| = |Γ in| · 10^(A/10), return loss at the
    // transmitter is that at the antenna plus twice the loss; recomputed with scikit-rf.
    for (swr, loss, magnitude) in
        [(1.1, 0.5, 0.05343), (1.5, 1.0, 0.25179), (1.5, 3.0, 0.39905), (1.5, 6.0, 0.79621)]
    {
        let limit: Reflection = Swr::new(swr).unwrap().reflection();
        near(behind(limit, LossDb::new(loss).unwrap()).value(), magnitude, 5e-6);
    }
}
