//! What a check found out about one switch, as data for the log and in words.

use serde::{Deserialize, Serialize};

use super::verdict::Verdict;
use super::{Press, Watched};
use crate::engine::effect::Switch;
use crate::time::Span;

/// One switch, as far as it was watched.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Finding {
    /// Which switch.
    pub switch: Switch,
    /// How long it was watched.
    pub watched_us: Span,
    /// Raw changes.
    pub edges: u64,
    /// Most raw changes within one second.
    pub most_per_second: u32,
    /// Presses after debouncing.
    pub presses: u64,
    /// Those that counted.
    pub counted: u64,
    /// Those that were too short or fell into a lockout.
    pub ignored: u64,
    /// Raw changes within 20 ms of the change before.
    pub bounces: u64,
    /// From the first to the last change of the longest bounce.
    pub longest_bounce_us: Span,
    /// How long presses lasted.
    pub held: Option<Spread>,
    /// Time from letting go to the next press.
    pub gaps: Option<Spread>,
    /// What follows, the gravest first; never empty.
    pub verdicts: Vec<Verdict>,
}

/// The spread of some times.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Spread {
    /// How many there are.
    pub count: u32,
    /// The shortest.
    pub least_us: Span,
    /// The middle one, the lower of two.
    pub median_us: Span,
    /// The longest.
    pub greatest_us: Span,
}

impl Spread {
    pub(super) fn of(times: impl Iterator<Item = Span>) -> Option<Spread> {
        let mut times: Vec<Span> = times.collect();
        times.sort_unstable();
        let (least, greatest) = (*times.first()?, *times.last()?);
        let median_us = times[(times.len() - 1) / 2];
        Some(Spread { count: times.len() as u32, least_us: least, median_us, greatest_us: greatest })
    }

    /// From the shortest to the longest.
    #[must_use]
    pub fn range(&self) -> Span {
        Span(self.greatest_us.0 - self.least_us.0)
    }

    fn words(&self) -> String {
        let seconds = |span: Span| format!("{:.2}", span.as_seconds());
        let (least, greatest) = (seconds(self.least_us), seconds(self.greatest_us));
        format!("{least} to {greatest} s, median {} s", seconds(self.median_us))
    }
}

impl Watched {
    /// All but the verdicts.
    pub(super) fn measures(&self, switch: Switch, watched_us: Span) -> Finding {
        Finding {
            switch,
            watched_us,
            edges: self.edges,
            most_per_second: self.most_per_second,
            presses: self.pressed,
            counted: self.counted,
            ignored: self.ignored,
            bounces: self.bounces,
            longest_bounce_us: self.longest_bounce,
            held: Spread::of(self.presses.iter().filter_map(Press::held)),
            gaps: Spread::of(self.gaps()),
            verdicts: Vec::new(),
        }
    }

    fn gaps(&self) -> impl Iterator<Item = Span> {
        let pairs = self.presses.iter().zip(self.presses.iter().skip(1));
        pairs.filter_map(|(one, next)| one.released.map(|released| next.edge.since(released)))
    }
}

impl Press {
    pub(super) fn held(&self) -> Option<Span> {
        self.released.map(|released| released.since(self.edge))
    }
}

impl Finding {
    /// What was counted, in a line.
    #[must_use]
    pub fn counts(&self) -> String {
        format!(
            "{} presses, {} counted, {} ignored; {} raw edges, {} of them bounce",
            self.presses, self.counted, self.ignored, self.edges, self.bounces
        )
    }

    /// The finding in a few lines: what was counted, then what follows from it.
    #[must_use]
    pub fn lines(&self) -> Vec<String> {
        let mut lines = vec![self.counts()];
        let held = self.held.map(|held| format!("Held {}", held.words()));
        let gaps = self.gaps.map(|gaps| format!("between presses {}", gaps.words()));
        let times: Vec<String> = held.into_iter().chain(gaps).collect();
        lines.extend((!times.is_empty()).then(|| times.join("; ")));
        lines.extend(self.verdicts.iter().map(|verdict| format!("{verdict} {}", verdict.remedy()).trim_end().into()));
        lines
    }
}
