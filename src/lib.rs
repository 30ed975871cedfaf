//! pacewright finds, trains and proves the timings at which a person with severe paralysis can work a scanning menu.

// The desk's rig is shared with the integration tests.
#[cfg(test)]
extern crate self as pacewright;

#[macro_use]
mod aside;

pub mod advice;
pub mod analysis;
#[cfg(feature = "app")]
pub mod app;
pub mod arrange;
pub mod cli;
pub mod code;
pub mod desk;
pub mod engine;
pub mod export;
pub mod forecast;
pub mod json;
pub mod level;
mod lock;
pub mod log;
pub mod menu;
pub mod practice;
pub mod problem;
pub mod report;
pub mod rng;
pub mod session;
pub mod settings;
pub mod sim;
pub mod sound;
pub mod stats;
pub mod store;
pub mod switch_check;
pub mod time;
