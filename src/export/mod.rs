//! Session logs as tables for other programs: tidy CSV, and a data set in the form of BIDS.
//!
//! Headers and records go in, named texts come out. What a table holds and how it is described
//! follow from one list of columns, so that table and dictionary cannot differ. Nothing is filtered:
//! practice, help, exclusions and the assessor's own presses are all there, with columns that say so.
//!
//! Unless asked otherwise an export is de-identified: [`exchange`] gives other codes and shifts the
//! dates, and words that a person typed are left out.
//!
//! Nothing here opens a file, reads a clock or computes a statistic.

pub mod bids;
mod blocks;
pub mod cell;
mod closures;
pub mod csv;
pub mod exchange;
mod levels;
mod opportunities;
mod presses;
mod session;
mod sessions;
mod settings;
mod standing;
pub mod table;
mod trials;

pub use session::{Session, Whose};

/// A file that an export consists of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct File {
    /// Its path inside the export, with `/` between folders.
    pub path: String,
    /// What stands in it.
    pub text: String,
}

impl File {
    /// A file.
    #[must_use]
    pub fn new(path: impl Into<String>, text: impl Into<String>) -> File {
        File { path: path.into(), text: text.into() }
    }
}
