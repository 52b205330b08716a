//! An instrument and its calibrations.

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::clock::{Date, Utc};
use crate::rf::meter::{Meter, Range};
use crate::rf::quantity::{DirectivityDb, Percent, Quantity, Typed, Watts};

/// A directional power meter with its newest calibration, or with the one that a fact pins.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Instrument {
    /// The row.
    #[serde(skip)]
    pub id: i64,
    /// The name outside.
    pub uuid: Uuid,
    /// The row of the firm that owns it.
    #[serde(skip)]
    pub firm_id: i64,
    /// The firm's name.
    pub firm: String,
    /// What it is: "directional power meter, two elements".
    pub name: String,
    /// Its serial number.
    pub serial: String,
    /// Whether it is no longer offered in forms.
    pub retired: bool,
    /// Counts the edits.
    pub version: i64,
    /// What holds of it.
    pub calibration: Calibration,
}

/// Of the calibrations of one instrument the one that held on a day: the newest that was done by then;
/// else the newest without a date; else the newest of all.
///
/// A reading that is entered or corrected late is judged by the certificate of its day, not by a later one.
#[must_use]
pub fn in_force<'a>(
    calibrations: impl IntoIterator<Item = &'a Instrument>,
    day: Date,
) -> Option<&'a Instrument> {
    calibrations.into_iter().max_by_key(|one| {
        let done = one.calibration.statement.calibrated_on;
        let rank = match done {
            Some(done) if done <= day => 2,
            None => 1,
            Some(_) => 0,
        };
        (rank, one.calibration.number)
    })
}

/// One revision of what is known of an instrument.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Calibration {
    /// The row, which facts pin.
    #[serde(skip)]
    pub id: i64,
    /// The name outside.
    pub uuid: Uuid,
    /// Its number for the instrument, from 1.
    pub number: i64,
    /// When it was entered.
    pub entered_at: Utc,
    /// What it says.
    #[serde(flatten)]
    pub statement: Statement,
}

/// What a certificate or a data sheet states.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Statement {
    /// The certificate's number; empty where there is none.
    pub certificate: String,
    /// The day of calibration; `None` where the instrument was never calibrated.
    pub calibrated_on: Option<Date>,
    /// The day on which the next one is due.
    pub due_on: Option<Date>,
    /// Accuracy of each reading, in percent of its full scale.
    pub accuracy: Typed<Percent>,
    /// The coupler's directivity; `None` where nothing is stated.
    pub directivity: Option<Typed<DirectivityDb>>,
    /// The full scales that can be chosen, for forward and reflected alike, ascending, never empty.
    pub ranges: Vec<Typed<Watts>>,
}

/// What a form says of an instrument itself.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct InstrumentDraft {
    /// The firm that owns it; a new one is made when none has the name.
    pub firm: String,
    /// See [`Instrument::name`].
    pub name: String,
    /// See [`Instrument::serial`].
    pub serial: String,
}

/// From how many days before the day it is due the days left are told: a month, time to send it in
/// (common practice, no source).
pub const SOON_DAYS: i32 = 30;

/// The most full scales that one instrument has here.
pub const MOST_RANGES: usize = 8;

/// The least and the greatest accuracy that is taken, in percent of full scale: no meter reads without
/// error. The table's CHECK repeats the greatest.
pub const ACCURACY: (Percent, Percent) = (Percent::fixed(0.01), Percent::fixed(100.0));

/// The least and the greatest directivity that is taken. Repeated by the table's CHECK.
pub const DIRECTIVITY: (DirectivityDb, DirectivityDb) =
    (DirectivityDb::fixed(0.0), DirectivityDb::fixed(80.0));

/// The least and the greatest full scale that is taken. Repeated by the table's CHECK.
pub const FULL_SCALE: (Watts, Watts) = (Watts::fixed(0.001), Watts::fixed(1_000_000.0));

/// How an instrument's calibration stood on a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CalibrationState {
    /// In date; so many days are left.
    Current(i32),
    /// Run out so many days before.
    Expired(i32),
    /// Not yet calibrated on that day.
    NotYet,
    /// No date is known.
    Unstated,
}

impl CalibrationState {
    /// The drawn mark that stands beside the words.
    #[must_use]
    pub fn mark(self) -> &'static str {
        match self {
            Self::Current(_) => "tick",
            Self::Expired(_) => "cross",
            Self::NotYet | Self::Unstated => "ring",
        }
    }
}

impl Statement {
    /// How the calibration stood on a day, in words: "expired 2 Feb 2031, 3 days ago".
    #[must_use]
    pub fn state_shown(&self, day: Date) -> String {
        let (calibrated, due) = (self.calibrated_on.map(Date::shown), self.due_on.map(Date::shown));
        let (calibrated, due) = (calibrated.unwrap_or_default(), due.unwrap_or_default());
        match self.state_on(day) {
            CalibrationState::Current(0) => format!("current until {due}, its last day"),
            CalibrationState::Current(1) => format!("current until {due}, 1 day left"),
            CalibrationState::Current(days @ 2..=SOON_DAYS) => {
                format!("current until {due}, {days} days left")
            }
            CalibrationState::Current(_) => format!("current until {due}"),
            CalibrationState::Expired(1) => format!("expired {due}, 1 day ago"),
            CalibrationState::Expired(days) => format!("expired {due}, {days} days ago"),
            CalibrationState::NotYet => format!("not before {calibrated}"),
            CalibrationState::Unstated if self.calibrated_on.is_some() => {
                format!("calibrated {calibrated}, due date not stated")
            }
            CalibrationState::Unstated => "not stated".to_owned(),
        }
    }

    /// The full scales as a line, its unit kept beside the last one: "1; 5; 25 W".
    #[must_use]
    pub fn ranges_shown(&self) -> String {
        let texts: Vec<&str> = self.ranges.iter().map(Typed::text).collect();
        format!("{}\u{a0}{}", texts.join("; "), Watts::UNIT)
    }

    /// The directivity, or that none is stated.
    #[must_use]
    pub fn directivity_shown(&self) -> String {
        self.directivity.as_ref().map_or_else(|| "not stated".to_owned(), Typed::to_string)
    }

    /// How the calibration stood on a day: current from the day of calibration to the day on which it
    /// is due, both included.
    #[must_use]
    pub fn state_on(&self, day: Date) -> CalibrationState {
        match (self.calibrated_on, self.due_on) {
            (Some(done), _) if day < done => CalibrationState::NotYet,
            (Some(_), Some(due)) if day <= due => CalibrationState::Current(day.days_until(due)),
            (Some(_), Some(due)) => CalibrationState::Expired(due.days_until(day)),
            _ => CalibrationState::Unstated,
        }
    }

    /// The meter as the arithmetic knows it, with the ranges that a reading names; `None` where the
    /// instrument has no such range.
    #[must_use]
    pub fn meter(&self, forward: Watts, reflected: Watts) -> Option<Meter> {
        let range = |wanted: Watts| {
            let known = self.ranges.iter().map(Typed::value);
            let found = known
                .into_iter()
                .find(|full| (full.value() - wanted.value()).abs() <= 1e-9 * full.value())?;
            Some(Range { full_scale: found, accuracy: self.accuracy.value() })
        };
        Some(Meter {
            forward: range(forward)?,
            reflected: range(reflected)?,
            directivity: self.directivity.as_ref().map(Typed::value),
        })
    }
}

#[cfg(test)]
mod tests {
    use uuid::Uuid;

    use super::{Calibration, CalibrationState, Instrument, Statement, in_force};
    use crate::clock::{Date, Utc};
    use crate::rf::quantity::{Quantity, Typed, Watts};

    fn statement() -> Statement {
        Statement {
            certificate: "C-1".into(),
            calibrated_on: Some(Date::parse("2030-03-01").unwrap()),
            due_on: Some(Date::parse("2031-03-01").unwrap()),
            accuracy: Typed::parse("5").unwrap(),
            directivity: None,
            ranges: vec![Typed::parse("1").unwrap(), Typed::parse("5").unwrap()],
        }
    }

    fn calibrated(number: i64, on: Option<&str>) -> Instrument {
        let calibrated_on = on.map(|on| Date::parse(on).unwrap());
        Instrument {
            id: 1,
            uuid: Uuid::from_u128(1),
            firm_id: 1,
            firm: "Ternfold Aerials".into(),
            name: "meter".into(),
            serial: "1".into(),
            retired: false,
            version: 1,
            calibration: Calibration {
                id: number,
                uuid: Uuid::from_u128(2),
                number,
                entered_at: Utc::from_seconds(0),
                statement: Statement { calibrated_on, due_on: None, ..statement() },
            },
        }
    }

    #[test]
    fn a_reading_is_judged_by_the_certificate_of_its_day() {
        let all = [
            calibrated(1, None),
            calibrated(2, Some("2030-03-01")),
            calibrated(4, Some("2031-03-05")),
            calibrated(3, Some("2031-03-01")),
        ];
        let on = |day: &str| in_force(&all, Date::parse(day).unwrap()).unwrap().calibration.number;
        assert_eq!(on("2029-01-01"), 1);
        assert_eq!(on("2030-03-01"), 2);
        assert_eq!(on("2031-03-04"), 3);
        assert_eq!(on("2031-03-05"), 4);
        let yet = [calibrated(1, Some("2031-03-01"))];
        assert_eq!(in_force(&yet, Date::parse("2030-01-01").unwrap()), Some(&yet[0]));
    }

    #[test]
    fn calibration_is_current_through_the_day_it_is_due() {
        let on = |text: &str| statement().state_on(Date::parse(text).unwrap());
        assert_eq!(on("2031-03-01"), CalibrationState::Current(0));
        assert_eq!(on("2031-03-03"), CalibrationState::Expired(2));
        assert_eq!(on("2029-12-31"), CalibrationState::NotYet);
        let never = Statement { calibrated_on: None, due_on: None, ..statement() };
        assert_eq!(never.state_on(Date::parse("2031-01-01").unwrap()), CalibrationState::Unstated);
    }

    #[test]
    fn the_state_is_told_in_words() {
        let shown = |text: &str| statement().state_shown(Date::parse(text).unwrap());
        assert_eq!(shown("2030-06-01"), "current until 1 Mar 2031");
        assert_eq!(shown("2031-02-01"), "current until 1 Mar 2031, 28 days left");
        assert_eq!(shown("2031-03-01"), "current until 1 Mar 2031, its last day");
        assert_eq!(shown("2031-03-02"), "expired 1 Mar 2031, 1 day ago");
        assert_eq!(shown("2029-12-31"), "not before 1 Mar 2030");
        let day = Date::parse("2031-01-01").unwrap();
        let undue = Statement { due_on: None, ..statement() };
        assert_eq!(undue.state_shown(day), "calibrated 1 Mar 2030, due date not stated");
        let never = Statement { calibrated_on: None, due_on: None, ..statement() };
        assert_eq!(never.state_shown(day), "not stated");
        assert_eq!(never.ranges_shown(), "1; 5\u{a0}W");
    }

    #[test]
    fn a_meter_has_only_the_ranges_it_has() {
        let watts = |w| Watts::new(w).unwrap();
        assert!(statement().meter(watts(5.0), watts(1.0)).is_some());
        assert!(statement().meter(watts(10.0), watts(1.0)).is_none());
    }
}
