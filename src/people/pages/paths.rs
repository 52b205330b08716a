//! The addresses of people's pages.

use axum_extra::routing::TypedPath;
use serde::Deserialize;
use uuid::Uuid;

use crate::web::PageError;

/// Signing in.
#[derive(Debug, Clone, TypedPath)]
#[typed_path("/sign-in")]
pub struct SignInPath;

/// Signing out.
#[derive(Debug, Clone, TypedPath)]
#[typed_path("/sign-out")]
pub struct SignOutPath;

/// Making the first account.
#[derive(Debug, Clone, Deserialize, TypedPath)]
#[typed_path("/set-up/{secret}", rejection(PageError))]
pub struct SetUpPath {
    /// The secret that the first start printed.
    pub secret: String,
}

/// All accounts.
#[derive(Debug, Clone, TypedPath)]
#[typed_path("/people")]
pub struct PeoplePath;

/// A new account.
#[derive(Debug, Clone, TypedPath)]
#[typed_path("/people/new")]
pub struct NewPersonPath;

/// One account.
#[derive(Debug, Clone, Deserialize, TypedPath)]
#[typed_path("/people/{person}", rejection(PageError))]
pub struct PersonPath {
    /// Whose it is.
    pub person: Uuid,
}

/// A new password for somebody.
#[derive(Debug, Clone, Deserialize, TypedPath)]
#[typed_path("/people/{person}/password", rejection(PageError))]
pub struct PasswordPath {
    /// For whom.
    pub person: Uuid,
}

/// The own account.
#[derive(Debug, Clone, TypedPath)]
#[typed_path("/me")]
pub struct MePath;

/// The own sessions on all devices.
#[derive(Debug, Clone, TypedPath)]
#[typed_path("/me/sessions")]
pub struct MySessionsPath;

/// Somebody's sessions on all devices.
#[derive(Debug, Clone, Deserialize, TypedPath)]
#[typed_path("/people/{person}/sessions", rejection(PageError))]
pub struct SessionsPath {
    /// Whose they are.
    pub person: Uuid,
}

/// The sites granted to a firm.
#[derive(Debug, Clone, Deserialize, TypedPath)]
#[typed_path("/firms/{firm}", rejection(PageError))]
pub struct FirmPath {
    /// Which firm.
    pub firm: Uuid,
}
