//! What a virtual client sees and is told: scenes and what the room says, never the engine's inside.

use crate::engine::effect::Lit;
use crate::engine::tree::{EntryIx, ScanTree};
use crate::session::Asked;
use crate::settings::{FirstItemOn, Settings, Technique};
use crate::time::{Moment, Span};

/// What is to be seen at one moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// When.
    pub at: Moment,
    /// What the client is asked for.
    pub asked: Asked,
    /// The highlight that has just come on, or the dark that has; `None` when the highlight stays.
    pub lit: Option<Lit>,
    /// How the switch works the menu.
    pub technique: Technique,
    /// The choice between rest and carrying on, scanned slowly.
    pub question: bool,
    /// The group that is scanned was entered by mistake.
    pub astray: bool,
    /// The scan interval, as a client who is used to it feels it.
    pub interval: Span,
    /// How long what is lit stays so in an automatic scan.
    pub stays: Span,
}

/// What the course of the session tells a client.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Told {
    /// Rest or carry on?
    Question,
    /// A rest begins.
    Rest,
    /// A trial begins; `again` when the last choice of the same target went wrong.
    Trial {
        /// It is the second try.
        again: bool,
    },
}

/// How long what is lit stays so in an automatic scan.
#[inline]
pub(super) fn stays(settings: &Settings, lit: Option<Lit>) -> Span {
    let interval = settings.scan_interval();
    let Some(Lit::Entry { group, entry: EntryIx(0), pass }) = lit else { return interval };
    match (pass, settings.first_item_on()) {
        (1.., FirstItemOn::FirstPass) => interval,
        _ if group == ScanTree::TOP => interval + settings.first_after_start(),
        _ => interval + settings.first_in_group(),
    }
}
