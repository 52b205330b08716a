//! Why the program ends: one line each, that says what to do.

use std::io;
use std::path::PathBuf;

use crate::db::{FolderError, StoreError};
use crate::journal::ActError;
use crate::people::password::PasswordError;

/// Why the program cannot do what the command line asks.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// The data folder.
    #[error(transparent)]
    Folder(#[from] FolderError),
    /// A command that needs a record found none.
    #[error(
        "there is no record in {0}; name its folder with --data, or start one with: standmast serve --data {0}"
    )]
    NoRecord(PathBuf),
    /// Something else is where the demo's folder goes.
    #[error(
        "{0} was not made by standmast demo; move it away, or give the command in another folder"
    )]
    NotADemo(PathBuf),
    /// A former demo is still served.
    #[error("the demo in {0} is still running; stop it first")]
    DemoInUse(PathBuf),
    /// A step of the demo's story was refused.
    #[error("the demo could not be made: {step}: {why}")]
    Story {
        /// Which step.
        step: String,
        /// What was told.
        why: String,
    },
    /// The port.
    #[error(
        "cannot listen on {address}: {error}; stop what uses it, or choose another address and port with --listen"
    )]
    Listen {
        /// What was asked for.
        address: String,
        /// The machine's answer.
        error: io::Error,
    },
    /// A setting that cannot be used.
    #[error("{setting} cannot be used: {why}")]
    Setting {
        /// Its name.
        setting: &'static str,
        /// What is wrong with it, and what it should look like.
        why: String,
    },
    /// What was typed for a person.
    #[error("{field}: {message}")]
    Typed {
        /// The option.
        field: String,
        /// The sentence.
        message: String,
    },
    /// Nobody has this sign-in name.
    #[error("nobody signs in as “{0}”; see: standmast people list")]
    NoPerson(String),
    /// The journal refused.
    #[error("{0}; nothing was changed")]
    Act(#[from] ActError),
    /// The database.
    #[error("{0}; nothing was changed")]
    Store(#[from] StoreError),
    /// Hashing.
    #[error("{0}; nothing was changed")]
    Password(#[from] PasswordError),
    /// No password came.
    #[error("cannot read the password from standard input: {0}; give it as one line")]
    Input(io::Error),
    /// Nobody reads what the command says.
    #[error("cannot write the answer: {0}")]
    Output(io::Error),
    /// The machine gave no threads or no signals.
    #[error("the machine refused what the program needs: {0}")]
    Machine(io::Error),
    /// The server stopped by itself.
    #[error("the server stopped: {0}")]
    Server(io::Error),
}
