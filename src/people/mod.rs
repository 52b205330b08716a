//! People: accounts, firms, roles, grants, sessions, and the permits that handlers ask for.

pub mod model;
pub mod password;
pub mod permit;
pub mod store;
pub mod acts;
