//! `standmast calc`: the arithmetic of the record on the command line, by the same functions.
//! Bad input is told in one line on standard error with exit code 2, and nothing on standard output.

mod answer;
mod files;
mod ground;
mod line;
mod options;
mod radio;

pub use options::{CalcCommand, CalcOptions};

use std::io::Write;
use std::process::ExitCode;

use answer::Answer;

/// Bad input: what was wrong, in one line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadInput(String);

impl BadInput {
    fn because(error: impl std::fmt::Display) -> Self {
        Self(error.to_string())
    }
}

/// Exit code for input that cannot be used, as that of a wrong option.
const BAD_INPUT: u8 = 2;

/// Reckons what was asked and tells it; gives the exit code.
#[must_use]
pub fn run(options: &CalcOptions) -> ExitCode {
    match reckon(&options.command) {
        Ok(answer) => tell(&answer, options.json),
        Err(BadInput(why)) => refuse(&why),
    }
}

/// Tells in one line why a command line cannot be used.
#[must_use]
pub fn refuse(why: &str) -> ExitCode {
    let line = why.split_whitespace().collect::<Vec<_>>().join(" ");
    // With nowhere to write to, the exit code still tells.
    let _ = writeln!(std::io::stderr().lock(), "standmast: {line}");
    ExitCode::from(BAD_INPUT)
}

fn tell(answer: &Answer, json: bool) -> ExitCode {
    let text = if json { answer.json() } else { answer.table() };
    let mut out = std::io::stdout().lock();
    match writeln!(out, "{text}").and_then(|()| out.flush()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(_) => ExitCode::FAILURE,
    }
}

fn reckon(command: &CalcCommand) -> Result<Answer, BadInput> {
    match command {
        CalcCommand::Element(asked) => radio::element(asked),
        CalcCommand::Reflection(asked) => line::reflection(asked),
        CalcCommand::AntennaInput(asked) => line::antenna_input(asked),
        CalcCommand::Line(asked) => line::line(asked),
        CalcCommand::Meter(asked) => line::meter(asked),
        CalcCommand::Power(asked) => Ok(radio::power(asked)),
        CalcCommand::Exposure(asked) => radio::exposure(asked),
        CalcCommand::Rod(asked) => ground::rod(asked),
        CalcCommand::Soil(asked) => Ok(ground::soil(asked)),
        CalcCommand::FallOfPotential(asked) => Ok(ground::fall_of_potential(asked)),
        CalcCommand::Arrester(asked) => Ok(line::arrester(asked)),
        CalcCommand::Sweep(asked) => files::sweep(asked),
        CalcCommand::Fault(asked) => files::fault(asked),
        CalcCommand::Trend(asked) => files::trend(asked),
    }
}
