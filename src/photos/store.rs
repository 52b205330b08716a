//! The rows of photos: the file, what is known of its picture, and the fact.

use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::db::{StoreError, word_column};
use crate::journal::{Act, hex, unhex};
use crate::measurements::model::Circumstances;
use crate::measurements::store::{Recording, insert_fact};
use crate::photos::model::{MediaType, Photo, PhotoFile, Rendition};
use crate::profiles::model::Stage;

fn small<T: TryFrom<i64>>(what: &'static str, stored: i64) -> Result<T, StoreError> {
    T::try_from(stored)
        .map_err(|_| StoreError::Unreadable { what, why: format!("{stored} is out of range") })
}

/// A file's row with its picture's.
struct FileRow {
    digest: Vec<u8>,
    media_type: String,
    bytes: i64,
    width_px: i64,
    height_px: i64,
    orientation: i64,
    thumbnail: Vec<u8>,
    print: Option<Vec<u8>>,
    print_width_px: Option<i64>,
    print_height_px: Option<i64>,
}

impl FileRow {
    fn file(self) -> Result<PhotoFile, StoreError> {
        let print = match (self.print, self.print_width_px, self.print_height_px) {
            (Some(digest), Some(width), Some(height)) => Some(Rendition {
                digest: hex(&digest),
                width_px: small("print width", width)?,
                height_px: small("print height", height)?,
            }),
            _ => None,
        };
        Ok(PhotoFile {
            digest: hex(&self.digest),
            media_type: word_column("media type", MediaType::from_word, &self.media_type)?,
            bytes: small("file size", self.bytes)?,
            width_px: small("picture width", self.width_px)?,
            height_px: small("picture height", self.height_px)?,
            orientation: small("picture orientation", self.orientation)?,
            thumbnail: hex(&self.thumbnail),
            print,
        })
    }
}

/// What is known of a picture by its digest, if it was uploaded before.
///
/// # Errors
/// [`StoreError`].
pub async fn find_file(
    conn: &mut SqliteConnection,
    digest: &[u8],
) -> Result<Option<PhotoFile>, StoreError> {
    sqlx::query_as!(
        FileRow,
        "SELECT file.digest, file.media_type, file.bytes, picture.width_px, picture.height_px,
                picture.orientation, picture.thumbnail, picture.print, picture.print_width_px,
                picture.print_height_px
         FROM file JOIN picture ON picture.file_id = file.id WHERE file.digest = $1",
        digest
    )
    .fetch_optional(conn)
    .await?
    .map(FileRow::file)
    .transpose()
}

/// The row of a file that is on the disk already: of an earlier upload of the same bytes, or a new one.
async fn file_row(act: &mut Act, file: &PhotoFile) -> Result<i64, StoreError> {
    let digest = unhex(&file.digest);
    let known = sqlx::query_scalar!("SELECT id FROM file WHERE digest = $1", digest)
        .fetch_optional(act.conn())
        .await?;
    if let Some(id) = known {
        return Ok(id);
    }
    let (id, media_type) = (act.id(), file.media_type.word());
    let bytes = i64::try_from(file.bytes).unwrap_or(i64::MAX);
    let made = sqlx::query!(
        "INSERT INTO file (digest, act, media_type, bytes) VALUES ($1, $2, $3, $4)",
        digest,
        id,
        media_type,
        bytes
    )
    .execute(act.conn())
    .await?;
    let row = made.last_insert_rowid();
    let thumbnail = unhex(&file.thumbnail);
    let print = file.print.as_ref().map(|print| unhex(&print.digest));
    let (width, height) =
        file.print.as_ref().map(|print| (print.width_px, print.height_px)).unzip();
    sqlx::query!(
        "INSERT INTO picture (file_id, width_px, height_px, orientation, thumbnail, print, print_width_px,
                              print_height_px)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
        row,
        file.width_px,
        file.height_px,
        file.orientation,
        thumbnail,
        print,
        width,
        height
    )
    .execute(act.conn())
    .await?;
    Ok(row)
}

/// Writes a photo. Its file and renditions are on the disk already, synced.
///
/// # Errors
/// [`StoreError`]; unreadable when the part or the entry that it names is not on the record.
pub async fn insert_photo(
    act: &mut Act,
    recording: &Recording,
    at: &Circumstances,
    photo: &Photo,
) -> Result<Uuid, StoreError> {
    let file = file_row(act, &photo.file).await?;
    let part = match photo.part {
        Some(uuid) => sqlx::query_scalar!("SELECT id FROM part WHERE uuid = $1", uuid)
            .fetch_optional(act.conn())
            .await?
            .map(Some)
            .ok_or_else(|| missing("part"))?,
        None => None,
    };
    let about = match photo.about {
        Some(uuid) => sqlx::query_scalar!(
            "SELECT id FROM fact WHERE uuid = $1 AND job_id IS $2",
            uuid,
            at.job_id
        )
        .fetch_optional(act.conn())
        .await?
        .map(Some)
        .ok_or_else(|| missing("entry"))?,
        None => None,
    };
    let (fact, uuid) = insert_fact(act, recording, "photo", at).await?;
    let stage = photo.stage.map(Stage::word);
    sqlx::query!(
        "INSERT INTO photo (fact_id, file_id, caption, item, part_id, stage, about_fact_id)
         VALUES ($1, $2, $3, $4, $5, $6, $7)",
        fact,
        file,
        photo.caption,
        photo.item,
        part,
        stage,
        about
    )
    .execute(act.conn())
    .await?;
    Ok(uuid)
}

fn missing(what: &'static str) -> StoreError {
    StoreError::Unreadable { what, why: "the row that the photo names is missing".to_owned() }
}

/// The photos of a job by fact row.
///
/// # Errors
/// [`StoreError`].
pub async fn photos(
    conn: &mut SqliteConnection,
    job_id: i64,
) -> Result<Vec<(i64, Photo)>, StoreError> {
    let rows = sqlx::query!(
        r#"SELECT photo.fact_id, photo.caption, photo.item, photo.stage, part.uuid AS "part?: Uuid",
                  about.uuid AS "about?: Uuid", file.digest, file.media_type, file.bytes, picture.width_px,
                  picture.height_px, picture.orientation, picture.thumbnail, picture.print,
                  picture.print_width_px, picture.print_height_px
           FROM photo
           JOIN fact ON fact.id = photo.fact_id
           JOIN file ON file.id = photo.file_id
           JOIN picture ON picture.file_id = photo.file_id
           LEFT JOIN part ON part.id = photo.part_id
           LEFT JOIN fact AS about ON about.id = photo.about_fact_id
           WHERE fact.job_id = $1 ORDER BY fact.id"#,
        job_id
    )
    .fetch_all(conn)
    .await?;
    rows.into_iter()
        .map(|row| {
            let file = FileRow {
                digest: row.digest,
                media_type: row.media_type,
                bytes: row.bytes,
                width_px: row.width_px,
                height_px: row.height_px,
                orientation: row.orientation,
                thumbnail: row.thumbnail,
                print: row.print,
                print_width_px: row.print_width_px,
                print_height_px: row.print_height_px,
            };
            let stage = row
                .stage
                .map(|stage| word_column("stage", Stage::from_word, &stage))
                .transpose()?;
            let photo = Photo {
                caption: row.caption,
                item: row.item,
                part: row.part,
                stage,
                about: row.about,
                file: file.file()?,
            };
            Ok((row.fact_id, photo))
        })
        .collect()
}
