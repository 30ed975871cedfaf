//! All integration tests, in one binary.

mod bad_input;
