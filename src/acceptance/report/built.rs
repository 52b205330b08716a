//! What was authorised, designed and built, and how far people keep: the tables of the report.

use crate::acceptance::report::said::{NOT_MEASURED, state, when_and_who};
use crate::equipment::exposure::ExposureView;
use crate::figure::State;
use crate::jobs::dossier::Dossier;
use crate::jobs::findings::{BuiltFinding, BuiltRow, BuiltWhat, ExposureFinding};
use crate::jobs::pictures;
use crate::paper::{Column, Document, Table, Words};
use crate::profiles::model::{Answering, Limit};

fn or(text: &str, none: &'static str) -> Words {
    if text.is_empty() { Words::from(none) } else { Words::from(text) }
}

/// The verdict of a row; for power and height that of their own check, which may be under concession.
fn verdict(dossier: &Dossier, row: &BuiltRow) -> State {
    let own = dossier.record.profile.items.iter().find(|item| match row.what {
        BuiltWhat::Power => item.answer == Answering::Power,
        BuiltWhat::Height => matches!(item.limit, Some(Limit::NearAuthorisedHeightM(_))),
        _ => false,
    });
    let own = own.and_then(|item| dossier.findings.item(&item.id)).filter(|_| row.answer.is_some());
    match own {
        Some(item) => state(item.answer),
        None => State::new(pictures::mark(row.answer), &row.verdict),
    }
}

/// For the first page: every figure that is authorised or was measured, in three columns.
pub(super) fn short_table(dossier: &Dossier, found: &BuiltFinding) -> Table {
    let mut table = Table::new(vec![
        Column::fit("What"),
        Column::text("Authorised", 1.0),
        Column::text("Built or measured", 2.2),
    ]);
    let told = |row: &&BuiltRow| {
        !row.authorised.is_empty() || !row.built.is_empty() || row.what == BuiltWhat::Position
    };
    for row in found.rows.iter().filter(told) {
        let built = if row.built.is_empty() {
            Words::from(NOT_MEASURED)
        } else {
            Words::from(row.built.as_str()).plain("   ").state(&verdict(dossier, row))
        };
        // Where the licence's position is not on the record, the site's says where this is.
        let authorised = if row.what == BuiltWhat::Position && row.authorised.is_empty() {
            Words::from(row.designed.as_str())
        } else {
            or(&row.authorised, "not on the record")
        };
        table.row([Words::from(row.what.shown()), authorised, built]);
    }
    table
}

/// For the chapter: all figures with the design, the difference and its tolerance.
pub(super) fn whole(report: &mut Document, dossier: &Dossier, found: &BuiltFinding) {
    report.paragraph(found.headline.as_str());
    let mut table = Table::new(vec![
        Column::text("What", 1.0),
        Column::text("Authorised", 1.0),
        Column::text("Designed", 1.1),
        Column::text("Built or measured", 1.3),
        Column::text("Difference", 1.2),
        Column::text("Verdict", 1.2),
    ]);
    for row in &found.rows {
        let mut difference = or(&row.difference, "–");
        if !row.tolerance.is_empty() {
            difference = difference.plain("\n").soft(&format!("allowed {}", row.tolerance));
        }
        let mut said = Words::new().state(&verdict(dossier, row));
        if !row.design.is_empty() {
            said = said.plain("\n").plain(&row.design);
        }
        table.row([
            Words::from(row.what.shown()),
            or(&row.authorised, "not on the record"),
            or(&row.designed, "not declared"),
            or(&row.built, NOT_MEASURED),
            difference,
            said,
        ]);
    }
    report.table(table);
    report.small(format!("Tolerances: {}.", found.source));
}

/// How far people keep, and what a survey found.
pub(super) fn exposure(report: &mut Document, dossier: &Dossier, finding: &ExposureFinding) {
    if let Some(site) = &finding.site {
        let view = ExposureView::of(site);
        let mut table = Table::new(vec![
            Column::text("Station", 2.0),
            Column::text("Public, full power", 1.0),
            Column::text("Controlled, full power", 1.0),
            Column::text("Public, 10 %", 1.0),
            Column::text("Controlled, 10 %", 1.0),
        ]);
        for row in &view.rows {
            table.row([
                Words::from(row.whose.as_str()).plain("\n").soft(&row.of),
                Words::from(row.public_full.as_str()),
                Words::from(row.controlled_full.as_str()),
                Words::from(row.public_low.as_str()),
                Words::from(row.controlled_low.as_str()),
            ]);
        }
        report.table(table);
        report.paragraph(format!("By the formula: {}.", view.said).as_str());
        report.facts(view.facts);
        report.small(format!(
            "Distances from the antenna’s centre in its main direction; {}.",
            view.rule
        ));
    }
    let stand = match &finding.stand {
        Some(stand) => stand.said(),
        None => finding.on_the_stand(),
    };
    let mut facts = vec![("On the stand", stand)];
    let survey = finding.survey.as_ref();
    let fact = survey.and_then(|survey| dossier.record.fact(survey.fact));
    facts.push((
        "Survey",
        match (survey, fact) {
            (Some(survey), Some(fact)) => {
                let shows = match &survey.withheld {
                    Some(why) => format!("; shows nothing: {why}"),
                    None => String::new(),
                };
                format!("{}: {}{shows}", when_and_who(&dossier.record, fact), survey.said)
            }
            _ => NOT_MEASURED.to_owned(),
        },
    ));
    report.facts(facts);
}
