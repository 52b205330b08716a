//! Numbers that know their name, their unit and the range in which they mean anything.
//! A bare `f64` never crosses a module border: it travels as one of these.

pub mod as_text;
mod interval;
mod typed;

pub use interval::Interval;
pub use typed::{Typed, TypedError};

use std::fmt;

/// A number with a name, a unit and the least and greatest value that it can have.
///
/// NaN is never such a value; an infinity only where `GREATEST` is infinite (an SWR or a return
/// loss). The ranges say what is physically or practically possible at a transmitter site, not
/// what is allowed there: allowed limits live in profiles.
pub trait Quantity:
    Copy + PartialEq + PartialOrd + fmt::Debug + fmt::Display + Send + Sync + 'static
{
    /// What it is, as a person would say it in the middle of a sentence: "power".
    const NAME: &'static str;
    /// Its unit as printed after the number; empty for a ratio.
    const UNIT: &'static str;
    /// The least possible value, in `UNIT`.
    const LEAST: f64;
    /// The greatest possible value, in `UNIT`; infinite where that has a meaning.
    const GREATEST: f64;

    /// Takes a number in `UNIT`.
    ///
    /// # Errors
    /// [`OutOfRange`] for NaN and for anything below `LEAST` or above `GREATEST`.
    fn new(value: f64) -> Result<Self, OutOfRange>;

    /// The possible value nearest to `value`; NaN becomes the least one.
    ///
    /// For results of arithmetic that can leave the range only by rounding or at an edge that
    /// the function's own text names; never for what a person typed.
    fn nearest(value: f64) -> Self;

    /// The number in `UNIT`.
    fn value(self) -> f64;
}

/// A number that its quantity cannot have.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OutOfRange {
    /// The quantity's name.
    pub name: &'static str,
    /// The quantity's unit; may be empty.
    pub unit: &'static str,
    /// The refused number.
    pub value: f64,
    /// The least possible number.
    pub least: f64,
    /// The greatest possible number.
    pub greatest: f64,
}

impl fmt::Display for OutOfRange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let unit = spaced(self.unit);
        let value = plain(self.value, None);
        let least = plain(self.least, None);
        let name = self.name;
        if self.value.is_nan() {
            write!(f, "the {name} is not a number")
        } else if self.value < self.least {
            write!(f, "{value}{unit} is too low for the {name}: it must be at least {least}{unit}")
        } else {
            let greatest = plain(self.greatest, None);
            write!(
                f,
                "{value}{unit} is too high for the {name}: it must be at most {greatest}{unit}"
            )
        }
    }
}

impl std::error::Error for OutOfRange {}

/// The unit with the space that separates it from its number; nothing for a ratio, no space for °.
fn spaced(unit: &str) -> String {
    match unit {
        "" => String::new(),
        "°" => "°".to_owned(),
        unit => format!(" {unit}"),
    }
}

/// A number as people write it: a true minus sign, ∞ for infinity, never an exponent.
fn plain(value: f64, decimals: Option<usize>) -> String {
    let size = value.abs();
    let digits = match decimals {
        _ if size.is_infinite() => "∞".to_owned(),
        Some(decimals) => format!("{size:.decimals$}"),
        None => format!("{size}"),
    };
    let is_zero = digits.bytes().all(|byte| matches!(byte, b'0' | b'.'));
    if value < 0.0 && !is_zero { format!("−{digits}") } else { digits }
}

/// Makes a quantity: a newtype over `f64` with its name, unit and range.
macro_rules! quantity {
    ($(#[$doc:meta])* $type:ident, $name:literal, $unit:literal, $least:expr, $greatest:expr) => {
        $(#[$doc])*
        ///
        /// Prints as number and unit; a precision in the format (`{:.2}`) sets the decimals.
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
        pub struct $type(f64);

        impl $type {
            /// A constant of a table: one out of range stops the compiler.
            ///
            /// Only for `const` items, where the check runs while compiling; a value that comes
            /// from anywhere else goes through [`Quantity::new`].
            #[must_use]
            pub const fn fixed(value: f64) -> Self {
                assert!(value >= $least && value <= $greatest);
                Self(value)
            }
        }

        impl Quantity for $type {
            const NAME: &'static str = $name;
            const UNIT: &'static str = $unit;
            const LEAST: f64 = $least;
            const GREATEST: f64 = $greatest;

            fn new(value: f64) -> Result<Self, OutOfRange> {
                if (Self::LEAST..=Self::GREATEST).contains(&value) {
                    // Adding zero turns a negative zero into the ordinary one.
                    Ok(Self(value + 0.0))
                } else {
                    Err(OutOfRange {
                        name: Self::NAME,
                        unit: Self::UNIT,
                        value,
                        least: Self::LEAST,
                        greatest: Self::GREATEST,
                    })
                }
            }

            fn nearest(value: f64) -> Self {
                if value.is_nan() {
                    Self(Self::LEAST)
                } else {
                    Self(value.clamp(Self::LEAST, Self::GREATEST) + 0.0)
                }
            }

            fn value(self) -> f64 {
                self.0
            }
        }

        impl fmt::Display for $type {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                let text = format!("{}{}", plain(self.0, f.precision()), spaced(Self::UNIT));
                // Only a width is left to honour: `pad` would cut the text at the precision.
                match f.width() {
                    Some(width) => write!(f, "{text:>width$}"),
                    None => f.write_str(&text),
                }
            }
        }
    };
}

quantity! {
    /// Power, 0 to 10 MW.
    Watts, "power", "W", 0.0, 10_000_000.0
}
quantity! {
    /// Voltage without sign: 0 to 1 MV.
    Volts, "voltage", "V", 0.0, 1_000_000.0
}
quantity! {
    /// Resistance, 0 to 1 TΩ: from a joint to an insulation test.
    Ohms, "resistance", "Ω", 0.0, 1.0e12
}
quantity! {
    /// Resistance of a bond or joint, 0 to 1 GΩ.
    Milliohms, "resistance", "mΩ", 0.0, 1.0e12
}

quantity! {
    /// Frequency, 0.1 MHz to 6 GHz: wider than any broadcast band, so that a mistyped unit shows.
    Megahertz, "frequency", "MHz", 0.1, 6000.0
}
quantity! {
    /// Frequency of a sweep's point, 0 to 1 THz.
    Hertz, "frequency", "Hz", 0.0, 1.0e12
}
quantity! {
    /// How far a carrier lies from its frequency, above it positive: up to 1 MHz to either side.
    KilohertzOff, "frequency error", "kHz", -1000.0, 1000.0
}
quantity! {
    /// Length or height without sign, 0 to 100 km.
    Metres, "length", "m", 0.0, 100_000.0
}
quantity! {
    /// Distance on the earth's surface, up to halfway round.
    SurfaceMetres, "distance", "m", 0.0, 20_100_000.0
}
quantity! {
    /// What is added to a magnetic bearing to have the true one: positive where the needle points east
    /// of north.
    DeclinationDegrees, "declination", "°", -180.0, 180.0
}
quantity! {
    /// Length without sign, 0 to 100 m: element settings and diameters.
    Millimetres, "length", "mm", 0.0, 100_000.0
}
quantity! {
    /// A change of length: positive is longer.
    MillimetreChange, "change of length", "mm", -100_000.0, 100_000.0
}
quantity! {
    /// A level or ratio with sign, −200 to 200 dB.
    Decibels, "level", "dB", -200.0, 200.0
}
quantity! {
    /// Loss of a passive part: 0 and up, positive for a loss.
    LossDb, "loss", "dB", 0.0, 200.0
}
quantity! {
    /// Return loss: 0 for total reflection, infinite for a perfect match.
    ReturnLossDb, "return loss", "dB", 0.0, f64::INFINITY
}
quantity! {
    /// Directivity of a coupler or directional meter: how far its reading of a perfect load lies
    /// below that of total reflection.
    DirectivityDb, "directivity", "dB", 0.0, 100.0
}
quantity! {
    /// Power gain over a half-wave dipole, −40 to 40 dBd.
    GainDbd, "gain", "dBd", -40.0, 40.0
}
quantity! {
    /// A part of a hundred, 0 to 1000 %: accuracies, tolerances, shares, limits such as 105 %.
    Percent, "percentage", "%", 0.0, 1000.0
}
quantity! {
    /// Latitude, positive north.
    LatitudeDegrees, "latitude", "°", -90.0, 90.0
}
quantity! {
    /// Longitude, positive east.
    LongitudeDegrees, "longitude", "°", -180.0, 180.0
}
quantity! {
    /// An angle between parts of an antenna, 0 to 180°.
    Degrees, "angle", "°", 0.0, 180.0
}
quantity! {
    /// Turns of a coil, whole or in part, 0 to 1000.
    Turns, "turns", "turns", 0.0, 1000.0
}
quantity! {
    /// Bearing clockwise from true north.
    BearingDegrees, "bearing", "°", 0.0, 360.0
}
quantity! {
    /// Standing wave ratio (of voltage): 1 for a perfect match, infinite for total reflection.
    Swr, "SWR", "", 1.0, f64::INFINITY
}
quantity! {
    /// Magnitude of the voltage reflection coefficient: 0 for a perfect match, 1 for total
    /// reflection.
    Reflection, "reflection", "", 0.0, 1.0
}
quantity! {
    /// The share of the forward power that is reflected: the square of [`Reflection`], 0 to 1.
    ReflectedShare, "reflected share", "", 0.0, 1.0
}
quantity! {
    /// Speed on a line relative to that of light: 0.3 to 1.
    VelocityFactor, "velocity factor", "", 0.3, 1.0
}
quantity! {
    /// Soil resistivity, 0.01 Ωm (sea water is 0.2) to 1 MΩm (dry rock).
    OhmMetres, "soil resistivity", "Ωm", 0.01, 1_000_000.0
}
quantity! {
    /// One thing as a multiple of another of the same kind, 0 and up.
    Ratio, "ratio", "", 0.0, f64::INFINITY
}
quantity! {
    /// Power density of a field.
    WattsPerSquareMetre, "power density", "W/m²", 0.0, 1_000_000.0
}
quantity! {
    /// Pressure above that of the air outside, 0 to 1 MPa: dry air or nitrogen in a line.
    Kilopascals, "pressure", "kPa", 0.0, 1000.0
}
quantity! {
    /// Isolation between two ports: how far the one lies below the other.
    IsolationDb, "isolation", "dB", 0.0, 200.0
}
quantity! {
    /// Temperature of air, line or part, −90 to 200 °C.
    Celsius, "temperature", "°C", -90.0, 200.0
}

impl ReflectedShare {
    /// The same share as a percentage.
    #[must_use]
    pub fn percent(self) -> Percent {
        Percent::nearest(self.0 * 100.0)
    }
}

impl Millimetres {
    /// The same length in metres.
    #[must_use]
    pub fn metres(self) -> Metres {
        Metres::nearest(self.0 / 1000.0)
    }
}

impl Metres {
    /// The same length in millimetres; lengths above 100 m become 100 m.
    #[must_use]
    pub fn millimetres(self) -> Millimetres {
        Millimetres::nearest(self.0 * 1000.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn refuses_nan_and_what_is_out_of_range() {
        assert!(Watts::new(f64::NAN).is_err());
        assert!(Watts::new(-0.001).is_err());
        assert!(Watts::new(f64::INFINITY).is_err());
        assert!(Swr::new(0.999).is_err());
        assert!(Swr::new(f64::INFINITY).is_ok());
        assert!(ReturnLossDb::new(f64::INFINITY).is_ok());
        assert!(LatitudeDegrees::new(90.000_1).is_err());
        assert!(LongitudeDegrees::new(-180.0).is_ok());
    }

    #[test]
    fn prints_with_its_unit() {
        let print = |value: f64| format!("{:.1}", Watts::nearest(value));
        assert_eq!(print(4.0), "4.0 W");
        assert_eq!(Swr::nearest(f64::INFINITY).to_string(), "∞");
        assert_eq!(format!("{:.2}", Swr::nearest(1.5)), "1.50");
        assert_eq!(GainDbd::nearest(-3.4).to_string(), "−3.4 dBd");
        assert_eq!(format!("{:.1}", GainDbd::nearest(-0.01)), "0.0 dBd");
        assert_eq!(LatitudeDegrees::nearest(-12.5).to_string(), "−12.5°");
        assert_eq!(format!("{:>9}", Watts::nearest(4.0)), "      4 W");
    }

    #[test]
    fn says_what_is_wrong_in_words() {
        let low = Watts::new(-3.0).unwrap_err().to_string();
        assert_eq!(low, "−3 W is too low for the power: it must be at least 0 W");
        let high = Reflection::new(1.2).unwrap_err().to_string();
        assert_eq!(high, "1.2 is too high for the reflection: it must be at most 1");
        let nan = Swr::new(f64::NAN).unwrap_err().to_string();
        assert_eq!(nan, "the SWR is not a number");
    }

    #[test]
    fn negative_zero_becomes_zero() {
        let zero = Decibels::new(-0.0).unwrap();
        assert!(zero.value().is_sign_positive());
    }

    proptest! {
        #[test]
        fn the_nearest_value_is_always_a_possible_one(value in proptest::num::f64::ANY) {
            let near = Celsius::nearest(value);
            prop_assert!(Celsius::new(near.value()).is_ok());
            if let Ok(exact) = Celsius::new(value) {
                prop_assert_eq!(exact, near);
            }
        }
    }
}
