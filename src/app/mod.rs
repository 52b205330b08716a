//! The program: its command line, its settings, its router, and the server that runs them.

mod accounts;
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

use crate::app::config::{Cli, Command};

/// How long blocking work (a password's hash, a report) may hold up the end of the program.
const LAST_WORK: Duration = Duration::from_secs(2);

/// Does what the command line asks; what goes wrong is told in one line.
#[must_use]
pub fn run() -> ExitCode {
    match begin(Cli::parse()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            // With nowhere to write to, the exit code still tells.
            let _ = writeln!(std::io::stderr().lock(), "standmast: {failure}");
            ExitCode::FAILURE
        }
    }
}

fn begin(cli: Cli) -> Result<(), Failure> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .map_err(Failure::Machine)?;
    let outcome = runtime.block_on(async {
        match cli.command {
            Command::Serve(options) => serve::serve(options).await,
            Command::Demo(options) => demo::run(options).await,
            Command::People(command) => accounts::run(command).await,
        }
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
