//! The command line and the environment: the one place where settings are read.

use std::path::PathBuf;

use axum::http::Uri;
use clap::builder::PossibleValuesParser;
use clap::{Args, Parser, Subcommand};

use crate::app::Failure;
use crate::app::calc::CalcOptions;
use crate::people::model::{Role, SessionRules};

/// Keeps the commissioning record of FM transmitter sites.
#[derive(Debug, Parser)]
#[command(name = "standmast", version, about, propagate_version = true)]
pub struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// What the program does.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Serve the record of a data folder to browsers
    Serve(ServeOptions),
    /// Make an invented region in ./standmast-demo, afresh each time, and serve it
    Demo(DemoOptions),
    /// Keep accounts from the command line, also beside a running server
    #[command(subcommand)]
    People(PeopleCommand),
    /// Reckon with the record's own formulas
    Calc(CalcOptions),
}

/// Where the record is.
#[derive(Debug, Clone, Args)]
pub struct FolderOption {
    /// The data folder; made if need be
    #[arg(long, env = "STANDMAST_DATA", default_value = "./standmast-data", value_name = "DIR")]
    pub data: PathBuf,
}

/// Where the server listens and what it logs.
#[derive(Debug, Clone, Args)]
pub struct ListenOptions {
    /// Address and port to listen on
    #[arg(long, env = "STANDMAST_LISTEN", default_value = "127.0.0.1:8460", value_name = "ADDR")]
    pub listen: String,
    /// What to log on standard error: a level, or levels by module
    #[arg(
        long,
        env = "STANDMAST_LOG",
        default_value = "warn,standmast=info",
        value_name = "FILTER"
    )]
    pub log: String,
}

/// Settings of the server.
#[derive(Debug, Clone, Args)]
pub struct ServeOptions {
    /// Where the record is.
    #[command(flatten)]
    pub folder: FolderOption,
    /// Where to listen.
    #[command(flatten)]
    pub listen: ListenOptions,
    /// The address people type, when a proxy stands before the server; with https cookies are Secure
    #[arg(long, env = "STANDMAST_PUBLIC_URL", value_name = "URL")]
    pub public_url: Option<String>,
    /// Sign somebody out after so many hours without a request, 1 to 336
    #[arg(
        long,
        env = "STANDMAST_IDLE_HOURS",
        default_value_t = 12,
        value_name = "N",
        value_parser = clap::value_parser!(i64).range(1..=336)
    )]
    pub idle_hours: i64,
}

/// Settings of the demo.
#[derive(Debug, Clone, Args)]
pub struct DemoOptions {
    /// Where to listen.
    #[command(flatten)]
    pub listen: ListenOptions,
}

/// What is done with accounts.
#[derive(Debug, Subcommand)]
pub enum PeopleCommand {
    /// Add a person; the password is read from standard input, one line
    Add(AddOptions),
    /// List everybody
    List(FolderOption),
    /// Close somebody's account and end all its sessions
    Disable(LoginOptions),
    /// Set somebody a new password, read from standard input, one line
    Reset(LoginOptions),
}

/// A person to add.
#[derive(Debug, Args)]
pub struct AddOptions {
    /// Where the record is.
    #[command(flatten)]
    pub folder: FolderOption,
    /// What the person types to sign in
    #[arg(long)]
    pub login: String,
    /// The person's name, as reports print it
    #[arg(long)]
    pub name: String,
    /// The person's firm
    #[arg(long)]
    pub firm: String,
    /// What the person does here
    #[arg(long, value_parser = PossibleValuesParser::new(Role::ALL.map(Role::word)))]
    pub role: String,
}

/// Somebody who has an account.
#[derive(Debug, Args)]
pub struct LoginOptions {
    /// Where the record is.
    #[command(flatten)]
    pub folder: FolderOption,
    /// What the person types to sign in
    pub login: String,
}

impl ServeOptions {
    /// How long sessions last.
    #[must_use]
    pub fn sessions(&self) -> SessionRules {
        SessionRules { idle_seconds: self.idle_hours * 3600, ..SessionRules::default() }
    }

    /// The public address as browsers name it in `Origin`: scheme and host in lower case, no slash at
    /// the end, no port that goes without saying. `None` when none is set.
    ///
    /// # Errors
    /// [`Failure::Setting`].
    pub fn public_origin(&self) -> Result<Option<String>, Failure> {
        let Some(text) = self.public_url.as_deref().map(str::trim).filter(|t| !t.is_empty()) else {
            return Ok(None);
        };
        let refused = |why: &str| Failure::Setting {
            setting: "--public-url",
            why: format!("“{text}” {why}; write it as https://records.example.org"),
        };
        let uri: Uri = text.parse().map_err(|_| refused("is not an address"))?;
        let scheme = match uri.scheme_str() {
            Some(scheme @ ("http" | "https")) => scheme,
            _ => return Err(refused("does not begin with http:// or https://")),
        };
        let authority = uri.authority().ok_or_else(|| refused("names no host"))?;
        if authority.as_str().contains('@') || authority.host().is_empty() {
            return Err(refused("names no plain host"));
        }
        if !matches!(uri.path(), "" | "/") || uri.query().is_some() || text.contains('#') {
            return Err(refused("has a path; the record lives at the top of its host"));
        }
        let usual = if scheme == "https" { 443 } else { 80 };
        let host = authority.host().to_ascii_lowercase();
        Ok(Some(match authority.port_u16() {
            Some(port) if port != usual => format!("{scheme}://{host}:{port}"),
            _ => format!("{scheme}://{host}"),
        }))
    }
}

#[cfg(test)]
mod tests {
    use clap::{CommandFactory, Parser};

    use super::{Cli, Command, ServeOptions};
    use crate::people::model::SessionRules;

    fn serve(arguments: &[&str]) -> ServeOptions {
        let line = ["standmast", "serve"].iter().chain(arguments);
        match Cli::try_parse_from(line).unwrap().command {
            Command::Serve(options) => options,
            Command::Demo(_) | Command::People(_) | Command::Calc(_) => {
                panic!("serve was asked for")
            }
        }
    }

    #[test]
    fn the_command_line_is_sound() {
        Cli::command().debug_assert();
    }

    #[test]
    fn sessions_end_after_twelve_hours_or_as_many_as_are_set() {
        assert_eq!(serve(&[]).sessions(), SessionRules::default());
        assert_eq!(serve(&["--idle-hours", "8"]).sessions().idle_seconds, 8 * 3600);
        for wrong in ["0", "337", "-1", "soon"] {
            let line = ["standmast", "serve", "--idle-hours", wrong];
            assert!(Cli::try_parse_from(line).is_err(), "{wrong}");
        }
    }

    #[test]
    fn the_public_address_is_written_as_browsers_write_an_origin() {
        let origin = |url: &str| serve(&["--public-url", url]).public_origin();
        for (given, wanted) in [
            ("https://records.example.org", "https://records.example.org"),
            ("https://Records.Example.org:443/", "https://records.example.org"),
            ("http://127.0.0.1:8460", "http://127.0.0.1:8460"),
            ("http://[::1]:8460/", "http://[::1]:8460"),
        ] {
            assert_eq!(origin(given).unwrap().as_deref(), Some(wanted));
        }
        assert_eq!(origin("").unwrap(), None);
        for wrong in
            ["records.example.org", "ftp://x", "https://", "https://x/record", "a b", "https://u@x"]
        {
            let message = origin(wrong).unwrap_err().to_string();
            assert!(message.contains("--public-url") && !message.contains('\n'), "{message}");
        }
    }
}
