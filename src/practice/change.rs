//! What the pacing decided, and why, in words for the log and for people.

use std::fmt;

use crate::settings::Id;
use crate::time::Span;

/// One decision about the scan interval, or about the dwell time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Change {
    /// Which of the two.
    pub paces: Id,
    /// Before.
    pub from: Span,
    /// From the next selection on; equal to `from` when it was kept.
    pub to: Span,
    /// Why.
    pub why: Reason,
}

/// Why an interval was changed or kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reason {
    /// Too few presses yet to know what is needed.
    Calibrating,
    /// The first presses say what is needed.
    Calibrated,
    /// Enough presses would still come in time.
    Faster,
    /// The next of the plan's steps.
    Stepped,
    /// More presses come late than was agreed.
    Slower,
    /// Two of the last five attempts failed.
    TwoErrors,
    /// It is about right.
    AboutRight,
    /// It could be faster, but the presses get slower.
    Tiring,
    /// It could be faster, but more and more is let go by.
    Omissions,
    /// It could be faster, but the presses are no reactions to what lights up.
    NoReactions,
    /// It should be longer, but the client does not stay so long on what is wanted.
    NotHeld,
    /// The clinician's limit is reached.
    AtLimit,
    /// The clinician keeps it.
    Locked,
}

impl Reason {
    /// Its words, after "because".
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Reason::Calibrating => "more presses are needed to know the right value",
            Reason::Calibrated => "the first presses show what is needed",
            Reason::Faster => "enough presses will still come in time",
            Reason::Stepped => "it is the next of the plan's steps",
            Reason::Slower => "too many presses come late",
            Reason::TwoErrors => "two of the last five attempts failed",
            Reason::AboutRight => "it is about right",
            Reason::Tiring => "the presses are getting slower",
            Reason::Omissions => "more is being let go by",
            Reason::NoReactions => "the presses do not follow what lights up",
            Reason::NotHeld => {
                "the pointer does not stay longer on what is wanted; try larger items or a longer leave tolerance"
            }
            Reason::AtLimit => "the clinician's limit is reached",
            Reason::Locked => "the clinician has locked it",
        }
    }
}

impl Change {
    /// Why, of the setting that it is about.
    fn words(&self) -> &'static str {
        match (self.paces, self.why) {
            (Id::Dwell, Reason::Calibrating) => "more attempts are needed to know the right value",
            (Id::Dwell, Reason::Calibrated) => "the first attempts show what is needed",
            (Id::Dwell, Reason::Faster) => "stays on other items are shorter",
            (Id::Dwell, Reason::Slower) => "stays on other items take too many of them",
            (Id::Dwell, Reason::Tiring) => "the pointer takes longer and longer to get there",
            (_, why) => why.words(),
        }
    }

    /// Whether the interval is another one.
    #[must_use]
    pub fn is_change(&self) -> bool {
        self.from != self.to
    }
}

impl fmt::Display for Change {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let what = if self.paces == Id::Dwell { "Dwell time" } else { "Scan rate" };
        let why = self.words();
        let (from, to) = (self.from.as_seconds(), self.to.as_seconds());
        if self.is_change() {
            write!(f, "{what} {from:.2} s to {to:.2} s: {why}.")
        } else {
            write!(f, "{what} kept at {to:.2} s: {why}.")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_change_says_what_and_why() {
        let from = Span::from_ms(1_500);
        let change = Change { paces: Id::ScanInterval, from, to: Span::from_ms(1_350), why: Reason::Faster };
        assert_eq!(change.to_string(), "Scan rate 1.50 s to 1.35 s: enough presses will still come in time.");
        let kept = Change { paces: Id::ScanInterval, from, to: from, why: Reason::Locked };
        assert_eq!(kept.to_string(), "Scan rate kept at 1.50 s: the clinician has locked it.");
        let dwell = Change { paces: Id::Dwell, ..change };
        assert_eq!(dwell.to_string(), "Dwell time 1.50 s to 1.35 s: stays on other items are shorter.");
    }
}
