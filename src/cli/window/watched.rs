//! A trial that is watched from a desk: what happens goes out on a pipe, what the clinician asks for there comes
//! in on another. The session waits for neither.

use std::io::{BufRead as _, stdin, stdout};
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::Duration;

use crate::app::{Orders, Watched};
use crate::cli::{Trouble, leave_standard_output};
use crate::log::live::{Live, Watching};
use crate::session::input::Input;

/// Whom the records are handed to.
pub(super) type Watcher = Arc<Mutex<Live>>;

/// What a watcher has not read so long after the session's end it need not read.
pub(super) const PATIENCE: Duration = Duration::from_secs(1);

/// Hands on to standard output, which is the records' from then on.
pub(super) fn watcher() -> Result<(Watcher, Watching), Trouble> {
    leave_standard_output();
    let started = Live::start(stdout());
    let (live, watching) = started.map_err(|error| Trouble::Failed(format!("cannot be watched: {error}")))?;
    Ok((Arc::new(Mutex::new(live)), watching))
}

/// Takes what is asked for from standard input; `corner` is that of the desk's monitor, as `X,Y`, or anything else
/// where it is not known.
pub(super) fn watched(corner: &str) -> Watched {
    let desk = corner.split_once(',').and_then(|(x, y)| Some((x.parse().ok()?, y.parse().ok()?)));
    let orders: Orders = Box::new(|ask| {
        // It ends with the pipe, or with the program.
        thread::spawn(move || {
            let lines = stdin().lock().lines().map_while(Result::ok);
            lines.filter_map(|line| order(&line)).for_each(ask);
        });
    });
    Watched { desk, orders }
}

fn order(line: &str) -> Option<Input> {
    serde_json::from_str(line).map_err(|error| aside!("warning: `{line}` asks for nothing: {error}")).ok()
}
