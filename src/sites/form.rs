//! What a browser sent about sites and assignments -> drafts, a message for each field; and back, the
//! fields of a form filled from what is known.

use crate::clock::Zone;
use crate::rf::quantity::{BearingDegrees, LatitudeDegrees, LongitudeDegrees, Quantity, Typed};
use crate::sites::model::{
    Assignment, BAYS, Datum, FREQUENCY, HEIGHT, Licensed, POWER, Particulars, Polarization,
    Position, Site, SiteDraft, Structure, code_fault, decimal_degrees,
};
use crate::web::{Checking, Fields};

fn code(checking: &mut Checking) -> Option<String> {
    let code = checking.line("code")?;
    match code_fault(&code) {
        None => Some(code),
        Some(fault) => {
            checking.refuse("code", fault);
            None
        }
    }
}

/// Decimal degrees; what was typed with minutes and seconds is answered with the decimal figure.
///
/// - `halves`: the letters of the positive and the negative half
pub(crate) fn degrees<Q: Quantity>(
    checking: &mut Checking,
    name: &str,
    halves: [char; 2],
) -> Option<Typed<Q>> {
    let raw = checking.raw(name);
    if let Some(decimal) = decimal_degrees(&raw, halves) {
        let [_, minus] = halves;
        checking.refuse(
            name,
            format!("write decimal degrees, {minus} with a minus: “{raw}” is {decimal}"),
        );
        return None;
    }
    checking.typed(name)
}

fn zone(checking: &mut Checking) -> Option<String> {
    let line = checking.line("zone")?;
    match Zone::parse(&line) {
        Ok(zone) => Some(zone.name().to_owned()),
        Err(message) => {
            checking.refuse("zone", message);
            None
        }
    }
}

fn site_draft(checking: &mut Checking) -> Option<SiteDraft> {
    let code = code(checking);
    let name = checking.line("name");
    let latitude = degrees::<LatitudeDegrees>(checking, "latitude_deg", ['N', 'S']);
    let longitude = degrees::<LongitudeDegrees>(checking, "longitude_deg", ['E', 'W']);
    let zone = zone(checking);
    let structure = checking.word("structure", Structure::from_word);
    let structure_height = checking.typed_within("structure_height_m", HEIGHT);
    let notes = checking.text("notes");
    Some(SiteDraft {
        code: code?,
        name: name?,
        latitude: latitude?,
        longitude: longitude?,
        zone: zone?,
        structure: structure?,
        structure_height: structure_height?,
        notes: notes?,
    })
}

/// A new site.
///
/// # Errors
/// The fields with their messages.
pub fn new_site(fields: &Fields) -> Result<SiteDraft, Fields> {
    let mut checking = fields.check();
    let draft = site_draft(&mut checking);
    checking.finish(draft)
}

/// A changed site, with the version that the form was filled from.
///
/// # Errors
/// The fields with their messages.
pub fn changed_site(fields: &Fields) -> Result<(i64, SiteDraft), Fields> {
    let mut checking = fields.check();
    let (version, draft) = (checking.whole("version"), site_draft(&mut checking));
    checking.finish(version.zip(draft))
}

/// The fields filled from a site as it is known.
#[must_use]
pub fn of_site(empty: Fields, site: &Site) -> Fields {
    empty
        .with("version", site.version)
        .with("code", &site.code)
        .with("name", &site.name)
        .with("latitude_deg", site.latitude.text())
        .with("longitude_deg", site.longitude.text())
        .with("zone", &site.zone)
        .with("structure", site.structure.word())
        .with("structure_height_m", site.structure_height.text())
        .with("notes", &site.notes)
}

/// A position with its datum, or nothing: latitude and longitude are typed both or neither.
pub(crate) fn position_or_empty(checking: &mut Checking) -> Option<Option<Position>> {
    let empty = |checking: &Checking, name| checking.raw(name).is_empty();
    let (north, east) = (empty(checking, "latitude_deg"), empty(checking, "longitude_deg"));
    if north && east {
        return Some(None);
    }
    for (missing, name) in [(north, "latitude_deg"), (east, "longitude_deg")] {
        if missing {
            checking.refuse(name, "a position has both, latitude and longitude");
        }
    }
    let latitude = (!north).then(|| degrees(checking, "latitude_deg", ['N', 'S'])).flatten();
    let longitude = (!east).then(|| degrees(checking, "longitude_deg", ['E', 'W'])).flatten();
    let datum = checking.word("datum", Datum::from_word);
    Some(Some(Position { latitude: latitude?, longitude: longitude?, datum: datum? }))
}

/// A number of bays, or nothing.
pub(crate) fn bays_or_empty(checking: &mut Checking, name: &str) -> Option<Option<u8>> {
    if checking.raw(name).is_empty() {
        return Some(None);
    }
    let typed = checking.whole(name)?;
    let bays = u8::try_from(typed).ok().filter(|bays| (BAYS.0..=BAYS.1).contains(bays));
    if bays.is_none() {
        checking.refuse(name, format!("an antenna has {} to {} bays", BAYS.0, BAYS.1));
    }
    bays.map(Some)
}

fn licensed(checking: &mut Checking) -> Option<Licensed> {
    let position = position_or_empty(checking);
    let bays = bays_or_empty(checking, "bays");
    let bearing = checking.typed_or_empty::<BearingDegrees>("bearing_deg");
    let antenna = checking.line_or_empty("antenna");
    let reference = checking.line_or_empty("licence");
    let expires_on = checking.date_or_empty("licence_expires_on");
    Some(Licensed {
        position: position?,
        bays: bays?,
        bearing: bearing?,
        antenna: antenna?,
        reference: reference?,
        expires_on: expires_on?,
    })
}

fn particulars(checking: &mut Checking) -> Option<Particulars> {
    let station_name = checking.line("station_name");
    let call_sign = checking.line_or_empty("call_sign");
    let frequency = checking.typed_within("frequency_mhz", FREQUENCY);
    let power = checking.typed_within("power_w", POWER);
    let erp = checking.typed_within("erp_w", POWER);
    let height = checking.typed_within("height_m", HEIGHT);
    let polarization = checking.word("polarization", Polarization::from_word);
    let licensed = licensed(checking);
    Some(Particulars {
        station_name: station_name?,
        call_sign: call_sign?,
        frequency: frequency?,
        power: power?,
        erp: erp?,
        height: height?,
        polarization: polarization?,
        licensed: licensed?,
    })
}

/// A new assignment.
///
/// # Errors
/// The fields with their messages.
pub fn new_assignment(fields: &Fields) -> Result<Particulars, Fields> {
    let mut checking = fields.check();
    let particulars = particulars(&mut checking);
    checking.finish(particulars)
}

/// A revised assignment, with the revision that the form was filled from.
///
/// # Errors
/// The fields with their messages.
pub fn revised_assignment(fields: &Fields) -> Result<(i64, Particulars), Fields> {
    let mut checking = fields.check();
    let (from, particulars) = (checking.whole("version"), particulars(&mut checking));
    checking.finish(from.zip(particulars))
}

/// The fields filled from the newest revision of an assignment.
#[must_use]
pub fn of_assignment(empty: Fields, newest: &Assignment) -> Fields {
    let said = &newest.particulars;
    let more = &said.licensed;
    let position = more.position.as_ref();
    empty
        .with("version", newest.revision)
        .with("station_name", &said.station_name)
        .with("call_sign", &said.call_sign)
        .with("frequency_mhz", said.frequency.text())
        .with("power_w", said.power.text())
        .with("erp_w", said.erp.text())
        .with("height_m", said.height.text())
        .with("polarization", said.polarization.word())
        .with("latitude_deg", position.map_or("", |one| one.latitude.text()))
        .with("longitude_deg", position.map_or("", |one| one.longitude.text()))
        .with("datum", position.map_or("", |one| one.datum.word()))
        .with("bays", more.bays.map(|bays| bays.to_string()).unwrap_or_default())
        .with("bearing_deg", more.bearing.as_ref().map_or("", |one| one.text()))
        .with("antenna", &more.antenna)
        .with("licence", &more.reference)
        .with("licence_expires_on", more.expires_on.map(|day| day.to_string()).unwrap_or_default())
}
