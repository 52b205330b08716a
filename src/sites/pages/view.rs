//! A site and its assignments as finished text, for every page that shows them.

use crate::clock::Zone;
use crate::problem::Problem;
use crate::rf::quantity::Quantity;
use crate::sites::model::{Assignment, Site, position_shown, problems};
use crate::sites::pages::paths::{EditAssignmentPath, EditSitePath, NewAssignmentPath, SitePath};

/// A site for the macros of `templates/sites/parts.html`.
#[derive(Debug, Clone)]
pub struct SiteView {
    /// The short label.
    pub code: String,
    /// The name people use.
    pub name: String,
    /// The site's page.
    pub href: String,
    /// The form that changes it, for those who may.
    pub edit_href: Option<String>,
    /// The form for a new assignment, for those who may.
    pub new_assignment_href: Option<String>,
    /// `52.4711° N, 7.1204° W`
    pub position: String,
    /// The position for a map on the reader's own device (RFC 5870).
    pub position_href: String,
    /// `guyed mast, 30 m`
    pub structure: String,
    /// The zone in which times at the site are written.
    pub zone: String,
    /// Access, hazards, emergency numbers, line by line.
    pub notes: Vec<String>,
    /// Its assignments as they now hold.
    pub assignments: Vec<AssignmentView>,
    /// Revisions that no longer hold.
    pub older: Vec<OlderView>,
    /// What is doubtful in the assignments.
    pub problems: Vec<Problem>,
}

/// One assignment as it now holds.
#[derive(Debug, Clone)]
pub struct AssignmentView {
    /// Its number at the site.
    pub number: String,
    /// The form that revises it, for those who may.
    pub edit_href: Option<String>,
    /// Its readings over the years.
    pub readings_href: String,
    /// `98.4`, in MHz.
    pub frequency: String,
    /// The station's name.
    pub station: String,
    /// Its call sign, or empty.
    pub call_sign: String,
    /// Transmitter output power, in W.
    pub power: String,
    /// Effective radiated power, in W.
    pub erp: String,
    /// The antenna's height above ground, in m.
    pub height: String,
    /// The plane of the field.
    pub polarization: &'static str,
    /// `revision 2, 8 Mar 2031`
    pub since: String,
    /// What else the paper says, as names and values.
    pub paper: Vec<(&'static str, String)>,
}

/// A revision that no longer holds.
#[derive(Debug, Clone)]
pub struct OlderView {
    /// What it said.
    pub said: AssignmentView,
    /// When the next one took its place.
    pub until: String,
}

fn assignment_view(
    site: &Site,
    zone: &Zone,
    assignment: &Assignment,
    edit_href: Option<String>,
) -> AssignmentView {
    let said = &assignment.particulars;
    let entered = zone.measured(assignment.entered_at).shown_date();
    AssignmentView {
        number: assignment.number.to_string(),
        edit_href,
        readings_href: format!("/sites/{}/assignments/{}/readings", site.code, assignment.number),
        frequency: said.frequency.text().to_owned(),
        station: said.station_name.clone(),
        call_sign: said.call_sign.clone(),
        power: said.power.text().to_owned(),
        erp: said.erp.text().to_owned(),
        height: said.height.text().to_owned(),
        polarization: said.polarization.shown(),
        since: format!("revision {}, {entered}", assignment.revision),
        paper: said.licensed.shown(),
    }
}

impl SiteView {
    /// The site with all revisions of its assignments, as `store::assignment_revisions` gives them;
    /// `keeps` says whether the reader may edit.
    #[must_use]
    pub fn of(site: &Site, revisions: &[Assignment], keeps: bool) -> Self {
        let zone = site.time_zone();
        let mut newest: Vec<Assignment> = Vec::new();
        let mut older = Vec::new();
        let mut replaced = None;
        for revision in revisions {
            if newest.last().is_some_and(|last| last.assignment_id == revision.assignment_id) {
                let until = replaced.map(|at| zone.measured(at).shown_date());
                let said = assignment_view(site, &zone, revision, None);
                older.push(OlderView { said, until: until.unwrap_or_default() });
            } else {
                newest.push(revision.clone());
            }
            replaced = Some(revision.entered_at);
        }
        let code = || site.code.clone();
        let edit = |number| EditAssignmentPath { site: code(), assignment: number }.to_string();
        let (latitude, longitude) = (site.latitude.value().value(), site.longitude.value().value());
        Self {
            code: code(),
            name: site.name.clone(),
            href: SitePath { site: code() }.to_string(),
            edit_href: keeps.then(|| EditSitePath { site: code() }.to_string()),
            new_assignment_href: keeps.then(|| NewAssignmentPath { site: code() }.to_string()),
            position: position_shown(&site.latitude, &site.longitude),
            position_href: format!("geo:{latitude},{longitude}"),
            structure: format!("{}, {}", site.structure.shown(), site.structure_height),
            zone: site.zone.clone(),
            notes: site.notes.lines().map(str::to_owned).collect(),
            assignments: newest
                .iter()
                .map(|one| assignment_view(site, &zone, one, keeps.then(|| edit(one.number))))
                .collect(),
            older,
            problems: problems(site, &newest),
        }
    }
}
