//! The program: its command line, its settings, its router, and the server that runs them.

mod accounts;
pub mod calc;
pub mod config;
pub mod demo;
mod failure;
pub mod router;
pub mod serve;

pub use failure::Failure;

use std::io::Write;
use std::process::ExitCode;
use std::time::Duration;

use clap::Parser;
use clap::error::ErrorKind;

use crate::app::config::{Cli, Command};

/// How long blocking work (a password's hash, a report) may hold up the end of the program.
const LAST_WORK: Duration = Duration::from_secs(2);

/// Does what the command line asks; what goes wrong is told in one line.
#[must_use]
pub fn run() -> ExitCode {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(error) => return not_understood(&error),
    };
    match begin(cli) {
        Ok(code) => code,
        Err(failure) => {
            // With nowhere to write to, the exit code still tells.
            let _ = writeln!(std::io::stderr().lock(), "standmast: {failure}");
            ExitCode::FAILURE
        }
    }
}

/// A command line that cannot be used. Whoever pipes `calc` reads one line; a person gets the usage too.
fn not_understood(error: &clap::Error) -> ExitCode {
    let asks_for_help = matches!(
        error.kind(),
        ErrorKind::DisplayHelp
            | ErrorKind::DisplayVersion
            | ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand
    );
    let of_calc = std::env::args_os().nth(1).is_some_and(|word| word == "calc");
    if asks_for_help || !of_calc {
        // With nowhere to write to, the exit code still tells.
        let _ = error.print();
        return ExitCode::from(u8::try_from(error.exit_code()).unwrap_or(2));
    }
    let text = error.to_string();
    let what = text.split("\n\n").next().unwrap_or_default();
    calc::refuse(what.trim_start_matches("error: "))
}

fn begin(cli: Cli) -> Result<ExitCode, Failure> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .map_err(Failure::Machine)?;
    let outcome = runtime.block_on(async {
        match cli.command {
            Command::Serve(options) => serve::serve(options).await?,
            Command::Demo(options) => demo::run(options).await?,
            Command::People(command) => accounts::run(command).await?,
            Command::Calc(options) => return Ok(calc::run(&options)),
        }
        Ok(ExitCode::SUCCESS)
    });
    runtime.shutdown_timeout(LAST_WORK);
    outcome
}

/// Writes a line for whoever started the program.
///
/// # Errors
/// [`Failure::Output`].
pub fn say(line: &str) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    writeln!(out, "{line}").and_then(|()| out.flush()).map_err(Failure::Output)
}

/// Writes rows as a table, columns as wide as their widest cell.
fn say_table(rows: &[[String; 5]]) -> Result<(), Failure> {
    let width = |column: usize| {
        rows.iter().map(|row| row[column].chars().count()).max().unwrap_or_default()
    };
    let widths = [width(0), width(1), width(2), width(3), width(4)];
    for row in rows {
        let cells: Vec<String> =
            row.iter().zip(widths).map(|(cell, width)| format!("{cell:width$}")).collect();
        say(cells.join("  ").trim_end())?;
    }
    Ok(())
}
