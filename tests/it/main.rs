//! All integration tests, in one binary.

mod bad_input;
mod log;
mod log_thread;
mod replay;
mod samples;
mod sitting;
mod store;
