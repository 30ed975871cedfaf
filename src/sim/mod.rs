//! Virtual clients that sit through real sessions on a virtual clock.
//!
//! A virtual client sees what is shown and works a switch; the session, the engine and the log
//! cannot tell it from a person. Its data are invented, and the log's header says so.

pub mod aims;
pub mod at_home;
pub mod blocks;
pub mod breather;
pub mod breaths;
pub mod client;
pub mod closed;
mod contact;
pub mod counts;
mod course;
mod errand;
pub mod exact;
mod hand;
pub mod latency;
mod notice;
pub mod outcome;
pub mod parts;
pub mod person;
pub mod plan;
mod pointer;
pub mod profile;
pub mod reactor;
pub mod selecting;
pub mod sitting;
pub mod study;
pub mod sweep;
pub mod tally;
pub mod traits;
pub mod view;
pub mod weighted;
pub mod yardstick;
