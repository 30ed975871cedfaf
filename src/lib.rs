//! pacewright finds, trains and proves the timings at which a person with severe paralysis can work a scanning menu.

pub mod engine;
pub mod log;
pub mod menu;
pub mod rng;
pub mod session;
pub mod settings;
pub mod time;
