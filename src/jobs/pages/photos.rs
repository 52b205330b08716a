//! Photos: the list with its form, one photo, its file and its thumbnail.

use askama::Template;
use axum::extract::State;
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use uuid::Uuid;

use crate::db::FileError;
use crate::jobs::acts;
use crate::jobs::dossier::Dossier;
use crate::jobs::form;
use crate::jobs::model::{Body, Fact};
use crate::jobs::pages::uploads::{
    NotTaken, choose_again, examined, item_options, kept, part_options, status,
};
use crate::jobs::pages::{
    CheckPath, Head, OriginalPath, PhotoPath, PhotosPath, ThumbnailPath, beside_field, dossier_of,
    may_record, on_job, taken_before,
};
use crate::jobs::words;
use crate::people::permit::{Ability, RecordFacts, See, SitePermit};
use crate::photos::model::{ASKS, MediaType, PROVES, Photo, PhotoFile};
use crate::web::{AppState, Fields, PageError, Shell, Upload, page_with, see_other};

/// A photo among others.
pub(super) struct Plate {
    pub href: String,
    pub thumbnail: String,
    pub caption: String,
    pub place: String,
    pub line: String,
    pub struck: String,
}

/// A photo as a plate.
pub(super) fn plate(dossier: &Dossier, base: &str, fact: &Fact, photo: &Photo) -> Plate {
    let record = &dossier.record;
    let href = format!("{base}/photos/{}", fact.uuid);
    Plate {
        thumbnail: format!("{href}/thumbnail"),
        href,
        caption: photo.caption.clone(),
        place: words::place(record, photo),
        line: format!("{}, {}", fact.measured.shown(), record.name(fact.by)),
        struck: words::struck(record, fact).unwrap_or_default(),
    }
}

/// Every photo of a job, the newest first, struck ones too.
pub(super) fn plates(dossier: &Dossier, base: &str) -> Vec<Plate> {
    let photos = dossier.record.facts.iter().rev().filter_map(|fact| match &fact.body {
        Body::Photo(photo) => Some(plate(dossier, base, fact, photo)),
        _ => None,
    });
    photos.collect()
}

#[derive(Template)]
#[template(path = "jobs/photos.html")]
struct PhotosPage {
    shell: Shell,
    head: Head,
    plates: Vec<Plate>,
    fields: Fields,
    parts: Vec<(String, String)>,
    items: Vec<(String, String)>,
    may_record: bool,
    asks: &'static str,
    proves: &'static str,
}

async fn draw<A: Ability>(
    app: &AppState,
    permit: &SitePermit<A>,
    number: i64,
    refused: Option<Fields>,
) -> Result<Response, PageError> {
    let dossier = dossier_of(app, permit, number).await?;
    let head = Head::of(&dossier);
    let status = status(refused.as_ref());
    let page = PhotosPage {
        shell: Shell::of(permit.person(), "/sites"),
        plates: plates(&dossier, &head.job_href),
        fields: refused.unwrap_or_else(|| Fields::empty(&app.clock)),
        parts: part_options(&dossier.record),
        items: item_options(&dossier.record),
        may_record: may_record(&dossier, permit),
        asks: ASKS,
        proves: PROVES,
        head,
    };
    page_with(status, &page)
}

pub(super) async fn page(
    path: PhotosPath,
    permit: SitePermit<See>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    draw(&app, &permit, path.job, None).await
}

/// Where a form that was sent from a check leads back to.
fn back(path: &PhotosPath, fields: &Fields) -> Result<Response, PageError> {
    let item = fields.value("item").to_owned();
    if fields.value("from") == "check" && !item.is_empty() {
        return see_other(&CheckPath { site: path.site.clone(), job: path.job, item });
    }
    see_other(&PhotosPath { site: path.site.clone(), job: path.job })
}

pub(super) async fn record(
    path: PhotosPath,
    permit: SitePermit<RecordFacts>,
    State(app): State<AppState>,
    upload: Upload,
) -> Result<Response, PageError> {
    let Upload { sent, files } = upload;
    let intent = sent.intent(permit.person().actor(), "photos recorded");
    if taken_before(&app, &intent, &sent.fields).await? {
        return back(&path, &sent.fields);
    }
    let dossier = dossier_of(&app, &permit, path.job).await?;
    let (record, count) = (&dossier.record, files.len());
    let read = form::photo(&sent.fields, record, &record.site.time_zone(), app.clock.now());
    let read = match read {
        Ok(_) if count == 0 => {
            Err(sent.fields.clone().refusing("photos", "take or choose at least one photo"))
        }
        read => read,
    };
    let (draft, moment) = match read {
        Ok(read) => read,
        Err(fields) => {
            return draw(&app, &permit, path.job, Some(choose_again(fields, count))).await;
        }
    };
    let fit = match examined(&app, &dossier, files, &sent.fields).await {
        Ok(fit) => fit,
        Err(NotTaken::Mend(fields)) => return draw(&app, &permit, path.job, Some(fields)).await,
        Err(NotTaken::Page(error)) => return Err(error),
    };
    let photos = kept(&app, &dossier, fit, &draft).await?;
    match acts::record_photos(on_job(&app, &permit, path.job), intent, moment, &photos).await {
        Ok(_) => back(&path, &sent.fields),
        Err(error) => {
            let fields = choose_again(beside_field(error, sent.fields)?, count);
            draw(&app, &permit, path.job, Some(fields)).await
        }
    }
}

#[derive(Template)]
#[template(path = "jobs/photo.html")]
struct PhotoPage {
    shell: Shell,
    head: Head,
    plate: Plate,
    facts: Vec<(String, String)>,
    original: String,
    about_href: String,
    check_href: String,
    entry_href: String,
    file: String,
    mark: &'static str,
    state: &'static str,
    there: bool,
    proves: &'static str,
}

/// The photo that an address names.
fn found(dossier: &Dossier, uuid: Uuid) -> Result<(&Fact, &Photo), PageError> {
    match dossier.record.fact(uuid) {
        Some(fact) => match &fact.body {
            Body::Photo(photo) => Ok((fact, photo)),
            _ => Err(PageError::NotFound),
        },
        None => Err(PageError::NotFound),
    }
}

pub(super) async fn one(
    path: PhotoPath,
    permit: SitePermit<See>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    let dossier = dossier_of(&app, &permit, path.job).await?;
    let (fact, photo) = found(&dossier, path.photo)?;
    let head = Head::of(&dossier);
    let base = &head.job_href;
    let (mark, state) = match app.photos.original(photo.file.clone()).await {
        Ok(_) => ("tick", "unchanged since it was uploaded: the digest was checked just now"),
        Err(FileError::Missing) => ("cross", "the file is missing from the server’s data folder"),
        Err(FileError::Altered) => ("cross", "the file is no longer the one that was uploaded"),
        Err(FileError::Unreadable(_)) => ("ring", "the file cannot be read just now"),
    };
    let snags = &dossier.findings.snags;
    let about = snags.iter().find(|snag| snag.photos.contains(&fact.uuid)).map(|snag| snag.fact);
    let about_href = about.map(|fact| format!("{base}/snags/{fact}")).unwrap_or_default();
    let check_href = photo.item.as_ref().map(|item| format!("{base}/checks/{item}"));
    let page = PhotoPage {
        shell: Shell::of(permit.person(), "/sites"),
        plate: plate(&dossier, base, fact, photo),
        facts: circumstances(&dossier, fact, photo),
        original: format!("{base}/photos/{}/original", fact.uuid),
        about_href,
        check_href: check_href.unwrap_or_default(),
        entry_href: format!("{base}/entries/{}", fact.uuid),
        file: photo.file.shown(),
        there: mark != "cross",
        mark,
        state,
        proves: PROVES,
        head,
    };
    page_with(StatusCode::OK, &page)
}

fn circumstances(dossier: &Dossier, fact: &Fact, photo: &Photo) -> Vec<(String, String)> {
    let record = &dossier.record;
    let zone = record.site.time_zone();
    let stage = photo.stage.map(|stage| stage.shown().to_owned()).unwrap_or_default();
    let digest: Vec<&str> =
        (0..64).step_by(16).filter_map(|at| photo.file.digest.get(at..at + 16)).collect();
    let facts = [
        ("Shows", words::place(record, photo)),
        ("Stage", stage),
        ("Taken, as stated", fact.measured.shown()),
        ("Uploaded", zone.measured(fact.entered_at).shown()),
        ("By", record.name(fact.by)),
        ("File", photo.file.shown()),
        ("SHA-256", digest.join(" ")),
    ];
    let said = facts.into_iter().filter(|(_, value)| !value.is_empty());
    said.map(|(name, value)| (name.to_owned(), value)).collect()
}

/// What never changes under its address: a browser keeps it for its person alone.
fn lasting(
    headers: &HeaderMap,
    digest: &str,
    kind: MediaType,
    name: String,
    bytes: Vec<u8>,
) -> Result<Response, PageError> {
    let tag = format!("\"{digest}\"");
    let text = |text: &str| {
        HeaderValue::from_str(text).map_err(|error| PageError::Internal(error.to_string()))
    };
    let caching = [
        (header::CACHE_CONTROL, HeaderValue::from_static("private, max-age=31536000, immutable")),
        (header::ETAG, text(&tag)?),
    ];
    if headers.get(header::IF_NONE_MATCH).is_some_and(|known| known.as_bytes() == tag.as_bytes()) {
        return Ok((StatusCode::NOT_MODIFIED, caching).into_response());
    }
    let own = [
        (header::CONTENT_TYPE, HeaderValue::from_static(kind.word())),
        (header::CONTENT_DISPOSITION, text(&format!("inline; filename=\"{name}\""))?),
    ];
    Ok((caching, own, bytes).into_response())
}

/// A file that cannot be had is told of in the log, once for each request, and on a page in words.
fn lost(file: &PhotoFile, error: &FileError) -> PageError {
    tracing::warn!("photo {}: {error}", file.digest);
    match error {
        FileError::Unreadable(_) => PageError::Internal(error.to_string()),
        FileError::Missing | FileError::Altered => PageError::Lost,
    }
}

pub(super) async fn original(
    path: OriginalPath,
    permit: SitePermit<See>,
    State(app): State<AppState>,
    headers: HeaderMap,
) -> Result<Response, PageError> {
    let dossier = dossier_of(&app, &permit, path.job).await?;
    let (_, photo) = found(&dossier, path.photo)?;
    let file = photo.file.clone();
    let ending = match file.media_type {
        MediaType::Jpeg => "jpg",
        MediaType::Png => "png",
        MediaType::Webp => "webp",
    };
    let (site, short) = (&dossier.record.site.code, file.short_digest());
    let name = format!("{site}-{}-{short}.{ending}", path.job);
    let bytes = app.photos.original(file.clone()).await.map_err(|error| lost(&file, &error))?;
    lasting(&headers, &file.digest, file.media_type, name, bytes)
}

pub(super) async fn thumbnail(
    path: ThumbnailPath,
    permit: SitePermit<See>,
    State(app): State<AppState>,
    headers: HeaderMap,
) -> Result<Response, PageError> {
    let dossier = dossier_of(&app, &permit, path.job).await?;
    let (_, photo) = found(&dossier, path.photo)?;
    let file = photo.file.clone();
    let bytes = app.photos.thumbnail(file.clone()).await.map_err(|error| lost(&file, &error))?;
    let name = format!("{}-small.jpg", file.short_digest());
    lasting(&headers, &file.thumbnail, MediaType::Jpeg, name, bytes)
}
