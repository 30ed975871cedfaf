//! What the clinician's desk knows and decides: pure, so that every screen only asks and shows.
//!
//! Nothing here opens a file, draws a window or reads a clock; a day that matters is handed in.

pub mod carry_over;
pub mod choices;
pub mod cost;
pub mod decided;
pub mod goals;
pub mod menu_edit;
pub mod papers;
pub mod person;
pub mod practice_edit;

pub mod watch;
pub mod words;
