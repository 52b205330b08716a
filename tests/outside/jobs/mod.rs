//! Jobs from outside: the whole thread, bad input, answers, corrections, gates and how they lapse, readings
//! and their gate, many at once and the journal.

mod answers;
mod at_once;
mod bad_input;
mod built;
mod corrections;
mod gates;
mod photos;
mod ready_for_rf;
mod snags;
mod thread;
