//! What a record says of what was built, and of surveys of exposure.

use crate::jobs::model::{Body, Fact, Record};
use crate::measurements::model::{AsBuilt, ExposureSurvey};

impl Record {
    /// A part of what was built, as the last entry that says it: not every entry says everything.
    #[must_use]
    pub fn built<'r, T>(
        &'r self,
        part: impl Fn(&'r AsBuilt) -> Option<T>,
    ) -> Option<(&'r Fact, T)> {
        self.live().rev().find_map(|fact| match &fact.body {
            Body::AsBuilt(built) => Some((fact, part(built)?)),
            _ => None,
        })
    }

    /// The surveys of exposure that hold, in the order of entry.
    pub fn surveys(&self) -> impl DoubleEndedIterator<Item = (&Fact, &ExposureSurvey)> {
        self.live().filter_map(|fact| match &fact.body {
            Body::ExposureSurvey(survey) => Some((fact, survey)),
            _ => None,
        })
    }
}
