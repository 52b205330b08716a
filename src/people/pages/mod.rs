//! The pages of people: signing in and out, the one-time set-up, the list of accounts, the own account.

mod accounts;
mod door;
mod grants;
mod me;
mod paths;
mod sessions;

pub use paths::{
    FirmPath, MePath, MySessionsPath, NewPersonPath, PasswordPath, PeoplePath, PersonPath,
    SessionsPath, SetUpPath, SignInPath, SignOutPath,
};

use axum::Router;
use axum_extra::routing::RouterExt;

use crate::web::AppState;

/// The routes of this concept.
pub fn routes() -> Router<AppState> {
    Router::new()
        .typed_get(door::sign_in_page)
        .typed_post(door::sign_in)
        .typed_post(door::sign_out)
        .typed_get(door::set_up_page)
        .typed_post(door::set_up)
        .typed_get(accounts::list)
        .typed_get(accounts::new_page)
        .typed_post(accounts::add)
        .typed_get(accounts::edit_page)
        .typed_post(accounts::change)
        .typed_get(accounts::password_page)
        .typed_post(accounts::reset_password)
        .typed_get(grants::firm_page)
        .typed_post(grants::grant_firm)
        .typed_post(sessions::end_mine)
        .typed_post(sessions::end_somebodys)
        .typed_get(me::me_page)
        .typed_post(me::change_password)
}
