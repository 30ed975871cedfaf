//! `devices` where the program was built without its window.

use super::args::DevicesArgs;
use super::{Done, Trouble};

pub(super) fn run(_: DevicesArgs) -> Done {
    Err(Trouble::Failed("built without the window, which knows the devices: build with the feature `app`".to_string()))
}
