//! Writes the file: pages and fonts through printpdf, the rest of the document (version,
//! language, title, dates, bookmarks, id) through lopdf, the same bytes for the same report.

use std::collections::{BTreeMap, BTreeSet};

use lopdf::{Dictionary, Object, StringFormat, dictionary, text_string};
use printpdf::{
    ExtendedGraphicsState, FontMetrics, FontType, Mm, Op, ParsedFont, PdfDocument, PdfFont,
    PdfFontMetricsStub, PdfPage, PdfSaveOptions, Pt,
};
use sha2::{Digest, Sha256};
use time::OffsetDateTime;

use crate::figure::typeface::Face;
use crate::figure::{FontTables, Shape};

use super::draw::{Painter, font_id, opacity_id};
use super::flow::Bookmark;
use super::subset::subset;
use super::{Meta, PAGE_HEIGHT, PaperError};

/// Says in the font's name that the file holds only some of its glyphs (ISO 32000-1, 9.6.4).
const SUBSET_TAG: &str = "SMREPT";

pub(super) fn write(
    meta: &Meta,
    pages: &[Vec<Shape>],
    bookmarks: &[Bookmark],
) -> Result<Vec<u8>, PaperError> {
    let mut painter = Painter::new(meta.base_url.as_deref());
    let mut document = PdfDocument::new(&meta.title);
    for shapes in pages {
        let ops = painter.page(shapes)?;
        document.pages.push(page(ops));
    }
    for (face, glyphs) in &painter.used {
        let font = embedded(*face, glyphs)?;
        document.resources.fonts.map.insert(font_id(*face), PdfFont::new(font));
    }
    for percent in &painter.opacities {
        let state =
            ExtendedGraphicsState::default().with_current_fill_alpha(f32::from(*percent) / 100.0);
        document.resources.extgstates.map.insert(opacity_id(*percent), state);
    }
    let options = PdfSaveOptions {
        optimize: true,
        subset_fonts: false,
        secure: true,
        image_optimization: None,
    };
    let mut warnings = Vec::new();
    let mut file = document.to_lopdf_document(&options, &mut warnings);
    if let Some(warning) = warnings.first() {
        return Err(PaperError::Warned(warning.msg.clone()));
    }
    finish(&mut file, meta, bookmarks)?;
    file.compress();
    save(file)
}

fn page(ops: Vec<Op>) -> PdfPage {
    // ISO 216: A4.
    PdfPage::new(Mm(210.0), Mm(297.0), ops)
}

/// The font with the glyphs in use, ready to be embedded.
fn embedded(face: Face, glyphs: &BTreeMap<char, u16>) -> Result<ParsedFont, PaperError> {
    let font = face.font();
    let failed = || PaperError::Font(font.name);
    let used: BTreeSet<u16> = glyphs.values().copied().collect();
    let bytes = subset(font.bytes, &used).ok_or_else(failed)?;
    let tables = FontTables::new(font.bytes);
    let metrics = tables.metrics().ok_or_else(failed)?;
    Ok(ParsedFont {
        original_bytes: bytes,
        font_index: 0,
        font_name: Some(format!("{SUBSET_TAG}+{}", font.name)),
        codepoint_to_glyph: glyphs.iter().map(|(sign, glyph)| (u32::from(*sign), *glyph)).collect(),
        glyph_widths: used.into_iter().map(|glyph| (glyph, font.advance(glyph))).collect(),
        units_per_em: tables.units_per_em(),
        font_metrics: FontMetrics { ascent: metrics.ascent, descent: metrics.descent },
        font_type: FontType::TrueType,
        pdf_font_metrics: PdfFontMetricsStub {
            units_per_em: tables.units_per_em(),
            x_min: metrics.extent[0],
            y_min: metrics.extent[1],
            x_max: metrics.extent[2],
            y_max: metrics.extent[3],
            us_weight_class: metrics.weight,
            ..PdfFontMetricsStub::default()
        },
    })
}

/// What printpdf leaves out or writes otherwise.
fn finish(
    file: &mut lopdf::Document,
    meta: &Meta,
    bookmarks: &[Bookmark],
) -> Result<(), PaperError> {
    "1.7".clone_into(&mut file.version);
    let outlines = outlines(file, bookmarks);
    let catalog = file.catalog_mut()?;
    catalog.set("Lang", text_string(&meta.language));
    catalog.set("ViewerPreferences", dictionary! { "DisplayDocTitle" => true });
    catalog.set("PageLayout", Object::Name(b"OneColumn".to_vec()));
    let mode: &[u8] = if outlines.is_some() { b"UseOutlines" } else { b"UseNone" };
    catalog.set("PageMode", Object::Name(mode.to_vec()));
    if let Some(outlines) = outlines {
        catalog.set("Outlines", outlines);
    }
    let date = Object::String(date(meta.made_at).into_bytes(), StringFormat::Literal);
    let info = dictionary! {
        "Title" => text_string(&one_line(&meta.title)),
        "Author" => text_string(&one_line(&meta.author)),
        "Subject" => text_string(&one_line(&meta.subject)),
        "Creator" => text_string("standmast"),
        "Producer" => text_string(concat!("standmast ", env!("CARGO_PKG_VERSION"))),
        "CreationDate" => date.clone(),
        "ModDate" => date,
    };
    let info = file.add_object(info);
    let old = file.trailer.get(b"Info").and_then(Object::as_reference).ok();
    if let Some(old) = old {
        file.objects.remove(&old);
    }
    file.trailer.set("Info", info);
    Ok(())
}

fn one_line(text: &str) -> String {
    text.chars().filter(|character| !character.is_control()).collect()
}

/// A time as PDF writes it (ISO 32000-1, 7.9.4).
fn date(at: OffsetDateTime) -> String {
    let (hours, minutes, _) = at.offset().as_hms();
    let sign = if at.offset().is_negative() { '-' } else { '+' };
    format!(
        "D:{:04}{:02}{:02}{:02}{:02}{:02}{sign}{:02}'{:02}'",
        at.year(),
        u8::from(at.month()),
        at.day(),
        at.hour(),
        at.minute(),
        at.second(),
        hours.unsigned_abs(),
        minutes.unsigned_abs()
    )
}

/// The bookmarks as a flat list in the order of the pages.
fn outlines(file: &mut lopdf::Document, bookmarks: &[Bookmark]) -> Option<Object> {
    let pages: Vec<lopdf::ObjectId> = file.get_pages().into_values().collect();
    let marks: Vec<(&Bookmark, lopdf::ObjectId)> =
        bookmarks.iter().filter_map(|mark| Some((mark, *pages.get(mark.page)?))).collect();
    if marks.is_empty() {
        return None;
    }
    let root = file.new_object_id();
    let ids: Vec<lopdf::ObjectId> = marks.iter().map(|_| file.new_object_id()).collect();
    for (index, (mark, page)) in marks.iter().enumerate() {
        let top = Pt(draw_top(mark.y));
        let mut entry: Dictionary = dictionary! {
            "Title" => text_string(&one_line(&mark.words)),
            "Parent" => root,
            "Dest" => vec![
                Object::Reference(*page),
                Object::Name(b"XYZ".to_vec()),
                Object::Null,
                Object::from(top),
                Object::Null,
            ],
        };
        if let Some(previous) = index.checked_sub(1).and_then(|at| ids.get(at)) {
            entry.set("Prev", *previous);
        }
        if let Some(next) = ids.get(index + 1) {
            entry.set("Next", *next);
        }
        if let Some(id) = ids.get(index) {
            file.objects.insert(*id, Object::Dictionary(entry));
        }
    }
    let mut list = dictionary! { "Type" => "Outlines" };
    list.set("Count", i64::try_from(ids.len()).unwrap_or(i64::MAX));
    if let (Some(first), Some(last)) = (ids.first(), ids.last()) {
        list.set("First", *first);
        list.set("Last", *last);
    }
    file.objects.insert(root, Object::Dictionary(list));
    Some(Object::Reference(root))
}

/// A little above the heading, from the page's lower edge.
#[expect(clippy::cast_possible_truncation, reason = "PDF coordinates have single precision")]
fn draw_top(y: f64) -> f32 {
    (PAGE_HEIGHT - y + 12.0).round() as f32
}

/// The bytes, with an id that is the digest of everything else.
fn save(mut file: lopdf::Document) -> Result<Vec<u8>, PaperError> {
    file.trailer.remove(b"ID");
    let mut bytes = Vec::new();
    file.save_to(&mut bytes)?;
    let digest = Sha256::digest(&bytes);
    let id: Vec<u8> = digest.iter().copied().take(16).collect();
    let id = Object::String(id, StringFormat::Hexadecimal);
    file.trailer.set("ID", vec![id.clone(), id]);
    bytes.clear();
    file.save_to(&mut bytes)?;
    Ok(bytes)
}
