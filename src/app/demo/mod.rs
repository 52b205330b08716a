//! The demo: an invented region with three sites, made afresh each time through the acts that the pages
//! use, and served.

mod folder;
mod jobs;
mod story;
mod teller;

use std::path::Path;

use tokio::task::JoinError;

use crate::app::config::DemoOptions;
use crate::app::demo::story::{Member, Story};
use crate::app::demo::teller::{Stuck, Teller};
use crate::app::serve::{Listener, log_to_stderr, open_record};
use crate::app::{Failure, say, say_table};
use crate::clock::{Clock, Utc};
use crate::db::DataFolder;
use crate::people::password::{self, PasswordError, Passwords};
use crate::web::AppState;

/// Where the demo lives, below the folder in which the command is given.
const FOLDER: &str = "./standmast-demo";

/// The record opens so long before the first thing that happens in it.
const OPENED_BEFORE_SECONDS: i64 = 24 * 3600;

/// A demo account with its password, which exists nowhere else in clear.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Account {
    /// The person's name.
    pub name: String,
    /// What the person does.
    pub role: String,
    /// The person's firm.
    pub firm: String,
    /// What the person types to sign in.
    pub login: String,
    /// The generated password.
    pub password: String,
}

/// A demo that was made.
#[derive(Debug)]
pub struct Demo {
    /// Its data folder, opened and locked.
    pub folder: DataFolder,
    /// Who can sign in, the manager first.
    pub accounts: Vec<Account>,
}

/// Makes the demo and serves it until the machine says stop.
///
/// # Errors
/// [`Failure`], one line each; before the old demo is touched for a folder that is none, that is in use,
/// and for a port that is taken.
pub async fn run(options: DemoOptions) -> Result<(), Failure> {
    log_to_stderr(&options.listen.log)?;
    let listener = Listener::bind(&options.listen.listen).await?;
    let clock = Clock::System;
    let Demo { folder, accounts } = make(Path::new(FOLDER), clock.now()).await?;
    let (reads, writer) = (folder.reads.clone(), folder.writer.clone());
    let app = AppState::new(reads, writer, folder.files.clone(), clock, None);
    say(&format!(
        "The demo is in {FOLDER}, made afresh each time. People, firms and places are invented.\n"
    ))?;
    let mut rows = vec![["NAME", "ROLE", "FIRM", "LOGIN", "PASSWORD"].map(str::to_owned)];
    rows.extend(
        accounts.into_iter().map(|one| [one.name, one.role, one.firm, one.login, one.password]),
    );
    say_table(&rows)?;
    say(&format!("\nstandmast serves the demo at {}; Ctrl-C ends it", listener.address()))?;
    listener.run(folder, app).await
}

/// Makes a demo in a folder, in place of a former demo; its days end before `now`.
///
/// # Errors
/// [`Failure::NotADemo`] for a folder that holds anything else, [`Failure::DemoInUse`],
/// [`Failure::Story`], and whatever the data folder refuses.
pub async fn make(path: &Path, now: Utc) -> Result<Demo, Failure> {
    let story = Story::until(now).map_err(|why| told("the story", why))?;
    let opened = story.steps.first().map_or(now, |first| first.at);
    let accounts = accounts(&story.people)?;
    let hashes = hashes(&accounts).await?;
    folder::fresh(path)?;
    let clock = Clock::held(opened.plus_seconds(-OPENED_BEFORE_SECONDS));
    let folder = open_record(path, &clock).await?;
    let teller = Teller { folder: &folder, clock: &clock, accounts: &accounts };
    let people: Vec<(Member, String)> = story.people.into_iter().zip(hashes).collect();
    teller.add(&people).await.map_err(|Stuck(why)| told("the people", why))?;
    for timed in &story.steps {
        let step = &timed.step;
        teller.tell(timed).await.map_err(|Stuck(why)| {
            told(&format!("{:?} {} {} {}", step.does, step.site, step.of, step.who), why)
        })?;
    }
    Ok(Demo { folder, accounts })
}

fn told(step: &str, why: String) -> Failure {
    Failure::Story { step: step.to_owned(), why }
}

fn accounts(people: &[Member]) -> Result<Vec<Account>, Failure> {
    people
        .iter()
        .map(|member| {
            Ok(Account {
                name: member.name.clone(),
                role: member.role.clone(),
                firm: member.firm.clone(),
                login: member.login.clone(),
                password: password::generated()?,
            })
        })
        .collect()
}

/// The hashes of all passwords, made beside each other: each is a processor's work on purpose.
async fn hashes(accounts: &[Account]) -> Result<Vec<String>, Failure> {
    let passwords = Passwords::default();
    let begun: Vec<_> = accounts
        .iter()
        .map(|account| {
            let (passwords, password) = (passwords.clone(), account.password.clone());
            tokio::spawn(async move { passwords.hash(password).await })
        })
        .collect();
    let mut hashes = Vec::new();
    for one in begun {
        let hash: Result<Result<String, PasswordError>, JoinError> = one.await;
        hashes.push(hash.map_err(|error| told("a password", error.to_string()))??);
    }
    Ok(hashes)
}
