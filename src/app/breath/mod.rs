//! A breath whose pressure reaches the computer: where it comes from, its calibration, and an emulator.

pub mod calibrate;
pub mod emulator;
pub mod source;
