//! What the client is offered to choose among by a slow scan.

use serde::{Deserialize, Serialize};

/// One offer, a tile of the question.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Offer {
    /// Rest; always the first, because the first is the easiest to choose by mistake.
    Rest,
    /// Begin the first block.
    Start,
    /// Go on with the block, or with the next one.
    CarryOn,
    /// Go on to what comes after this session.
    NextStep,
    /// Do the same once more.
    Again,
    /// Go back to something easier.
    Easier,
    /// Ring a bell on this computer; nobody is called.
    Bell,
    /// End; it is asked once more.
    End,
    /// End, the second time.
    EndNow,
}

impl Offer {
    /// All of them.
    pub const ALL: [Offer; 9] = [
        Offer::Rest,
        Offer::Start,
        Offer::CarryOn,
        Offer::NextStep,
        Offer::Again,
        Offer::Easier,
        Offer::Bell,
        Offer::End,
        Offer::EndNow,
    ];

    /// What stands on its tile.
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            Offer::Rest => "Rest",
            Offer::Start => "Start",
            Offer::CarryOn => "Carry on",
            Offer::NextStep => "Next step",
            Offer::Again => "Again",
            Offer::Easier => "Easier",
            Offer::Bell => "Bell, no call",
            Offer::End => "End",
            Offer::EndNow => "Yes, end",
        }
    }

    /// Name of the picture on its tile.
    #[must_use]
    pub const fn icon(self) -> &'static str {
        match self {
            Offer::Rest => "rest",
            Offer::Start | Offer::Again => "play",
            Offer::CarryOn | Offer::NextStep => "next",
            Offer::Easier => "minus",
            Offer::Bell => "bell",
            Offer::End | Offer::EndNow => "stop",
        }
    }
}
