//! A report with everything in it, the emptiest one, and what must hold of both.

use lopdf::{Document as Pdf, Object};
use time::macros::datetime;

use crate::figure::samples as pictures;
use crate::figure::{Mark, State, comparison_plot, gate_rail, mast, trial_plot};

use super::{COLUMN_PIXELS, Column, Document, Finished, Level, Meta, Table, Words};

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
    report.heading(Level::Section, "The site");
    report.figure(
        &mast::draw(&pictures::usual_mast(), COLUMN_PIXELS),
        Some("Heights are to scale, the building is not."),
    );
    report.heading(Level::Section, "On the stand");
    report.keep_together(|report| {
        report.figure(&trial_plot::draw(&pictures::usual_trials(), COLUMN_PIXELS), None);
        report.table(Table::from(&trial_plot::table(&pictures::usual_trials())));
    });
    report.heading(Level::Section, "Stand against installed");
    let mut plot = pictures::usual_comparison();
    plot.heading = None;
    report.figure(&comparison_plot::draw(&plot, COLUMN_PIXELS), None);
    report.heading(Level::Section, "Checks");
    report.heading(Level::Part, "RF on");
    report.table(checks(55));
    report.caution(
        "RF burns, and a mast may fall on those below it. This record is never a permit: local \
         code and licensed practice come first. Nobody climbs before the transmitter is locked \
         off by the one who holds the key.",
    );
    report.heading(Level::Section, "People and remarks");
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
    report.page_break();
    report.heading(Level::Section, "Long site");
    report.figure(
        &mast::draw(
            &pictures::longest_mast(mast::StructureKind::Tower, 150.0, 146.0),
            COLUMN_PIXELS,
        ),
        None,
    );
    report.small("Small print about the above.");
    report.signatures(&["For the contractor", "For the station"]);
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
    assert!(first.bytes == second.bytes);
    assert!(first.bytes.len() < 200_000, "{}", first.bytes.len());
    write("paper-full.pdf", &first.bytes);
    write("paper-emptiest.pdf", &emptiest().bytes);
}

fn name(object: &Object) -> String {
    String::from_utf8(object.as_name().unwrap().to_vec()).unwrap()
}

#[test]
fn the_file_says_what_it_is() {
    let finished = full();
    let pdf = Pdf::load_mem(&finished.bytes).unwrap();
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

#[test]
fn bookmarks_follow_the_report() {
    let pdf = Pdf::load_mem(&full().bytes).unwrap();
    let root = pdf.catalog().unwrap().get(b"Outlines").unwrap().as_reference().unwrap();
    let mut next = pdf.get_dictionary(root).unwrap().get(b"First").unwrap().as_reference().ok();
    let mut titles = Vec::new();
    while let Some(id) = next {
        let entry = pdf.get_dictionary(id).unwrap();
        titles.push(lopdf::decode_text_string(entry.get(b"Title").unwrap()).unwrap());
        next = entry.get(b"Next").ok().and_then(|next| next.as_reference().ok());
    }
    assert_eq!(
        titles,
        [
            "Tern Ridge, job 2: new installation",
            "The site",
            "On the stand",
            "Stand against installed",
            "Checks",
            "People and remarks",
            "Long site",
        ]
    );
}

#[test]
fn three_fonts_are_embedded_and_named_as_subsets() {
    let pdf = Pdf::load_mem(&full().bytes).unwrap();
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
    let pdf = Pdf::load_mem(&finished.bytes).unwrap();
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
    let pdf = Pdf::load_mem(&finished.bytes).unwrap();
    let last = u32::try_from(finished.pages).unwrap();
    assert!(pdf.extract_text(&[last]).unwrap().contains("U+5854, U+1F4E1"));
    assert!(emptiest().replaced.is_empty());
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
        let pdf = Pdf::load_mem(&report.finish().unwrap().bytes).unwrap();
        let (_, page) = pdf.get_pages().into_iter().next().unwrap();
        let page = pdf.get_dictionary(page).unwrap();
        page.get(b"Annots").unwrap().as_array().unwrap().len()
    };
    assert_eq!(links(None), 0);
    assert!(links(Some("https://standmast.example")) > 5);
}
