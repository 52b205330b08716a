//! Draws shapes as PDF operations and notes which glyphs and opacities they need.

use std::collections::{BTreeMap, BTreeSet};

use printpdf::{
    Actions, BorderArray, Color, ColorArray, CurTransMat, Destination, ExtendedGraphicsStateId,
    FontId, HighlightingMode, Line, LineDashPattern, LinePoint, LinkAnnotation, Op, PaintMode,
    PdfFontHandle, Point, Polygon, PolygonRing, Pt, Rect, Rgb, TextItem, WindingOrder, XObjectId,
    XObjectTransform,
};

use crate::figure::typeface::Face;
use crate::figure::{Anchor, Fill, Paint, Shape, Stroke};

use super::flow::{Bookmark, Laid, Lead, Page};
use super::outline::top_of;
use super::photo::Photo;
use super::{PAGE_HEIGHT, PaperError};

/// Draws page after page.
pub(super) struct Painter<'a> {
    /// Glyphs used of each face, by character.
    pub used: BTreeMap<Face, BTreeMap<char, u16>>,
    /// Opacities used, in percent.
    pub opacities: BTreeSet<u8>,
    /// The photos in the order in which they come first, each once.
    pub photos: Vec<Photo>,
    base_url: Option<&'a str>,
    bookmarks: &'a [Bookmark],
    ops: Vec<Op>,
    state: State,
}

/// What the page's graphics state was last set to.
#[derive(Default, PartialEq, Clone)]
struct State {
    fill: Option<Paint>,
    opacity: Option<u8>,
    stroke: Option<Stroke>,
}

/// A length in points with two decimals.
#[expect(clippy::cast_possible_truncation, reason = "PDF coordinates have single precision")]
fn single(value: f64) -> f32 {
    let value = if value.is_finite() { value } else { 0.0 };
    ((value * 100.0).round() / 100.0) as f32
}

fn points(value: f64) -> Pt {
    Pt(single(value))
}

/// From the page's upper left corner to PDF's lower left one.
fn point([x, y]: [f64; 2]) -> Point {
    Point { x: points(x), y: points(PAGE_HEIGHT - y) }
}

/// On paper, the paper itself is white.
fn color(paint: Paint) -> Color {
    let [red, green, blue] = match paint {
        Paint::Paper => [0xff; 3],
        other => other.rgb(),
    };
    let share = |part: u8| single(f64::from(part) / 255.0);
    Color::Rgb(Rgb { r: share(red), g: share(green), b: share(blue), icc_profile: None })
}

/// The name of the graphics state with this opacity.
pub(super) fn opacity_id(percent: u8) -> ExtendedGraphicsStateId {
    ExtendedGraphicsStateId(format!("Opacity{percent}"))
}

/// The name of a face's font in the file.
pub(super) fn font_id(face: Face) -> FontId {
    FontId(face.font().name.to_owned())
}

/// The name of a photo in the file.
pub(super) fn photo_name(index: usize) -> String {
    format!("Photo{}", index + 1)
}

/// Distance of a quarter circle's control points from its ends, in radii: 4/3 (√2 − 1).
const QUARTER: f64 = 0.552_284_75;

impl<'a> Painter<'a> {
    pub(super) fn new(base_url: Option<&'a str>, bookmarks: &'a [Bookmark]) -> Self {
        Self {
            used: BTreeMap::new(),
            opacities: BTreeSet::new(),
            photos: Vec::new(),
            base_url,
            bookmarks,
            ops: Vec::new(),
            state: State::default(),
        }
    }

    /// The operations of one page.
    pub(super) fn page(&mut self, page: &Page) -> Result<Vec<Op>, PaperError> {
        self.state = State::default();
        for laid in &page.photos {
            self.photo(laid);
        }
        for shape in &page.shapes {
            self.shape(shape)?;
        }
        for lead in &page.leads {
            self.lead(lead);
        }
        Ok(std::mem::take(&mut self.ops))
    }

    fn photo(&mut self, laid: &Laid) {
        let known = self.photos.iter().position(|one| one.digest == laid.photo.digest);
        let index = known.unwrap_or_else(|| {
            self.photos.push(laid.photo);
            self.photos.len() - 1
        });
        let [a, b, c, d, e, f] = laid.photo.placement(laid.size);
        let bottom = PAGE_HEIGHT - laid.at[1] - laid.size[1];
        let matrix = [a, b, c, d, e + laid.at[0], f + bottom].map(single);
        self.ops.extend([
            Op::SaveGraphicsState,
            Op::SetTransformationMatrix { matrix: CurTransMat::Raw(matrix) },
            Op::UseXobject {
                id: XObjectId(photo_name(index)),
                transform: XObjectTransform { no_auto_scale: true, ..XObjectTransform::default() },
            },
            Op::RestoreGraphicsState,
        ]);
    }

    /// A press on a line of the contents leads to its heading.
    fn lead(&mut self, lead: &Lead) {
        let Some(mark) = self.bookmarks.get(lead.heading) else { return };
        let to = Destination::Xyz {
            page: mark.page + 1,
            left: None,
            top: Some(top_of(mark.y)),
            zoom: None,
        };
        self.annotation(lead.sides, Actions::go_to(to));
    }

    fn shape(&mut self, shape: &Shape) -> Result<(), PaperError> {
        match shape {
            Shape::Path { points, closed, fill, stroke } => {
                self.path(points, *closed, *fill, *stroke);
            }
            Shape::Circle { centre, radius, fill, stroke } => {
                self.paint(circle(*centre, *radius), *fill, *stroke);
            }
            Shape::Text { .. } => self.text(shape)?,
            Shape::Group { href, shapes, .. } => {
                for shape in shapes {
                    self.shape(shape)?;
                }
                if let (Some(href), Some(base)) = (href, self.base_url) {
                    self.link(&format!("{base}{href}"), shapes);
                }
            }
        }
        Ok(())
    }

    fn path(
        &mut self,
        corners: &[[f64; 2]],
        closed: bool,
        fill: Option<Fill>,
        stroke: Option<Stroke>,
    ) {
        let corners: Vec<LinePoint> =
            corners.iter().map(|corner| LinePoint { p: point(*corner), bezier: false }).collect();
        if corners.len() < 2 {
            return;
        }
        if closed {
            self.paint(corners, fill, stroke);
        } else if let Some(stroke) = stroke {
            self.set_stroke(stroke);
            self.ops.push(Op::DrawLine { line: Line { points: corners, is_closed: false } });
        }
    }

    fn paint(&mut self, ring: Vec<LinePoint>, fill: Option<Fill>, stroke: Option<Stroke>) {
        // A translucent fill is painted by itself, so that its outline stays opaque.
        if let Some(fill) = fill {
            self.set_fill(fill);
            self.polygon(ring.clone(), PaintMode::Fill);
        }
        if let Some(stroke) = stroke {
            self.set_stroke(stroke);
            self.polygon(ring, PaintMode::Stroke);
        }
    }

    fn polygon(&mut self, points: Vec<LinePoint>, mode: PaintMode) {
        self.ops.push(Op::DrawPolygon {
            polygon: Polygon {
                rings: vec![PolygonRing { points }],
                mode,
                winding_order: WindingOrder::NonZero,
            },
        });
    }

    fn set_fill(&mut self, fill: Fill) {
        if self.state.opacity.unwrap_or(100) != fill.opacity {
            self.opacities.insert(fill.opacity);
            self.ops.push(Op::LoadGraphicsState { gs: opacity_id(fill.opacity) });
            self.state.opacity = Some(fill.opacity);
        }
        if self.state.fill != Some(fill.paint) {
            self.ops.push(Op::SetFillColor { col: color(fill.paint) });
            self.state.fill = Some(fill.paint);
        }
    }

    fn set_stroke(&mut self, stroke: Stroke) {
        let before = self.state.stroke;
        if before.map(|old| old.paint) != Some(stroke.paint) {
            self.ops.push(Op::SetOutlineColor { col: color(stroke.paint) });
        }
        if before.is_none_or(|old| (old.width - stroke.width).abs() > 0.004) {
            self.ops.push(Op::SetOutlineThickness { pt: points(stroke.width) });
        }
        if before.map_or(stroke.dash.is_some(), |old| old.dash != stroke.dash) {
            let dash = match stroke.dash {
                Some([dash, gap]) => LineDashPattern::new(0.0, &[single(dash), single(gap)]),
                None => LineDashPattern::solid(),
            };
            self.ops.push(Op::SetLineDashPattern { dash });
        }
        self.state.stroke = Some(stroke);
    }

    fn text(&mut self, shape: &Shape) -> Result<(), PaperError> {
        let Shape::Text { at: [x, y], text, size, face, anchor, paint, struck } = shape else {
            return Ok(());
        };
        let width = face.measure(text, *size);
        let left = match anchor {
            Anchor::Start => *x,
            Anchor::Middle => x - width / 2.0,
            Anchor::End => x - width,
        };
        self.set_fill(Fill::solid(*paint));
        let mut run = String::new();
        let mut run_face = *face;
        let mut run_left = left;
        let mut pen = left;
        for character in text.chars() {
            // Both spaces share one glyph, which reads back as one character.
            let character = if character == '\u{a0}' { ' ' } else { character };
            let (set_in, glyph) =
                face.setting(character).ok_or(PaperError::MissingGlyph(character))?;
            self.used.entry(set_in).or_default().insert(character, glyph);
            if set_in != run_face {
                self.run(&run, run_face, *size, [run_left, *y]);
                run.clear();
                run_face = set_in;
                run_left = pen;
            }
            run.push(character);
            pen += face.width_em(character) * size;
        }
        self.run(&run, run_face, *size, [run_left, *y]);
        if *struck {
            let height = y - size * 0.27;
            let stroke = Stroke::solid(*paint, size * 0.07);
            self.path(&[[left, height], [left + width, height]], false, None, Some(stroke));
        }
        Ok(())
    }

    fn run(&mut self, text: &str, face: Face, size: f64, at: [f64; 2]) {
        if text.is_empty() {
            return;
        }
        self.ops.extend([
            Op::StartTextSection,
            Op::SetFont { font: PdfFontHandle::External(font_id(face)), size: points(size) },
            Op::SetTextCursor { pos: point(at) },
            Op::ShowText { items: vec![TextItem::Text(text.to_owned())] },
            Op::EndTextSection,
        ]);
    }

    fn link(&mut self, address: &str, shapes: &[Shape]) {
        let Some(sides) = extent(shapes) else { return };
        if !address.is_ascii() || address.contains(['(', ')', '\\', ' ']) {
            return;
        }
        self.annotation(sides, Actions::uri(address.to_owned()));
    }

    fn annotation(&mut self, [left, top, right, bottom]: [f64; 4], leads: Actions) {
        let rect = Rect::from_xywh(
            points(left),
            points(PAGE_HEIGHT - bottom),
            points(right - left),
            points(bottom - top),
        );
        self.ops.push(Op::LinkAnnotation {
            link: LinkAnnotation::new(
                rect,
                leads,
                Some(BorderArray::Solid([0.0, 0.0, 0.0])),
                Some(ColorArray::Transparent),
                Some(HighlightingMode::None),
            ),
        });
    }
}

fn circle([x, y]: [f64; 2], radius: f64) -> Vec<LinePoint> {
    let (r, c) = (radius, radius * QUARTER);
    let at = |dx: f64, dy: f64, bezier: bool| LinePoint { p: point([x + dx, y + dy]), bezier };
    vec![
        at(r, 0.0, false),
        at(r, c, true),
        at(c, r, true),
        at(0.0, r, false),
        at(-c, r, true),
        at(-r, c, true),
        at(-r, 0.0, false),
        at(-r, -c, true),
        at(-c, -r, true),
        at(0.0, -r, false),
        at(c, -r, true),
        at(r, -c, true),
        at(r, 0.0, false),
    ]
}

/// Left, top, right and bottom of shapes.
fn extent(shapes: &[Shape]) -> Option<[f64; 4]> {
    let mut all: Option<[f64; 4]> = None;
    let mut take = |a: [f64; 2], b: [f64; 2]| {
        let [left, top, right, bottom] = all.unwrap_or([a[0], a[1], b[0], b[1]]);
        all = Some([left.min(a[0]), top.min(a[1]), right.max(b[0]), bottom.max(b[1])]);
    };
    for shape in shapes {
        match shape {
            Shape::Path { points, .. } => points.iter().for_each(|corner| take(*corner, *corner)),
            Shape::Circle { centre: [x, y], radius, .. } => {
                take([x - radius, y - radius], [x + radius, y + radius]);
            }
            Shape::Text { at: [x, y], text, size, face, anchor, .. } => {
                let width = face.measure(text, *size);
                let left = match anchor {
                    Anchor::Start => *x,
                    Anchor::Middle => x - width / 2.0,
                    Anchor::End => x - width,
                };
                take([left, y - size * 0.8], [left + width, y + size * 0.2]);
            }
            Shape::Group { shapes, .. } => {
                if let Some([left, top, right, bottom]) = extent(shapes) {
                    take([left, top], [right, bottom]);
                }
            }
        }
    }
    all
}
