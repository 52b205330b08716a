//! The story of the invented region: who does what on which day, as plain data beside this file. Days
//! count back from today, so that calibrations have always run out, or not, as they are meant to.

use std::collections::BTreeMap;

use serde::Deserialize;

use crate::clock::{Utc, Zone};
use crate::web::Fields;

const PEOPLE: &str = include_str!("people.toml");
const TERN_RIDGE: &str = include_str!("tern-ridge.toml");
const ALDER_KNOLL: &str = include_str!("alder-knoll.toml");
const GULL_HEAD: &str = include_str!("gull-head.toml");

const DAY_SECONDS: i64 = 24 * 3600;

/// What somebody does: the acts of the pages.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum Deed {
    AddInstrument,
    AddSite,
    AddAssignment,
    /// `of` is the sign-in name of whoever is granted the site.
    Grant,
    OpenJob,
    ReviseChain,
    /// `of` is the item.
    Answer,
    SetUpStand,
    RecordTrial,
    /// `of` is the number of the trial.
    CorrectTrial,
    /// `of` is the number of the trial.
    ChooseTrial,
    /// `of` is the stage.
    Release,
    RecordReading,
    Declare,
    Accept,
}

/// One thing that somebody does at one time, with what is typed into the form.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Step {
    /// Days before today and the time on the site's clock: `21 09:40`.
    when: String,
    /// The sign-in name of whoever does it.
    pub(super) who: String,
    /// What is done.
    pub(super) does: Deed,
    /// Upon what it is done, where the deed needs it.
    #[serde(default)]
    pub(super) of: String,
    /// The fields of the form. A value that begins with `today-21` holds the date of that day.
    #[serde(default)]
    form: BTreeMap<String, String>,
    #[serde(skip)]
    pub(super) site: String,
}

/// A step at its instant.
#[derive(Debug)]
pub(super) struct Timed {
    pub(super) at: Utc,
    pub(super) step: Step,
    zone: Zone,
    now: Utc,
}

/// Somebody who has an account.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Member {
    pub(super) login: String,
    pub(super) name: String,
    pub(super) firm: String,
    pub(super) role: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Page {
    #[serde(default)]
    person: Vec<Member>,
    /// The code of the site.
    site: String,
    /// The zone whose clock the steps are told by.
    zone: String,
    step: Vec<Step>,
}

/// The people, and everything that happens, in the order in which it happens.
#[derive(Debug)]
pub(super) struct Story {
    pub(super) people: Vec<Member>,
    pub(super) steps: Vec<Timed>,
}

impl Story {
    /// The story that ends yesterday.
    ///
    /// # Errors
    /// What cannot be read.
    pub(super) fn until(now: Utc) -> Result<Self, String> {
        let mut story = Self { people: Vec::new(), steps: Vec::new() };
        for text in [PEOPLE, TERN_RIDGE, ALDER_KNOLL, GULL_HEAD] {
            let page: Page = toml::from_str(text).map_err(|error| error.to_string())?;
            let zone = Zone::parse(&page.zone)?;
            story.people.extend(page.person);
            for step in page.step {
                let step = Step { site: page.site.clone(), ..step };
                story.steps.push(Timed::new(step, &zone, now)?);
            }
        }
        // Stable: what happens at one time happens in the order in which it is told.
        story.steps.sort_by_key(|timed| timed.at);
        Ok(story)
    }
}

/// The date so many days before today, in the zone.
fn date_before(now: Utc, days: i64, zone: &Zone) -> String {
    now.plus_seconds(-days * DAY_SECONDS).date_in(zone).to_string()
}

impl Timed {
    fn new(step: Step, zone: &Zone, now: Utc) -> Result<Self, String> {
        let told = || format!("“{}” is not days and a time", step.when);
        let (days, time) = step.when.split_once(' ').ok_or_else(told)?;
        let days = days.parse().map_err(|_| told())?;
        let at = zone.parse_local(&format!("{}T{time}", date_before(now, days, zone)))?.at;
        Ok(Self { at, step, zone: zone.clone(), now })
    }

    /// The form as it is sent at that time. What it was begun with stays, whatever the step says.
    pub(super) fn fields(&self, begun: Fields) -> Fields {
        let sent = self.step.form.iter();
        sent.fold(begun, |fields, (name, value)| fields.with(name, self.dated(value)))
    }

    /// What the step sends, for the act's digest.
    pub(super) fn content(&self) -> (&str, &BTreeMap<String, String>) {
        (&self.step.of, &self.step.form)
    }

    /// A value with its day written out.
    fn dated(&self, value: &str) -> String {
        let Some(rest) = value.strip_prefix("today") else { return value.to_owned() };
        let end = rest.find(' ').unwrap_or(rest.len());
        let (days, after) = rest.split_at(end);
        match days.parse::<i64>() {
            Ok(days) => format!("{}{after}", date_before(self.now, -days, &self.zone)),
            Err(_) => value.to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Deed, Story};
    use crate::clock::{Clock, Date, Utc};
    use crate::web::Fields;

    #[test]
    fn the_story_can_be_read_and_ends_before_it_is_told() {
        let now = Utc::from_seconds(1_930_000_000);
        let story = Story::until(now).unwrap();
        assert_eq!(story.people.len(), 5);
        assert!(story.steps.windows(2).all(|pair| pair[0].at <= pair[1].at));
        assert!(story.steps.last().unwrap().at < now);
    }

    #[test]
    fn days_in_forms_are_written_out() {
        let now = Utc::from_seconds(1_930_000_000);
        let story = Story::until(now).unwrap();
        let clock = Clock::held(now);
        let added = story.steps.iter().find(|timed| timed.step.does == Deed::AddInstrument);
        let fields = added.unwrap().fields(Fields::empty(&clock));
        let due = Date::parse(fields.value("due_on")).unwrap();
        assert_eq!(due.days_until(Date::parse("2031-02-27").unwrap()), -117);
    }
}
