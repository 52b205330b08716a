//! Exposure of people to RF, signs and fences, obstruction lights.

use crate::acceptance::report::built;
use crate::acceptance::report::items;
use crate::acceptance::report::said::{NOT_MEASURED, or_not_measured};
use crate::acceptance::report::sources::Sources;
use crate::acceptance::report::topics::Topic;
use crate::jobs::dossier::Dossier;
use crate::jobs::findings::ExposureFinding;
use crate::paper::{Document, Level};
use crate::rf::exposure::STAND_LEAST;

pub(super) fn chapter(report: &mut Document, sources: &Sources<'_>) {
    exposure(report, sources.dossier);
    items::told(report, sources, Topic::Exposure);
}

fn exposure(report: &mut Document, dossier: &Dossier) {
    let finding = dossier.findings.exposure.as_ref();
    let Some(reckoned) = finding.filter(|finding| finding.site.is_some()) else {
        return begins_with(report, finding);
    };
    report.heading(Level::Part, "Exposure of people to RF");
    built::exposure(report, dossier, reckoned);
    report.caution(format!(
        "These figures are no assessment: local exposure rules and licensed practice decide. Near an \
         antenna no formula holds: RF off and locked off before anyone climbs, touches or comes close. On \
         a test stand keep at least {STAND_LEAST:.0} from the element while there is RF, and RF off to \
         approach."
    ));
}

/// What an assessment begins with, of a job that was accepted before distances were reckoned.
fn begins_with(report: &mut Document, finding: Option<&ExposureFinding>) {
    report.keep_together(|report| {
        report.heading(Level::Part, "Exposure of people to RF");
        let mut facts = vec![("Assessment or survey", NOT_MEASURED.to_owned())];
        let top = finding.and_then(|finding| finding.top_erp_w);
        let top = top.map(|watts| format!("{:.0} W", watts.0));
        facts.push(("ERP at the top of the power tolerance", or_not_measured(top)));
        if let Some(finding) = finding {
            facts.push((
                "Far-field formulas hold beyond",
                format!(
                    "{:.1} m of the element (the greater of λ/2π and 2D²/λ); formula not valid nearer",
                    finding.near_bound_m.0
                ),
            ));
        }
        report.facts(facts);
        report.caution(format!(
            "These figures are no assessment. It takes the sum over all stations on the site, both \
             polarizations and the whole array, and local exposure rules decide. On a test stand \
             keep at least {STAND_LEAST:.0} from the element while there is RF, and RF off to approach."
        ));
    });
}
