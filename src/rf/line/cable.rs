//! Generic coaxial cable types: loss constants fitted to published tables, with their tolerance.

use crate::rf::line::KnownLoss;
use crate::rf::quantity::{
    Celsius, LossDb, Megahertz, Metres, OutOfRange, Percent, Quantity, VelocityFactor, Watts,
};

/// The temperature of the loss tables, °C.
const TABLE_CELSIUS: f64 = 20.0;

/// Growth of loss with temperature, per °C: published as 0.0011 per °F about 68 °F. Copper's
/// skin effect alone gives the same within 0.4 % between −20 and 60 °C.
const GROWTH_PER_CELSIUS: f64 = 0.0011 * 1.8;

/// Attenuation of a coaxial cable: conductor loss grows with √f, dielectric loss with f.
///
/// Loss in dB per 100 m at 20 °C is `conductor·√f + dielectric·f` with f in MHz.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LossModel {
    conductor: f64,
    dielectric: f64,
}

impl LossModel {
    /// The two constants, dB per 100 m with f in MHz.
    ///
    /// # Errors
    /// [`OutOfRange`] if one is negative, NaN or above 200.
    pub fn new(conductor: f64, dielectric: f64) -> Result<Self, OutOfRange> {
        Ok(Self {
            conductor: LossDb::new(conductor)?.value(),
            dielectric: LossDb::new(dielectric)?.value(),
        })
    }

    /// The model of two declared constants, each the loss of 100 m at 1 MHz.
    #[must_use]
    pub fn of(conductor: LossDb, dielectric: LossDb) -> Self {
        Self { conductor: conductor.value(), dielectric: dielectric.value() }
    }

    /// A model from one catalogue figure, taken as all conductor loss: good near its frequency.
    ///
    /// - `per_100_m`: the catalogue's dB per 100 m at `frequency`
    #[must_use]
    pub fn from_one_figure(per_100_m: LossDb, frequency: Megahertz) -> Self {
        Self { conductor: per_100_m.value() / frequency.value().sqrt(), dielectric: 0.0 }
    }

    /// The constant of √f, dB per 100 m with f in MHz.
    #[must_use]
    pub fn conductor(&self) -> f64 {
        self.conductor
    }

    /// The constant of f, dB per 100 m with f in MHz.
    #[must_use]
    pub fn dielectric(&self) -> f64 {
        self.dielectric
    }

    /// Matched loss of 100 m at a frequency and the cable's own temperature.
    ///
    /// Source: the two-term model of cable data sheets; temperature see `GROWTH_PER_CELSIUS`.
    #[must_use]
    pub fn per_100_m(&self, frequency: Megahertz, temperature: Celsius) -> LossDb {
        let f = frequency.value();
        let at_table = self.conductor * f.sqrt() + self.dielectric * f;
        let warmer = temperature.value() - TABLE_CELSIUS;
        LossDb::nearest(at_table * (1.0 + GROWTH_PER_CELSIUS * warmer))
    }

    /// Matched loss of a length of this cable.
    #[must_use]
    pub fn loss(&self, frequency: Megahertz, length: Metres, temperature: Celsius) -> LossDb {
        let per_metre = self.per_100_m(frequency, temperature).value() / 100.0;
        LossDb::nearest(per_metre * length.value())
    }
}

/// A generic or standard cable type with what a commissioning record needs of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CableType {
    /// A stable key for storage: never changed, never used again for another type.
    pub key: &'static str,
    /// The name as the trade says it.
    pub name: &'static str,
    /// The loss constants.
    pub model: LossModel,
    /// How far a good cable of this type may differ, in per cent of the loss.
    pub tolerance: Percent,
    /// Speed relative to light.
    pub velocity_factor: VelocityFactor,
    /// Average power at 100 MHz, SWR 1, 40 °C in air; where a table gives one.
    pub rated_at_100_mhz: Option<Watts>,
    /// Where the figures come from and how well the model meets them.
    pub source: &'static str,
}

impl CableType {
    /// The type with this storage key.
    #[must_use]
    pub fn find(key: &str) -> Option<&'static Self> {
        CABLES.iter().find(|cable| cable.key == key)
    }

    /// The loss of a length with the type's tolerance.
    #[must_use]
    pub fn loss(&self, frequency: Megahertz, length: Metres, temperature: Celsius) -> KnownLoss {
        KnownLoss::new(self.model.loss(frequency, length, temperature), self.tolerance)
    }

    /// Average power rating at a frequency: falls with √f, as the heat is conductor loss.
    ///
    /// Meets the published ratings of the corrugated types at 88 and 108 MHz within 0.5 %; SWR
    /// above 1 and a warmer place lower it further.
    #[must_use]
    pub fn rated(&self, frequency: Megahertz) -> Option<Watts> {
        let rated = self.rated_at_100_mhz?;
        Some(Watts::nearest(rated.value() * (100.0 / frequency.value()).sqrt()))
    }
}

/// What tables of the flexible types are: they differ by make and age.
const FLEXIBLE: Percent = Percent::fixed(12.0);

/// What the guarantee of the corrugated types is.
const CORRUGATED: Percent = Percent::fixed(5.0);

/// The generic cable types, thinnest first.
pub const CABLES: &[CableType] = &[
    CableType {
        key: "rg-58",
        name: "RG-58",
        model: LossModel { conductor: 1.533_24, dielectric: 0.024_766 },
        tolerance: FLEXIBLE,
        velocity_factor: VelocityFactor::fixed(0.66),
        rated_at_100_mhz: None,
        source: "catalogue table 12.14 / 17.72 / 26.57 dB per 100 m at 50 / 100 / 200 MHz, \
                 20 °C; model within 0.5 %; other tables differ by 10 %",
    },
    CableType {
        key: "rg-213",
        name: "RG-213",
        model: LossModel { conductor: 0.567_64, dielectric: 0.004_964_6 },
        tolerance: FLEXIBLE,
        velocity_factor: VelocityFactor::fixed(0.66),
        rated_at_100_mhz: Some(Watts::fixed(748.0)),
        source: "catalogue table 4.27 / 6.23 / 8.86 dB per 100 m at 50 / 100 / 200 MHz, 20 °C; \
                 model within 1.8 %; other tables differ by 12 %",
    },
    CableType {
        key: "rg-214",
        name: "RG-214",
        model: LossModel { conductor: 0.567_64, dielectric: 0.004_964_6 },
        tolerance: FLEXIBLE,
        velocity_factor: VelocityFactor::fixed(0.66),
        rated_at_100_mhz: Some(Watts::fixed(907.0)),
        source: "catalogue table, the same loss as RG-213",
    },
    CableType {
        key: "rg-8-foam",
        name: "RG-8 foam",
        model: LossModel { conductor: 0.440, dielectric: 0.0 },
        tolerance: FLEXIBLE,
        velocity_factor: VelocityFactor::fixed(0.82),
        rated_at_100_mhz: Some(Watts::fixed(1149.0)),
        source: "catalogue table 3.28 / 4.59 / 5.91 dB per 100 m at 50 / 100 / 200 MHz, 20 °C; \
                 model within 6 %",
    },
    CableType {
        key: "foam-1-2",
        name: "1/2 in foam corrugated",
        model: LossModel { conductor: 0.210_54, dielectric: 0.000_628 },
        tolerance: CORRUGATED,
        velocity_factor: VelocityFactor::fixed(0.88),
        rated_at_100_mhz: Some(Watts::fixed(3520.0)),
        source: "catalogue table 1.521 / 2.169 / 3.103 dB per 100 m at 50 / 100 / 200 MHz, \
                 20 °C; model within 0.1 %; guaranteed within 5 %",
    },
    CableType {
        key: "foam-7-8",
        name: "7/8 in foam corrugated",
        model: LossModel { conductor: 0.114_31, dielectric: 0.000_499 },
        tolerance: CORRUGATED,
        velocity_factor: VelocityFactor::fixed(0.89),
        rated_at_100_mhz: Some(Watts::fixed(7620.0)),
        source: "catalogue table 0.833 / 1.193 / 1.716 dB per 100 m at 50 / 100 / 200 MHz, \
                 20 °C; model within 0.2 %; guaranteed within 5 %",
    },
    CableType {
        key: "foam-1-5-8",
        name: "1-5/8 in foam corrugated",
        model: LossModel { conductor: 0.062_51, dielectric: 0.000_457 },
        tolerance: CORRUGATED,
        velocity_factor: VelocityFactor::fixed(0.88),
        rated_at_100_mhz: Some(Watts::fixed(16_380.0)),
        source: "catalogue table 0.465 / 0.671 / 0.976 dB per 100 m at 50 / 100 / 200 MHz, \
                 20 °C; model within 0.1 %; guaranteed within 5 %",
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn keys_are_unique_and_found() {
        for (index, cable) in CABLES.iter().enumerate() {
            let place = CABLES.iter().position(|other| other.key == cable.key);
            assert_eq!(place, Some(index));
            assert_eq!(CableType::find(cable.key), Some(cable));
        }
        assert_eq!(CableType::find("rg-999"), None);
    }

    #[test]
    fn one_figure_gives_its_own_loss_back() {
        let model = LossModel::from_one_figure(LossDb::nearest(2.169), Megahertz::nearest(100.0));
        let back = model.per_100_m(Megahertz::nearest(100.0), Celsius::nearest(20.0));
        assert!((back.value() - 2.169).abs() < 1e-12);
    }

    #[test]
    fn refuses_negative_constants() {
        assert!(LossModel::new(-0.1, 0.0).is_err());
        assert!(LossModel::new(0.1, f64::NAN).is_err());
    }

    proptest! {
        #[test]
        fn more_of_anything_loses_more(
            f in 1.0..1000.0, m in 0.0..500.0, t in -40.0..60.0, more in 1.01..2.0
        ) {
            let loss = |f: f64, m: f64, t: f64| {
                CABLES[4]
                    .model
                    .loss(Megahertz::nearest(f), Metres::nearest(m), Celsius::nearest(t))
            };
            prop_assert!(loss(f * more, m, t) >= loss(f, m, t));
            prop_assert!(loss(f, m * more, t) >= loss(f, m, t));
            prop_assert!(loss(f, m, t + more) >= loss(f, m, t));
        }
    }
}
