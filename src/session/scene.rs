//! What stands on the client's screen, as data.
//!
//! The session says what is to be seen; the board paints it; a virtual client looks at it. Nothing
//! here knows about pixels. Each scene has a number that grows by one with every visible change;
//! the shell hands that number back as `Shown` when the frame has gone to the screen.

use crate::menu::home::HomeThing;
use crate::switch_check::Strip;

/// Everything that is to be seen at one moment.
#[derive(Clone, Debug, PartialEq)]
pub struct Scene {
    /// Grows with every visible change; the frame that shows it is reported under this number.
    pub number: u64,
    /// What the client is asked, or what the home answered; always at the same place.
    pub cue: Option<Cue>,
    /// The middle of the screen.
    pub body: Body,
    /// The simulated home, where this block has one.
    pub home: Vec<HomeThing>,
    /// A line for the clinician at the edge of the screen (whose presses, why it waits).
    pub note: Option<Note>,
    /// Trials left in this block. Progress shows what is left, never errors.
    pub left: Option<u32>,
    /// The same small mark after every press of a measuring block, right or wrong.
    pub answered: bool,
}

/// At most five words and a picture.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cue {
    /// The words, an imperative or an answer.
    pub text: String,
    /// Name of the picture that goes with it, from [`crate::menu::ICONS`].
    pub icon: Option<String>,
}

/// The middle of the screen.
#[derive(Clone, Debug, PartialEq)]
pub enum Body {
    /// Tiles that a highlight passes over.
    Tiles(Tiles),
    /// A calm page with one message: rest, pause, nothing to press, finished.
    Message(Message),
    /// The moving strip of a switch check, for the clinician.
    Strip(Strip),
}

/// A page of tiles, filled row by row.
#[derive(Clone, Debug, PartialEq)]
pub struct Tiles {
    /// Tiles in a row; at least 1. The last row may be shorter.
    pub columns: usize,
    /// The tiles, row by row; at least one.
    pub tiles: Vec<Tile>,
}

/// One tile.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tile {
    /// The words on it.
    pub label: String,
    /// Name of its picture, from [`crate::menu::ICONS`]; empty for none.
    pub icon: String,
    /// The highlight is on it now.
    pub lit: bool,
    /// It is marked as the target (timed press only).
    pub target: bool,
    /// The thing it works is on, open or up now.
    pub on: bool,
    /// It leads to another page.
    pub opens: bool,
    /// How far its edge is filled while a pointer rests on it, in eighths.
    pub filled: u8,
    /// An empty place: nothing is painted, so that rows keep their columns.
    pub blank: bool,
}

/// A calm page.
#[derive(Clone, Debug, PartialEq)]
pub struct Message {
    /// The main words, large.
    pub title: String,
    /// Further lines, smaller; may be empty.
    pub lines: Vec<String>,
    /// Name of a picture above the words.
    pub icon: Option<String>,
    /// Whom it speaks to; the clinician's pages look different from the client's.
    pub to: Reader,
}

/// Whom a page speaks to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reader {
    /// The client in the bed.
    Client,
    /// The clinician beside it.
    Clinician,
}

/// A line for the clinician.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Note {
    /// The words.
    pub text: String,
    /// It needs someone to act (switch stuck, focus lost); painted so that it is seen.
    pub urgent: bool,
}
