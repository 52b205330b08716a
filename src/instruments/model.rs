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

impl Statement {
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
    use super::{CalibrationState, Statement};
    use crate::clock::Date;
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
    fn a_meter_has_only_the_ranges_it_has() {
        let watts = |w| Watts::new(w).unwrap();
        assert!(statement().meter(watts(5.0), watts(1.0)).is_some());
        assert!(statement().meter(watts(10.0), watts(1.0)).is_none());
    }
}
