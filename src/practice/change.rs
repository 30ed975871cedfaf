//! What the pacing decided, and why, in words for the log and for people.

use std::fmt;

use crate::time::Span;

/// One decision about the scan interval.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Change {
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
            Reason::AtLimit => "the clinician's limit is reached",
            Reason::Locked => "the clinician has locked it",
        }
    }
}

impl Change {
    /// Whether the interval is another one.
    #[must_use]
    pub fn is_change(&self) -> bool {
        self.from != self.to
    }
}

impl fmt::Display for Change {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let why = self.why.words();
        let (from, to) = (self.from.as_seconds(), self.to.as_seconds());
        if self.is_change() {
            write!(f, "Scan rate {from:.2} s to {to:.2} s: {why}.")
        } else {
            write!(f, "Scan rate kept at {to:.2} s: {why}.")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_change_says_what_and_why() {
        let from = Span::from_ms(1_500);
        let change = Change { from, to: Span::from_ms(1_350), why: Reason::Faster };
        assert_eq!(change.to_string(), "Scan rate 1.50 s to 1.35 s: enough presses will still come in time.");
        let kept = Change { from, to: from, why: Reason::Locked };
        assert_eq!(kept.to_string(), "Scan rate kept at 1.50 s: the clinician has locked it.");
    }
}
