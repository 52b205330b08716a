//! The items that the record answers of the site as a whole: what was built against what is authorised,
//! and how far people keep from all its antennas.

use uuid::Uuid;

use crate::equipment::exposure::Clearance;
use crate::jobs::findings::built::{self, BuiltFinding, BuiltRow, BuiltWhat};
use crate::jobs::findings::exposure::{self, ExposureFinding};
use crate::jobs::findings::items::{Found, Sources};
use crate::jobs::model::{Answer, Body};
use crate::profiles::model::Answering;

impl Sources<'_> {
    /// Each authorised figure that was measured lies within its tolerance; what was not measured leaves the
    /// item open. The transmitter's power is left to its own item, where the profile has one.
    pub(super) fn as_built(&self) -> Found {
        let Some(finding) = built::find(self.record, self.readings) else {
            return Found::open("no assignment on the record");
        };
        let own = self.record.profile.items.iter().any(|item| item.answer == Answering::Power);
        let rows: Vec<&BuiltRow> = finding
            .rows
            .iter()
            .filter(|row| !(row.authorised.is_empty() || own && row.what == BuiltWhat::Power))
            .collect();
        let found = as_built(&rows, &finding);
        let facts =
            rows.iter().flat_map(|row| &row.facts).filter_map(|uuid| self.record.fact(*uuid));
        let assignment = self.record.assignment().map(|one| one.revision_uuid);
        let found = facts.fold(found, Found::on).resting_on(assignment);
        self.withdrawn(|body| matches!(body, Body::AsBuilt(_))).fold(found, Found::resting_on)
    }

    /// The final set-up keeps the public below its limit: by a survey, or by the figure where this station
    /// has the structure to itself and the formula is valid where people stand.
    pub(super) fn exposure(&self) -> Found {
        let Some(finding) = exposure::find(self.record) else {
            return Found::open("no assignment on the record");
        };
        let mut found = match &finding.survey {
            Some(survey) => {
                let fact = self.record.fact(survey.fact);
                let found = match &survey.withheld {
                    None if survey.within => Found::of(Answer::Passed, survey.said.clone()),
                    None => Found::of(
                        Answer::Failed,
                        format!("check the places above the limit: {}", survey.said),
                    ),
                    Some(why) => Found::of(Answer::NotShown, format!("{}; {why}", survey.said)),
                };
                fact.into_iter().fold(found, Found::on)
            }
            None => by_figure(&finding),
        };
        // A measured height counts in the figure.
        if finding.survey.is_none()
            && let Some((fact, _)) = self.record.built(|built| built.height.as_ref())
        {
            found = found.on(fact);
        }
        let others = self.record.neighbours.iter().flat_map(|one| {
            let chain = one.chain.as_ref().map(|chain| chain.revision_uuid);
            [Some(one.assignment.revision_uuid), chain]
        });
        let own = [
            self.record.assignment().map(|one| one.revision_uuid),
            self.record.chain().map(|chain| chain.revision_uuid),
        ];
        let found = own.into_iter().chain(others).fold(found, Found::resting_on);
        self.withdrawn(|body| matches!(body, Body::ExposureSurvey(_)))
            .fold(found, Found::resting_on)
    }

    /// The withdrawals of facts of a kind: what was permitted of a fact is not permitted of its absence.
    fn withdrawn(&self, fits: fn(&Body) -> bool) -> impl Iterator<Item = Option<Uuid>> {
        self.record
            .facts
            .iter()
            .filter(move |fact| {
                let old = fact.supersedes.and_then(|uuid| self.record.fact(uuid));
                fact.body == Body::Withdrawal && old.is_some_and(|old| fits(&old.body))
            })
            .map(|fact| Some(fact.uuid))
    }
}

fn as_built(rows: &[&BuiltRow], finding: &BuiltFinding) -> Found {
    let said = |row: &&BuiltRow| format!("{}: {}", row.what.shown(), row.verdict);
    let with = |answer: Answer| -> Vec<&BuiltRow> {
        rows.iter().copied().filter(|row| row.answer == Some(answer)).collect()
    };
    let words = |rows: &[&BuiltRow]| rows.iter().map(said).collect::<Vec<_>>().join("; ");
    let (failed, unshown) = (with(Answer::Failed), with(Answer::NotShown));
    if !failed.is_empty() {
        return Found::of(Answer::Failed, words(&failed));
    }
    let open: Vec<&BuiltRow> = rows.iter().copied().filter(|row| row.open()).collect();
    if !open.is_empty() {
        return Found::open(words(&open));
    }
    if !unshown.is_empty() {
        let point_within = unshown.iter().all(|row| row.point_within);
        return Found { point_within, ..Found::of(Answer::NotShown, words(&unshown)) };
    }
    Found::of(Answer::Passed, finding.headline.clone())
}

fn by_figure(finding: &ExposureFinding) -> Found {
    let Some(site) = &finding.site else { return Found::open("no station on the record") };
    let said = site.said();
    if site.shared() && site.verdict == Clearance::Within {
        let stations = site.stations.len();
        let evidence = format!(
            "{said}; {stations} stations share the structure: the figure alone does not pass, a survey is asked for"
        );
        return Found::of(Answer::NotShown, evidence);
    }
    match site.verdict {
        Clearance::Within => Found::of(Answer::Passed, said),
        Clearance::Beyond | Clearance::NotValid => {
            Found::of(Answer::NotShown, format!("{said}; a survey is asked for"))
        }
    }
}
