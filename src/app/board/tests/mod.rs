//! The board as a whole: stored pictures, and painting only what changed.

mod changes;
mod gallery;
mod legible;
mod pictures;
