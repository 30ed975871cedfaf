//! Every screen painted and worked without a screen.

#[cfg(unix)]
mod behind;
mod closing;
mod menu;
mod pictures;
mod raster;
mod remark;
#[allow(dead_code)] // The bench of the desk uses the rest.
mod rig;
mod switch_by;
mod visit;
mod visiting;
mod watch;
