//! s
pub mod scene;
