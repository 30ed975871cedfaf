//! The clinician's desk: what a visit needs, in the order of a visit.
//!
//! ```text
//! window thread: events ─► desk thread: egui runs, paints ─► wishes ─► worker: files, findings ─► news
//! ```
//!
//! A screen reads [`Desk`], changes what the clinician typed, and wishes for what touches the world; it
//! never opens a file and never computes for long. [`worker`] fulfils the wishes on threads of its own.
//! The client's [`board`] is a process of its own, and [`running`] what is heard of it.
//! One file a screen, in the list [`screens::SCREENS`]; a test walks the list.

pub mod board;
pub mod bus;
pub mod closing;
pub mod own_menu;
pub mod predictor;
pub mod remark;
pub mod running;
pub mod screens;
pub mod state;
pub mod theme;
pub mod visiting;
pub mod what_if;
pub mod window;
pub mod worker;

mod frame;
mod paint;
mod parts;
mod reader;
#[cfg(test)]
mod tests;
mod viewer;

pub use frame::show;
pub use state::{Desk, Wish};
