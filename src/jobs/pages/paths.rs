//! The addresses of a job's pages.

use axum_extra::routing::TypedPath;
use serde::Deserialize;
use uuid::Uuid;

use crate::web::PageError;

/// Opening a job.
#[derive(TypedPath, Deserialize)]
#[typed_path("/sites/{site}/jobs/new", rejection(PageError))]
pub struct NewJobPath {
    /// The site's code.
    pub site: String,
}

/// The job's page.
#[derive(TypedPath, Deserialize)]
#[typed_path("/sites/{site}/jobs/{job}", rejection(PageError))]
pub struct JobPath {
    /// The site's code.
    pub site: String,
    /// The job's number.
    pub job: i64,
}

/// The stand.
#[derive(TypedPath, Deserialize)]
#[typed_path("/sites/{site}/jobs/{job}/stand", rejection(PageError))]
pub struct StandPath {
    /// The site's code.
    pub site: String,
    /// The job's number.
    pub job: i64,
}

/// The stand's set-up is sent here.
#[derive(TypedPath, Deserialize)]
#[typed_path("/sites/{site}/jobs/{job}/stand/setup", rejection(PageError))]
pub struct SetupPath {
    /// The site's code.
    pub site: String,
    /// The job's number.
    pub job: i64,
}

/// Which setting is kept is sent here.
#[derive(TypedPath, Deserialize)]
#[typed_path("/sites/{site}/jobs/{job}/stand/chosen", rejection(PageError))]
pub struct ChosenPath {
    /// The site's code.
    pub site: String,
    /// The job's number.
    pub job: i64,
}

/// Installed readings.
#[derive(TypedPath, Deserialize)]
#[typed_path("/sites/{site}/jobs/{job}/installed", rejection(PageError))]
pub struct InstalledPath {
    /// The site's code.
    pub site: String,
    /// The job's number.
    pub job: i64,
}

/// What was built against what is authorised and designed.
#[derive(TypedPath, Deserialize)]
#[typed_path("/sites/{site}/jobs/{job}/as-built", rejection(PageError))]
pub struct AsBuiltPath {
    /// The site's code.
    pub site: String,
    /// The job's number.
    pub job: i64,
}

/// How far people keep, and surveys of it.
#[derive(TypedPath, Deserialize)]
#[typed_path("/sites/{site}/jobs/{job}/exposure", rejection(PageError))]
pub struct ExposurePath {
    /// The site's code.
    pub site: String,
    /// The job's number.
    pub job: i64,
}

/// Explanations are sent here.
#[derive(TypedPath, Deserialize)]
#[typed_path("/sites/{site}/jobs/{job}/installed/explanation", rejection(PageError))]
pub struct ExplanationPath {
    /// The site's code.
    pub site: String,
    /// The job's number.
    pub job: i64,
}

/// One item.
#[derive(TypedPath, Deserialize)]
#[typed_path("/sites/{site}/jobs/{job}/checks/{item}", rejection(PageError))]
pub struct CheckPath {
    /// The site's code.
    pub site: String,
    /// The job's number.
    pub job: i64,
    /// The item's id.
    pub item: String,
}

/// The gate of a stage.
#[derive(TypedPath, Deserialize)]
#[typed_path("/sites/{site}/jobs/{job}/gates/{stage}", rejection(PageError))]
pub struct GatePath {
    /// The site's code.
    pub site: String,
    /// The job's number.
    pub job: i64,
    /// The stage's word.
    pub stage: String,
}

/// One entry, with its correction.
#[derive(TypedPath, Deserialize)]
#[typed_path("/sites/{site}/jobs/{job}/entries/{fact}", rejection(PageError))]
pub struct EntryPath {
    /// The site's code.
    pub site: String,
    /// The job's number.
    pub job: i64,
    /// The entry's name.
    pub fact: Uuid,
}

/// Withdrawals are sent here.
#[derive(TypedPath, Deserialize)]
#[typed_path("/sites/{site}/jobs/{job}/entries/{fact}/withdraw", rejection(PageError))]
pub struct WithdrawPath {
    /// The site's code.
    pub site: String,
    /// The job's number.
    pub job: i64,
    /// The entry's name.
    pub fact: Uuid,
}

/// How independent the releases are.
#[derive(TypedPath, Deserialize)]
#[typed_path("/sites/{site}/jobs/{job}/independence", rejection(PageError))]
pub struct IndependencePath {
    /// The site's code.
    pub site: String,
    /// The job's number.
    pub job: i64,
}

/// The declaration.
#[derive(TypedPath, Deserialize)]
#[typed_path("/sites/{site}/jobs/{job}/declaration", rejection(PageError))]
pub struct DeclarationPath {
    /// The site's code.
    pub site: String,
    /// The job's number.
    pub job: i64,
}

/// Photos, and where they are sent.
#[derive(TypedPath, Deserialize)]
#[typed_path("/sites/{site}/jobs/{job}/photos", rejection(PageError))]
pub struct PhotosPath {
    /// The site's code.
    pub site: String,
    /// The job's number.
    pub job: i64,
}

/// One photo.
#[derive(TypedPath, Deserialize)]
#[typed_path("/sites/{site}/jobs/{job}/photos/{photo}", rejection(PageError))]
pub struct PhotoPath {
    /// The site's code.
    pub site: String,
    /// The job's number.
    pub job: i64,
    /// The photo's name.
    pub photo: Uuid,
}

/// A photo's file as it was uploaded.
#[derive(TypedPath, Deserialize)]
#[typed_path("/sites/{site}/jobs/{job}/photos/{photo}/original", rejection(PageError))]
pub struct OriginalPath {
    /// The site's code.
    pub site: String,
    /// The job's number.
    pub job: i64,
    /// The photo's name.
    pub photo: Uuid,
}

/// A photo, small and upright.
#[derive(TypedPath, Deserialize)]
#[typed_path("/sites/{site}/jobs/{job}/photos/{photo}/thumbnail", rejection(PageError))]
pub struct ThumbnailPath {
    /// The site's code.
    pub site: String,
    /// The job's number.
    pub job: i64,
    /// The photo's name.
    pub photo: Uuid,
}

/// Snags, and where they are raised.
#[derive(TypedPath, Deserialize)]
#[typed_path("/sites/{site}/jobs/{job}/snags", rejection(PageError))]
pub struct SnagsPath {
    /// The site's code.
    pub site: String,
    /// The job's number.
    pub job: i64,
}

/// One snag.
#[derive(TypedPath, Deserialize)]
#[typed_path("/sites/{site}/jobs/{job}/snags/{snag}", rejection(PageError))]
pub struct SnagPath {
    /// The site's code.
    pub site: String,
    /// The job's number.
    pub job: i64,
    /// The snag's name.
    pub snag: Uuid,
}

/// Closings of a snag are sent here.
#[derive(TypedPath, Deserialize)]
#[typed_path("/sites/{site}/jobs/{job}/snags/{snag}/closing", rejection(PageError))]
pub struct ClosingPath {
    /// The site's code.
    pub site: String,
    /// The job's number.
    pub job: i64,
    /// The snag's name.
    pub snag: Uuid,
}
