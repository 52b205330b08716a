//! The end: cautions, what the report does not show, what proves it, and the lines to sign.

use crate::acceptance::report::said::NOT_MEASURED;
use crate::jobs::dossier::Dossier;
use crate::paper::{Document, Level};
use crate::rf::comparison::NOT_SHOWN_BY_SWR;

pub(super) fn fill(report: &mut Document, dossier: &Dossier, digest: Option<&[u8; 32]>) {
    report.heading(Level::Chapter, "Cautions");
    report.caution(
        "Local codes, site rules and licensed practitioners come first. This report is not a permit to \
         climb, to energise or to radiate, and not a design or a certificate.",
    );
    report.caution(
        "RF burns, and reduced power may still be too much: RF off and locked off by the one who holds \
         the key before anyone climbs or touches line or antenna, and neighbouring transmitters \
         looked after too. Stop at first thunder. Work on mains supplies, grounding and structures \
         belongs to licensed practitioners. Grounds stay connected in the season of storms.",
    );
    let notes = &dossier.record.site.notes;
    if !notes.is_empty() {
        report.facts([("Notes of the site: access, hazards, emergency numbers", notes)]);
    }
    report.heading(Level::Chapter, "What this report does not show");
    report.item(NOT_SHOWN_BY_SWR);
    report.item(format!(
        "Radiated power is reckoned from forward power, declared losses and declared gain. Field strength \
         and pattern: {NOT_MEASURED}."
    ));
    report.item(
        "A low SWR at the meter is no proof of a good antenna: the line’s loss makes it look better than \
         it is at the antenna.",
    );
    report.item(
        "The record proves that what was entered is unchanged since it was entered. It does not prove \
         that it was true. The results relate to the parts named here, at the times named here.",
    );
    proof(report, dossier, digest);
    report.heading(Level::Chapter, "Signatures on paper");
    report.signatures(
        format!("Report {}.", dossier.number()),
        &["For the contractor", "For the station", "Witness"],
    );
}

fn proof(report: &mut Document, dossier: &Dossier, digest: Option<&[u8; 32]>) {
    report.heading(Level::Chapter, "What this report was made from");
    let (site, profile) = (&dossier.record.site, &dossier.record.profile);
    let mut facts = vec![
        (
            "Site",
            format!(
                "{} ({}), {} of {}, times in {}",
                site.name,
                site.code,
                site.structure.shown(),
                site.structure_height,
                site.zone
            ),
        ),
        (
            "Judged by",
            format!(
                "profile “{}”, edition {}, in force from {}",
                profile.title,
                profile.edition,
                profile.effective.shown()
            ),
        ),
        ("Report", dossier.number()),
        ("Record of the job", dossier.record.job.uuid.to_string()),
        ("Kept by the server", dossier.instance.to_string()),
    ];
    let zone = site.time_zone();
    match dossier.frozen_at {
        Some(at) => facts.push(("Frozen", zone.measured(at).shown())),
        None => facts.push(("Frozen", "not yet: a draft of a job in work".to_owned())),
    }
    if let Some(digest) = digest {
        let hex: Vec<String> = digest
            .chunks(8)
            .map(|bytes| bytes.iter().map(|byte| format!("{byte:02x}")).collect())
            .collect();
        facts.push(("SHA-256 of the dossier", hex.join(" ")));
    }
    report.facts(facts);
}
