//! From what a browser sent to what was built and what a survey found.

use crate::clock::{Utc, Zone};
use crate::measurements::form::Taken;
use crate::measurements::model::{
    Area, AsBuilt, BuiltBearing, BuiltFrequency, BuiltHeight, BuiltPosition, ExposureSurvey,
    HeightMethod, North, PositionMethod, SurveyPoint,
};
use crate::rf::quantity::{BearingDegrees, DeclinationDegrees, Metres, Percent};
use crate::sites::form::{bays_or_empty, position_or_empty};
use crate::sites::model::{FREQUENCY, HEIGHT, Polarization};
use crate::web::{Checking, Fields};

/// How many points a form of a survey has room for; a further survey takes more.
pub const SURVEY_POINTS: usize = 6;

// What can be meant: a figure outside is a slip of unit. The tables' CHECKs repeat these.
const ACCURACY: (Metres, Metres) = (Metres::fixed(0.0), Metres::fixed(1000.0));
const SHARE: (Percent, Percent) = (Percent::fixed(0.0), Percent::fixed(1000.0));

/// What was built.
///
/// # Errors
/// The fields with their messages.
pub fn as_built(fields: &Fields, zone: &Zone, now: Utc) -> Result<Taken<AsBuilt>, Fields> {
    let mut form = fields.check();
    let height = height(&mut form);
    let position = position(&mut form);
    let polarization = match form.raw("polarization").is_empty() {
        true => Some(None),
        false => form.word("polarization", Polarization::from_word).map(Some),
    };
    let bays = bays_or_empty(&mut form, "bays");
    let bearing = bearing(&mut form);
    let frequency = frequency(&mut form);
    let note = form.text("note");
    let measured = form.measured("measured_at", zone, now);
    let device_at = form.device_at();
    let built = (|| {
        Some(AsBuilt {
            height: height?,
            position: position?,
            polarization: polarization?,
            bays: bays?,
            bearing: bearing?,
            frequency: frequency?,
            note: note?,
        })
    })();
    if built.as_ref().is_some_and(says_nothing) {
        form.refuse("", "Enter at least one thing that was measured or seen; the rest may follow.");
    }
    let taken = built.zip(measured).map(|(what, measured)| Taken {
        what,
        measured,
        device_at,
        calibration_id: None,
    });
    form.finish(taken)
}

fn says_nothing(built: &AsBuilt) -> bool {
    built.height.is_none()
        && built.position.is_none()
        && built.polarization.is_none()
        && built.bays.is_none()
        && built.bearing.is_none()
        && built.frequency.is_none()
}

fn height(form: &mut Checking) -> Option<Option<BuiltHeight>> {
    if form.raw("height_m").is_empty() {
        return Some(None);
    }
    let height = form.typed_within("height_m", HEIGHT);
    let method = form.word("height_method", HeightMethod::from_word);
    Some(Some(BuiltHeight { height: height?, method: method? }))
}

fn position(form: &mut Checking) -> Option<Option<BuiltPosition>> {
    let Some(position) = position_or_empty(form)? else { return Some(None) };
    let method = form.word("position_method", PositionMethod::from_word);
    let accuracy = match form.raw("accuracy_m").is_empty() {
        true => Some(None),
        false => form.typed_within("accuracy_m", ACCURACY).map(Some),
    };
    Some(Some(BuiltPosition { position, method: method?, accuracy: accuracy? }))
}

fn bearing(form: &mut Checking) -> Option<Option<BuiltBearing>> {
    if form.raw("bearing_deg").is_empty() {
        return Some(None);
    }
    let bearing = form.typed::<BearingDegrees>("bearing_deg");
    let north = form.word("north", North::from_word);
    let declination = form.typed_or_empty::<DeclinationDegrees>("declination_deg");
    if north == Some(North::True) && matches!(declination, Some(Some(_))) {
        form.refuse("declination_deg", "a bearing from true north has none; leave it empty");
        return None;
    }
    Some(Some(BuiltBearing { bearing: bearing?, north: north?, declination: declination? }))
}

fn frequency(form: &mut Checking) -> Option<Option<BuiltFrequency>> {
    if form.raw("frequency_mhz").is_empty() {
        return Some(None);
    }
    let frequency = form.typed_within("frequency_mhz", FREQUENCY);
    let method = form.line_or_empty("frequency_method")?;
    if method.is_empty() {
        form.refuse("frequency_method", "with what was it measured: counter, analyser?");
        return None;
    }
    Some(Some(BuiltFrequency { frequency: frequency?, method }))
}

/// A survey of exposure.
///
/// # Errors
/// The fields with their messages.
pub fn survey(fields: &Fields, zone: &Zone, now: Utc) -> Result<Taken<ExposureSurvey>, Fields> {
    let mut form = fields.check();
    let instrument = form.line("survey_instrument");
    let all_on = form.yes_no("all_on");
    let points: Vec<Option<Option<SurveyPoint>>> =
        (1..=SURVEY_POINTS).map(|number| point(&mut form, number)).collect();
    let note = form.text("note");
    let measured = form.measured("measured_at", zone, now);
    let device_at = form.device_at();
    let points: Option<Vec<Option<SurveyPoint>>> = points.into_iter().collect();
    let points: Option<Vec<SurveyPoint>> = points.map(|all| all.into_iter().flatten().collect());
    if points.as_ref().is_some_and(Vec::is_empty) {
        form.refuse("place_1", "a survey has at least one point");
    }
    let taken = (|| {
        Some(Taken {
            what: ExposureSurvey {
                instrument: instrument?,
                all_on: all_on?,
                points: points?,
                note: note?,
            },
            measured: measured?,
            device_at,
            calibration_id: None,
        })
    })();
    form.finish(taken)
}

/// One point of the form, or nothing where its row is empty.
fn point(form: &mut Checking, number: usize) -> Option<Option<SurveyPoint>> {
    let (place, share) = (format!("place_{number}"), format!("share_{number}_percent"));
    let area = format!("area_{number}");
    if form.raw(&place).is_empty() && form.raw(&share).is_empty() {
        return Some(None);
    }
    let found = form.line(&place);
    let area = form.word(&area, Area::from_word);
    let share = form.typed_within(&share, SHARE);
    Some(Some(SurveyPoint { place: found?, area: area?, share: share? }))
}

/// The fields filled with what was built, for a correction.
#[must_use]
pub fn of_as_built(fields: Fields, built: &AsBuilt) -> Fields {
    let mut fields = fields.with("note", &built.note);
    if let Some(one) = &built.height {
        fields =
            fields.with("height_m", one.height.text()).with("height_method", one.method.word());
    }
    if let Some(one) = &built.position {
        fields = fields
            .with("latitude_deg", one.position.latitude.text())
            .with("longitude_deg", one.position.longitude.text())
            .with("datum", one.position.datum.word())
            .with("position_method", one.method.word())
            .with("accuracy_m", one.accuracy.as_ref().map_or("", |accuracy| accuracy.text()));
    }
    if let Some(one) = built.polarization {
        fields = fields.with("polarization", one.word());
    }
    if let Some(bays) = built.bays {
        fields = fields.with("bays", bays);
    }
    if let Some(one) = &built.bearing {
        fields = fields
            .with("bearing_deg", one.bearing.text())
            .with("north", one.north.word())
            .with("declination_deg", one.declination.as_ref().map_or("", |degrees| degrees.text()));
    }
    if let Some(one) = &built.frequency {
        fields = fields
            .with("frequency_mhz", one.frequency.text())
            .with("frequency_method", &one.method);
    }
    fields
}

/// The fields filled with a survey, for a correction.
#[must_use]
pub fn of_survey(fields: Fields, survey: &ExposureSurvey) -> Fields {
    let mut fields = fields
        .with("survey_instrument", &survey.instrument)
        .with("all_on", if survey.all_on { "yes" } else { "no" })
        .with("note", &survey.note);
    for (number, point) in (1..).zip(&survey.points) {
        fields = fields
            .with(&format!("place_{number}"), &point.place)
            .with(&format!("area_{number}"), point.area.word())
            .with(&format!("share_{number}_percent"), point.share.text());
    }
    fields
}
