//! Pictures as data: described once, drawn as SVG for pages and as operations for the PDF.
//!
//! A picture's input is a plain struct of finished numbers and words; nothing here computes a
//! figure of the trade. Every picture comes with a [`Table`] of the same numbers.

pub mod comparison_plot;
pub mod gate_rail;
pub mod history_plot;
pub mod marks;
pub mod mast;
pub mod svg;
pub mod trial_plot;
pub mod typeface;

mod axis;
mod label;
mod picture;
mod sfnt;
mod table;

#[cfg(test)]
pub(crate) mod samples;

pub use marks::{Mark, State};
pub use picture::{Anchor, Fill, Paint, Picture, Shape, Stroke};
pub use sfnt::{FontMetrics, FontTables};
pub use table::Table;
