//! Every screen painted and worked without a screen.

mod pictures;
mod raster;
mod rig;
mod visit;
mod watch;
