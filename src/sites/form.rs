//! What a browser sent about sites and assignments -> drafts, a message for each field; and back, the
//! fields of a form filled from what is known.

use crate::clock::Zone;
use crate::rf::quantity::{LatitudeDegrees, LongitudeDegrees, Quantity, Typed};
use crate::sites::model::{
    Assignment, FREQUENCY, HEIGHT, POWER, Particulars, Polarization, Site, SiteDraft, Structure,
    code_fault, decimal_degrees,
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
fn degrees<Q: Quantity>(
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

fn particulars(checking: &mut Checking) -> Option<Particulars> {
    let station_name = checking.line("station_name");
    let call_sign = checking.line_or_empty("call_sign");
    let frequency = checking.typed_within("frequency_mhz", FREQUENCY);
    let power = checking.typed_within("power_w", POWER);
    let erp = checking.typed_within("erp_w", POWER);
    let height = checking.typed_within("height_m", HEIGHT);
    let polarization = checking.word("polarization", Polarization::from_word);
    Some(Particulars {
        station_name: station_name?,
        call_sign: call_sign?,
        frequency: frequency?,
        power: power?,
        erp: erp?,
        height: height?,
        polarization: polarization?,
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
    empty
        .with("version", newest.revision)
        .with("station_name", &said.station_name)
        .with("call_sign", &said.call_sign)
        .with("frequency_mhz", said.frequency.text())
        .with("power_w", said.power.text())
        .with("erp_w", said.erp.text())
        .with("height_m", said.height.text())
        .with("polarization", said.polarization.word())
}
