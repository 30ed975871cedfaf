//! The session log: JSON Lines, one record a line, each with its checksum.

pub mod header;
