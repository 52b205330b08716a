//! Trends.

use crate::{close, near};
use standmast::rf::quantity::{Percent, Quantity};
use standmast::rf::trend::{Point, mann_kendall, theil_sen};

fn series(values: &[f64]) -> Vec<Point> {
    let days = (0_u16..).map(f64::from);
    values.iter().zip(days).map(|(value, day)| Point { day, value: *value }).collect()
}

type Series = (&'static [f64], f64, f64, f64, f64, f64);

/// Values; score, variance, z, probability, slope per step.
///
/// Source: EPA QA/G-9S p. 109 (first), the first twenty years of the Nile's flow at Aswan (third,
/// data from memory); recomputed with pymannkendall, the last probability from the normal
/// distribution alone.
const SERIES: &[Series] = &[
    (
        &[10.0, 10.0, 10.0, 5.0, 10.0, 20.0, 18.0, 17.0, 15.0, 24.0, 15.0],
        22.0,
        155.3333,
        1.684_950,
        0.091_998,
        1.0,
    ),
    (&[1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0], 45.0, 125.0, 3.935_480, 8.303e-5, 1.0),
    (
        &[
            1120.0, 1160.0, 963.0, 1210.0, 1160.0, 1160.0, 813.0, 1230.0, 1370.0, 1140.0, 995.0,
            935.0, 1110.0, 994.0, 1020.0, 960.0, 1180.0, 799.0, 958.0, 1140.0,
        ],
        -46.0,
        945.3333,
        -1.463_592,
        0.143_305,
        -7.142_857,
    ),
    (
        &[1.12, 1.13, 1.12, 1.14, 1.15, 1.17, 1.16, 1.19, 1.22, 1.25],
        40.0,
        124.0,
        3.502_303,
        4.613e-4,
        0.013_333_3,
    ),
];

#[test]
fn published_series() {
    for &(values, score, variance, z, probability, slope) in SERIES {
        let points = series(values);
        let found = mann_kendall(&points).unwrap();
        near(found.score, score, 1e-9);
        close(found.variance, variance, 1e-6);
        close(found.z, z, 1e-6);
        close(found.probability, probability, 3e-4);
        close(theil_sen(&points).unwrap(), slope, 3e-6);
    }
    let drift = mann_kendall(&series(SERIES[3].0)).unwrap();
    assert!(drift.significant(Percent::new(1.0).unwrap()));
    let nile = mann_kendall(&series(SERIES[2].0)).unwrap();
    assert!(!nile.significant(Percent::new(5.0).unwrap()));
}
