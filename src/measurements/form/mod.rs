//! From what a browser sent to measurements, with a message for each field.

mod built;

pub use built::{SURVEY_POINTS, as_built, of_as_built, of_survey, survey};

use uuid::Uuid;

use crate::clock::{Date, Measured, Utc, Zone};
use crate::instruments::model::{Instrument, in_force};
use crate::measurements::model::{
    Occasion, Orientation, PowerPair, Reading, StandSetup, Trial, Weather,
};
use crate::rf::quantity::{Celsius, LossDb, Metres, Millimetres, Quantity, Typed, Watts};
use crate::sites::model::FREQUENCY;
use crate::web::{Checking, Fields};

// What can be meant, not what is good: a figure outside is a slip of unit or of decimal point. The tables'
// CHECKs repeat these. Common practice, no source.
const STAND_HEIGHT: (Metres, Metres) = (Metres::fixed(0.0), Metres::fixed(100.0));
const NEAREST_METAL: (Metres, Metres) = (Metres::fixed(0.0), Metres::fixed(1000.0));
const JUMPER_LOSS: (LossDb, LossDb) = (LossDb::fixed(0.0), LossDb::fixed(20.0));
const HALF: (Millimetres, Millimetres) = (Millimetres::fixed(1.0), Millimetres::fixed(10_000.0));
const POWER: (Watts, Watts) = (Watts::fixed(0.0), Watts::fixed(1_000_000.0));
const AIR: (Celsius, Celsius) = (Celsius::fixed(-60.0), Celsius::fixed(70.0));

/// A measurement as it came from a form: what, when, and with which instrument.
#[derive(Debug, Clone)]
pub struct Taken<T> {
    /// What was measured.
    pub what: T,
    /// When.
    pub measured: Measured,
    /// What the device's clock showed.
    pub device_at: Option<Utc>,
    /// The row of the instrument's calibration, where an instrument was used.
    pub calibration_id: Option<i64>,
}

/// A stand set-up.
///
/// # Errors
/// The fields with their messages.
pub fn stand_setup(fields: &Fields, zone: &Zone, now: Utc) -> Result<Taken<StandSetup>, Fields> {
    let mut form = fields.check();
    let height = form.typed_within("stand_height_m", STAND_HEIGHT);
    let nearest_metal = form.typed_within("nearest_metal_m", NEAREST_METAL);
    let orientation = form.word("orientation", Orientation::from_word);
    let jumper = form.line("jumper");
    let jumper_loss = form.typed_within("jumper_loss_db", JUMPER_LOSS);
    let supply_protected = form.yes_no("supply_protected");
    let note = form.text("note");
    let measured = form.measured("measured_at", zone, now);
    let device_at = form.device_at();
    let taken = (|| {
        Some(Taken {
            what: StandSetup {
                height: height?,
                nearest_metal: nearest_metal?,
                orientation: orientation?,
                jumper: jumper?,
                jumper_loss: jumper_loss?,
                supply_protected: supply_protected?,
                note: note?,
            },
            measured: measured?,
            device_at,
            calibration_id: None,
        })
    })();
    form.finish(taken)
}

/// A trial.
///
/// - `instruments`: those that may be named, once for each of their calibrations
///
/// # Errors
/// The fields with their messages.
pub fn trial(
    fields: &Fields,
    instruments: &[Instrument],
    zone: &Zone,
    now: Utc,
) -> Result<Taken<Trial>, Fields> {
    let mut form = fields.check();
    let upper = form.typed_within("upper_mm", HALF);
    let lower = form.typed_within("lower_mm", HALF);
    let measured = form.measured("measured_at", zone, now);
    let day = measured.map_or(now, |measured| measured.at).date_in(zone);
    let powers = powers(&mut form, instruments, day);
    let note = form.text("note");
    let device_at = form.device_at();
    let taken = (|| {
        let (calibration_id, powers) = powers?;
        Some(Taken {
            what: Trial { upper: upper?, lower: lower?, powers, note: note? },
            measured: measured?,
            device_at,
            calibration_id: Some(calibration_id),
        })
    })();
    form.finish(taken)
}

/// An installed reading.
///
/// - `instruments`: those that may be named, once for each of their calibrations
///
/// # Errors
/// The fields with their messages.
pub fn reading(
    fields: &Fields,
    instruments: &[Instrument],
    zone: &Zone,
    now: Utc,
) -> Result<Taken<Reading>, Fields> {
    let mut form = fields.check();
    let point_position = form.whole("point");
    let frequency = form.typed_within("frequency_mhz", FREQUENCY);
    let measured = form.measured("measured_at", zone, now);
    let day = measured.map_or(now, |measured| measured.at).date_in(zone);
    let powers = powers(&mut form, instruments, day);
    let power_set = within_or_empty(&mut form, "power_set_w", POWER);
    let power_made = within_or_empty(&mut form, "power_made_w", POWER);
    let fold_back = form.yes_no("fold_back");
    let temperature = within_or_empty(&mut form, "temperature_c", AIR);
    let weather = form.word("weather", Weather::from_word);
    let others_off = form.yes_no_or_empty("others_off");
    let out_of_sequence = form.text("out_of_sequence");
    let note = form.text("note");
    let device_at = form.device_at();
    let taken = (|| {
        let (calibration_id, powers) = powers?;
        Some(Taken {
            what: Reading {
                occasion: Occasion::Installed,
                point_position: point_position?,
                frequency: frequency?,
                powers,
                power_set: power_set?,
                power_made: power_made?,
                fold_back: fold_back?,
                temperature: temperature?,
                weather: weather?,
                others_off: others_off?,
                out_of_sequence: out_of_sequence.filter(|reason| !reason.is_empty()),
                note: note?,
            },
            measured: measured?,
            device_at,
            calibration_id: Some(calibration_id),
        })
    })();
    form.finish(taken)
}

/// A quantity from `least` to `most`, or nothing.
fn within_or_empty<Q: Quantity>(
    form: &mut Checking,
    name: &str,
    limits: (Q, Q),
) -> Option<Option<Typed<Q>>> {
    if form.raw(name).is_empty() {
        return Some(None);
    }
    form.typed_within(name, limits).map(Some)
}

/// The powers with the instrument, as it was calibrated on that day, and its ranges.
fn powers(form: &mut Checking, instruments: &[Instrument], day: Date) -> Option<(i64, PowerPair)> {
    let instrument = instrument(form, instruments, day);
    let forward = form.typed::<Watts>("forward_w");
    let reflected = reflected(form);
    let ranges = instrument
        .map(|instrument| instrument.calibration.statement.ranges.clone())
        .unwrap_or_default();
    let forward_range = range(form, "forward_range_w", &ranges);
    let reflected_range = range(form, "reflected_range_w", &ranges);
    let (forward, (reflected, reflected_below)) = (forward?, reflected?);
    if forward.value().value() <= 0.0 {
        form.refuse(
            "forward_w",
            "0 W forward tells nothing of the antenna; the forward power is needed",
        );
        return None;
    }
    if reflected.value() > forward.value() {
        form.refuse(
            "reflected_w",
            format!(
                "{reflected} reflected is more than {forward} forward; a passive antenna gives back at most what it gets. Check whether the two are swapped or a range is misread"
            ),
        );
        return None;
    }
    let pair = PowerPair {
        forward,
        reflected,
        reflected_below,
        forward_range: forward_range?,
        reflected_range: reflected_range?,
    };
    let mut fits = true;
    for (field, read, scale) in [
        ("forward_w", &pair.forward, &pair.forward_range),
        ("reflected_w", &pair.reflected, &pair.reflected_range),
    ] {
        if read.value() > scale.value() {
            form.refuse(field, format!("{read} cannot be read on a range that ends at {scale}; choose the range it was read on"));
            fits = false;
        }
    }
    fits.then_some((instrument?.calibration.id, pair))
}

fn instrument<'a>(
    form: &mut Checking,
    instruments: &'a [Instrument],
    day: Date,
) -> Option<&'a Instrument> {
    let uuid: Uuid = form.uuid("instrument")?;
    let found = in_force(instruments.iter().filter(|instrument| instrument.uuid == uuid), day);
    if found.is_none() {
        form.refuse("instrument", "this instrument is not on the record, or it is retired");
    }
    found
}

/// A range is one of the instrument's full scales, whichever way it is written: 5 and 5.0 are one.
fn range(form: &mut Checking, name: &str, ranges: &[Typed<Watts>]) -> Option<Typed<Watts>> {
    let typed = form.typed::<Watts>(name)?;
    let known = ranges
        .iter()
        .find(|range| (range.value().value() - typed.value().value()).abs() < 1e-9)
        .cloned();
    if known.is_none() && !ranges.is_empty() {
        let list: Vec<String> = ranges.iter().map(ToString::to_string).collect();
        form.refuse(
            name,
            format!("the instrument has no range of {typed}; it has {}", list.join(", ")),
        );
    }
    known
}

/// Reflected power: a number, or "below 0.05" (also "<0.05").
fn reflected(form: &mut Checking) -> Option<(Typed<Watts>, bool)> {
    let raw = form.raw("reflected_w");
    let lower = raw.to_lowercase();
    let least = lower.strip_prefix("below").or_else(|| lower.strip_prefix('<'));
    let Some(least) = least else {
        return form.typed("reflected_w").map(|watts| (watts, false));
    };
    let least = least.trim().trim_end_matches('w').trim();
    match Typed::<Watts>::parse(least) {
        Ok(watts) if watts.value().value() > 0.0 => Some((watts, true)),
        Ok(_) => {
            form.refuse(
                "reflected_w",
                "“below 0” says nothing; write below and the least power that the range shows",
            );
            None
        }
        Err(error) => {
            form.refuse("reflected_w", error.to_string());
            None
        }
    }
}
