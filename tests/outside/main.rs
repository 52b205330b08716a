//! The program from outside: what a browser gets, what each role may do, what a bad request does, how the
//! binary starts and stops. One binary, so that it is linked once; a new file is a `mod` line here.

#![expect(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot make its own input should stop"
)]

mod acceptance;
mod antennas;
mod carry;
mod demo;
mod equipment;
mod instruments;
mod jobs;
mod maintenance;
mod people;
mod permissions;
mod security;
mod sessions;
mod serve;
mod sites;
mod support;
mod whole_job;
