//! What a pole or another piece of metal beside a vertical dipole adds to its reflection.

use crate::rf::element::wavelength;
use crate::rf::quantity::{Megahertz, Metres, Quantity, Reflection, Swr};

/// The metal that stands parallel to the antenna.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Neighbour {
    /// A pole or mast longer than two wavelengths, or the antenna at its top.
    LongPole,
    /// A piece near half a wavelength long: a guy segment, stub or other antenna.
    NearHalfWave,
}

/// Spacing in wavelengths, SWR beside a long pole, SWR beside a piece of the dipole's length.
///
/// Relative to the dipole's own resistance, centre to centre.
/// Source: NEC (PyNEC 2.3.4), 16 mm dipole and 50 mm pole at 98 MHz, the worst of poles of 6, 12
/// and 24 m with the dipole at their middle or top; an independent moment method agrees within
/// 0.003.
const TABLE: [(f64, f64, f64); 6] = [
    (0.10, 2.106, 5.53),
    (0.25, 1.245, 1.562),
    (0.50, 1.078, 1.197),
    (0.75, 1.041, 1.107),
    (1.00, 1.028, 1.059),
    (2.00, 1.012, 1.016),
];

/// The most that a neighbour at this spacing adds at the antenna input.
///
/// Between the rows of the table by straight lines on double logarithmic paper; beyond two
/// wavelengths the last row stays. It says nothing about the pattern, which suffers much more.
/// - `spacing`: centre to centre, at right angles to the antenna
///
/// Returns `None` closer than a tenth of a wavelength, where nothing was computed.
#[must_use]
pub fn neighbour_adds(
    neighbour: Neighbour,
    spacing: Metres,
    frequency: Megahertz,
) -> Option<Reflection> {
    let waves = spacing.value() / wavelength(frequency).value();
    let added = |row: (f64, f64, f64)| {
        let swr = match neighbour {
            Neighbour::LongPole => row.1,
            Neighbour::NearHalfWave => row.2,
        };
        Swr::nearest(swr).reflection().value()
    };
    let first = TABLE.first().copied()?;
    let last = TABLE.last().copied()?;
    if waves < first.0 {
        return None;
    }
    let next = TABLE.iter().position(|row| row.0 >= waves);
    let magnitude = match next {
        None => added(last),
        Some(0) => added(first),
        Some(index) => {
            let near = TABLE.get(index - 1).copied()?;
            let far = TABLE.get(index).copied()?;
            let along = (waves / near.0).ln() / (far.0 / near.0).ln();
            added(near) * (added(far) / added(near)).powf(along)
        }
    };
    Some(Reflection::nearest(magnitude))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn swr(neighbour: Neighbour, waves: f64) -> Option<f64> {
        let frequency = Megahertz::nearest(98.0);
        let spacing = Metres::nearest(waves * wavelength(frequency).value());
        neighbour_adds(neighbour, spacing, frequency).map(|adds| adds.swr().value())
    }

    #[test]
    fn meets_the_rows_and_stays_silent_where_nothing_is_known() {
        assert!((swr(Neighbour::LongPole, 0.25).unwrap() - 1.245).abs() < 1e-3);
        assert!((swr(Neighbour::NearHalfWave, 0.5).unwrap() - 1.197).abs() < 1e-3);
        assert!((swr(Neighbour::LongPole, 5.0).unwrap() - 1.012).abs() < 1e-6);
        assert_eq!(swr(Neighbour::LongPole, 0.09), None);
    }

    proptest! {
        #[test]
        fn further_away_adds_less(waves in 0.1..1.9, more in 1.01..2.0) {
            for neighbour in [Neighbour::LongPole, Neighbour::NearHalfWave] {
                let near = swr(neighbour, waves + 1e-6).unwrap();
                let far = swr(neighbour, waves * more).unwrap();
                prop_assert!(far <= near + 1e-9);
            }
        }
    }
}
