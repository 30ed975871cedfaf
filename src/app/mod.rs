//! Everything that touches the screen.

pub mod board;
