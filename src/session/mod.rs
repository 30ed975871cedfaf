//! s
pub mod event;
pub mod input;
pub mod record;
pub mod scene;
pub mod setup;
pub mod trial;
