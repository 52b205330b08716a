//! The command line: hand over to the program and leave with its exit code.

use std::process::ExitCode;

fn main() -> ExitCode {
    standmast::app::run()
}
