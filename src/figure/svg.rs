//! Draws a picture as inline SVG: real text, semantic colours by CSS variable, and a title and
//! description for those who cannot see it. Needs no style sheet; obeys one that sets variables.

use std::fmt::Write as _;

use crate::figure::picture::{Anchor, Fill, Paint, Picture, Shape, Stroke, collect_texts};
use crate::figure::typeface::Face;

/// Rules for a page's style sheet: shows the wide or the narrow one of two drawings of a
/// picture, lets both shrink, and makes the link in focus visible.
pub const STYLE_RULES: &str = "\
svg.figure{display:block;max-width:100%;height:auto;font-variant-numeric:lining-nums tabular-nums}
.figure-narrow{display:none}
@media (max-width:719px){.figure-wide{display:none}.figure-narrow{display:block}}
@media print{.figure-wide{display:block}.figure-narrow{display:none}}
svg.figure a{text-decoration:none}
svg.figure a:hover text,svg.figure a:focus-visible text{text-decoration:underline}
svg.figure a:focus-visible{outline:2px solid var(--oxide,#9c3d22);outline-offset:2px}
svg.drawn-mark{width:1em;height:1em;vertical-align:-.12em}
";

/// A number with at most two decimals and no trailing zeros; what is no number is drawn at 0.
pub(super) fn number(value: f64) -> String {
    if !value.is_finite() {
        return "0".to_owned();
    }
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// Text safe between tags and inside a quoted attribute.
fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            '\u{9}' | '\u{a}' | '\u{d}' => safe.push(' '),
            control if control.is_control() => {}
            other => safe.push(other),
        }
    }
    safe
}

/// The picture as an `<svg>` element for a page. `prefix` makes its ids the only ones on the
/// page: give each picture of a page another one (letters, digits and dashes).
///
/// A picture without links is one image to assistive software; one with links is a group, since
/// the links inside an image could not be reached.
#[must_use]
pub fn inline(picture: &Picture, prefix: &str) -> String {
    let mut svg = String::new();
    let role = if picture.has_links() { "group" } else { "img" };
    let prefix = escaped(prefix);
    let (width, height) = (number(picture.width), number(picture.height));
    push(
        &mut svg,
        format_args!(
            "<svg class=\"figure figure-{}\" xmlns=\"http://www.w3.org/2000/svg\" \
             viewBox=\"0 0 {width} {height}\" width=\"{width}\" height=\"{height}\" \
             role=\"{role}\" aria-labelledby=\"{prefix}-title\" \
             aria-describedby=\"{prefix}-desc\" \
             font-family=\"'Fira Sans',sans-serif\">\
             <title id=\"{prefix}-title\">{}</title><desc id=\"{prefix}-desc\">{}</desc>",
            picture.kind,
            escaped(&picture.title),
            escaped(&picture.description),
        ),
    );
    draw_all(&mut svg, &picture.shapes);
    svg.push_str("</svg>");
    svg
}

/// Both drawings of one picture: the wide one, and the narrow one for a phone; [`STYLE_RULES`]
/// shows one of them.
#[must_use]
pub fn responsive(wide: &Picture, narrow: &Picture, prefix: &str) -> String {
    format!(
        "<div class=\"figure-wide\">{}</div><div class=\"figure-narrow\">{}</div>",
        inline(wide, &format!("{prefix}-wide")),
        inline(narrow, &format!("{prefix}-narrow")),
    )
}

/// A mark beside its word: hidden from assistive software, since the word says the same.
#[must_use]
pub fn decorative(picture: &Picture) -> String {
    let (width, height) = (number(picture.width), number(picture.height));
    let mut svg = String::new();
    push(
        &mut svg,
        format_args!(
            "<svg class=\"drawn-mark drawn-mark-{}\" xmlns=\"http://www.w3.org/2000/svg\" \
             viewBox=\"0 0 {width} {height}\" width=\"{width}\" height=\"{height}\" \
             aria-hidden=\"true\" focusable=\"false\">",
            picture.kind,
        ),
    );
    draw_all(&mut svg, &picture.shapes);
    svg.push_str("</svg>");
    svg
}

/// Writing to a string cannot fail.
fn push(svg: &mut String, arguments: std::fmt::Arguments<'_>) {
    let _ = svg.write_fmt(arguments);
}

fn draw_all(svg: &mut String, shapes: &[Shape]) {
    for shape in shapes {
        draw(svg, shape);
    }
}

fn draw(svg: &mut String, shape: &Shape) {
    match shape {
        Shape::Path { points, closed, fill, stroke } => {
            draw_path(svg, points, *closed, *fill, *stroke)
        }
        Shape::Circle { centre: [x, y], radius, fill, stroke } => {
            push(
                svg,
                format_args!(
                    "<circle cx=\"{}\" cy=\"{}\" r=\"{}\"",
                    number(*x),
                    number(*y),
                    number(*radius)
                ),
            );
            push_paints(svg, *fill, *stroke);
            svg.push_str("/>");
        }
        Shape::Text { .. } => draw_text(svg, shape),
        Shape::Group { href, name, shapes } => {
            match href {
                Some(href) => {
                    let name = link_name(name, shapes);
                    push(
                        svg,
                        format_args!(
                            "<a href=\"{}\" aria-label=\"{}\">",
                            escaped(href),
                            escaped(&name)
                        ),
                    );
                }
                None => svg.push_str("<g>"),
            }
            draw_all(svg, shapes);
            svg.push_str(if href.is_some() { "</a>" } else { "</g>" });
        }
    }
}

/// A link's name holds its visible words (WCAG 2.5.3), and more where they are but a letter.
fn link_name(name: &str, shapes: &[Shape]) -> String {
    let mut texts = Vec::new();
    collect_texts(shapes, &mut texts);
    let words = texts.join(" ");
    if name.contains(&words) {
        name.to_owned()
    } else if words.contains(name) {
        words
    } else {
        format!("{name}: {words}")
    }
}

fn draw_path(
    svg: &mut String,
    points: &[[f64; 2]],
    closed: bool,
    fill: Option<Fill>,
    stroke: Option<Stroke>,
) {
    svg.push_str("<path d=\"");
    for (index, [x, y]) in points.iter().enumerate() {
        let command = if index == 0 { "M" } else { "L" };
        push(svg, format_args!("{command}{} {}", number(*x), number(*y)));
    }
    svg.push_str(if closed { "Z\"" } else { "\"" });
    push_paints(svg, fill, stroke);
    svg.push_str("/>");
}

fn draw_text(svg: &mut String, shape: &Shape) {
    let Shape::Text { at: [x, y], text, size, face, anchor, paint, struck } = shape else {
        return;
    };
    push(
        svg,
        format_args!(
            "<text x=\"{}\" y=\"{}\" font-size=\"{}\"",
            number(*x),
            number(*y),
            number(*size)
        ),
    );
    match face {
        Face::Text => {}
        Face::Strong => svg.push_str(" font-weight=\"600\""),
        Face::Heading => svg.push_str(" font-family=\"Vollkorn,serif\" font-weight=\"600\""),
    }
    match anchor {
        Anchor::Start => {}
        Anchor::Middle => svg.push_str(" text-anchor=\"middle\""),
        Anchor::End => svg.push_str(" text-anchor=\"end\""),
    }
    push_paint(svg, "fill", *paint);
    if *struck {
        svg.push_str(" text-decoration=\"line-through\"");
    }
    // The line end keeps the words of neighbouring texts apart for whoever reads a link's name by its text.
    push(svg, format_args!(">{}</text>\n", escaped(text)));
}

fn push_paint(svg: &mut String, attribute: &str, paint: Paint) {
    let [red, green, blue] = paint.rgb();
    push(
        svg,
        format_args!(" {attribute}=\"var({},#{red:02x}{green:02x}{blue:02x})\"", paint.variable()),
    );
}

fn push_paints(svg: &mut String, fill: Option<Fill>, stroke: Option<Stroke>) {
    match fill {
        None => svg.push_str(" fill=\"none\""),
        Some(fill) => {
            push_paint(svg, "fill", fill.paint);
            if fill.opacity < 100 {
                let share = number(f64::from(fill.opacity) / 100.0);
                push(svg, format_args!(" fill-opacity=\"{share}\""));
            }
        }
    }
    if let Some(stroke) = stroke {
        push_paint(svg, "stroke", stroke.paint);
        push(svg, format_args!(" stroke-width=\"{}\"", number(stroke.width)));
        if let Some([dash, gap]) = stroke.dash {
            push(svg, format_args!(" stroke-dasharray=\"{} {}\"", number(dash), number(gap)));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_carry_no_noise() {
        assert_eq!(number(1.0 / 3.0), "0.33");
        assert_eq!(number(12.0), "12");
        assert_eq!(number(-0.001), "0");
        assert_eq!(number(0.1 + 0.2), "0.3");
        assert_eq!(number(f64::NAN), "0");
        assert_eq!(number(f64::INFINITY), "0");
    }

    #[test]
    fn links_are_named_by_their_words_and_more_where_those_are_but_a_letter() {
        use crate::figure::picture::text;
        let words =
            |words: &str| [text([0.0, 0.0], words, (Face::Text, 12.0), Anchor::Start, Paint::Ink)];
        assert_eq!(link_name("Arrester", &words("A")), "Arrester");
        assert_eq!(link_name("Measuring point", &words("Ω")), "Measuring point: Ω");
        assert_eq!(link_name("Meter", &words("Meter, passed")), "Meter, passed");
        assert_eq!(link_name("entry kit", &[]), "entry kit");
    }

    #[test]
    fn names_with_markup_stay_names() {
        assert_eq!(
            escaped("<b onclick='x'>\"A&B\"\u{0}"),
            "&lt;b onclick=&#39;x&#39;&gt;&quot;A&amp;B&quot;"
        );
    }
}
