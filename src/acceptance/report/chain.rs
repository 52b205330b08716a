//! The RF chain: each part with its serial number, what is declared of it and what it takes, and the
//! chain's revisions.

use crate::acceptance::report::items;
use crate::acceptance::report::said::{entered, revision_table};
use crate::acceptance::report::sources::Sources;
use crate::acceptance::report::topics::Topic;
use crate::equipment::model::{Chain, ChainPart, changes};
use crate::jobs::findings::{ChainFinding, LossFinding};
use crate::jobs::model::Record;
use crate::paper::{Column, Document, Level, Table, Words};

pub(super) fn chapter(report: &mut Document, sources: &Sources<'_>) {
    let dossier = sources.dossier;
    let record = &dossier.record;
    let (Some(chain), Some(assignment), Some(finding)) =
        (record.chain(), record.assignment(), &dossier.findings.chain)
    else {
        report.paragraph(
            "No RF chain is on the record: losses, radiated power and every figure at the antenna \
             input are not measured.",
        );
        return;
    };
    let frequency = &assignment.particulars.frequency;
    report.table(parts(chain, finding));
    let mut facts: Vec<(String, String)> = finding
        .points
        .iter()
        .map(|point| {
            let what = format!("Loss from the {} to the antenna input", point.words);
            (what, format!("{} dB", bare(&point.loss)))
        })
        .collect();
    if facts.is_empty() {
        facts.push(("Measuring point".to_owned(), "no directional meter in the chain".to_owned()));
    }
    report.facts(facts);
    report.small(format!(
        "Matched losses at {frequency} and 20 °C, from what is declared of each part; in brackets with \
         the line’s tolerance. The losses themselves are not measured."
    ));
    if record.chains.len() > 1 {
        report.heading(Level::Section, "Revisions of the chain");
        report.table(chain_revisions(record));
    }
    items::told(report, sources, Topic::Identities);
}

fn parts(chain: &Chain, finding: &ChainFinding) -> Table {
    let mut table = Table::new(vec![
        Column::figures("No."),
        Column::text("Part", 1.3),
        Column::text("Declared", 2.0),
        Column::text("Loss, dB", 0.8),
    ]);
    for part in &chain.parts {
        let declared = part.spec.declared();
        let declared: Vec<String> =
            declared.iter().map(|(what, value)| format!("{what} {value}")).collect();
        let loss = finding.loss_of(part.position);
        table.row([
            Words::from(part.position.to_string()),
            named(part),
            Words::from(declared.join("; ")),
            Words::from(loss.map_or_else(|| "end of the chain".to_owned(), |loss| bare(&loss))),
        ]);
    }
    table
}

fn named(part: &ChainPart) -> Words {
    let serial = if part.serial.is_empty() {
        "no serial number".to_owned()
    } else {
        format!("serial number {}", part.serial)
    };
    Words::new()
        .strong(part.spec.kind_shown())
        .plain(&format!(", {}\n", part.designation))
        .soft(&serial)
}

/// `0.73 (0.69 to 0.77)`, or the figure alone where no tolerance is known of it.
fn bare(loss: &LossFinding) -> String {
    let (nominal, low, high) = (loss.nominal.0, loss.low.0, loss.high.0);
    if high - low < 0.005 {
        format!("{nominal:.2}")
    } else {
        format!("{nominal:.2} ({low:.2} to {high:.2})")
    }
}

fn chain_revisions(record: &Record) -> Table {
    let mut table = revision_table("Why, and what differs from the one before");
    let mut before: Option<&Chain> = None;
    for chain in &record.chains {
        let note = if chain.note.is_empty() { "no note" } else { &chain.note };
        let differs: Vec<String> = before
            .map(|before| changes(before, chain).iter().map(|change| change.shown()).collect())
            .unwrap_or_default();
        let mut said = Words::from(note);
        if !differs.is_empty() {
            said = said.plain("\n").soft(&differs.join("; "));
        }
        table.row([
            Words::from(chain.revision.to_string()),
            Words::from(entered(record, chain.entered_at)),
            said,
        ]);
        before = Some(chain);
    }
    table
}
