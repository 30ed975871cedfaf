//! The window's commands in a build without the feature `app`.

use super::args::{PracticeArgs, TrialArgs};
use super::practice::Wanted;
use super::{Done, Trouble, demo};

const NO_WINDOW: &str = "this build has no window; build it with the feature `app`";

/// Without a window there is no trial.
pub(super) fn trial(_args: &TrialArgs) -> Done {
    Err(Trouble::Failed(NO_WINDOW.to_string()))
}

/// Without a window only a virtual client practises.
pub(super) fn practice(_args: &PracticeArgs, _wanted: Wanted) -> Done {
    Err(Trouble::Failed(format!("{NO_WINDOW}, or let a virtual client practise with `--simulate`")))
}

/// Without a window a virtual client runs the demonstration.
pub(super) fn demonstration(_windowed: bool) -> Done {
    say!("{NO_WINDOW}; a virtual client runs the demonstration instead");
    demo::demonstration()
}
