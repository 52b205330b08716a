//! What directional meters leave open.

use crate::near;
use standmast::rf::meter::{Meter, Powers, Range, Reflected};
use standmast::rf::quantity::{DirectivityDb, Percent, Quantity, Typed, Watts};

fn range(full_scale: f64, accuracy: f64) -> Range {
    Range { full_scale: Watts::new(full_scale).unwrap(), accuracy: Percent::new(accuracy).unwrap() }
}

fn powers(forward: &str, reflected: &str) -> Powers {
    Powers {
        forward: Typed::parse(forward).unwrap(),
        reflected: Reflected::Shown(Typed::parse(reflected).unwrap()),
    }
}

/// Forward W and full scale, reflected W and full scale, SWR at the point, least, greatest.
///
/// Source: worst corner of 5 % of full scale on both readings, recomputed with numpy; 5 % is the
/// usual figure of plug-in line elements, from memory.
const FULL_SCALE: &[(&str, f64, &str, f64, f64, f64, f64)] = &[
    ("100", 100.0, "4.0", 10.0, 1.500, 1.4467, 1.5564),
    ("100", 100.0, "4", 100.0, 1.500, 1.000, 1.889),
    ("1000", 1000.0, "10", 100.0, 1.2222, 1.1482, 1.2874),
    ("50", 100.0, "1.0", 10.0, 1.3294, 1.2108, 1.4467),
];

#[test]
fn full_scale_error_in_the_worst_corner() {
    for &(forward, forward_scale, reflected, reflected_scale, point, low, high) in FULL_SCALE {
        let meter = Meter {
            forward: range(forward_scale, 5.0),
            reflected: range(reflected_scale, 5.0),
            directivity: None,
        };
        let known = meter.measure(&powers(forward, reflected)).unwrap();
        near(known.point.swr().value(), point, 5e-4);
        near(known.swr_interval().low().value(), low, 5e-4);
        near(known.swr_interval().high().value(), high, 5e-4);
        assert!(known.at_least);
    }
}

/// Directivity dB, indicated SWR, least and greatest true SWR.
///
/// Source: | |Γ| ± 10^(−D/20) |, the usual coupler-directivity bound, recomputed with numpy.
const DIRECTIVITY: &[(f64, f64, f64, f64)] = &[
    (20.0, 1.05, 1.000, 1.284),
    (20.0, 1.30, 1.063, 1.599),
    (20.0, 1.50, 1.222, 1.857),
    (20.0, 2.00, 1.609, 2.529),
    (25.0, 1.10, 1.000, 1.232),
    (25.0, 1.20, 1.072, 1.345),
    (25.0, 1.50, 1.336, 1.689),
    (25.0, 2.00, 1.767, 2.276),
    (30.0, 1.10, 1.033, 1.172),
    (30.0, 1.20, 1.126, 1.279),
    (30.0, 1.50, 1.405, 1.603),
    (35.0, 1.30, 1.254, 1.348),
    (40.0, 1.05, 1.029, 1.071),
    (40.0, 2.00, 1.956, 2.046),
];

#[test]
fn directivity_opens_the_interval() {
    for &(directivity, indicated, low, high) in DIRECTIVITY {
        let meter = Meter {
            forward: range(1000.0, 0.0),
            reflected: range(1000.0, 0.0),
            directivity: Some(DirectivityDb::new(directivity).unwrap()),
        };
        let magnitude = (indicated - 1.0) / (indicated + 1.0);
        let reflected = format!("{:.9}", 1000.0 * magnitude * magnitude);
        let known = meter.measure(&powers("1000.000000", &reflected)).unwrap();
        near(known.swr_interval().low().value(), low, 6e-4);
        near(known.swr_interval().high().value(), high, 6e-4);
        assert!(!known.at_least);
    }
}

#[test]
fn zero_watts_is_not_a_perfect_match() {
    // Under 1 W of 300 W is an SWR of up to 1.12.
    let meter =
        Meter { forward: range(300.0, 0.0), reflected: range(300.0, 0.0), directivity: None };
    let below = Powers {
        forward: Typed::parse("300").unwrap(),
        reflected: Reflected::Below(Typed::parse("1").unwrap()),
    };
    let known = meter.measure(&below).unwrap();
    near(known.point.swr().value(), 1.12, 0.005);
    assert!(known.ceiling);
}
