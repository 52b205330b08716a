//! Distance and bearing between two places on the WGS 84 ellipsoid.

use crate::rf::quantity::{
    BearingDegrees, Degrees, LatitudeDegrees, LongitudeDegrees, Quantity, SurfaceMetres,
};
use geographiclib_rs::{Geodesic, InverseGeodesic};
use std::sync::LazyLock;

/// The ellipsoid with the series coefficients that belong to it.
static WGS_84: LazyLock<Geodesic> = LazyLock::new(Geodesic::wgs84);

/// A place on the ellipsoid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Degrees north.
    pub latitude: LatitudeDegrees,
    /// Degrees east.
    pub longitude: LongitudeDegrees,
}

/// The way from one place to another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Way {
    /// Along the shortest line on the ellipsoid.
    pub distance: SurfaceMetres,
    /// At its beginning, clockwise from true north; 0 between a place and itself.
    pub bearing: BearingDegrees,
}

/// The shortest way on the ellipsoid.
///
/// Holds everywhere, at poles, across 180° and for places nearly opposite, to 15 nm.
///
/// Source: C. F. F. Karney, "Algorithms for geodesics", J. Geodesy 87 (2013) 43 to 55, as
/// `geographiclib-rs` has it. A sphere would err by up to 0.56 %.
#[must_use]
pub fn way(from: Place, to: Place) -> Way {
    // The tuple says what is computed: distance, the two azimuths, the arc.
    let (metres, azimuth, _, _): (f64, f64, f64, f64) = WGS_84.inverse(
        from.latitude.value(),
        from.longitude.value(),
        to.latitude.value(),
        to.longitude.value(),
    );
    // Between a place and itself every direction is as good.
    let azimuth = if metres > 0.0 { azimuth } else { 0.0 };
    Way {
        distance: SurfaceMetres::nearest(metres),
        bearing: BearingDegrees::nearest(azimuth.rem_euclid(360.0)),
    }
}

/// The lesser angle between two bearings, 0 to 180°.
#[must_use]
pub fn apart(one: BearingDegrees, other: BearingDegrees) -> Degrees {
    let turn = (one.value() - other.value()).rem_euclid(360.0);
    Degrees::nearest(turn.min(360.0 - turn))
}

#[cfg(test)]
mod tests {
    use super::*;
    use geographiclib_rs::DirectGeodesic;
    use proptest::prelude::*;

    /// Where one comes out after going a way.
    fn after(from: Place, way: Way) -> Place {
        let (latitude, longitude): (f64, f64) = WGS_84.direct(
            from.latitude.value(),
            from.longitude.value(),
            way.bearing.value(),
            way.distance.value(),
        );
        place(latitude, longitude)
    }

    fn place(latitude: f64, longitude: f64) -> Place {
        Place {
            latitude: LatitudeDegrees::nearest(latitude),
            longitude: LongitudeDegrees::nearest(longitude),
        }
    }

    #[test]
    fn nothing_lies_between_a_place_and_itself() {
        for here in [place(52.0, -1.0), place(90.0, 0.0), place(0.0, 180.0)] {
            let none = way(here, here);
            assert!(none.distance.value() < 1e-9 && none.bearing.value() < 1e-9);
        }
        // The date line has two names.
        assert!(way(place(10.0, 180.0), place(10.0, -180.0)).distance.value() < 1e-9);
    }

    #[test]
    fn bearings_meet_across_north() {
        let at = BearingDegrees::nearest;
        assert!((apart(at(359.0), at(2.0)).value() - 3.0).abs() < 1e-9);
        assert!(apart(at(0.0), at(360.0)).value().abs() < 1e-9);
        assert!((apart(at(90.0), at(270.0)).value() - 180.0).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn there_is_as_far_as_back(
            a in -89.0..89.0, b in -180.0..180.0, c in -89.0..89.0, d in -180.0..180.0
        ) {
            let there = way(place(a, b), place(c, d)).distance.value();
            let back = way(place(c, d), place(a, b)).distance.value();
            prop_assert!((there - back).abs() < 1e-6);
            prop_assert!(there < 20_003_932.0);
        }

        #[test]
        fn a_way_leads_where_it_says(
            latitude in -80.0..80.0, longitude in -179.0..179.0, north in -0.5..0.5, east in -0.5..0.5
        ) {
            let (from, to) = (place(latitude, longitude), place(latitude + north, longitude + east));
            let found = after(from, way(from, to));
            prop_assert!(way(found, to).distance.value() < 1e-6);
        }
    }
}
