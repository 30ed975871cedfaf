//! What would be: a virtual client made from a person's logs, and what it does under other settings,
//! on other menus, or once the person is slower.
//!
//! Everything here is a model of presses that were not made. What it rests on and how sure it is
//! stands beside each figure.

pub mod errorless;
pub mod figure;
pub mod fit;
pub mod home;
pub mod home_text;
pub mod selections;
pub mod slower;
pub mod swallowed;
pub mod tried;
pub mod tried_text;
pub mod what_if;
