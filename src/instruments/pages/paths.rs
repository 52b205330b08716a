//! The addresses of instruments' pages.

use axum_extra::routing::TypedPath;
use serde::Deserialize;
use uuid::Uuid;

use crate::web::PageError;

/// All instruments.
#[derive(Debug, Clone, TypedPath)]
#[typed_path("/instruments")]
pub struct InstrumentsPath;

/// A new instrument.
#[derive(Debug, Clone, TypedPath)]
#[typed_path("/instruments/new")]
pub struct NewInstrumentPath;

/// One instrument.
#[derive(Debug, Clone, Deserialize, TypedPath)]
#[typed_path("/instruments/{instrument}", rejection(PageError))]
pub struct InstrumentPath {
    /// Its name outside.
    pub instrument: Uuid,
}

/// The form that changes an instrument.
#[derive(Debug, Clone, Deserialize, TypedPath)]
#[typed_path("/instruments/{instrument}/edit", rejection(PageError))]
pub struct EditInstrumentPath {
    /// Its name outside.
    pub instrument: Uuid,
}

/// A new calibration of an instrument.
#[derive(Debug, Clone, Deserialize, TypedPath)]
#[typed_path("/instruments/{instrument}/calibrations/new", rejection(PageError))]
pub struct NewCalibrationPath {
    /// Its name outside.
    pub instrument: Uuid,
}
