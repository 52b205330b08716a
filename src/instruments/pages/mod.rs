//! The pages of instruments: the list, one instrument with its calibrations, and their forms.

mod forms;
mod paths;
mod show;

pub use paths::{
    EditInstrumentPath, InstrumentPath, InstrumentsPath, NewCalibrationPath, NewInstrumentPath,
};

use axum::Router;
use axum_extra::routing::RouterExt;

use crate::web::AppState;

/// The routes of this concept.
pub fn routes() -> Router<AppState> {
    Router::new()
        .typed_get(show::list)
        .typed_get(show::instrument_page)
        .typed_get(forms::new_page)
        .typed_post(forms::add)
        .typed_get(forms::edit_page)
        .typed_post(forms::change)
        .typed_get(forms::calibration_page)
        .typed_post(forms::calibrate)
}
