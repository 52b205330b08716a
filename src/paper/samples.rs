//! A report with everything in it, the emptiest one, and what must hold of both.

use lopdf::{Document as Pdf, Object, ObjectId, Stream};
use time::macros::datetime;

use crate::figure::samples as pictures;
use crate::figure::{Mark, State, comparison_plot, gate_rail, mast, trial_plot};

use super::photo::tests::{exif, picture};
use super::{COLUMN_PIXELS, Column, Document, Finished, Level, Meta, Photo, Plate, Table, Words};

fn meta() -> Meta {
    Meta {
        title: "Tern Ridge, job 2: commissioning record".to_owned(),
        author: "Ternfold Radio".to_owned(),
        subject: "98.4 MHz, new installation".to_owned(),
        language: "en".to_owned(),
        made_at: datetime!(2031-03-22 14:05:00 +1),
        head_left: "Tern Ridge · job 2 · 98.4 MHz".to_owned(),
        head_right: "commissioning record, edition A".to_owned(),
        foot: "standmast · record 018f3c2e · not a permit".to_owned(),
        band: None,
        end: "end of report".to_owned(),
        base_url: None,
    }
}

/// Three photos: upright, turned to the left, and on its head in grey.
fn photos() -> Vec<Vec<u8>> {
    vec![picture(64, 3, &[]), picture(64, 3, &[&exif(6, true)]), picture(40, 1, &[&exif(3, false)])]
}

fn bytes(finished: &Finished) -> Vec<u8> {
    let photos = photos();
    let bytes = finished.bytes(&mut |digest| {
        let found = photos.iter().find(|bytes| Photo::read(bytes).unwrap().digest == *digest);
        Ok(found.unwrap().clone())
    });
    bytes.unwrap()
}

fn plates() -> Vec<Plate> {
    let mut plates: Vec<Plate> = photos()
        .iter()
        .map(|bytes| Plate {
            photo: Ok(Photo::read(bytes).unwrap()),
            words: Words::new().strong("Joint at the antenna, open").plain("\n").soft("by A. Tern"),
        })
        .collect();
    plates.push(Plate { words: Words::from("The same again. ".repeat(200)), ..plates[0].clone() });
    let missing = "Not shown: the file is missing on the server.";
    plates.push(Plate { photo: Err(missing.to_owned()), words: Words::from("Photo 5") });
    plates
}

fn state(mark: Mark, word: &str) -> State {
    State::new(mark, word)
}

fn checks(rows: usize) -> Table {
    let mut table = Table::new(vec![
        Column::text("Check", 3.0),
        Column::text("Evidence", 3.0),
        Column::figures("Value, Ω"),
        Column::text("State", 2.0),
    ]);
    let states = [
        state(Mark::Tick, "passed"),
        state(Mark::Cross, "failed"),
        state(Mark::Ring, "not shown ≤ 1.5"),
        state(Mark::Dash, "not applicable"),
        state(Mark::Diamond, "under concession"),
    ];
    for (index, state) in states.iter().cycle().take(rows).enumerate() {
        let cells = [
            Words::from("Ground electrode system: value, method and soil written down"),
            Words::from("fall of potential, slope check good, λ/4 away, 22 Mar 2031"),
            Words::from(format!("{}.{}", index, index % 7)),
            Words::from(state),
        ];
        if index % 9 == 4 {
            table.struck_row(cells);
        } else {
            table.row(cells);
        }
    }
    table
}

#[expect(clippy::too_many_lines, reason = "one sample, block by block")]
fn full() -> Finished {
    let mut report = Document::new(Meta { band: Some("not accepted".to_owned()), ..meta() });
    report.heading(Level::Title, "Tern Ridge, job 2: new installation");
    report
        .paragraph(Words::new().soft("98.4 MHz, Ternfold Radio · opened 8 Mar 2031 · independent"));
    report.contents();
    report.verdict(
        "Changed by more than these instruments explain.",
        "Referred to the antenna input: 1.10 on the stand, 1.57 now. Check first the two joints \
         above the arrester (no climb), then metal near half a wavelength long (1.5 m) within one \
         wavelength of the element.",
    );
    report.figure(&gate_rail::draw(&pictures::usual_rail(), COLUMN_PIXELS), None);
    report.facts([
        ("Frequency", Words::from("98.4 MHz")),
        ("Limit", Words::from("SWR ≤ 1.5 at the measuring point, Ω λ é → checked")),
        ("Power", Words::new().struck("269 W").plain(" ").strong("296 W").plain(", meter ±15 W")),
    ]);
    report.heading(Level::Chapter, "The site");
    report.figure(
        &mast::draw(&pictures::usual_mast(), COLUMN_PIXELS),
        Some("Heights are to scale, the building is not."),
    );
    report.heading(Level::Chapter, "On the stand");
    report.keep_together(|report| {
        report.figure(&trial_plot::draw(&pictures::usual_trials(), COLUMN_PIXELS), None);
        report.table(Table::from(&trial_plot::table(&pictures::usual_trials())));
    });
    report.heading(Level::Section, "Stand against installed");
    let mut plot = pictures::usual_comparison();
    plot.heading = None;
    report.figure(&comparison_plot::draw(&plot, COLUMN_PIXELS), None);
    report.heading(Level::Chapter, "Checks");
    report.heading(Level::Part, "RF on");
    report.table(checks(55));
    report.caution(
        "RF burns, and a mast may fall on those below it. This record is never a permit: local \
         code and licensed practice come first. Nobody climbs before the transmitter is locked \
         off by the one who holds the key.",
    );
    report.heading(Level::Chapter, "People and remarks");
    report.item("Änne Öğüt, rigger, Σίγμα Masts");
    report.item("塔 📡 with signs that no font here has, and a name\u{ad}with\u{2009}soft hyphen");
    let mut longest = Table::new(vec![Column::fit("Who"), Column::text("Remark", 1.0)]);
    longest.row(["A. Tern".to_owned(), "A remark that goes on and on. ".repeat(260)]);
    longest.row(["B".to_owned(), "https://example.invalid/".repeat(12)]);
    report.table(longest);
    report.figures_beside(
        &trial_plot::draw(&pictures::usual_trials(), 340.0),
        &comparison_plot::draw(&plot, 340.0),
    );
    report.heading(Level::Section, "Photos");
    report.plates(plates());
    report.page_break();
    report.heading(Level::Chapter, "Long site");
    report.figure(
        &mast::draw(
            &pictures::longest_mast(mast::StructureKind::Tower, 150.0, 146.0),
            COLUMN_PIXELS,
        ),
        None,
    );
    report.small("Small print about the above.");
    report.signatures("Signed is report 2, edition A.", &["For the contractor", "For the station"]);
    report.finish().unwrap()
}

fn emptiest() -> Finished {
    Document::new(Meta {
        title: String::new(),
        author: String::new(),
        subject: String::new(),
        head_left: String::new(),
        head_right: String::new(),
        foot: String::new(),
        end: String::new(),
        ..meta()
    })
    .finish()
    .unwrap()
}

fn write(name: &str, bytes: &[u8]) {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("target/pictures");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join(name), bytes).unwrap();
}

/// Also writes the samples under `target/pictures`, for looking at.
#[test]
fn the_same_report_has_the_same_bytes_and_stays_small() {
    let (first, second) = (full(), full());
    assert!(bytes(&first) == bytes(&second));
    assert_eq!(first.length(), u64::try_from(bytes(&first).len()).unwrap());
    assert_eq!(first.photos(), 3);
    assert!(first.length() < 200_000, "{}", first.length());
    write("paper-full.pdf", &bytes(&first));
    write("paper-emptiest.pdf", &bytes(&emptiest()));
}

fn name(object: &Object) -> String {
    String::from_utf8(object.as_name().unwrap().to_vec()).unwrap()
}

#[test]
fn the_file_says_what_it_is() {
    let finished = full();
    let pdf = Pdf::load_mem(&bytes(&finished)).unwrap();
    assert_eq!(pdf.version, "1.7");
    assert_eq!(pdf.get_pages().len(), finished.pages);
    assert!(finished.pages >= 6);
    let catalog = pdf.catalog().unwrap();
    assert_eq!(name(catalog.get(b"PageMode").unwrap()), "UseOutlines");
    assert_eq!(catalog.get(b"Lang").unwrap().as_str().unwrap(), b"en");
    let viewer = catalog.get(b"ViewerPreferences").unwrap().as_dict().unwrap();
    assert!(viewer.get(b"DisplayDocTitle").unwrap().as_bool().unwrap());
    let info = pdf.trailer.get(b"Info").unwrap().as_reference().unwrap();
    let info = pdf.get_dictionary(info).unwrap();
    assert_eq!(info.get(b"CreationDate").unwrap().as_str().unwrap(), b"D:20310322140500+01'00'");
    assert!(info.get(b"GTS_PDFXVersion").is_err());
    assert!(catalog.get(b"OutputIntents").is_err());
}

/// Titles with the page each leads to, from 1, and how deep it stands.
fn outline(pdf: &Pdf) -> Vec<(String, u32, usize)> {
    fn level(pdf: &Pdf, parent: ObjectId, depth: usize, all: &mut Vec<(String, u32, usize)>) {
        let pages = pdf.get_pages();
        let first = pdf.get_dictionary(parent).unwrap().get(b"First");
        let mut next = first.ok().map(|first| first.as_reference().unwrap());
        while let Some(id) = next {
            let entry = pdf.get_dictionary(id).unwrap();
            let to = entry.get(b"Dest").unwrap().as_array().unwrap()[0].as_reference().unwrap();
            let page = *pages.iter().find(|(_, id)| **id == to).unwrap().0;
            let title = lopdf::decode_text_string(entry.get(b"Title").unwrap()).unwrap();
            all.push((title, page, depth));
            level(pdf, id, depth + 1, all);
            next = entry.get(b"Next").ok().map(|next| next.as_reference().unwrap());
        }
    }
    let root = pdf.catalog().unwrap().get(b"Outlines").unwrap().as_reference().unwrap();
    let mut all = Vec::new();
    level(pdf, root, 0, &mut all);
    all
}

#[test]
fn bookmarks_lead_to_the_pages_of_their_headings_sections_below_chapters() {
    let finished = full();
    let pdf = Pdf::load_mem(&bytes(&finished)).unwrap();
    let outline = outline(&pdf);
    let titles: Vec<(&str, usize)> =
        outline.iter().map(|(title, _, depth)| (title.as_str(), *depth)).collect();
    assert_eq!(
        titles,
        [
            ("Tern Ridge, job 2: new installation", 0),
            ("1 The site", 0),
            ("2 On the stand", 0),
            ("2.1 Stand against installed", 1),
            ("3 Checks", 0),
            ("4 People and remarks", 0),
            ("4.1 Photos", 1),
            ("5 Long site", 0),
        ]
    );
    for (title, page, _) in &outline {
        let text = pdf.extract_text(&[*page]).unwrap();
        let text: Vec<&str> = text.split_whitespace().collect();
        assert!(text.join(" ").contains(title.as_str()), "{title} on {page}: {text:?}");
    }
}

#[test]
fn the_contents_name_every_heading_with_its_page_and_lead_there() {
    let finished = full();
    let pdf = Pdf::load_mem(&bytes(&finished)).unwrap();
    let first = pdf.extract_text(&[1]).unwrap();
    let told: Vec<&str> = first.lines().map(str::trim).skip_while(|line| *line != "1").collect();
    let outline = outline(&pdf);
    let headings = outline.iter().skip(1);
    let lines: Vec<String> = told[..14].chunks(2).map(|line| line.join(" ")).collect();
    assert_eq!(lines, headings.clone().map(|(title, ..)| title.clone()).collect::<Vec<_>>());
    let pages: Vec<String> = headings.map(|(_, page, _)| page.to_string()).collect();
    let after = told[14..].windows(7).any(|lines| lines == pages);
    assert!(after, "{pages:?} in {told:?}");
    let (_, page) = pdf.get_pages().into_iter().next().unwrap();
    let annotations = pdf.get_dictionary(page).unwrap().get(b"Annots").unwrap();
    assert_eq!(annotations.as_array().unwrap().len(), 7);
}

#[test]
fn photos_go_in_as_they_are_each_once() {
    let pdf = Pdf::load_mem(&bytes(&full())).unwrap();
    let images: Vec<&Stream> = pdf
        .objects
        .values()
        .filter_map(|object| object.as_stream().ok())
        .filter(|stream| stream.dict.get(b"Width").is_ok())
        .collect();
    let held: Vec<Vec<u8>> = images.iter().map(|image| image.content.clone()).collect();
    assert_eq!(held, photos());
    for image in &images {
        assert_eq!(name(image.dict.get(b"Filter").unwrap()), "DCTDecode");
    }
    assert_eq!(name(images[2].dict.get(b"ColorSpace").unwrap()), "DeviceGray");
    let pages = pdf.get_pages();
    let drawn: usize = pages
        .values()
        .map(|page| {
            let content = pdf.get_and_decode_page_content(*page).unwrap();
            content.operations.iter().filter(|operation| operation.operator == "Do").count()
        })
        .sum();
    assert_eq!(drawn, 4);
}

#[test]
fn a_photo_that_changed_in_the_meantime_stops_the_file() {
    let finished = full();
    assert!(finished.bytes(&mut |_| Ok(b"another".to_vec())).is_err());
    let lost = || Err(std::io::ErrorKind::NotFound.into());
    assert!(finished.bytes(&mut |_| lost()).is_err());
}

#[test]
fn three_fonts_are_embedded_and_named_as_subsets() {
    let pdf = Pdf::load_mem(&bytes(&full())).unwrap();
    let mut names: Vec<String> = pdf
        .objects
        .values()
        .filter_map(|object| object.as_dict().ok())
        .filter(|dictionary| dictionary.get(b"FontFile2").is_ok())
        .map(|dictionary| name(dictionary.get(b"FontName").unwrap()))
        .collect();
    names.sort();
    assert_eq!(
        names,
        ["SMREPT+FiraSans-Regular", "SMREPT+FiraSans-SemiBold", "SMREPT+Vollkorn-SemiBold"]
    );
}

#[test]
fn text_reads_back_with_the_signs_of_the_trade() {
    let finished = full();
    let pdf = Pdf::load_mem(&bytes(&finished)).unwrap();
    let first = pdf.extract_text(&[1]).unwrap();
    for words in ["≤ 1.5", "Ω λ é →", "not accepted", "Ground electrode", "not shown"] {
        let found = (1..=u32::try_from(finished.pages).unwrap())
            .any(|page| pdf.extract_text(&[page]).unwrap().contains(words));
        assert!(found, "{words} in {first}");
    }
    for page in 1..=u32::try_from(finished.pages).unwrap() {
        let text = pdf.extract_text(&[page]).unwrap();
        assert!(text.contains(&format!("page {page} of {}", finished.pages)), "{text}");
        assert!(text.contains("not accepted"));
        assert_eq!(
            text.contains("end of report"),
            usize::try_from(page).unwrap() == finished.pages
        );
    }
}

#[test]
fn signs_no_font_has_are_shown_as_boxes_and_told() {
    let finished = full();
    assert_eq!(finished.replaced, [('塔', 1), ('📡', 1)]);
    let pdf = Pdf::load_mem(&bytes(&finished)).unwrap();
    let last = u32::try_from(finished.pages).unwrap();
    assert!(pdf.extract_text(&[last]).unwrap().contains("U+5854, U+1F4E1"));
    assert!(emptiest().replaced.is_empty());
}

#[test]
fn lines_to_sign_stand_below_what_is_signed() {
    let finished = full();
    let pdf = Pdf::load_mem(&bytes(&finished)).unwrap();
    let last = pdf.extract_text(&[u32::try_from(finished.pages).unwrap()]).unwrap();
    assert!(last.contains("Signed is report 2") && last.contains("For the station"), "{last}");
}

#[test]
fn no_row_of_a_table_stands_alone_on_a_page() {
    for lines in 30..45 {
        let mut report = Document::new(meta());
        for _ in 0..lines {
            report.paragraph("A line.");
        }
        report.table(checks(4));
        let finished = report.finish().unwrap();
        let pdf = Pdf::load_mem(&bytes(&finished)).unwrap();
        for page in 1..=u32::try_from(finished.pages).unwrap() {
            let rows = pdf.extract_text(&[page]).unwrap().matches("Ground electrode").count();
            assert_ne!(rows, 1, "{lines}");
        }
    }
}

#[test]
fn an_empty_report_has_one_page() {
    assert_eq!(emptiest().pages, 1);
}

#[test]
fn pictures_link_only_where_there_is_a_server() {
    let links = |base_url: Option<&str>| {
        let mut report = Document::new(Meta { base_url: base_url.map(str::to_owned), ..meta() });
        report.figure(&mast::draw(&pictures::usual_mast(), COLUMN_PIXELS), None);
        let pdf = Pdf::load_mem(&bytes(&report.finish().unwrap())).unwrap();
        let (_, page) = pdf.get_pages().into_iter().next().unwrap();
        let page = pdf.get_dictionary(page).unwrap();
        page.get(b"Annots").unwrap().as_array().unwrap().len()
    };
    assert_eq!(links(None), 0);
    assert!(links(Some("https://standmast.example")) > 5);
}
