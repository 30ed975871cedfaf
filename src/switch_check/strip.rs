//! The moving strip: the last ten seconds of the switch that changed last, now at the right.

use super::{BOUNCE, Check, Press, Watched, Wave};
use crate::time::{Moment, Span};

/// How much the strip shows.
pub const SECONDS: u64 = 10;
pub(super) const LENGTH: Span = Span::from_ms(1_000 * SECONDS);

/// Rows of bars and what is said of them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Strip {
    /// The waveform of a level, above all else.
    pub wave: Option<Wave>,
    /// From top to bottom.
    pub lanes: Vec<Lane>,
    /// The finding in words.
    pub lines: Vec<String>,
}

/// One row of bars.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lane {
    /// What its bars are.
    pub name: &'static str,
    /// The bars, oldest first.
    pub bars: Vec<Bar>,
}

/// A bar, in thousandths of the strip from its left end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bar {
    /// Where it begins.
    pub from: u16,
    /// Where it ends; not before `from`.
    pub to: u16,
}

impl Check {
    /// The strip at `now`.
    #[must_use]
    pub fn strip(&self, now: Moment) -> Strip {
        let blank = Watched::default();
        let watched = self.switches.get(self.last).unwrap_or(&blank);
        let lane = |name, spans: Vec<(Moment, Moment)>| Lane { name, bars: bars(&spans, now) };
        let lanes = vec![
            lane("Raw contact", watched.closures(now)),
            lane("Bounce", watched.bounce()),
            lane("Press", watched.pressed(now)),
            lane("Hold", watched.held(now)),
            lane("Lockout", watched.lockouts.iter().copied().collect()),
            lane("Counts", watched.accepted()),
        ];
        let finding = self.findings(now).into_iter().find(|finding| usize::from(finding.switch.0) == self.last);
        Strip { wave: None, lanes, lines: finding.map(|finding| finding.lines()).unwrap_or_default() }
    }

    /// Something on the strip still moves.
    #[must_use]
    pub fn moves(&self, now: Moment) -> bool {
        let last = |watched: &Watched| watched.recent.back().is_some_and(|(at, down)| *down || now.since(*at) < LENGTH);
        self.switches.get(self.last).is_some_and(last)
    }
}

impl Watched {
    fn closures(&self, now: Moment) -> Vec<(Moment, Moment)> {
        let ends = self.recent.iter().skip(1).map(|(at, _)| *at).chain([now]);
        self.recent.iter().zip(ends).filter(|((_, down), _)| *down).map(|((from, _), to)| (*from, to)).collect()
    }

    fn bounce(&self) -> Vec<(Moment, Moment)> {
        let pairs = self.recent.iter().zip(self.recent.iter().skip(1));
        pairs.filter(|(one, next)| next.0.since(one.0) < BOUNCE).map(|(one, next)| (one.0, next.0)).collect()
    }

    fn pressed(&self, now: Moment) -> Vec<(Moment, Moment)> {
        self.presses.iter().map(|press| (press.edge, press.released.unwrap_or(now))).collect()
    }

    /// Waiting for the hold time.
    fn held(&self, now: Moment) -> Vec<(Moment, Moment)> {
        let end = |press: &Press| press.accepted.or(press.released).unwrap_or(now);
        self.presses.iter().map(|press| (press.edge, end(press))).filter(|(from, to)| to > from).collect()
    }

    fn accepted(&self) -> Vec<(Moment, Moment)> {
        self.presses.iter().filter_map(|press| press.accepted).map(|at| (at, at)).collect()
    }
}

fn bars(spans: &[(Moment, Moment)], now: Moment) -> Vec<Bar> {
    let place = |at: Moment| 1_000 - (now.since(at).0 * 1_000 / LENGTH.0).min(1_000) as u16;
    let seen = spans.iter().filter(|(_, to)| now.since(*to) < LENGTH);
    seen.map(|(from, to)| Bar { from: place(*from), to: place((*to).min(now)) }).collect()
}
