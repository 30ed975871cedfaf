//! The session log: JSON Lines, one record a line, each with its checksum.
//!
//! # Format, version 1
//!
//! Every line ends in LF and holds one JSON object:
//!
//! ```text
//! {"seq":0,"format":"pacewright session log","version":1,…,"crc":"0f3a9c41"}
//! {"seq":1,"at":0,"event":"scene","number":1,"text":"…","crc":"…"}
//! {"seq":2,"at":812345,"in":"edge","switch":0,"down":true,"crc":"…"}
//! {"seq":3,"at":812345,"out":"pressed","switch":0,"edge":812345,"crc":"…"}
//! {"seq":4,"at":900000,"end":{"inputs":1,"effects":1,"events":1},"crc":"…"}
//! ```
//!
//! - `seq` counts the lines from 0 without gaps; line 0 is the [`header`].
//! - `at` is in whole microseconds since the session began. An input keeps the stamp of its device,
//!   which may lie before the record above it; effects and events never go back.
//! - `in`, `out` or `event` names the kind of an input, an effect of the engine or an event of the
//!   session; its fields stand flat beside it. A kind that this version does not know is kept as text.
//! - `crc` is always last: CRC-32/ISO-HDLC (the one of zip and Ethernet) in eight lower-case hex
//!   digits, over the bytes of the line from its opening `{` up to, not including, the `,` before
//!   `"crc"`.
//! - An event `damage` stands only in a repaired copy ([`repair`]), where something of the log was lost.
//! - `end` stands on the last line of a session that was closed in order.
//!
//! A new field is optional, or the version goes up; older versions stay readable.
//!
//! # What is not here
//!
//! Nothing in this module opens a file or reads a clock: byte sinks and sources are handed in, and
//! the instants of the records tell when to sync.

pub mod follow;
pub mod header;
mod line;
pub mod live;
mod order;
mod part;
mod plain;
pub mod reader;
pub mod repair;
pub mod replay;
mod rest;
pub mod resume;
mod source;
pub mod thread;
pub mod writer;

pub use line::{Content, End, Line, MOST_BYTES, begins_as_a_line};
