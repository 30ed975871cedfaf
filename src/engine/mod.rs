//! e
pub mod effect;
pub mod tree;
