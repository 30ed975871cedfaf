//! From evidence to recommendations: one rule a file, in a list.
//!
//! The rules never open a log and never draw from anything but a stream with a fixed seed: the same
//! evidence gives the same advice. A rule that the data cannot bear says what is missing.

pub mod draws;
pub mod expected_time;
pub mod optimum;
pub mod presses;
pub mod recommendation;
pub mod scan_rate;
pub mod text;
