//! What is looked at more than read: drawn pictures, photo plates, lines to sign.

use crate::figure::{Paint, Picture, Shape, Stroke};

use super::flow::{Laid, Slab, ground, paragraph_slabs, placed, rule};
use super::photo::Photo;
use super::words::Words;
use super::{BODY_HEIGHT, COLUMN, Document, POINTS_PER_PIXEL, SMALL};

/// Between two pictures beside each other.
const PICTURE_GAP: f64 = 14.0;
/// Room to sign above a line.
const SIGNING: f64 = 36.0;

/// Between the plates of a row, and between a plate and its words.
const PLATE_GAP: f64 = 16.0;
const BELOW_PLATE: f64 = 5.0;
/// How wide and how high a plate is at most.
const PLATE: f64 = (COLUMN - PLATE_GAP) / 2.0;
/// So high is what stands in place of a photo that cannot be shown.
const NO_PLATE: f64 = 60.0;
/// Of the words below a plate, so many lines: a row of plates is never cut.
const PLATE_LINES: usize = 30;

/// A photo with the words below it.
#[derive(Debug, Clone, PartialEq)]
pub struct Plate {
    /// The photo, or why it cannot be shown.
    pub photo: Result<Photo, String>,
    /// What it shows, where and when it was taken, by whom.
    pub words: Words,
}

impl Document {
    /// A picture at full size, made smaller where it is wider than the column or higher than a
    /// page, with a caption below.
    pub fn figure(&mut self, picture: &Picture, caption: Option<&str>) {
        let (shapes, [width, height]) = self.fitted(picture, COLUMN);
        let left = (COLUMN - width) / 2.0;
        let mut slab = Slab {
            height,
            before: 10.0,
            shapes: placed(&shapes, [left, 0.0]).collect(),
            ..Slab::default()
        };
        if let Some(caption) = caption {
            slab.keep_next = true;
            self.add(vec![slab]);
            self.text(Words::new().soft(caption), SMALL, 4.0, 0.0, None);
        } else {
            self.add(vec![slab]);
        }
    }

    /// Two pictures beside each other, each in half of the column.
    pub fn figures_beside(&mut self, left: &Picture, right: &Picture) {
        let room = (COLUMN - PICTURE_GAP) / 2.0;
        let (mut shapes, [_, left_height]) = self.fitted(left, room);
        let (others, [_, right_height]) = self.fitted(right, room);
        shapes.extend(placed(&others, [room + PICTURE_GAP, 0.0]));
        self.add(vec![Slab {
            height: left_height.max(right_height),
            before: 10.0,
            shapes,
            ..Slab::default()
        }]);
    }

    /// The picture's shapes in points within `room`, and the width and height they take.
    fn fitted(&mut self, picture: &Picture, room: f64) -> (Vec<Shape>, [f64; 2]) {
        let scale = POINTS_PER_PIXEL
            .min(room / picture.width.max(1.0))
            .min((BODY_HEIGHT - 40.0) / picture.height.max(1.0));
        let shapes = picture
            .shapes
            .iter()
            .map(|shape| self.replaced.clean_shape(shape).transformed(scale, [0.0, 0.0]))
            .collect();
        (shapes, [picture.width * scale, picture.height * scale])
    }

    /// Photos, two beside each other, each upright and whole.
    pub fn plates(&mut self, plates: impl IntoIterator<Item = Plate>) {
        let mut row = Vec::new();
        for plate in plates {
            row.push(self.plate(plate));
            if row.len() == 2 {
                self.plate_row(&std::mem::take(&mut row));
            }
        }
        self.plate_row(&row);
    }

    fn plate_row(&mut self, row: &[Slab]) {
        if row.is_empty() {
            return;
        }
        let mut slab = Slab { before: 12.0, ..Slab::default() };
        let mut left = 0.0;
        for plate in row {
            slab.height = slab.height.max(plate.height);
            slab.shapes.extend(placed(&plate.shapes, [left, 0.0]));
            slab.photos.extend(
                plate
                    .photos
                    .iter()
                    .map(|laid| Laid { at: [laid.at[0] + left, laid.at[1]], ..laid.clone() }),
            );
            left += PLATE + PLATE_GAP;
        }
        self.add(vec![slab]);
    }

    /// One plate in the left half of the column.
    fn plate(&mut self, plate: Plate) -> Slab {
        let mut slab = Slab::default();
        match plate.photo {
            Ok(photo) => {
                let ratio = photo.ratio();
                let size = [PLATE.min(PLATE * ratio), PLATE.min(PLATE / ratio)];
                slab.height = size[1];
                slab.photos.push(Laid { photo, at: [0.0, 0.0], size });
            }
            Err(why) => {
                slab.height = NO_PLATE;
                slab.shapes.push(ground(PLATE, NO_PLATE));
                let why = Words::new().painted(&self.replaced.clean(&why), Paint::Oxide);
                let lines = why.lines(SMALL.size, PLATE - 20.0);
                for (line, top) in lines.iter().take(4).zip([0.0, 1.0, 2.0, 3.0]) {
                    let base = 16.0 + top * SMALL.leading;
                    slab.shapes.extend(placed(&line.shapes, [10.0, base]));
                }
            }
        }
        let words = plate.words.cleaned(&mut self.replaced);
        let mut lines = words.lines(SMALL.size, PLATE);
        if lines.len() > PLATE_LINES {
            lines.truncate(PLATE_LINES - 1);
            lines.extend(Words::new().soft("…").lines(SMALL.size, PLATE));
        }
        slab.height += BELOW_PLATE;
        for line in lines {
            slab.shapes.extend(placed(&line.shapes, [0.0, slab.height + SMALL.size]));
            slab.height += SMALL.leading;
        }
        slab
    }

    /// Lines to sign on paper, below what is signed, on one page: for each of `who` one for name,
    /// signature and date.
    pub fn signatures(&mut self, what: impl Into<Words>, who: &[&str]) {
        let what = what.into();
        self.keep_together(|report| {
            report.paragraph(what);
            for role in who {
                report.signature(role);
            }
        });
    }

    fn signature(&mut self, role: &str) {
        let room = COLUMN * 0.7;
        let label = self.replaced.clean(&format!("{role}: name, signature, date"));
        let lines = Words::new().soft(&label).lines(SMALL.size, room);
        let mut slabs = paragraph_slabs(lines, SMALL, 0.0);
        if let Some(first) = slabs.first_mut() {
            first.shapes = placed(&first.shapes, [0.0, SIGNING]).collect();
            first.shapes.push(rule(SIGNING - 3.0, room, Stroke::solid(Paint::Ink, 0.6)));
            first.height += SIGNING;
        }
        self.add(slabs);
    }
}
