//! Photos as evidence: what is kept of them, what is refused and how, who sees them, and what an accepted
//! job still shows.

use std::fs;
use std::path::PathBuf;

use axum::http::StatusCode;
use sha2::{Digest, Sha256};
use standmast::jobs::model::Body;
use standmast::people::model::Role;
use standmast::photos::model::{MediaType, Photo};
use standmast::profiles::model::Stage;
use uuid::Uuid;

use crate::support::{Answer, JOB, TestApp, Work, bomb, jpeg, png, webp};

fn photos_path() -> String {
    format!("{JOB}/photos")
}

fn hex(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

/// Where the file with these bytes is kept.
fn kept_at(app: &TestApp, digest: &str) -> PathBuf {
    app.folder.path().join("files").join(&digest[..2]).join(digest)
}

/// The files of a data folder, without those under way.
fn kept(app: &TestApp) -> usize {
    let folders = fs::read_dir(app.folder.path().join("files")).unwrap();
    folders.flat_map(|folder| fs::read_dir(folder.unwrap().path()).unwrap()).count()
}

async fn add(work: &Work, fields: &[(&str, &str)], files: &[(&str, &[u8])]) -> Answer {
    let act = work.app.clock.uuid();
    work.contractor.post_files(act, &photos_path(), fields, files).await
}

/// The photos of the job, struck ones too.
async fn photos(work: &Work) -> Vec<(Uuid, Photo)> {
    let facts = work.dossier().await.record.facts.into_iter();
    let photos = facts.filter_map(|fact| match fact.body {
        Body::Photo(photo) => Some((fact.uuid, photo)),
        _ => None,
    });
    photos.collect()
}

#[tokio::test]
async fn several_photos_come_with_one_form_and_their_bytes_are_kept_as_they_came() {
    let work = Work::opened().await;
    let (one, two, three) = (jpeg(300, 200), png(40, 30), webp(64, 48));
    let fields = [
        ("caption", "top joint before covering"),
        ("item", "joints-sealed"),
        ("part", ""),
        ("measured_at", ""),
    ];
    let files: [(&str, &[u8]); 3] = [("1.jpg", &one), ("photo.exe", &two), ("", &three)];
    assert_eq!(add(&work, &fields, &files).await.must(303).location(), photos_path());
    let found = photos(&work).await;
    let kinds: Vec<MediaType> = found.iter().map(|(_, photo)| photo.file.media_type).collect();
    assert_eq!(kinds, [MediaType::Jpeg, MediaType::Png, MediaType::Webp]);
    for ((uuid, photo), bytes) in found.iter().zip([&one, &two, &three]) {
        assert_eq!(photo.file.digest, hex(bytes));
        assert_eq!(fs::read(kept_at(&work.app, &photo.file.digest)).unwrap(), *bytes);
        assert_eq!(photo.stage, Some(Stage::Mast));
        let shown = work.contractor.get(&format!("{JOB}/photos/{uuid}/original")).await.must(200);
        assert_eq!(shown.bytes, *bytes);
        assert_eq!(shown.header("content-type"), photo.file.media_type.word());
        assert_eq!(shown.header("x-content-type-options"), "nosniff");
        assert!(shown.header("cache-control").starts_with("private, max-age"));
        let small = work.contractor.get(&format!("{JOB}/photos/{uuid}/thumbnail")).await.must(200);
        assert_eq!(small.header("content-type"), "image/jpeg");
        assert_eq!(image::guess_format(&small.bytes).unwrap(), image::ImageFormat::Jpeg);
        let page = work.contractor.get(&format!("{JOB}/photos/{uuid}")).await.must(200);
        page.shows("unchanged since it was uploaded").shows("top joint before covering");
    }
    let record = work.dossier().await.record;
    assert_eq!(record.photos_of("joints-sealed").count(), 3);
    assert_eq!(record.photos_of("dc-state").count(), 0);
    // The job's page, the list and the check all show them.
    for page in ["", "/photos", "/checks/joints-sealed"] {
        let page = work.contractor.get(&format!("{JOB}{page}")).await.must(200);
        assert!(page.body.contains(&format!("{JOB}/photos/{}/thumbnail", found[0].0)));
    }
}

#[tokio::test]
async fn a_browser_that_has_the_file_is_told_so() {
    let work = Work::opened().await;
    add(&work, &[("caption", "plate")], &[("a", &jpeg(30, 20))]).await.must(303);
    let (uuid, photo) = photos(&work).await.remove(0);
    let tag = format!("\"{}\"", photo.file.digest);
    let path = format!("{JOB}/photos/{uuid}/original");
    let again = [("if-none-match", tag.as_str())];
    let answer = work.contractor.send(axum::http::Method::GET, &path, &again, Vec::new()).await;
    assert_eq!((answer.status, answer.bytes.len()), (StatusCode::NOT_MODIFIED, 0));
}

#[tokio::test]
async fn what_is_no_photo_is_refused_beside_its_field_and_nothing_is_saved() {
    let work = Work::opened().await;
    let whole = jpeg(120, 90);
    let cut = &whole[..whole.len() / 2];
    let large = vec![0xFF; 12 * 1024 * 1024 + 1];
    let huge = [&b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR"[..], &[0; 40]].concat();
    let cases: [(&str, &[u8], &str); 7] = [
        ("photo.jpg", b"%PDF-1.7 no photo", "no JPEG, PNG or WebP"),
        ("photo.jpg", b"", "empty"),
        ("photo.jpg", cut, "ends too early"),
        ("photo.jpg", &large, "more than 12.0 MiB"),
        ("photo.png", &bomb(), "far too small"),
        ("photo.png", &huge, "ends too early"),
        ("photo.jpg", b"GIF89a\x01\0\x01\0\x80\0\0", "no JPEG, PNG or WebP"),
    ];
    let (entries, before) = (work.app.count("journal").await, work.app.count("fact").await);
    for (name, bytes, says) in cases {
        let fields = [("caption", "gland at the entry"), ("item", "joints-sealed")];
        let refused = add(&work, &fields, &[("good.jpg", &whole), (name, bytes)]).await.must(422);
        let message = refused.message("photos");
        assert!(message.contains(says), "{name}: {message}");
        assert!(
            message.contains("Photo 2 of 2") && message.contains("choose them again"),
            "{message}"
        );
        assert_eq!(refused.value("caption"), "gland at the entry");
        assert!(refused.body.contains("value=\"joints-sealed\" selected"));
    }
    assert_eq!(work.app.count("journal").await, entries);
    assert_eq!(work.app.count("fact").await, before);
    assert_eq!((work.app.count("file").await, kept(&work.app)), (0, 0));
}

#[tokio::test]
async fn a_form_without_a_photo_or_with_a_wrong_place_is_mended() {
    let work = Work::opened().await;
    let none = add(&work, &[("caption", "nothing chosen")], &[("", b"")]).await.must(422);
    assert!(none.message("photos").contains("at least one"));
    let wordless = add(&work, &[("caption", "")], &[("a", &jpeg(9, 9))]).await.must(422);
    assert!(wordless.message("caption").contains("what the photo shows"));
    assert!(wordless.message("photos").contains("choose them again"));
    let foreign = Uuid::from_u128(7).to_string();
    let fields = [
        ("caption", "x"),
        ("item", "no-such-check"),
        ("part", foreign.as_str()),
        ("measured_at", "2099-01-01T00:00"),
    ];
    let wrong = add(&work, &fields, &[("a", &jpeg(9, 9))]).await.must(422);
    assert!(!wrong.message("item").is_empty() && !wrong.message("part").is_empty());
    assert!(wrong.message("measured_at").contains("future"));
    assert_eq!(work.app.count("photo").await, 0);
    let many: Vec<(&str, &[u8])> = vec![("a", b"x"); 13];
    add(&work, &[("caption", "too many")], &many).await.must(413);
}

#[tokio::test]
async fn a_photo_sent_from_a_check_leads_back_there_and_is_told_by_its_question() {
    let work = Work::opened().await;
    let fields = [("item", "joints-sealed"), ("from", "check"), ("caption", "")];
    let back = add(&work, &fields, &[("a", &jpeg(50, 50))]).await.must(303);
    assert_eq!(back.location(), format!("{JOB}/checks/joints-sealed"));
    let (_, photo) = photos(&work).await.remove(0);
    let profile = work.dossier().await.record.profile;
    assert_eq!(photo.caption, profile.item("joints-sealed").unwrap().text);
}

#[tokio::test]
async fn the_same_form_sent_twice_adds_nothing_twice_and_another_file_is_a_conflict() {
    let work = Work::opened().await;
    let (act, path) = (work.app.clock.uuid(), photos_path());
    let (fields, one) = ([("caption", "clamp")], jpeg(60, 40));
    let send = |file: Vec<u8>| {
        let (work, path) = (&work, &path);
        async move { work.contractor.post_files(act, path, &fields, &[("a", &file)]).await }
    };
    let first = send(one.clone()).await.must(303);
    let again = send(one.clone()).await.must(303);
    assert_eq!(first.location(), again.location());
    assert_eq!(photos(&work).await.len(), 1);
    send(jpeg(61, 40)).await.must(409);
    assert_eq!((photos(&work).await.len(), work.app.count("file").await), (1, 1));
    // The same bytes under another number: a second photo of the one file.
    add(&work, &[("caption", "clamp, again")], &[("b", &one)]).await.must(303);
    assert_eq!((photos(&work).await.len(), work.app.count("file").await), (2, 1));
    // From somebody else the number is unknown.
    let answer = work.engineer.post_files(act, &path, &fields, &[("a", &one)]).await;
    assert_eq!(answer.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_withdrawn_photo_stays_struck_and_a_corrected_one_keeps_its_file() {
    let work = Work::opened().await;
    add(&work, &[("caption", "uper joint")], &[("a", &jpeg(60, 40))]).await.must(303);
    let (first, photo) = photos(&work).await.remove(0);
    let entry = format!("{JOB}/entries/{first}");
    let form = work.contractor.get(&entry).await.must(200);
    assert_eq!(form.value("caption"), "uper joint");
    let fields = [
        ("caption", "upper joint"),
        ("item", "joints-sealed"),
        ("part", ""),
        ("measured_at", ""),
        ("reason", "spelling"),
    ];
    work.contractor.post(&entry, &fields).await.must(303);
    let (second, corrected) = photos(&work).await.remove(1);
    assert_eq!((corrected.caption.as_str(), &corrected.file), ("upper joint", &photo.file));
    let withdraw = format!("{JOB}/entries/{second}/withdraw");
    work.contractor.post(&withdraw, &[("reason", "another site’s joint")]).await.must(303);
    let record = work.dossier().await.record;
    assert_eq!(record.photos().count(), 0);
    let list = work.contractor.get(&photos_path()).await.must(200);
    list.shows("corrected by Ines Holm").shows("another site’s joint");
    // Struck, its file can still be looked at.
    work.contractor.get(&format!("{JOB}/photos/{second}/original")).await.must(200);
}

#[tokio::test]
async fn a_photo_is_seen_by_whom_the_site_is_granted_and_by_nobody_else() {
    let work = Work::opened().await;
    add(&work, &[("caption", "mast foot")], &[("a", &jpeg(60, 40))]).await.must(303);
    let (uuid, _) = photos(&work).await.remove(0);
    work.app.site("gull-head", "Gull Head").await;
    let elsewhere = work.app.signed_in(Role::Contractor, &["gull-head"]).await;
    for tail in ["", "/original", "/thumbnail"] {
        let path = format!("{JOB}/photos/{uuid}{tail}");
        elsewhere.get(&path).await.must(404);
        // Through a job of a site of one's own it is no photo either.
        elsewhere.get(&path.replace("tern-ridge", "gull-head")).await.must(404);
        work.app.browser().get(&path).await.must(303);
        work.manager.get(&path).await.must(200);
    }
    let reader = work.app.signed_in(Role::Reader, &["tern-ridge"]).await;
    let page = reader.get(&photos_path()).await.must(200);
    assert!(!page.body.contains("type=\"file\""));
    let nobody = work.app.browser();
    let act = work.app.clock.uuid();
    nobody.post_files(act, &photos_path(), &[], &[("a", &jpeg(9, 9))]).await.must(401);
    reader
        .post_files(act, &photos_path(), &[("caption", "x")], &[("a", &jpeg(9, 9))])
        .await
        .must(403);
}

#[tokio::test]
async fn a_form_with_files_from_another_site_is_refused() {
    let work = Work::opened().await;
    let headers =
        [("sec-fetch-site", "cross-site"), ("content-type", "multipart/form-data; boundary=x")];
    let body = b"--x--\r\n".to_vec();
    let sent = work.contractor.send(axum::http::Method::POST, &photos_path(), &headers, body).await;
    assert_eq!(sent.status, StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn a_file_that_is_lost_or_altered_is_told_of_in_words_and_a_lost_thumbnail_is_made_again() {
    let work = Work::opened().await;
    add(&work, &[("caption", "earth bar")], &[("a", &jpeg(900, 700))]).await.must(303);
    let (uuid, photo) = photos(&work).await.remove(0);
    let (page, small) = (format!("{JOB}/photos/{uuid}"), format!("{JOB}/photos/{uuid}/thumbnail"));
    fs::remove_file(kept_at(&work.app, &photo.file.thumbnail)).unwrap();
    work.contractor.get(&small).await.must(200);
    assert!(kept_at(&work.app, &photo.file.thumbnail).exists());
    let file = kept_at(&work.app, &photo.file.digest);
    let bytes = fs::read(&file).unwrap();
    fs::write(&file, jpeg(900, 701)).unwrap();
    work.contractor.get(&page).await.must(200).shows("no longer the one that was uploaded");
    work.contractor.get(&format!("{page}/original")).await.must(404).shows("The file is not there");
    fs::remove_file(&file).unwrap();
    work.contractor.get(&page).await.must(200).shows("missing from the server’s data folder");
    work.contractor.get(&format!("{page}/original")).await.must(404);
    work.contractor.get(&format!("{JOB}/report.pdf")).await.must(200);
    // Uploaded again, the same bytes put it right.
    add(&work, &[("caption", "earth bar, again")], &[("a", &bytes)]).await.must(303);
    work.contractor.get(&page).await.must(200).shows("unchanged since it was uploaded");
}

#[tokio::test]
async fn files_come_before_rows_and_a_failed_row_leaves_no_row_without_its_file() {
    let work = Work::opened().await;
    // The database refuses the photo's row: as if the machine had stopped in between.
    let stop =
        "CREATE TRIGGER stop BEFORE INSERT ON photo BEGIN SELECT RAISE(ABORT, 'stopped'); END;";
    sqlx::raw_sql(stop).execute(&mut work.app.database().await).await.unwrap();
    let bytes = jpeg(70, 50);
    let act = work.app.clock.uuid();
    let fields = [("caption", "guy anchor")];
    let (path, files) = (photos_path(), [("a", bytes.as_slice())]);
    let send = || work.contractor.post_files(act, &path, &fields, &files);
    assert_eq!(send().await.status, StatusCode::INTERNAL_SERVER_ERROR);
    assert_eq!((work.app.count("file").await, work.app.count("photo").await), (0, 0));
    assert_eq!(fs::read(kept_at(&work.app, &hex(&bytes))).unwrap(), bytes);
    sqlx::raw_sql("DROP TRIGGER stop").execute(&mut work.app.database().await).await.unwrap();
    send().await.must(303);
    assert_eq!(photos(&work).await.len(), 1);
    let waiting = work.app.folder.path().join("files/incoming");
    assert_eq!(fs::read_dir(waiting).unwrap().count(), 0);
}

#[tokio::test]
async fn an_accepted_job_takes_no_photo_and_shows_those_it_has() {
    let work = Work::opened().await;
    add(&work, &[("caption", "arrester")], &[("a", &jpeg(60, 40))]).await.must(303);
    work.on_through(Stage::HandOver).await;
    work.accept(&work.manager).await.must(303);
    let (uuid, _) = photos(&work).await.remove(0);
    work.contractor.get(&format!("{JOB}/photos/{uuid}/original")).await.must(200);
    let list = work.contractor.get(&photos_path()).await.must(200);
    assert!(!list.body.contains("type=\"file\"") && list.text_has("arrester"));
    add(&work, &[("caption", "late")], &[("a", &jpeg(61, 40))]).await.must(409).shows("closed");
    assert_eq!((work.app.count("photo").await, work.app.count("file").await), (1, 1));
}
