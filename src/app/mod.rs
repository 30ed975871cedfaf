//! Everything that touches the window, the screen, the keys and the clock.
//!
//! ```text
//! key ─► window thread: stamp, session ─► records ─► the caller's sink (a writer thread)
//!              ▲  │ scene, latest wins
//!   shown stamp│  ▼
//!        render thread: board, surface on a connection of its own
//! ```
//!
//! The window thread never waits for the screen or the disk. The shell decides nothing about a
//! session: it stamps, hands on and shows. It writes no file and drives no appliance.

pub mod binding;
pub mod board;
pub mod breath;
pub mod clock;
pub mod desk;
pub mod devices;
pub mod display;
pub mod keys;
pub mod learn;
pub mod machine;
pub mod sound;

mod attributes;
pub mod clinician;
mod contacts;
mod eye;
mod focus;
mod keep_awake;
mod length;
mod measure;
pub mod pace;
mod pump;
mod render;
mod runner;
mod screen;
mod shown;
mod switches;
mod window;

#[cfg_attr(not(all(unix, not(target_os = "macos"))), path = "no_x11.rs")]
mod x11_client;
#[cfg(all(unix, not(target_os = "macos")))]
mod x11_surface;
mod yielding;

use std::any::Any;
use std::fmt;
use std::time::{Instant, SystemTime};

use crate::engine::effect::Role;
use crate::log::header::Measured;
use crate::session::input::Input;
use crate::session::record::Record;
use crate::sound::recording::Recordings;

use binding::Binding;
use board::BoardSetup;
use devices::pad_thread::OpenPads;
use learn::Learned;
use machine::Machine;

pub use display::display_available;
pub use window::run;

/// Where the records of a session go. It is called on the thread that has stamped, so it must not wait for the disk:
/// hand them to another thread. It gives what the clinician has to know of the log for now, in few words.
pub type RecordSink = Box<dyn FnMut(&[Record]) -> Option<String> + Send>;

/// A session and where its records go.
pub type Begun = (Box<dyn Machine>, RecordSink);

/// Makes the session once all is known that its log's header holds, and the next one as soon as one is over;
/// `None` when there is no other. An error is a sentence.
pub type Begin = Box<dyn FnMut(Start, Option<&dyn Machine>) -> Result<Option<Begun>, String> + Send>;

/// What the window needs to be told.
pub struct AppConfig {
    /// Title of the window.
    pub title: String,
    /// A window instead of the full screen.
    pub windowed: bool,
    /// The look of the board; its distance and width are what the pages before the session offer.
    pub board: BoardSetup,
    /// Distance and width are known: they are not asked.
    pub place_known: bool,
    /// What each switch does, one to five, in the order in which they are learned.
    pub roles: Vec<Role>,
    /// Switches that are known: they need not be worked.
    pub switches: Vec<Binding>,
    /// What is said of a session that was broken off, where the session to begin may be what is left of it.
    pub broken_off: Option<String>,
    /// A level that works the switches: a breath or a sound.
    pub level: Option<breath::LevelConfig>,
    /// Where pads come from; `None` for none.
    pub pads: Option<OpenPads>,
    /// Recorded labels, where anything is to be heard; `None` opens no sound device.
    pub sound: Option<Recordings>,
    /// Makes the sessions.
    pub begin: Begin,
    /// Who watches it from a desk beside it.
    pub watched: Option<Watched>,
}

/// How what the clinician asks for at the desk reaches the window: handed a way to do so, once it is open. What
/// is not the clinician's to ask is passed over.
pub type Orders = Box<dyn FnOnce(Box<dyn Fn(Input) + Send>) + Send>;

/// A desk from which the session is watched.
pub struct Watched {
    /// The upper left corner of the desk's monitor: the board takes another one where there is one.
    pub desk: Option<(i32, i32)>,
    /// What is asked for there.
    pub orders: Orders,
}

/// What is known when a session begins.
#[derive(Clone, Debug)]
pub struct Start {
    /// The switches and the place of the screen.
    pub learned: Learned,
    /// How good clock and screen are.
    pub measured: Measured,
    /// Wall clock at the session's moment zero.
    pub began: SystemTime,
    /// The board as it will be painted: its set-up, and its width and height in pixels.
    pub board: (BoardSetup, u32, u32),
}

/// How it went.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// The session began; otherwise the window was closed before.
    pub began: bool,
    /// When the first frame was handed to the screen.
    pub first_frame: Option<Instant>,
}

/// Why the window could not go on. Records up to then have reached the sink.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum AppError {
    /// There is no screen; the words say what to do.
    NoDisplay(String),
    /// The window could not be opened.
    Window(String),
    /// The screen could not be drawn on.
    Screen(String),
    /// The session could not begin.
    Begin(String),
    /// Something inside broke.
    Broken(String),
}

impl fmt::Display for AppError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            AppError::NoDisplay(words) | AppError::Begin(words) => write!(out, "{words}"),
            AppError::Window(cause) => write!(out, "cannot open the window: {cause}"),
            AppError::Screen(cause) => write!(
                out,
                "cannot draw on the screen: {}; install a Vulkan driver (on Debian `mesa-vulkan-drivers`), then start again",
                cause.trim_end_matches('.')
            ),
            AppError::Broken(cause) => {
                write!(
                    out,
                    "the session was broken off by a fault of this program: {cause}; its log up to then is kept"
                )
            }
        }
    }
}

impl std::error::Error for AppError {}

/// What a panic said.
fn words_of_panic(panic: &(dyn Any + Send)) -> String {
    let text = panic.downcast_ref::<&str>().copied();
    text.or_else(|| panic.downcast_ref::<String>().map(String::as_str)).unwrap_or("no words").to_string()
}
