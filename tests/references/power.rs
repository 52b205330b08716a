//! Radiated power and tolerance of power.

use crate::{close, near};
use standmast::rf::decision::Limit;
use standmast::rf::power::{allowed, eirp, erp, power_for_erp};
use standmast::rf::quantity::{GainDbd, LossDb, Percent, Quantity, Watts};

fn watts(value: f64) -> Watts {
    Watts::new(value).unwrap()
}

/// Power W, loss dB, gain dBd, ERP W. Source: ERP = P · 10^((G−L)/10), recomputed with numpy.
const ERP: &[(f64, f64, f64, f64)] = &[
    (100.0, 0.65, 0.0, 86.099),
    (250.0, 1.2, 3.0, 378.390),
    (1000.0, 0.75, -3.4, 384.592),
    (1000.0, 1.293, 3.26, 1572.896),
];

#[test]
fn radiated_power() {
    for &(power, loss, gain, radiated) in ERP {
        let db = LossDb::new(loss).unwrap();
        close(erp(watts(power), db, GainDbd::new(gain).unwrap()).value(), radiated, 1e-5);
    }
    // One bay of circular polarization, power gain 0.457, 1.0 dB of line: 275.48 W for 100 W ERP.
    let gain = GainDbd::new(10.0 * 0.457_f64.log10()).unwrap();
    let power = power_for_erp(watts(100.0), LossDb::new(1.0).unwrap(), gain);
    close(power.value(), 275.48, 2e-5);
}

#[test]
fn dipole_over_isotropic() {
    // Published figures: 1.64 and 2.15 dB.
    close(eirp(watts(1.0)).value(), 1.64, 1e-3);
    near(10.0 * eirp(watts(1.0)).value().log10(), 2.151, 5e-4);
}

#[test]
fn power_tolerance_of_the_united_states() {
    // Source: 47 CFR 73.1560(b): above 10 W 90 to 105 % of authorised transmitter output power;
    // up to 10 W only not above 105 %.
    let percent = |value| Percent::new(value).unwrap();
    for (authorised, least, greatest) in
        [(250.0, 225.0, 262.5), (1000.0, 900.0, 1050.0), (11.0, 9.9, 11.55)]
    {
        match allowed(watts(authorised), Some(percent(90.0)), percent(105.0)) {
            Limit::Between(between) => {
                close(between.low().value(), least, 1e-12);
                close(between.high().value(), greatest, 1e-12);
            }
            other => panic!("{other:?}"),
        }
    }
    match allowed(watts(10.0), None, percent(105.0)) {
        Limit::AtMost(greatest) => close(greatest.value(), 10.5, 1e-12),
        other => panic!("{other:?}"),
    }
}
