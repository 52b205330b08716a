//! A quantity together with the decimal text that a person typed for it.
//! The text keeps the meter's resolution, and stored figures never meet a binary fraction.

use crate::rf::quantity::{OutOfRange, Quantity, spaced};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use std::fmt;

/// The longest number that is read: no instrument shows more digits.
const LONGEST: usize = 24;

/// A number as it was typed, with the value it stands for.
///
/// The text is kept as typed, only trimmed: comma or dot, trailing zeros and all. Two are equal
/// when text and value are. It prints, and is stored, as text and unit: "4.0 W".
#[derive(Debug, Clone, PartialEq)]
pub struct Typed<Q> {
    text: String,
    value: Q,
}

/// Why a text is not a number of its quantity; prints as a message for the person who typed it.
#[derive(Debug, Clone, PartialEq)]
pub enum TypedError {
    /// Nothing but blanks.
    Empty {
        /// The quantity's name.
        name: &'static str,
    },
    /// More characters than any instrument shows.
    TooLong,
    /// Not a plain decimal number: letters, exponents, blanks inside, two decimal marks.
    NotANumber {
        /// What was typed.
        text: String,
        /// The quantity's unit; may be empty.
        unit: &'static str,
    },
    /// A comma before exactly three digits: thousands or decimals.
    TwoWays {
        /// What was typed.
        text: String,
        /// The text if the comma groups thousands.
        whole: String,
        /// The text if the comma is a decimal mark.
        decimal: String,
    },
    /// A number, but not one that the quantity can have.
    OutOfRange(OutOfRange),
    /// A stored text that does not end in the quantity's unit.
    WrongUnit {
        /// The stored text.
        text: String,
        /// The unit that was expected.
        unit: &'static str,
    },
}

impl fmt::Display for TypedError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty { name } => write!(f, "the {name} is missing"),
            Self::TooLong => write!(f, "write at most {LONGEST} characters"),
            Self::NotANumber { text, unit } => {
                write!(f, "“{text}” is not a plain number: write digits with one ")?;
                write!(f, "decimal point or comma, such as 4.05")?;
                match *unit {
                    "" => Ok(()),
                    unit => write!(f, "; the unit {unit} is added by itself"),
                }
            }
            Self::TwoWays { text, whole, decimal } => {
                write!(f, "“{text}” can be read in two ways: write {whole} or {decimal}")
            }
            Self::OutOfRange(out) => out.fmt(f),
            Self::WrongUnit { text, unit } => {
                write!(f, "“{text}” is not a number with the unit “{unit}”")
            }
        }
    }
}

impl std::error::Error for TypedError {}

impl From<OutOfRange> for TypedError {
    fn from(out: OutOfRange) -> Self {
        Self::OutOfRange(out)
    }
}

impl<Q: Quantity> Typed<Q> {
    /// Reads what a person typed: decimal digits with at most one point or comma, and a sign.
    ///
    /// Blanks around it are dropped. An exponent, a grouping mark, a unit or a word is refused,
    /// and so is "1,500", which one reader takes for 1500 and another for 1.5.
    ///
    /// # Errors
    /// [`TypedError`], which prints as the message for the field.
    pub fn parse(text: &str) -> Result<Self, TypedError> {
        let text = text.trim();
        if text.is_empty() {
            return Err(TypedError::Empty { name: Q::NAME });
        }
        if text.chars().count() > LONGEST {
            return Err(TypedError::TooLong);
        }
        let not_a_number = || TypedError::NotANumber { text: text.to_owned(), unit: Q::UNIT };
        let (negative, digits) = match text.strip_prefix(['-', '−']) {
            Some(digits) => (true, digits),
            None => (false, text.strip_prefix('+').unwrap_or(text)),
        };
        let (whole, decimals) = digits.split_once(['.', ',']).unwrap_or((digits, ""));
        let only_digits = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
        if !only_digits(whole) || !only_digits(decimals) || whole.len() + decimals.len() == 0 {
            return Err(not_a_number());
        }
        if digits.contains(',') && looks_grouped(whole, decimals) {
            let sign = if negative { "−" } else { "" };
            let kept = decimals.trim_end_matches('0');
            let kept = if kept.is_empty() { "0" } else { kept };
            return Err(TypedError::TwoWays {
                text: text.to_owned(),
                whole: format!("{sign}{whole}{decimals}"),
                decimal: format!("{sign}{whole}.{kept}"),
            });
        }
        let size: f64 = format!("0{whole}.{decimals}0").parse().map_err(|_| not_a_number())?;
        let value = Q::new(if negative { -size } else { size })?;
        Ok(Self { text: text.to_owned(), value })
    }

    /// Reads what [`fmt::Display`] and serde wrote: the text and the unit, "4.0 W".
    ///
    /// # Errors
    /// [`TypedError`] if the unit is another one or the number is not one that can be typed.
    pub fn from_stored(stored: &str) -> Result<Self, TypedError> {
        match stored.strip_suffix(spaced(Q::UNIT).as_str()) {
            Some(text) => Self::parse(text),
            None => Err(TypedError::WrongUnit { text: stored.to_owned(), unit: Q::UNIT }),
        }
    }

    /// The text as it was typed, without unit.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The value that the text stands for.
    #[must_use]
    pub fn value(&self) -> Q {
        self.value
    }

    /// The size of one step of the last digit that was written, in the quantity's unit: 0.1 for
    /// "4.0", 1 for "4". A reading is not known better than half of this to either side.
    #[must_use]
    pub fn resolution(&self) -> f64 {
        let decimals = match self.text.split_once(['.', ',']) {
            Some((_, decimals)) => decimals.len(),
            None => 0,
        };
        // At most `LONGEST` decimals: the conversion cannot fail.
        10.0_f64.powi(-i32::try_from(decimals).unwrap_or(0))
    }
}

/// Whether digits before and after a comma could also be thousands: "1,500", not "0,500".
fn looks_grouped(whole: &str, decimals: &str) -> bool {
    (1..=3).contains(&whole.len()) && !whole.starts_with('0') && decimals.len() == 3
}

impl<Q: Quantity> fmt::Display for Typed<Q> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.text, spaced(Q::UNIT))
    }
}

impl<Q: Quantity> Serialize for Typed<Q> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de, Q: Quantity> Deserialize<'de> for Typed<Q> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let stored = String::deserialize(deserializer)?;
        Self::from_stored(&stored).map_err(de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rf::quantity::{Celsius, LatitudeDegrees, Megahertz, Swr, Watts};
    use proptest::prelude::*;

    fn watts(text: &str) -> Result<Typed<Watts>, String> {
        Typed::parse(text).map_err(|error| error.to_string())
    }

    fn close(value: f64, expected: f64) -> bool {
        (value - expected).abs() < 1e-12
    }

    #[test]
    fn keeps_the_text_beside_the_value() {
        let typed = watts("  4,0 ").unwrap();
        assert_eq!(typed.text(), "4,0");
        assert!(close(typed.value().value(), 4.0));
        assert!(close(typed.resolution(), 0.1));
        assert_eq!(typed.to_string(), "4,0 W");
        assert_ne!(watts("4.0"), watts("4"));
        assert!(close(watts("1500").unwrap().resolution(), 1.0));
        assert!(close(watts(".05").unwrap().value().value(), 0.05));
        assert!(close(watts("0,500").unwrap().value().value(), 0.5));
        assert!(close(watts("1.500").unwrap().value().value(), 1.5));
        assert!(close(watts("1,5000").unwrap().value().value(), 1.5));
    }

    #[test]
    fn refuses_a_comma_that_reads_two_ways() {
        assert_eq!(
            watts("1,500").unwrap_err(),
            "“1,500” can be read in two ways: write 1500 or 1.5"
        );
        assert_eq!(
            watts("98,100").unwrap_err(),
            "“98,100” can be read in two ways: write 98100 or 98.1"
        );
        assert_eq!(
            watts("2,000").unwrap_err(),
            "“2,000” can be read in two ways: write 2000 or 2.0"
        );
    }

    #[test]
    fn refuses_what_is_not_plain_decimal() {
        for text in [
            "1e3", "0x10", "inf", "NaN", "4 W", "1 500", "1,5.0", "1.5.0", "--4", "-", ".", ",",
            "٤", "4'000", "∞",
        ] {
            let message = watts(text).unwrap_err();
            assert!(message.contains("is not a plain number"), "{text}: {message}");
        }
        assert_eq!(watts("  ").unwrap_err(), "the power is missing");
        assert!(watts(&"1".repeat(25)).unwrap_err().contains("at most 24"));
        assert!(watts("-3").unwrap_err().contains("too low"));
        assert!(Typed::<Megahertz>::parse("98100").is_err());
    }

    #[test]
    fn is_stored_as_text_with_unit() {
        let typed = watts("4.0").unwrap();
        let json = serde_json::to_string(&typed).unwrap();
        assert_eq!(json, "\"4.0 W\"");
        assert_eq!(serde_json::from_str::<Typed<Watts>>(&json).unwrap(), typed);
        assert!(serde_json::from_str::<Typed<Watts>>("\"4.0 V\"").is_err());
        assert!(serde_json::from_str::<Typed<Watts>>("\"-4.0 W\"").is_err());
        let swr = Typed::<Swr>::from_stored("1.50").unwrap();
        assert_eq!(swr.to_string(), "1.50");
        let latitude = Typed::<LatitudeDegrees>::from_stored("-12.50°").unwrap();
        assert!(close(latitude.value().value(), -12.5));
    }

    proptest! {
        #[test]
        fn what_was_typed_comes_back_from_storage(
            whole in 0_u32..90, decimals in "[0-9]{0,8}", comma in any::<bool>()
        ) {
            let mark = if comma { ',' } else { '.' };
            if let Ok(typed) = Typed::<Celsius>::parse(&format!("-{whole}{mark}{decimals}")) {
                prop_assert_eq!(Typed::from_stored(&typed.to_string()), Ok(typed));
            }
        }

        #[test]
        fn no_text_makes_it_panic(text in "\\PC{0,30}") {
            drop(Typed::<Watts>::parse(&text));
            drop(Typed::<Watts>::from_stored(&text));
        }
    }
}
