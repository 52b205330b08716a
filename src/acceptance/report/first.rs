//! The first page: the verdict, what was authorised against what was built, and the mast.

use crate::acceptance::report::authorised::authorised_and_built;
use crate::acceptance::report::said::{
    accepted_on_point, class_sentence, name_and_firm, when_and_who,
};
use crate::figure::mast;
use crate::jobs::dossier::Dossier;
use crate::jobs::findings::Progress;
use crate::jobs::model::{Answer, Record};
use crate::jobs::pictures;
use crate::paper::{COLUMN_PIXELS, Document, Level, Words};

/// The mast is drawn for a wider column and set smaller, so that it stays on the first page.
const MAST_ROOM: f64 = 1.28;

/// So much of a statement or of remarks stands on the first page.
const FIRST_PAGE_LETTERS: usize = 280;

pub(super) fn fill(report: &mut Document, dossier: &Dossier) {
    let record = &dossier.record;
    let job = &record.job;
    report.heading(
        Level::Title,
        &format!("{}, job {}: {}", record.site.name, job.number, job.kind.shown()),
    );
    report.paragraph(Words::new().soft(&line(record)));
    report.verdict(&headline(dossier), verdict(dossier));
    report.table(authorised_and_built(dossier));
    report.figure(
        &mast::draw(&pictures::mast(dossier, &|_| None), COLUMN_PIXELS * MAST_ROOM),
        Some("The site in elevation, heights to scale."),
    );
}

/// Station, opening and profile in a line.
fn line(record: &Record) -> String {
    let station = record.assignment().map(|one| {
        let said = &one.particulars;
        let call_sign = if said.call_sign.is_empty() {
            String::new()
        } else {
            format!(" ({})", said.call_sign)
        };
        format!("{}, {}{call_sign} · ", said.frequency, said.station_name)
    });
    format!(
        "{}opened {} by {}",
        station.unwrap_or_default(),
        record.job.opened.shown(),
        name_and_firm(record, record.job.opened_by)
    )
}

fn headline(dossier: &Dossier) -> String {
    let record = &dossier.record;
    match dossier.findings.progress {
        Progress::Accepted => record.acceptance().map_or_else(
            || "Accepted.".to_owned(),
            |(fact, _)| {
                let by = name_and_firm(record, fact.by);
                format!("Accepted by {by}, on {}.", fact.measured.shown())
            },
        ),
        Progress::Declared => "Not accepted: declared complete, waiting for acceptance.".to_owned(),
        Progress::Returned(stage) => {
            format!("Not accepted: returned with remarks. Work goes on, stage: {}.", stage.shown())
        }
        Progress::Open(stage) => {
            format!("Not accepted: work goes on, stage: {}.", stage.shown())
        }
    }
}

fn verdict(dossier: &Dossier) -> Words {
    let record = &dossier.record;
    let compared = dossier.findings.comparison.as_ref().map(|one| one.headline.as_str());
    let compared = compared.unwrap_or("Not compared: no installed reading is on the record.");
    let mut words = Words::new()
        .strong("Releases. ")
        .plain(&class_sentence(record))
        .plain("\n")
        .strong("Stand against installed. ")
        .plain(compared)
        .plain("\n")
        .strong("Checks. ")
        .plain(&counts(dossier));
    if let Some((fact, declaration)) = record.declaration() {
        words = words.plain("\n").strong("Declared complete. ").plain(&format!(
            "{}: {}",
            when_and_who(record, fact),
            begins(&declaration.statement)
        ));
    }
    if let Some((fact, remarks)) = record.returned() {
        words = words.plain("\n").strong("Returned. ").plain(&format!(
            "{}: {}",
            when_and_who(record, fact),
            begins(remarks)
        ));
    }
    if let Some((_, remarks)) = record.acceptance().filter(|(_, remarks)| !remarks.is_empty()) {
        words = words.plain("\n").strong("Remarks at acceptance. ").plain(&begins(remarks));
    }
    words
}

/// The beginning of what somebody wrote, so that the first page stays one: all of it stands with the
/// releases.
fn begins(text: &str) -> String {
    let mut letters = text.chars();
    let begins: String = letters.by_ref().take(FIRST_PAGE_LETTERS).collect();
    if letters.next().is_none() {
        return begins;
    }
    format!("{}… (all of it under “Releases and signatures”)", begins.trim_end())
}

/// How the checks stand, in numbers; a not-shown one that somebody let pass is said with the name.
fn counts(dossier: &Dossier) -> String {
    let items = &dossier.findings.items;
    let with = |answer: Option<Answer>| items.iter().filter(|item| item.answer == answer).count();
    let mut said = vec![format!("{} passed", with(Some(Answer::Passed)))];
    let mut say = |count: usize, words: &str| {
        if count > 0 {
            said.push(format!("{count} {words}"));
        }
    };
    say(with(Some(Answer::UnderConcession)), "under concession");
    say(with(Some(Answer::Deferred)), "deferred");
    let mut let_pass: Vec<(String, usize)> = Vec::new();
    for fact in items.iter().filter_map(|item| accepted_on_point(dossier, item)) {
        let name = dossier.record.name(fact.by);
        match let_pass.iter_mut().find(|(known, _)| *known == name) {
            Some((_, count)) => *count += 1,
            None => let_pass.push((name, 1)),
        }
    }
    for (name, count) in &let_pass {
        say(*count, &format!("not shown, accepted on the point value by {name}"));
    }
    let accepted: usize = let_pass.iter().map(|(_, count)| count).sum();
    say(with(Some(Answer::NotShown)).saturating_sub(accepted), "not shown");
    say(with(Some(Answer::Failed)), "failed");
    say(with(None), "open");
    say(with(Some(Answer::NotApplicable)), "not applicable");
    format!("Of {}: {}.", items.len(), said.join(", "))
}
