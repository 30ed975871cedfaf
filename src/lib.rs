//! Finds, trains and proves the timings at which one person can work a scanning menu.
pub mod engine;
pub mod menu;
pub mod rng;
pub mod session;
pub mod settings;
pub mod time;
