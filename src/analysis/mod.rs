//! Measures and cautions from the records of a session.

pub mod findings;
