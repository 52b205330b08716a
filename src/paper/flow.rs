//! Lays slabs out on pages: what belongs together stays together, heads of tables come again.

use crate::figure::{Paint, Shape, Stroke};

use super::photo::Photo;
use super::words::Line;
use super::{BODY_HEIGHT, BODY_TOP, COLUMN, Level, Style};

/// Something that is not cut: a line of text, a row, a picture. Positions are in points from
/// its upper left corner.
#[derive(Debug, Clone, Default)]
pub(super) struct Slab {
    pub height: f64,
    /// Space above it, left out at the top of a page.
    pub before: f64,
    pub shapes: Vec<Shape>,
    /// Whether it stays on one page with the slab after it.
    pub keep_next: bool,
    /// Starts a new page.
    pub new_page: bool,
    /// The head that stands above it when it comes first on a page.
    pub head: Option<Box<Slab>>,
    /// So much must be left on a page from its top on, or it begins a new one.
    pub room: f64,
    /// The heading that it is.
    pub heading: Option<Heading>,
    /// Photos that lie on it.
    pub photos: Vec<Laid>,
    /// The line of the contents that it is: the heading's place among all of them.
    pub listed: Option<usize>,
}

/// A heading that has a bookmark.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Heading {
    pub level: Level,
    /// Empty where it has none.
    pub number: String,
    pub text: String,
}

impl Heading {
    /// Number and text in a line.
    pub(super) fn words(&self) -> String {
        if self.number.is_empty() {
            self.text.clone()
        } else {
            format!("{} {}", self.number, self.text)
        }
    }
}

/// A photo with its upper left corner, width and height.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Laid {
    pub photo: Photo,
    pub at: [f64; 2],
    pub size: [f64; 2],
}

/// A heading where it stands: its page from 0, and its place from the page's top in points.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Bookmark {
    pub heading: Heading,
    pub page: usize,
    pub y: f64,
}

/// A rectangle that leads to a heading: left, top, right and bottom, and the heading's place.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Lead {
    pub sides: [f64; 4],
    pub heading: usize,
}

/// What stands on a page, in points from its upper left corner.
#[derive(Debug, Clone, Default)]
pub(super) struct Page {
    pub shapes: Vec<Shape>,
    pub photos: Vec<Laid>,
    pub leads: Vec<Lead>,
}

/// Pages, and where the headings came to stand.
#[derive(Debug, Default)]
pub(super) struct Flow {
    pub pages: Vec<Page>,
    pub bookmarks: Vec<Bookmark>,
    /// Free from here on the last page, from the top of the body.
    used: f64,
    left: f64,
}

/// Of what is longer than a page, so much stands below its heading.
const BEGINNING: f64 = 120.0;

impl Flow {
    /// Lays the slabs out from the left margin `left`; there is at least one page.
    pub(super) fn new(slabs: &[Slab], left: f64) -> Self {
        let mut flow = Self { pages: vec![Page::default()], left, ..Self::default() };
        let mut index = 0;
        while let Some(slab) = slabs.get(index) {
            let chain = chain_length(slabs, index);
            let chained = slabs.get(index..index + chain).unwrap_or_default();
            if slab.new_page && flow.used > 0.0 {
                flow.break_page();
            }
            let whole: f64 = chained.iter().map(|slab| slab.before + slab.height).sum();
            let with_head = whole + slab.head.as_ref().map_or(0.0, |head| head.height);
            let wanted = if with_head <= BODY_HEIGHT { whole } else { BEGINNING.min(whole) };
            if flow.used > 0.0 && flow.used + wanted.max(slab.room) > BODY_HEIGHT {
                flow.break_page();
            }
            for slab in chained {
                flow.place(slab);
            }
            index += chain;
        }
        flow
    }

    fn break_page(&mut self) {
        self.pages.push(Page::default());
        self.used = 0.0;
    }

    fn place(&mut self, slab: &Slab) {
        if self.used > 0.0 && self.used + slab.before + slab.height > BODY_HEIGHT {
            self.break_page();
        }
        if self.used > 0.0 {
            self.used += slab.before;
        } else if let Some(head) = &slab.head
            && self.pages.len() > 1
        {
            self.put(head);
        }
        self.put(slab);
    }

    fn put(&mut self, slab: &Slab) {
        let y = BODY_TOP + self.used;
        if let Some(heading) = &slab.heading {
            self.bookmarks.push(Bookmark {
                heading: heading.clone(),
                page: self.pages.len().saturating_sub(1),
                y,
            });
        }
        let left = self.left;
        if let Some(page) = self.pages.last_mut() {
            page.shapes.extend(placed(&slab.shapes, [left, y]));
            page.photos.extend(
                slab.photos
                    .iter()
                    .map(|laid| Laid { at: [laid.at[0] + left, laid.at[1] + y], ..laid.clone() }),
            );
            page.leads.extend(
                slab.listed.map(|heading| Lead {
                    sides: [left, y, left + COLUMN, y + slab.height],
                    heading,
                }),
            );
        }
        self.used += slab.height;
    }
}

/// How many slabs from `index` on stay on one page.
fn chain_length(slabs: &[Slab], index: usize) -> usize {
    let rest = slabs.get(index..).unwrap_or_default();
    let kept = rest.iter().take_while(|slab| slab.keep_next).count();
    (kept + 1).min(rest.len()).max(1)
}

/// Lines of one paragraph: no line of it stands alone on a page.
pub(super) fn paragraph_slabs(lines: Vec<Line>, style: Style, before: f64) -> Vec<Slab> {
    let count = lines.len();
    lines
        .into_iter()
        .enumerate()
        .map(|(index, line)| Slab {
            height: style.leading,
            before: if index == 0 { before } else { 0.0 },
            shapes: placed(&line.shapes, [0.0, style.size]).collect(),
            keep_next: index + 1 < count && (index == 0 || index + 2 == count),
            ..Slab::default()
        })
        .collect()
}

/// A level line across `width` at `y`.
pub(super) fn rule(y: f64, width: f64, stroke: Stroke) -> Shape {
    Shape::Path {
        points: vec![[0.0, y], [width, y]],
        closed: false,
        fill: None,
        stroke: Some(stroke),
    }
}

/// Copies of the shapes, moved right and down.
pub(super) fn placed(shapes: &[Shape], offset: [f64; 2]) -> impl Iterator<Item = Shape> {
    shapes.iter().map(move |shape| shape.transformed(1.0, offset))
}

/// A filled rectangle of the wash.
pub(super) fn ground(width: f64, height: f64) -> Shape {
    Shape::Path {
        points: vec![[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]],
        closed: true,
        fill: Some(crate::figure::Fill::solid(Paint::Wash)),
        stroke: None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn slab(height: f64, keep_next: bool) -> Slab {
        let (number, text) = (String::new(), String::new());
        let heading = Some(Heading { level: Level::Chapter, number, text });
        Slab { height, keep_next, heading, ..Slab::default() }
    }

    fn pages(slabs: &[Slab]) -> Vec<usize> {
        Flow::new(slabs, 0.0).bookmarks.iter().map(|mark| mark.page).collect()
    }

    #[test]
    fn what_belongs_together_moves_to_the_next_page_together() {
        let most = BODY_HEIGHT;
        assert_eq!(
            pages(&[slab(most - 50.0, false), slab(30.0, true), slab(30.0, false)]),
            [0, 1, 1]
        );
        assert_eq!(
            pages(&[slab(most - 60.0, false), slab(30.0, true), slab(30.0, false)]),
            [0, 0, 0]
        );
    }

    #[test]
    fn what_is_longer_than_a_page_is_cut_all_the_same() {
        let slabs: Vec<Slab> = (0..100).map(|_| slab(20.0, true)).collect();
        let pages = pages(&slabs);
        assert_eq!(pages.len(), 100);
        assert_eq!(pages[99], 2);
    }

    #[test]
    fn a_chapter_begins_where_there_is_room_for_more_than_its_heading() {
        let begins = Slab { room: 150.0, ..slab(20.0, true) };
        let after = slab(20.0, false);
        let last = |before: f64| pages(&[slab(before, false), begins.clone(), after.clone()]);
        assert_eq!(last(BODY_HEIGHT - 149.0), [0, 1, 1]);
        assert_eq!(last(BODY_HEIGHT - 151.0), [0, 0, 0]);
    }

    #[test]
    fn no_pages_are_left_empty() {
        assert_eq!(Flow::new(&[], 0.0).pages.len(), 1);
        let huge = [slab(5000.0, false), slab(10.0, false)];
        assert_eq!(pages(&huge), [0, 1]);
    }
}
