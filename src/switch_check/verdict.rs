//! What follows from a check, with its thresholds. They are common practice, no source, unless a
//! line says otherwise.

use std::fmt;

use serde::{Deserialize, Serialize};

use super::Watched;
use super::finding::{Finding, Spread};
use crate::time::Span;

/// Presses that are wanted before a switch is called clean or its lengths are compared.
const WANTED: u64 = 8;
/// Lengths of presses that lie within this are one length: two polling steps of 10 ms. Of eight presses,
/// worked short and long on purpose, no hand makes one length.
const ONE_LENGTH: Span = Span::from_ms(20);
/// Presses at steps that differ by less than this repeat by themselves; a hand that taps four times a
/// second strays further (healthy tapping is 5 to 7 Hz; from memory).
const ONE_STEP: Span = Span::from_ms(10);
/// No interface repeats more slowly than this.
const SLOWEST_STEP: Span = Span::from_ms(600);
/// More raw changes in a second than tremor (up to 12 Hz: 24 changes) and its bounce can make.
const CHATTER: u32 = 100;

/// What is to be said of a switch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "verdict", rename_all = "kebab-case")]
pub enum Verdict {
    /// It changes faster than any hand.
    Chatter {
        /// Raw changes in the worst second.
        per_second: u32,
    },
    /// It was held past the stuck limit.
    Stuck {
        /// How long, at least.
        held_us: Span,
    },
    /// Whoever works it, presses come at equal steps.
    Repeats {
        /// The step.
        step_us: Span,
    },
    /// Every press has the same length.
    Pulse {
        /// The length.
        length_us: Span,
    },
    /// It bounces longer than the debounce covers.
    Bounce {
        /// The longest bounce.
        longest_us: Span,
        /// The debounce in force.
        debounce_us: Span,
    },
    /// It was worked too little to tell.
    TooFew {
        /// Presses seen.
        presses: u64,
        /// Presses wanted.
        wanted: u64,
    },
    /// Nothing speaks against it.
    Clean,
}

/// All that is to be said of this switch.
pub(super) fn verdicts(finding: &Finding, watched: &Watched, debounce: Span) -> Vec<Verdict> {
    let per_second = finding.most_per_second;
    let longest_us = finding.longest_bounce_us;
    let mut all = Vec::new();
    all.extend((per_second > CHATTER).then_some(Verdict::Chatter { per_second }));
    all.extend(watched.stuck.map(|held_us| Verdict::Stuck { held_us }));
    let repeats = repeats(watched);
    all.extend(repeats.or_else(|| pulse(finding.held?)));
    all.extend((longest_us > debounce).then_some(Verdict::Bounce { longest_us, debounce_us: debounce }));
    if all.is_empty() {
        let presses = finding.presses;
        all.push(if presses < WANTED { Verdict::TooFew { presses, wanted: WANTED } } else { Verdict::Clean });
    }
    all
}

fn pulse(held: Spread) -> Option<Verdict> {
    let one = u64::from(held.count) >= WANTED && held.range() <= ONE_LENGTH;
    one.then_some(Verdict::Pulse { length_us: held.median_us })
}

/// A run of presses at equal steps.
fn repeats(watched: &Watched) -> Option<Verdict> {
    let edges: Vec<_> = watched.presses.iter().map(|press| press.edge).collect();
    let steps: Vec<Span> = edges.windows(2).map(|pair| pair[1].since(pair[0])).collect();
    let equal = |run: &&[Span]| {
        let spread = Spread::of(run.iter().copied());
        spread.is_some_and(|spread| spread.range() <= ONE_STEP && spread.greatest_us <= SLOWEST_STEP)
    };
    let run = steps.windows(WANTED as usize - 1).find(equal)?;
    Some(Verdict::Repeats { step_us: Spread::of(run.iter().copied())?.median_us })
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let ms = |span: &Span| span.0.div_ceil(1_000);
        match self {
            Verdict::Chatter { per_second } => write!(f, "It chatters: {per_second} changes in one second."),
            Verdict::Stuck { held_us } => write!(f, "It stayed closed for {:.0} s or longer.", held_us.as_seconds()),
            Verdict::Repeats { step_us } => write!(f, "It repeats by itself every {} ms.", ms(step_us)),
            Verdict::Pulse { length_us } => {
                write!(f, "Every press has the same length, {} ms: the interface sends pulses.", ms(length_us))
            }
            Verdict::Bounce { longest_us, debounce_us } => {
                write!(f, "It bounces for {} ms; the debounce covers {} ms.", ms(longest_us), ms(debounce_us))
            }
            Verdict::TooFew { presses, wanted } => {
                write!(f, "{presses} of {wanted} presses: work it short and long, in no rhythm.")
            }
            Verdict::Clean => write!(f, "Clean: it follows the hand, and the debounce covers its bounce."),
        }
    }
}

impl Verdict {
    /// What to do about it; empty where nothing has to be done.
    #[must_use]
    pub fn remedy(&self) -> &'static str {
        match self {
            Verdict::Chatter { .. } => "Check plug and cable, or try another switch.",
            Verdict::Stuck { .. } => "Check the skin under it and the mounting.",
            Verdict::Repeats { .. } => {
                "Hold time, press duration and inverse scanning cannot be measured through it. Switch its repeat \
                 off: it has to stay on for as long as the switch is held."
            }
            Verdict::Pulse { .. } => {
                "Hold time, press duration and inverse scanning cannot be measured through it. Set it to follow the \
                 switch: on for as long as the switch is held, without latch, timer or repeat."
            }
            Verdict::Bounce { .. } => "Set a longer debounce, or try another switch.",
            Verdict::TooFew { .. } | Verdict::Clean => "",
        }
    }

    /// Press durations measured through this switch say nothing of the hand.
    #[must_use]
    pub fn hides_durations(&self) -> bool {
        matches!(self, Verdict::Pulse { .. } | Verdict::Repeats { .. })
    }
}
