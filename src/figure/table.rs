//! The numbers of a picture for those who cannot see it.

/// The same numbers as a picture shows, in rows of words; every row is as long as `heads`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Table {
    /// What the table shows.
    pub caption: String,
    /// Column heads with their units.
    pub heads: Vec<String>,
    /// One row for each thing drawn.
    pub rows: Vec<Vec<String>>,
    /// Which rows, counted from 0, a correction has struck: they are shown with a line through.
    pub struck: Vec<usize>,
}

impl Table {
    pub(super) fn new<const N: usize>(caption: &str, heads: [&str; N]) -> Self {
        Self {
            caption: caption.to_owned(),
            heads: heads.map(str::to_owned).to_vec(),
            rows: Vec::new(),
            struck: Vec::new(),
        }
    }

    pub(super) fn row<const N: usize>(&mut self, cells: [String; N]) {
        self.rows.push(cells.to_vec());
    }
}
