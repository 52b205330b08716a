//! The server: opens the data folder, listens, and stops in order.

use std::net::SocketAddr;
use std::path::Path;
use std::time::Duration;

use tokio::net::TcpListener;
use tokio::signal::unix::{Signal, SignalKind, signal};
use tokio::sync::watch;
use tokio::time::{sleep, timeout};
use tracing_subscriber::EnvFilter;

use crate::app::config::ServeOptions;
use crate::app::router::router;
use crate::app::{Failure, say};
use crate::clock::Clock;
use crate::db::DataFolder;
use crate::people::acts::Token;
use crate::people::store;
use crate::profiles;
use crate::web::AppState;

/// Requests in flight get so long to finish once the server is told to stop.
const LAST_REQUESTS: Duration = Duration::from_secs(10);

/// The database gets so long to fold its log into the one file; it loses nothing without.
const LAST_WRITES: Duration = Duration::from_secs(5);

/// Serves the record of a data folder until the machine says stop.
///
/// # Errors
/// [`Failure`], one line each.
pub async fn serve(options: ServeOptions) -> Result<(), Failure> {
    log_to_stderr(&options.listen.log)?;
    let public_url = options.public_origin()?;
    let clock = Clock::System;
    let folder = open_record(&options.folder.data, &clock).await?;
    let (reads, writer) = (folder.reads.clone(), folder.writer.clone());
    let app = AppState::new(reads, writer, folder.files.clone(), clock, public_url)
        .with_sessions(options.sessions());
    let listener = Listener::bind(&options.listen.listen).await?;
    let address = app.public_url.clone().unwrap_or_else(|| listener.address());
    if let Some(secret) = open_set_up(&app).await? {
        say(&format!("Nobody has an account yet. Set the record up at {address}/set-up/{secret}"))?;
    }
    say(&format!("standmast serves {} at {address}", folder.path().display()))?;
    listener.run(folder, app).await
}

/// Opens a data folder for a server. What the program itself brings into a record, its built-in profiles,
/// is written here, before anybody is served.
///
/// # Errors
/// [`Failure::Folder`], [`Failure::Act`].
pub async fn open_record(path: &Path, clock: &Clock) -> Result<DataFolder, Failure> {
    let folder = DataFolder::open_locked(path, clock).await?;
    profiles::acts::seed(&folder.writer, clock).await?;
    Ok(folder)
}

/// Sends the log to standard error.
///
/// # Errors
/// [`Failure::Setting`] when the filter cannot be read.
pub fn log_to_stderr(filter: &str) -> Result<(), Failure> {
    let filter = EnvFilter::try_new(filter).map_err(|error| Failure::Setting {
        setting: "--log",
        why: format!("“{filter}”: {error}; write a level such as info, or warn,standmast=debug"),
    })?;
    // A process has one log: where there is one already, it stays.
    let _ = tracing_subscriber::fmt()
        .with_env_filter(filter)
        .with_writer(std::io::stderr)
        .with_ansi(false)
        .try_init();
    Ok(())
}

/// Opens the one-time set-up, as long as nobody has an account; gives its secret.
async fn open_set_up(app: &AppState) -> Result<Option<String>, Failure> {
    let mut snapshot = app.snapshot().await?;
    if store::any(snapshot.conn()).await? {
        return Ok(None);
    }
    let secret = Token::new()?.text().to_owned();
    app.set_set_up(Some(secret.clone()));
    Ok(Some(secret))
}

/// A port that is taken, with the signals that end the server.
#[derive(Debug)]
pub struct Listener {
    socket: TcpListener,
    local: SocketAddr,
    stop: Stop,
}

/// The signals that mean stop: what a service manager sends, and Ctrl-C.
#[derive(Debug)]
struct Stop {
    terminate: Signal,
    interrupt: Signal,
}

impl Stop {
    fn listen() -> Result<Self, Failure> {
        Ok(Self {
            terminate: signal(SignalKind::terminate()).map_err(Failure::Machine)?,
            interrupt: signal(SignalKind::interrupt()).map_err(Failure::Machine)?,
        })
    }

    async fn asked(&mut self) {
        tokio::select! {
            _ = self.terminate.recv() => {}
            _ = self.interrupt.recv() => {}
        }
    }
}

impl Listener {
    /// Takes the port.
    ///
    /// # Errors
    /// [`Failure::Listen`], [`Failure::Machine`].
    pub async fn bind(address: &str) -> Result<Self, Failure> {
        let refused = |error| Failure::Listen { address: address.to_owned(), error };
        let socket = TcpListener::bind(address).await.map_err(refused)?;
        let local = socket.local_addr().map_err(refused)?;
        Ok(Self { socket, local, stop: Stop::listen()? })
    }

    /// The address to type into a browser on this machine.
    #[must_use]
    pub fn address(&self) -> String {
        if self.local.ip().is_unspecified() {
            format!("http://localhost:{}", self.local.port())
        } else {
            format!("http://{}", self.local)
        }
    }

    /// Serves until a signal says stop; then takes no more connections, lets requests in flight
    /// finish and closes the folder. A second signal does not wait for them.
    ///
    /// # Errors
    /// [`Failure::Server`].
    pub async fn run(self, folder: DataFolder, app: AppState) -> Result<(), Failure> {
        let Self { socket, mut stop, .. } = self;
        let (tell, mut told) = watch::channel(());
        let service = router(app).into_make_service_with_connect_info::<SocketAddr>();
        let server = axum::serve(socket, service).with_graceful_shutdown(async move {
            // Both a message and the end of the sender mean stop.
            let _ = told.changed().await;
        });
        let stopping = async move {
            stop.asked().await;
            tracing::info!("stopping: requests in flight may finish");
            drop(tell);
            tokio::select! {
                () = sleep(LAST_REQUESTS) => tracing::warn!("some requests did not finish in time"),
                () = stop.asked() => tracing::warn!("stopped without waiting"),
            }
        };
        let outcome = tokio::select! {
            outcome = server => outcome.map_err(Failure::Server),
            () = stopping => Ok(()),
        };
        if timeout(LAST_WRITES, folder.close()).await.is_err() {
            tracing::warn!("the database was still in use; its log is folded in at the next start");
        }
        outcome
    }
}
