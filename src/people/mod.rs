//! People: accounts, firms, roles, grants, sessions, and the permits that handlers ask for.

pub mod model;
pub mod password;
pub mod throttle;
pub mod permit;
pub mod store;
pub mod acts;
pub mod form;
pub mod pages;
