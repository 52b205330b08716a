//! What the forms of photos and of snags share: files that came with a form are examined, and kept only
//! once everything else of the form is in order.

use axum::http::StatusCode;

use crate::jobs::dossier::Dossier;
use crate::jobs::form::PhotoDraft;
use crate::jobs::model::Record;
use crate::jobs::problems;
use crate::journal::ActError;
use crate::photos::examine::Unfit;
use crate::photos::keep::{Fit, KeepError};
use crate::photos::model::{Photo, PhotoFile};
use crate::photos::store;
use crate::web::{AppState, Fields, PageError, Uploaded};

/// What the message beside the files ends with: a browser keeps no chosen file.
const AGAIN: &str = "Nothing was saved. What was typed is still here; the browser does not keep chosen files, so choose them again.";

/// Why files are not taken.
pub(super) enum NotTaken {
    /// The form is shown again.
    Mend(Fields),
    /// A page of its own.
    Page(PageError),
}

impl From<PageError> for NotTaken {
    fn from(error: PageError) -> Self {
        Self::Page(error)
    }
}

/// 200 for a fresh form, 422 for one to be mended.
pub(super) fn status(refused: Option<&Fields>) -> StatusCode {
    if refused.is_some() { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK }
}

/// The fields with one more message, told that the files must be chosen again where some came.
pub(super) fn choose_again(fields: Fields, files: usize) -> Fields {
    if files == 0 || !fields.error("photos").is_empty() {
        return fields;
    }
    fields.refusing("photos", AGAIN)
}

/// Examines the files of a form: all of them are fit, or none is taken.
pub(super) async fn examined(
    app: &AppState,
    dossier: &Dossier,
    files: Vec<Uploaded>,
    fields: &Fields,
) -> Result<Vec<Fit>, NotTaken> {
    let blocked = problems::record_fact(&dossier.findings);
    if !blocked.is_empty() {
        let refused = ActError::Refused(blocked);
        return Err(PageError::of_act(refused, fields.clone()).into());
    }
    let count = files.len();
    let mut fit = Vec::new();
    for (at, file) in files.into_iter().enumerate() {
        let found = match file.too_large {
            true => Err(KeepError::Unfit(Unfit::TooLarge)),
            false => app.photos.examine(file.incoming).await,
        };
        match found {
            Ok(found) => fit.push(found),
            Err(KeepError::Unfit(why)) => {
                let which = if count > 1 {
                    format!("Photo {} of {count}: ", at + 1)
                } else {
                    String::new()
                };
                let message = format!("{which}{why}. {AGAIN}");
                return Err(NotTaken::Mend(fields.clone().refusing("photos", message)));
            }
            Err(error) => return Err(PageError::Internal(error.to_string()).into()),
        }
    }
    Ok(fit)
}

/// Keeps what was found fit and says of each what the form said of all.
pub(super) async fn kept(
    app: &AppState,
    dossier: &Dossier,
    fit: Vec<Fit>,
    draft: &PhotoDraft,
) -> Result<Vec<Photo>, PageError> {
    let item = draft.item.as_ref().and_then(|id| dossier.record.profile.item(id));
    let stage = item.map_or(dossier.findings.progress.stage(), |item| item.stage);
    let mut photos = Vec::new();
    for one in fit {
        let file = app.photos.keep(one).await;
        let file = file.map_err(|error| PageError::Internal(error.to_string()))?;
        photos.push(Photo {
            caption: draft.caption.clone(),
            item: draft.item.clone(),
            part: draft.part,
            stage: Some(stage),
            about: None,
            file: known(app, file).await?,
        });
    }
    Ok(photos)
}

/// What is known of the same bytes from an earlier upload, else what was found now.
async fn known(app: &AppState, file: PhotoFile) -> Result<PhotoFile, PageError> {
    let mut snapshot = app.snapshot().await?;
    let digest = crate::journal::unhex(&file.digest);
    Ok(store::find_file(snapshot.conn(), &digest).await?.unwrap_or(file))
}

/// The parts of the chain for a form, with none at first.
pub(super) fn part_options(record: &Record) -> Vec<(String, String)> {
    let none = (String::new(), "no one part".to_owned());
    let parts = record.chain().map(|chain| chain.parts.as_slice()).unwrap_or_default();
    let parts = parts.iter().map(|part| (part.uuid.to_string(), part.named()));
    std::iter::once(none).chain(parts).collect()
}

/// The checks for a form, with none at first.
pub(super) fn item_options(record: &Record) -> Vec<(String, String)> {
    let none = (String::new(), "no one check".to_owned());
    let items = record.profile.items.iter().map(|item| (item.id.clone(), item.text.clone()));
    std::iter::once(none).chain(items).collect()
}
