//! The shapes a picture is made of. Positions are in CSS pixels from the upper left corner;
//! the PDF draws one pixel as 0.75 pt at scale 1.

use crate::figure::typeface::Face;

/// A colour by its meaning. Pages set it by a CSS variable, so that a dark page or a print style
/// changes it; the PDF uses the light colours.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Paint {
    /// Text and structures.
    Ink,
    /// Second text.
    SoftInk,
    /// Grid and rules.
    Rule,
    /// The ground everything lies on.
    Paper,
    /// A tinted ground.
    Wash,
    /// Limits, grounding, and what matters now.
    Oxide,
    /// RF, and what is expected.
    Sea,
    /// Only inside the mark for "passed".
    Green,
}

impl Paint {
    /// The CSS variable that pages may set.
    #[must_use]
    pub const fn variable(self) -> &'static str {
        match self {
            Self::Ink => "--ink",
            Self::SoftInk => "--soft-ink",
            Self::Rule => "--rule",
            Self::Paper => "--paper",
            Self::Wash => "--wash",
            Self::Oxide => "--oxide",
            Self::Sea => "--sea",
            Self::Green => "--green",
        }
    }

    /// Red, green and blue of the light colour, 0 to 255.
    #[must_use]
    pub const fn rgb(self) -> [u8; 3] {
        match self {
            Self::Ink => [0x1c, 0x21, 0x26],
            Self::SoftInk => [0x59, 0x63, 0x6b],
            Self::Rule => [0xd9, 0xd3, 0xc5],
            Self::Paper => [0xfb, 0xf9, 0xf4],
            Self::Wash => [0xf1, 0xed, 0xe2],
            Self::Oxide => [0x9c, 0x3d, 0x22],
            Self::Sea => [0x1f, 0x5d, 0x6b],
            Self::Green => [0x2d, 0x6a, 0x3e],
        }
    }
}

/// How an area is filled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fill {
    /// The colour.
    pub paint: Paint,
    /// Opacity in percent, 1 to 100.
    pub opacity: u8,
}

impl Fill {
    /// An opaque fill.
    #[must_use]
    pub const fn solid(paint: Paint) -> Self {
        Self { paint, opacity: 100 }
    }

    /// A translucent fill; `opacity` in percent.
    #[must_use]
    pub const fn tint(paint: Paint, opacity: u8) -> Self {
        Self { paint, opacity }
    }
}

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stroke {
    /// The colour.
    pub paint: Paint,
    /// Width in pixels.
    pub width: f64,
    /// Length of dash and of gap in pixels; an unbroken line when absent.
    pub dash: Option<[f64; 2]>,
}

impl Stroke {
    /// An unbroken line.
    #[must_use]
    pub const fn solid(paint: Paint, width: f64) -> Self {
        Self { paint, width, dash: None }
    }

    /// A broken line: what is expected, permitted or missing.
    #[must_use]
    pub const fn dashed(paint: Paint, width: f64) -> Self {
        Self { paint, width, dash: Some([4.0, 3.0]) }
    }
}

/// Which part of a text stands at its position.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// The text begins there.
    Start,
    /// The text is centred there.
    Middle,
    /// The text ends there.
    End,
}

/// One thing drawn.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// Straight lines from point to point.
    Path {
        /// Corners, x and y in pixels.
        points: Vec<[f64; 2]>,
        /// Whether the last point joins the first.
        closed: bool,
        /// Fill of the area, if any.
        fill: Option<Fill>,
        /// Outline, if any.
        stroke: Option<Stroke>,
    },
    /// A circle.
    Circle {
        /// Centre, x and y in pixels.
        centre: [f64; 2],
        /// Radius in pixels.
        radius: f64,
        /// Fill of the disc, if any.
        fill: Option<Fill>,
        /// Outline, if any.
        stroke: Option<Stroke>,
    },
    /// One line of text.
    Text {
        /// Where the baseline is anchored, x and y in pixels.
        at: [f64; 2],
        /// The words.
        text: String,
        /// Size in pixels.
        size: f64,
        /// The face.
        face: Face,
        /// Which part of the text stands at `at`.
        anchor: Anchor,
        /// The colour.
        paint: Paint,
        /// Whether a line is drawn through the words.
        struck: bool,
    },
    /// Shapes that belong together.
    Group {
        /// Where a press on the group leads, if anywhere.
        href: Option<String>,
        /// What the group is, for those who cannot see it; it names the link.
        name: String,
        /// What it is made of, drawn in this order.
        shapes: Vec<Shape>,
    },
}

/// A drawn picture: what SVG and PDF are made from.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// Which picture it is; a page's style may use it as the class `figure-…`.
    pub kind: &'static str,
    /// Width in pixels.
    pub width: f64,
    /// Height in pixels.
    pub height: f64,
    /// What the picture shows, in a few words.
    pub title: String,
    /// What can be seen in it, in a sentence or two.
    pub description: String,
    /// What is drawn, in this order.
    pub shapes: Vec<Shape>,
}

impl Picture {
    /// Whether anything in the picture can be pressed.
    #[must_use]
    pub fn has_links(&self) -> bool {
        any_link(&self.shapes)
    }

    /// Every line of text drawn, in order.
    #[must_use]
    pub fn texts(&self) -> Vec<&str> {
        let mut texts = Vec::new();
        collect_texts(&self.shapes, &mut texts);
        texts
    }
}

impl Shape {
    /// The shape made `scale` times as large and then moved right and down.
    #[must_use]
    pub fn transformed(&self, scale: f64, [dx, dy]: [f64; 2]) -> Self {
        let place = |[x, y]: [f64; 2]| [x * scale + dx, y * scale + dy];
        let drawn = |stroke: &Option<Stroke>| {
            stroke.map(|stroke| Stroke {
                paint: stroke.paint,
                width: stroke.width * scale,
                dash: stroke.dash.map(|[dash, gap]| [dash * scale, gap * scale]),
            })
        };
        match self {
            Self::Path { points, closed, fill, stroke } => Self::Path {
                points: points.iter().copied().map(place).collect(),
                closed: *closed,
                fill: *fill,
                stroke: drawn(stroke),
            },
            Self::Circle { centre, radius, fill, stroke } => Self::Circle {
                centre: place(*centre),
                radius: radius * scale,
                fill: *fill,
                stroke: drawn(stroke),
            },
            Self::Text { at, text, size, face, anchor, paint, struck } => Self::Text {
                at: place(*at),
                text: text.clone(),
                size: size * scale,
                face: *face,
                anchor: *anchor,
                paint: *paint,
                struck: *struck,
            },
            Self::Group { href, name, shapes } => Self::Group {
                href: href.clone(),
                name: name.clone(),
                shapes: shapes.iter().map(|shape| shape.transformed(scale, [dx, dy])).collect(),
            },
        }
    }
}

fn any_link(shapes: &[Shape]) -> bool {
    shapes.iter().any(|shape| match shape {
        Shape::Group { href, shapes, .. } => href.is_some() || any_link(shapes),
        _ => false,
    })
}

pub(super) fn collect_texts<'a>(shapes: &'a [Shape], texts: &mut Vec<&'a str>) {
    for shape in shapes {
        match shape {
            Shape::Text { text, .. } => texts.push(text),
            Shape::Group { shapes, .. } => collect_texts(shapes, texts),
            Shape::Path { .. } | Shape::Circle { .. } => {}
        }
    }
}

pub(super) fn line(from: [f64; 2], to: [f64; 2], stroke: Stroke) -> Shape {
    polyline(vec![from, to], stroke)
}

pub(super) const fn polyline(points: Vec<[f64; 2]>, stroke: Stroke) -> Shape {
    Shape::Path { points, closed: false, fill: None, stroke: Some(stroke) }
}

pub(super) const fn polygon(
    points: Vec<[f64; 2]>,
    fill: Option<Fill>,
    stroke: Option<Stroke>,
) -> Shape {
    Shape::Path { points, closed: true, fill, stroke }
}

/// A rectangle from its upper left corner, width and height.
pub(super) fn rect(
    [x, y]: [f64; 2],
    [width, height]: [f64; 2],
    fill: Option<Fill>,
    stroke: Option<Stroke>,
) -> Shape {
    polygon(vec![[x, y], [x + width, y], [x + width, y + height], [x, y + height]], fill, stroke)
}

pub(super) const fn circle(
    centre: [f64; 2],
    radius: f64,
    fill: Option<Fill>,
    stroke: Option<Stroke>,
) -> Shape {
    Shape::Circle { centre, radius, fill, stroke }
}

pub(super) fn text(
    at: [f64; 2],
    words: impl Into<String>,
    (face, size): (Face, f64),
    anchor: Anchor,
    paint: Paint,
) -> Shape {
    Shape::Text { at, text: words.into(), size, face, anchor, paint, struck: false }
}
