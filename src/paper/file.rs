//! Makes the file: pages and fonts through printpdf, the rest of the document (version, language,
//! title, dates, bookmarks) through lopdf, the same bytes for the same report.

use std::collections::{BTreeMap, BTreeSet};

use lopdf::{Object, ObjectId, StringFormat, dictionary, text_string};
use printpdf::{
    ExtendedGraphicsState, FontMetrics, FontType, Mm, Op, ParsedFont, PdfDocument, PdfFont,
    PdfFontMetricsStub, PdfPage, PdfSaveOptions,
};
use time::OffsetDateTime;

use crate::figure::FontTables;
use crate::figure::typeface::Face;

use super::draw::{Painter, font_id, opacity_id, photo_name};
use super::finished::File;
use super::flow::Flow;
use super::outline::outline;
use super::photo::Photo;
use super::subset::subset;
use super::{Meta, PaperError};

/// Says in the font's name that the file holds only some of its glyphs (ISO 32000-1, 9.6.4).
const SUBSET_TAG: &str = "SMREPT";

/// The file but for the photos' bytes.
pub(super) fn write(meta: &Meta, flow: &Flow) -> Result<File, PaperError> {
    let mut painter = Painter::new(meta.base_url.as_deref(), &flow.bookmarks);
    let mut document = PdfDocument::new(&meta.title);
    for one in &flow.pages {
        let ops = painter.page(one)?;
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
    finish(&mut file, meta, flow)?;
    let first = name_photos(&mut file, &painter.photos)?;
    file.compress();
    file.trailer.remove(b"ID");
    let mut bytes = Vec::new();
    file.save_to(&mut bytes)?;
    File::new(bytes, first, painter.photos).ok_or(PaperError::Table)
}

/// Gives each photo the number of an object, ascending from the one answered, and its name on the pages.
fn name_photos(file: &mut lopdf::Document, photos: &[Photo]) -> Result<u32, PaperError> {
    let first = file.max_id.saturating_add(1);
    if photos.is_empty() {
        return Ok(first);
    }
    let mut names = lopdf::Dictionary::new();
    for index in 0..photos.len() {
        names.set(photo_name(index), Object::Reference(file.new_object_id()));
    }
    let pages: Vec<ObjectId> = file.get_pages().into_values().collect();
    for page in pages {
        let resources = file.get_dictionary(page)?.get(b"Resources")?.as_reference()?;
        let shared = file.get_dictionary(resources)?.get(b"XObject")?.as_reference()?;
        // All pages share one dictionary.
        *file.get_dictionary_mut(shared)? = names.clone();
    }
    Ok(first)
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
fn finish(file: &mut lopdf::Document, meta: &Meta, flow: &Flow) -> Result<(), PaperError> {
    "1.7".clone_into(&mut file.version);
    let outlines = outline(file, &flow.bookmarks);
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

pub(super) fn one_line(text: &str) -> String {
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
