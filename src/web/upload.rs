//! A form with files: each file is written to the disk under a temporary name as it arrives, so that a
//! slow connection holds no memory, and is gone again unless its form is taken.

use std::time::Duration;

use axum::body::Bytes;
use axum::extract::multipart::{Field, MultipartError};
use axum::extract::{FromRequest, Multipart, Request};
use axum::http::{StatusCode, header};
use tokio::task::spawn_blocking;
use tokio::time::timeout;

use crate::db::Incoming;
use crate::journal::hex;
use crate::photos::model::{LARGEST_BYTES, MOST_FILES};
use crate::web::{AppState, PageError, Sent};

/// The longest text of all fields together, bytes.
const TEXT_BYTES: usize = 64 * 1024;

/// The most that a form with files may hold, bytes: all files at their largest, and its text.
pub const UPLOAD_BYTES: usize = MOST_FILES * 12 * 1024 * 1024 + 256 * 1024;
const _: () = assert!(UPLOAD_BYTES as u64 > MOST_FILES as u64 * LARGEST_BYTES);

/// A sender who is silent for longer has gone.
const SILENCE: Duration = Duration::from_secs(30);

/// So much is gathered before it is written.
const GATHERED_BYTES: usize = 256 * 1024;

/// A form as it came in, with its files.
#[derive(Debug)]
pub struct Upload {
    /// Its fields; what was sent is told from a contradiction by the files too.
    pub sent: Sent,
    /// Its files in the order in which they came.
    pub files: Vec<Uploaded>,
}

/// A file of a form.
#[derive(Debug)]
pub struct Uploaded {
    /// What came of it.
    pub incoming: Incoming,
    /// Whether it had more bytes than are taken; the rest was let go.
    pub too_large: bool,
}

const NOT_WHOLE: PageError = PageError::BadRequest(
    "The form and its files did not arrive whole. Nothing was saved. Send it again when the signal is better.",
);

fn unread(error: &MultipartError) -> PageError {
    match error.status() {
        StatusCode::PAYLOAD_TOO_LARGE => PageError::TooLarge,
        _ => NOT_WHOLE,
    }
}

fn disk(error: &dyn std::fmt::Display) -> PageError {
    PageError::Internal(format!("a file that came in could not be written: {error}"))
}

impl FromRequest<AppState> for Upload {
    type Rejection = PageError;

    async fn from_request(request: Request, app: &AppState) -> Result<Self, PageError> {
        let kind = request.headers().get(header::CONTENT_TYPE);
        let with_files =
            kind.is_some_and(|kind| kind.as_bytes().starts_with(b"multipart/form-data"));
        if !with_files {
            return Ok(Self { sent: Sent::from_request(request, app).await?, files: Vec::new() });
        }
        let path = request.uri().path().to_owned();
        let form = Multipart::from_request(request, app).await;
        let form = form
            .map_err(|_| PageError::BadRequest("The form could not be read. Nothing was saved."))?;
        read(app, &path, form).await
    }
}

async fn read(app: &AppState, path: &str, mut form: Multipart) -> Result<Upload, PageError> {
    let mut values = Vec::new();
    let mut files = Vec::new();
    let mut text_bytes = 0;
    while let Some(field) = heard(form.next_field()).await? {
        let name = field.name().unwrap_or_default().to_owned();
        match field.file_name().map(str::to_owned) {
            None => {
                let text = text_of(field, &mut text_bytes).await?;
                values.push((name, text));
            }
            // A field in which no file was chosen comes without a name and without bytes.
            Some(file_name) => {
                if files.len() == MOST_FILES {
                    return Err(PageError::TooLarge);
                }
                let file = file_of(app, field).await?;
                if !(file_name.is_empty() && file.incoming.bytes() == 0) {
                    files.push(file);
                }
            }
        }
    }
    let digests: Vec<String> = files.iter().map(|file| hex(&file.incoming.digest())).collect();
    Ok(Upload { sent: Sent::of(path, values, &digests)?, files })
}

/// What the sender says next, if it is not silent for too long.
async fn heard<T>(said: impl Future<Output = Result<T, MultipartError>>) -> Result<T, PageError> {
    match timeout(SILENCE, said).await {
        Ok(heard) => heard.map_err(|error| unread(&error)),
        Err(_) => Err(NOT_WHOLE),
    }
}

async fn text_of(mut field: Field<'_>, total: &mut usize) -> Result<String, PageError> {
    let mut bytes = Vec::new();
    while let Some(chunk) = heard(field.chunk()).await? {
        *total += chunk.len();
        if *total > TEXT_BYTES {
            return Err(PageError::TooLarge);
        }
        bytes.extend_from_slice(&chunk);
    }
    let unreadable = "The form's text could not be read. Nothing was saved.";
    String::from_utf8(bytes).map_err(|_| PageError::BadRequest(unreadable))
}

async fn file_of(app: &AppState, mut field: Field<'_>) -> Result<Uploaded, PageError> {
    let (files, name) = (app.photos.files().clone(), app.clock.uuid());
    let begun = spawn_blocking(move || files.incoming(name)).await;
    let mut incoming = begun.map_err(|error| disk(&error))?.map_err(|error| disk(&error))?;
    let (mut gathered, mut gathered_bytes): (Vec<Bytes>, usize) = (Vec::new(), 0);
    let mut too_large = false;
    while let Some(chunk) = heard(field.chunk()).await? {
        let bytes = u64::try_from(gathered_bytes + chunk.len()).unwrap_or(u64::MAX);
        too_large |= incoming.bytes().saturating_add(bytes) > LARGEST_BYTES;
        // The rest is read and let go: a browser that is cut off shows no answer at all.
        if too_large {
            continue;
        }
        gathered_bytes += chunk.len();
        gathered.push(chunk);
        if gathered_bytes >= GATHERED_BYTES {
            incoming = written(incoming, std::mem::take(&mut gathered)).await?;
            gathered_bytes = 0;
        }
    }
    incoming = written(incoming, gathered).await?;
    Ok(Uploaded { incoming, too_large })
}

async fn written(mut incoming: Incoming, chunks: Vec<Bytes>) -> Result<Incoming, PageError> {
    let done = spawn_blocking(move || {
        for chunk in &chunks {
            incoming.write(chunk)?;
        }
        Ok::<_, std::io::Error>(incoming)
    });
    done.await.map_err(|error| disk(&error))?.map_err(|error| disk(&error))
}
