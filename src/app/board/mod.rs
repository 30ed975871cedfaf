//! The client's screen: a scene goes in, pixels come out.
//!
//! ```text
//! Scene ─ plan ─► parts (disjoint rectangles) ─ compare with the last ─► paint what changed
//! ```
//!
//! Every part is painted into an opaque picture of just its own rectangle, so nothing can stand
//! outside its place and painting only what changed equals painting everything. Tiles are kept,
//! lit and unlit, so that a step of the highlight copies two pictures.
//!
//! The board opens no window, reads no clock, uses no GPU, no font of the system, and never waits;
//! it never blinks, moves or counts down. All lengths are physical pixels of the frame.
//!
//! ```
//! use pacewright::app::board::{BoardSetup, picture};
//! use pacewright::session::scene::{Body, Message, Reader, Scene};
//!
//! let rest = Message { title: "Resting.".into(), lines: vec![], icon: None, to: Reader::Client };
//! let scene =
//!     Scene { number: 1, cue: None, body: Body::Message(rest), home: vec![], note: None, left: None, answered: false };
//! let shot = picture(&scene, 320, 200, &BoardSetup::default());
//! assert_eq!((shot.width(), shot.height()), (320, 200));
//! ```

mod arrangement;
mod bands;
mod colour;
mod frame;
mod home;
mod icons;
mod layout;
pub mod legibility;
mod lettering;
mod message;
mod painter;
mod plan;
mod reading;
mod setup;
mod shapes;
mod strip;
mod text;
pub mod theme;
mod tile;
mod wave;

pub use colour::{Colour, contrast, flashes, general_flash, saturated_red};
pub use frame::{Rect, Size};
pub use legibility::Legibility;
pub use painter::{Board, Damage, picture};
pub use plan::{tile_rects, touch_field};
pub use setup::{BoardSetup, Part, Turn};
pub use theme::{Look, Theme};

#[cfg(test)]
mod tests;
