//! s
pub mod event;
pub mod input;
pub mod judge;
pub mod record;
pub mod scene;
pub mod setup;
pub mod stop;
pub mod trial;
pub mod words;
