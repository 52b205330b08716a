//! Every formula against something outside the project: a standard, a handbook table or a
//! reference library, named beside each table.

#![expect(clippy::unwrap_used, reason = "a test that cannot make its own input should stop")]

mod arrester;
mod element;
mod exposure;
mod fall_of_potential;
mod five_eighths;
mod geodesy;
mod ground_plane;
mod grounding;
mod line;
mod meter;
mod power;
mod rating;
mod reflection;
mod stacking;
mod trend;
mod uncertainty;

/// Checks a computed figure against a reference, with a relative tolerance.
///
/// For a rounded published figure the tolerance is half a unit of its last digit, given relative.
#[track_caller]
pub fn close(computed: f64, reference: f64, tolerance: f64) {
    let scale = reference.abs().max(1e-12);
    assert!(
        (computed - reference).abs() <= tolerance * scale,
        "computed {computed}, reference {reference}, relative tolerance {tolerance}"
    );
}

/// Checks a computed figure against a reference, with an absolute tolerance.
#[track_caller]
pub fn near(computed: f64, reference: f64, tolerance: f64) {
    assert!(
        (computed - reference).abs() <= tolerance,
        "computed {computed}, reference {reference}, tolerance {tolerance}"
    );
}
