//! Accounts at the command line, beside a running server or without one.

use std::io::{IsTerminal, Write};
use std::path::Path;

use crate::app::config::{AddOptions, LoginOptions, PeopleCommand};
use crate::app::{Failure, say, say_table};
use crate::clock::Clock;
use crate::db::DataFolder;
use crate::people::acts;
use crate::people::form;
use crate::people::model::{Person, Role};
use crate::people::password::{self, Passwords};
use crate::people::store;
use crate::web::Fields;

/// Does what is asked.
pub(super) async fn run(command: PeopleCommand) -> Result<(), Failure> {
    let clock = Clock::System;
    match command {
        PeopleCommand::Add(options) => add(&clock, &options).await,
        PeopleCommand::List(folder) => list(&clock, &folder.data).await,
        PeopleCommand::Disable(options) => disable(&clock, &options).await,
        PeopleCommand::Reset(options) => reset(&clock, &options).await,
    }
}

/// Opens a folder that holds a record already: a mistyped name must not make a new one.
async fn open(path: &Path, clock: &Clock) -> Result<DataFolder, Failure> {
    if !path.join("standmast.db").is_file() {
        return Err(Failure::NoRecord(path.to_owned()));
    }
    Ok(DataFolder::open_beside(path, clock).await?)
}

/// The password: the first line of standard input, without its end.
fn password_line() -> Result<String, Failure> {
    let input = std::io::stdin();
    if input.is_terminal() {
        // A question only helps; without it the line is read all the same.
        let _ = write!(std::io::stderr().lock(), "Password (shown while you type): ");
    }
    let mut line = String::new();
    input.read_line(&mut line).map_err(Failure::Input)?;
    let password = line.trim_end_matches(['\n', '\r']).to_owned();
    match password::check(&password) {
        Ok(()) => Ok(password),
        Err(message) => Err(Failure::Typed { field: "password".to_owned(), message }),
    }
}

async fn add(clock: &Clock, options: &AddOptions) -> Result<(), Failure> {
    let fields = Fields::empty(clock)
        .with("login", &options.login)
        .with("name", &options.name)
        .with("firm", &options.firm)
        .with("role", &options.role);
    let draft = form::draft(&fields).map_err(|refused| {
        let (field, message) = refused.errors().first().cloned().unwrap_or_default();
        Failure::Typed { field: format!("--{field}"), message }
    })?;
    let hash = Passwords::default().hash(password_line()?).await?;
    let folder = DataFolder::open_beside(&options.folder.data, clock).await?;
    let outcome = acts::add_by_operator(&folder.writer, clock, &draft, &hash).await;
    folder.close().await;
    outcome?;
    say(&format!("{} added: {}, {}, {}", draft.login, draft.name, draft.firm, draft.role.word()))
}

async fn list(clock: &Clock, path: &Path) -> Result<(), Failure> {
    let folder = open(path, clock).await?;
    let mut snapshot = folder.reads.snapshot().await?;
    let people = store::list(snapshot.conn()).await?;
    drop(snapshot);
    folder.close().await;
    let mut rows = vec![["LOGIN", "NAME", "FIRM", "ROLE", "ACCOUNT"].map(str::to_owned)];
    rows.extend(people.iter().map(|person| {
        let account = if person.disabled { "closed" } else { "open" };
        [&person.login, &person.name, &person.firm, person.role.word(), account]
            .map(ToString::to_string)
    }));
    say_table(&rows)
}

async fn find(folder: &DataFolder, login: &str) -> Result<Person, Failure> {
    let mut snapshot = folder.reads.snapshot().await?;
    let person = store::find_login(snapshot.conn(), login.trim()).await?;
    person.ok_or_else(|| Failure::NoPerson(login.to_owned()))
}

async fn disable(clock: &Clock, options: &LoginOptions) -> Result<(), Failure> {
    let folder = open(&options.folder.data, clock).await?;
    let person = find(&folder, &options.login).await?;
    acts::disable_by_operator(&folder.writer, clock, &person).await?;
    let mut snapshot = folder.reads.snapshot().await?;
    let managers = store::other_managers(snapshot.conn(), person.id).await?;
    drop(snapshot);
    folder.close().await;
    say(&format!("{} can no longer sign in", person.login))?;
    if person.role == Role::Manager && managers == 0 {
        say("no manager can sign in now; add one with: standmast people add --role manager")?;
    }
    Ok(())
}

async fn reset(clock: &Clock, options: &LoginOptions) -> Result<(), Failure> {
    let folder = open(&options.folder.data, clock).await?;
    let person = find(&folder, &options.login).await?;
    let hash = Passwords::default().hash(password_line()?).await?;
    acts::reset_by_operator(&folder.writer, clock, &person, &hash).await?;
    folder.close().await;
    let closed = if person.disabled { "; the account itself is still closed" } else { "" };
    say(&format!("{} has a new password, and all sessions have ended{closed}", person.login))
}
