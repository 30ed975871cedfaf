//! Practice between visits: it sets the client's timing so that most attempts succeed, and moves it on.
//!
//! It stands above [`crate::session`] and decides only between selections. Nothing here reads a clock,
//! draws by chance or touches a file; what is not known to be safe is not sped up.

pub mod belief;
pub mod change;
pub mod compare;
mod evidence;
pub mod home;
pub mod mastery;
pub mod pacing;
pub mod plan;
pub mod practised;
pub mod progress;
pub mod progress_json;
pub mod progress_text;
pub mod sitting;
pub mod start;
pub mod stays;
pub mod steps;
pub mod summary;
mod trouble;
pub mod visit;
