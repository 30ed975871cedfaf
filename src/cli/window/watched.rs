//! A trial that is watched from a desk: what happens goes out on a pipe, what the clinician asks for there comes
//! in on another. The session waits for neither.

use std::cell::RefCell;
use std::io::{BufRead as _, stdin, stdout};
use std::rc::Rc;
use std::thread;

use crate::app::{Orders, Watched};
use crate::cli::Trouble;
use crate::log::live::Live;
use crate::session::input::Input;

/// Whom the records are handed to.
pub(super) type Watcher = Rc<RefCell<Live>>;

/// Hands on to standard output.
pub(super) fn watcher() -> Result<Watcher, Trouble> {
    let live = Live::start(stdout()).map_err(|error| Trouble::Failed(format!("cannot be watched: {error}")))?;
    Ok(Rc::new(RefCell::new(live)))
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
    serde_json::from_str(line).map_err(|error| eprintln!("warning: `{line}` asks for nothing: {error}")).ok()
}
