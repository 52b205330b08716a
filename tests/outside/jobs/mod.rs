//! Jobs from outside: the whole thread, bad input, corrections, readings and their gate.

mod bad_input;
mod corrections;
mod ready_for_rf;
mod thread;
