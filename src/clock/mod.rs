//! Time and names from one place: whole-second UTC instants, times as measured with their offset,
//! IANA zones, and the UUIDs made with them. Tests hold the clock still.

use std::fmt;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use jiff::tz::TimeZone;
use jiff::{Timestamp, civil};
use serde::{Deserialize, Serialize};
use uuid::{NoContext, Uuid};

/// An instant in whole seconds since 1970-01-01T00:00:00Z.
///
/// Written in JSON and shown without a zone as RFC 3339 with `Z`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, sqlx::Type)]
#[sqlx(transparent)]
pub struct Utc(i64);

/// 9999-12-31T23:59:59Z: beyond it RFC 3339 has no text for an instant.
const LAST_SECOND: i64 = 253_402_300_799;

impl Utc {
    /// The instant so many seconds after 1970, held within the years 0001 to 9999.
    #[must_use]
    pub fn from_seconds(seconds: i64) -> Self {
        Self(seconds.clamp(-62_135_596_800, LAST_SECOND))
    }

    /// Seconds since 1970-01-01T00:00:00Z.
    #[must_use]
    pub fn seconds(self) -> i64 {
        self.0
    }

    /// This instant moved by so many seconds.
    #[must_use]
    pub fn plus_seconds(self, seconds: i64) -> Self {
        Self::from_seconds(self.0.saturating_add(seconds))
    }

    fn timestamp(self) -> Timestamp {
        Timestamp::from_second(self.0).unwrap_or(Timestamp::UNIX_EPOCH)
    }

    /// The calendar date of this instant in `zone`.
    #[must_use]
    pub fn date_in(self, zone: &Zone) -> Date {
        Date(self.timestamp().to_zoned(zone.zone.clone()).date())
    }
}

impl fmt::Display for Utc {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.timestamp())
    }
}

impl Serialize for Utc {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Utc {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        let instant: Timestamp = text.parse().map_err(serde::de::Error::custom)?;
        Ok(Self(instant.as_second()))
    }
}

/// A calendar date, as on a certificate; ISO 8601 text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Date(civil::Date);

impl Date {
    /// Reads `YYYY-MM-DD`.
    ///
    /// # Errors
    /// A sentence for the person who typed it.
    pub fn parse(text: &str) -> Result<Self, String> {
        text.trim().parse().map(Self).map_err(|_| {
            format!("“{}” is not a date; write it as 2031-03-08 (year-month-day)", text.trim())
        })
    }

    /// Days from this date to `later`; negative when `later` comes before.
    #[must_use]
    pub fn days_until(self, later: Self) -> i32 {
        self.0.until(later.0).map(|span| span.get_days()).unwrap_or_default()
    }

    /// The date as a person reads it: `8 Mar 2031`.
    #[must_use]
    pub fn shown(self) -> String {
        self.0.strftime("%-d %b %Y").to_string()
    }
}

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}

impl Serialize for Date {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Date {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        Self::parse(&String::deserialize(deserializer)?).map_err(serde::de::Error::custom)
    }
}

/// A time zone by its IANA name, such as `Europe/Lisbon`.
#[derive(Debug, Clone)]
pub struct Zone {
    name: String,
    zone: TimeZone,
}

impl Zone {
    /// Looks a zone up by its IANA name.
    ///
    /// # Errors
    /// A sentence for the person who typed it.
    pub fn parse(name: &str) -> Result<Self, String> {
        let name = name.trim();
        match TimeZone::get(name) {
            Ok(zone) if zone.iana_name().is_some() || name == "UTC" => {
                Ok(Self { name: zone.iana_name().unwrap_or(name).to_owned(), zone })
            }
            _ => Err(format!(
                "“{name}” is not an IANA time zone; write one such as Europe/Lisbon, Africa/Accra or UTC"
            )),
        }
    }

    /// A zone whose name came from the database, where only parsed names are kept; UTC if the zone
    /// table of this program no longer knows the name.
    #[must_use]
    pub fn stored(name: &str) -> Self {
        Self::parse(name).unwrap_or_else(|_| Self { name: "UTC".to_owned(), zone: TimeZone::UTC })
    }

    /// The IANA name.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The instant `at` with the offset that holds in this zone then.
    #[must_use]
    pub fn measured(&self, at: Utc) -> Measured {
        let offset = self.zone.to_offset(at.timestamp());
        Measured { at, offset_min: offset.seconds() / 60 }
    }

    /// When the day after `date` begins in this zone: what holds until that date, holds before this.
    #[must_use]
    pub fn end_of(&self, date: Date) -> Utc {
        let next = date.0.tomorrow().and_then(|day| day.to_zoned(self.zone.clone()));
        next.map_or(Utc(LAST_SECOND), |next| Utc::from_seconds(next.timestamp().as_second()))
    }

    /// Reads a local time as browsers send it (`2031-03-08T14:05`, seconds allowed). A time that the
    /// clocks skipped or passed twice is taken as the zone database advises for scheduling.
    ///
    /// # Errors
    /// A sentence for the person who typed it.
    pub fn parse_local(&self, text: &str) -> Result<Measured, String> {
        let text = text.trim();
        let local: civil::DateTime = text.replace(' ', "T").parse().map_err(|_| {
            format!(
                "“{text}” is not a date and time; write it as 2031-03-08 14:05, in the site's time"
            )
        })?;
        let zoned = local
            .to_zoned(self.zone.clone())
            .map_err(|_| format!("“{text}” lies outside the calendar this record keeps"))?;
        Ok(self.measured(Utc::from_seconds(zoned.timestamp().as_second())))
    }

    /// The value of a `datetime-local` field for `at` in this zone.
    #[must_use]
    pub fn local_field(&self, at: Utc) -> String {
        at.timestamp().to_zoned(self.zone.clone()).strftime("%Y-%m-%dT%H:%M").to_string()
    }
}

/// When something was measured: the instant, and the offset from UTC that held on the spot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Measured {
    /// The instant.
    pub at: Utc,
    /// Minutes east of UTC.
    pub offset_min: i32,
}

impl Measured {
    fn zoned(self) -> jiff::Zoned {
        let offset = jiff::tz::Offset::from_seconds(self.offset_min.saturating_mul(60))
            .unwrap_or(jiff::tz::Offset::UTC);
        self.at.timestamp().to_zoned(TimeZone::fixed(offset))
    }

    /// `12 Mar 2031 14:05 +01:00`
    #[must_use]
    pub fn shown(self) -> String {
        self.zoned().strftime("%-d %b %Y %H:%M %:z").to_string()
    }

    /// `12 Mar 2031`
    #[must_use]
    pub fn shown_date(self) -> String {
        self.zoned().strftime("%-d %b %Y").to_string()
    }

    /// `14:05`
    #[must_use]
    pub fn shown_time(self) -> String {
        self.zoned().strftime("%H:%M").to_string()
    }
}

impl Serialize for Measured {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(&self.zoned().strftime("%Y-%m-%dT%H:%M:%S%:z"))
    }
}

impl<'de> Deserialize<'de> for Measured {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        parse_rfc3339(&text)
            .ok_or_else(|| serde::de::Error::custom("not an RFC 3339 time with offset"))
    }
}

/// Reads an RFC 3339 time with its offset, as a device's own clock sends it; `None` if it is none.
#[must_use]
pub fn parse_rfc3339(text: &str) -> Option<Measured> {
    let pieces = jiff::fmt::temporal::DateTimeParser::new().parse_pieces(text).ok()?;
    let instant: Timestamp = text.parse().ok()?;
    let offset = pieces.to_numeric_offset().unwrap_or(jiff::tz::Offset::UTC);
    Some(Measured { at: Utc::from_seconds(instant.as_second()), offset_min: offset.seconds() / 60 })
}

/// Where the time and new UUIDs come from.
#[derive(Debug, Clone)]
pub enum Clock {
    /// The machine's clock.
    System,
    /// A clock that stands still until it is set: for tests and for the demo region's past.
    Held(Arc<AtomicI64>),
}

impl Clock {
    /// A held clock that shows `at`.
    #[must_use]
    pub fn held(at: Utc) -> Self {
        Self::Held(Arc::new(AtomicI64::new(at.seconds())))
    }

    /// Sets a held clock; the machine's clock cannot be set and stays as it is.
    pub fn set(&self, at: Utc) {
        if let Self::Held(seconds) = self {
            seconds.store(at.seconds(), Ordering::SeqCst);
        }
    }

    /// The present instant.
    #[must_use]
    pub fn now(&self) -> Utc {
        match self {
            Self::System => Utc::from_seconds(Timestamp::now().as_second()),
            Self::Held(seconds) => Utc::from_seconds(seconds.load(Ordering::SeqCst)),
        }
    }

    /// A new name for a record or an act: UUID version 7 (RFC 9562) of the present instant. Order is
    /// never read from it.
    #[must_use]
    pub fn uuid(&self) -> Uuid {
        let seconds = u64::try_from(self.now().seconds()).unwrap_or_default();
        Uuid::new_v7(uuid::Timestamp::from_unix(NoContext, seconds, 0))
    }
}

#[cfg(test)]
mod tests {
    use super::{Clock, Date, Utc, Zone, parse_rfc3339};

    #[test]
    fn a_local_time_is_read_in_the_site_zone_with_its_offset() {
        let zone = Zone::parse("Europe/Lisbon").unwrap();
        let summer = zone.parse_local("2031-07-01T12:00").unwrap();
        assert_eq!(summer.shown(), "1 Jul 2031 12:00 +01:00");
        assert_eq!(summer.at.to_string(), "2031-07-01T11:00:00Z");
        let json = serde_json::to_string(&summer).unwrap();
        assert_eq!(json, "\"2031-07-01T12:00:00+01:00\"");
        assert_eq!(serde_json::from_str::<super::Measured>(&json).unwrap(), summer);
    }

    #[test]
    fn a_wrong_zone_date_or_time_is_told_in_a_sentence() {
        assert!(Zone::parse("Middle/Nowhere").unwrap_err().contains("Middle/Nowhere"));
        assert!(Date::parse("31.12.2030").unwrap_err().contains("2031-03-08"));
        assert!(Zone::parse("UTC").unwrap().parse_local("noon").unwrap_err().contains("noon"));
    }

    #[test]
    fn device_times_keep_their_offset() {
        let read = parse_rfc3339("2031-03-08T14:05:30+02:00").unwrap();
        assert_eq!(read.offset_min, 120);
        assert_eq!(read.at, Utc::from_seconds(1_930_737_930));
        assert!(parse_rfc3339("yesterday").is_none());
    }

    #[test]
    fn names_are_version_seven_and_differ_on_a_held_clock() {
        let clock = Clock::held(Utc::from_seconds(1_900_000_000));
        let (a, b) = (clock.uuid(), clock.uuid());
        assert_ne!(a, b);
        assert_eq!(a.get_version_num(), 7);
    }
}
