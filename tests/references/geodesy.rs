//! Distances and bearings on the WGS 84 ellipsoid.

use crate::near;
use standmast::rf::geodesy::{Place, apart, way};
use standmast::rf::quantity::{BearingDegrees, LatitudeDegrees, LongitudeDegrees, Quantity};

/// Latitude and longitude of two places; metres between them, and the bearing at the first.
///
/// Source: the geographiclib library of C. F. F. Karney (Python, 2.1), recomputed; the first two rows are
/// its documentation's own examples, and the ninth is nearly antipodal, where iterative formulas fail.
const INVERSE: &[(f64, f64, f64, f64, f64, f64)] = &[
    (40.6, -73.8, 51.6, -0.5, 5_551_759.400_319, 51.198_882_846),
    (-41.32, 174.81, 40.96, -5.5, 19_959_679.267_354, 161.067_669_986),
    (0.0, 0.0, 0.0, 1.0, 111_319.490_793, 90.0),
    (0.0, 0.0, 1.0, 0.0, 110_574.388_558, 0.0),
    (89.0, 0.0, 90.0, 0.0, 111_693.864_914, 0.0),
    (45.0, 0.0, 45.0, 1.0, 78_846.334_710, 89.646_442_107),
    (10.0, 179.9, 10.0, -179.9, 21_927.872_478, 89.982_635_165),
    (52.0, -1.0, 52.001, -1.0, 111.267_363, 0.0),
    (0.0, 0.0, 0.5, 179.5, 19_936_288.578_965, 25.671_872_868),
    (41.2034, -8.1007, 41.2044, -8.1007, 111.057_851, 0.0),
    (41.2034, -8.1007, 41.2031, -8.1012, 53.561_648, 231.535_090_520),
    (-33.8568, 151.2153, -33.857, 151.2149, 43.154_316, 239.065_161_869),
];

#[test]
fn the_ellipsoid() {
    for &(latitude, longitude, other_latitude, other_longitude, metres, bearing) in INVERSE {
        let place = |latitude: f64, longitude: f64| Place {
            latitude: LatitudeDegrees::new(latitude).unwrap(),
            longitude: LongitudeDegrees::new(longitude).unwrap(),
        };
        let found = way(place(latitude, longitude), place(other_latitude, other_longitude));
        near(found.distance.value(), metres, 1e-3);
        let angle = apart(found.bearing, BearingDegrees::new(bearing).unwrap());
        near(angle.value(), 0.0, 1e-6);
    }
}

#[test]
fn a_sphere_would_err() {
    // A degree of longitude on the equator is 111 195.080 m on a sphere of 6 371 008.7714 m, a degree of
    // latitude the same; on the ellipsoid 111 319.491 and 110 574.389 m.
    let at = |latitude: f64, longitude: f64| Place {
        latitude: LatitudeDegrees::new(latitude).unwrap(),
        longitude: LongitudeDegrees::new(longitude).unwrap(),
    };
    let east = way(at(0.0, 0.0), at(0.0, 1.0)).distance.value();
    let north = way(at(0.0, 0.0), at(1.0, 0.0)).distance.value();
    near(east - north, 745.102, 1e-3);
}
