//! One visit to a level of the menu: how long until the scan leaves it, and where it goes then.
//!
//! In a pass the press comes with one chance, some time after the highlight; with the other it does
//! not come at all. Unwanted activations come meanwhile as a Poisson process, at every moment alike.
//! Whatever comes first takes the entry that is lit then: the wanted one, a wrong item or a wrong
//! group. So the chance of the right one is what the survival of "nothing has come yet" loses while
//! the wanted entry is lit, in this pass or, for a press that is a whole pass late, in the next one.
//! Hits and wrong items are counted along the same ways as the seconds.

use std::collections::HashMap;
use std::sync::{Arc, Mutex};

use super::expected_time::{Pace, Presses, Recovery};
use crate::lock::past_panics;

/// How the wanted entry is lit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) struct Lighting {
    /// It is the first of its group and has the first-item time.
    pub first: bool,
    /// At the top.
    pub top: bool,
    /// Entries of its group.
    pub count: usize,
}

/// One level on the way: the wanted position among the entries of a group.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Level {
    pub position: usize,
    pub lighting: Lighting,
    /// What the other entries are.
    pub others: Others,
}

/// What the entries beside the wanted one lead to.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Others {
    /// Share of them that open a group, and that lead back.
    pub groups: f64,
    pub exits: f64,
    /// Mean number of entries in these groups, and mean position of their exits where all have one.
    pub entries: f64,
    pub exit_at: Option<f64>,
}

/// What a selection, or a part of it, takes.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Takes {
    /// Seconds.
    pub seconds: f64,
    /// Switch hits, unwanted ones among them.
    pub hits: f64,
    /// Wrong items taken.
    pub wrong_items: f64,
}

impl Takes {
    /// These and the share `share` of the others.
    #[must_use]
    pub fn plus(self, share: f64, other: Takes) -> Takes {
        Takes {
            seconds: self.seconds + share * other.seconds,
            hits: self.hits + share * other.hits,
            wrong_items: self.wrong_items + share * other.wrong_items,
        }
    }

    pub(super) fn times(self, factor: f64) -> Takes {
        Takes::default().plus(factor, self)
    }
}

/// Visits that have been worked out, for many menus under one client, pace and recovery: most of their
/// levels are alike.
#[derive(Clone, Debug, Default)]
pub struct Known(Arc<Mutex<HashMap<Key, Passage>>>);

/// A level in whole numbers.
type Key = (usize, Lighting, [u64; 4]);

impl Level {
    fn key(&self) -> Key {
        let Others { groups, exits, entries, exit_at } = self.others;
        (self.position, self.lighting, [groups, exits, entries, exit_at.unwrap_or(-1.0)].map(f64::to_bits))
    }
}

/// What one visit comes to.
#[derive(Clone, Copy, Debug)]
pub(super) struct Passage {
    /// What it takes at the level, and until what went wrong is put right, but for selections.
    pub takes: Takes,
    /// Chance that the right entry is taken, and that another one is.
    pub right: f64,
    pub wrong: f64,
    /// Selections that have to be made again, or to undo one.
    pub again: f64,
}

/// What an error costs, and selections to be made beside the one that is wanted.
#[derive(Clone, Copy)]
struct Cost {
    takes: Takes,
    again: f64,
}

/// Visits of one client under one pace.
pub(super) struct Visits<'a, P> {
    presses: &'a P,
    pace: &'a Pace,
    recovery: &'a Recovery,
    /// Unwanted activations a second.
    unwanted: f64,
    /// Share of lightings with a press, and without.
    will: f64,
    silent: f64,
    mean: f64,
    /// Chance that something unwanted comes between a highlight and its press, with its sign turned.
    disturbed: f64,
    /// Chance that the press comes after the highlight.
    at_once: f64,
}

/// A stretch of time with unwanted activations.
#[derive(Clone, Copy)]
struct Stretch {
    /// Chance that something unwanted comes in it, with its sign turned: what is near 0 keeps its digits.
    disturbed: f64,
    /// Mean time until something unwanted, but no longer than the stretch.
    until_unwanted: f64,
}

impl Stretch {
    /// Chance that nothing unwanted comes.
    fn quiet(self) -> f64 {
        1.0 + self.disturbed
    }
}

/// What a lighting alone decides of a visit.
#[derive(Clone, Copy)]
struct Pass {
    /// Chance that the right entry is taken, see [`Visits::taken`].
    taken: f64,
    /// While the wanted entry is lit, and one pass over all entries.
    lit: Stretch,
    whole: Stretch,
    /// Chance that nothing at all comes in a pass.
    silent: f64,
    /// Chance that nothing comes in any further one before the group is left. The scan at the top has no end.
    cut: f64,
}

/// A press is never a whole pass late: the chance is below what is told apart.
const NEVER: f64 = 1e-12;

impl<'a, P: Presses> Visits<'a, P> {
    pub fn new(presses: &'a P, pace: &'a Pace, recovery: &'a Recovery) -> Visits<'a, P> {
        let (unwanted, silent) = (presses.unwanted(), presses.lapses());
        let disturbed = if unwanted > 0.0 { libm::expm1(-presses.cumulant(unwanted)) } else { 0.0 };
        let will = 1.0 - silent;
        let at_once = 1.0 - presses.within(0.0);
        Visits { presses, pace, recovery, unwanted, will, silent, mean: presses.mean(), disturbed, at_once }
    }

    /// The visits to all `levels`; what depends on the lighting or on the other entries alone is worked out once for
    /// all that share it.
    pub fn all(&self, levels: &[Level]) -> Vec<Passage> {
        let (mut passes, mut costs) = (Vec::new(), Vec::new());
        let visit = |level: &Level| {
            let pass = once(&mut passes, &level.lighting, |lighting| self.pass(*lighting));
            let wrong = once(&mut costs, &level.others, |others| self.wrong_entry(others));
            self.visit(level, pass, wrong)
        };
        levels.iter().map(visit).collect()
    }

    /// The same, each level worked out once for all menus that share `known`.
    pub fn all_known(&self, levels: &[Level], known: &Known) -> Vec<Passage> {
        let mut known = past_panics(&known.0);
        let work = |level: &Level| self.visit(level, self.pass(level.lighting), self.wrong_entry(&level.others));
        levels.iter().map(|level| *known.entry(level.key()).or_insert_with(|| work(level))).collect()
    }

    fn pass(&self, lighting: Lighting) -> Pass {
        let Lighting { top, count, .. } = lighting;
        let whole = self.stretch(self.first(top) + count as f64 * self.pace.interval);
        let silent = self.silent * whole.quiet();
        let cut = if top { 0.0 } else { libm::pow(silent, f64::from(self.pace.loops_inside.saturating_sub(1))) };
        Pass { taken: self.taken(lighting), lit: self.stretch(self.lit(lighting)), whole, silent, cut }
    }

    fn visit(&self, level: &Level, pass: Pass, wrong_entry: Cost) -> Passage {
        let top = level.lighting.top;
        let onset =
            if level.position == 0 { 0.0 } else { self.first(top) + level.position as f64 * self.pace.interval };
        let before = self.stretch(onset);
        let stays = before.quiet();
        let right = stays * (self.will * pass.taken - self.silent * pass.lit.disturbed);
        let wrong = (1.0 - pass.silent - right).max(0.0);
        let later = self.later(level.lighting);
        let seen = onset + later;
        // Right after the press that entered the group the next one may count for nothing; in later passes not.
        let deaf = if top { 0.0 } else { self.presses.deaf() };
        let lost = if deaf > 0.0 { self.will * self.presses.within(deaf - seen) } else { 0.0 };
        let until_press = self.until_press(seen, if later == 0.0 { before } else { self.stretch(seen) });
        let pass_with = |lost: f64| Takes {
            seconds: (self.will - lost) * until_press + (self.silent + lost) * pass.whole.until_unwanted,
            hits: 1.0 - pass.silent,
            wrong_items: 0.0,
        };
        let first_silent = pass.silent + lost * pass.whole.quiet();
        // Further passes until something comes: geometric, cut off at the loops.
        let further = first_silent * (1.0 - pass.cut) / (1.0 - pass.silent).max(f64::MIN_POSITIVE);
        let left = first_silent * pass.cut;
        let wrongs = (1.0 + further) * wrong;
        let Cost { takes, again } = wrong_entry;
        Passage {
            takes: pass_with(lost).plus(further, pass_with(0.0)).plus(wrongs, takes),
            right: (right - stays * lost).max(0.0) + further * right,
            wrong: wrongs,
            again: wrongs * again + left,
        }
    }

    /// Chance that the wanted entry is taken by whatever comes first once a press is on its way,
    /// given that nothing unwanted has come before the highlight.
    fn taken(&self, lighting: Lighting) -> f64 {
        let lit = self.lit(lighting);
        let pass = self.first(lighting.top) + lighting.count as f64 * self.pace.interval;
        let later = self.later(lighting);
        let waiting = |seconds: f64| self.stretch(seconds).quiet() * (1.0 - self.presses.within(seconds - later));
        let next_pass = waiting(pass);
        let next = if next_pass > NEVER { next_pass - waiting(pass + lit) } else { 0.0 };
        self.at_once - waiting(lit) + next
    }

    /// What it costs to have taken one of the others: an exit only leads back.
    fn wrong_entry(&self, others: &Others) -> Cost {
        let (item, group) = (self.wrong_item(), self.wrong_group(others));
        let items = 1.0 - others.groups - others.exits;
        Cost {
            takes: item.takes.times(items).plus(others.groups, group.takes),
            again: items * item.again + others.groups * group.again + others.exits,
        }
    }

    /// A wrong item is undone, and the right one looked for again.
    fn wrong_item(&self) -> Cost {
        let takes = Takes { seconds: self.pace.pause, hits: 0.0, wrong_items: 1.0 };
        Cost { takes, again: 1.0 + self.recovery.undo }
    }

    /// A wrong group is waited out or left by its exit, whichever is sooner, unless something unwanted
    /// takes one of its items first.
    fn wrong_group(&self, others: &Others) -> Cost {
        let (waits, hits) = self.leaving(others);
        let stretch = self.stretch(waits);
        let taken = -stretch.disturbed;
        let item = self.wrong_item();
        let own = Takes { seconds: stretch.until_unwanted, hits: taken + (1.0 - taken) * hits, wrong_items: 0.0 };
        Cost { takes: own.plus(taken, item.takes), again: 1.0 - taken + taken * item.again }
    }

    /// Seconds in a wrong group that nothing disturbs, and hits that leave it.
    fn leaving(&self, others: &Others) -> (f64, f64) {
        if let Some(intervals) = self.recovery.wrong_group {
            return (intervals * self.pace.interval, 0.0);
        }
        let (first, interval) = (self.pace.first_inside, self.pace.interval);
        let loops = f64::from(self.pace.loops_inside) * (first + others.entries * interval);
        let onset = |position: f64| if position == 0.0 { 0.0 } else { first + position * interval };
        let exit = others.exit_at.map(|position| onset(position) + self.mean);
        exit.filter(|exit| *exit < loops).map_or((loops, 0.0), |exit| (exit, 1.0))
    }

    fn first(&self, top: bool) -> f64 {
        if top { self.pace.first_at_top } else { self.pace.first_inside }
    }

    fn lit(&self, lighting: Lighting) -> f64 {
        self.pace.interval + if lighting.first { self.first(lighting.top) } else { 0.0 }
    }

    /// By how much later the press comes to an entry that is lit like this.
    fn later(&self, lighting: Lighting) -> f64 {
        if lighting.first { self.presses.first_item() } else { 0.0 }
    }

    fn stretch(&self, seconds: f64) -> Stretch {
        if self.unwanted > 0.0 {
            let disturbed = libm::expm1(-self.unwanted * seconds);
            Stretch { disturbed, until_unwanted: -disturbed / self.unwanted }
        } else {
            Stretch { disturbed: 0.0, until_unwanted: seconds }
        }
    }

    /// Mean time until the press that belongs to a highlight so many seconds on, or until something unwanted;
    /// `before` is the stretch up to the highlight.
    fn until_press(&self, seconds: f64, before: Stretch) -> f64 {
        if self.unwanted > 0.0 {
            -(before.disturbed + before.quiet() * self.disturbed) / self.unwanted
        } else {
            seconds + self.mean
        }
    }
}

/// What `work` makes of `of`, worked out once for all that are equal.
fn once<K: Copy + PartialEq, V: Copy>(known: &mut Vec<(K, V)>, of: &K, work: impl FnOnce(&K) -> V) -> V {
    if let Some((_, found)) = known.iter().find(|(one, _)| one == of) {
        return *found;
    }
    let value = work(of);
    known.push((*of, value));
    value
}

#[cfg(test)]
mod tests {
    use super::super::expected_time::Ways;
    use super::*;
    use crate::advice::presses::{Disturbed, Pressing};
    use crate::engine::tree::{ItemIx, ScanTree};
    use crate::stats::latency::ExGaussian;

    const SKEWED: Pressing =
        Pressing { latency: ExGaussian { mu: 0.5, sigma: 0.06, tau: 0.2 }, strays: 0.0, lapses: 0.0 };

    #[test]
    fn hits_are_the_presses_and_those_that_put_errors_right() {
        let hits = |ways: &Ways, unwanted: f64, interval: f64| {
            let pace = Pace { interval, first_at_top: 0.0, first_inside: 0.0, pause: 0.0, loops_inside: 2 };
            let presses = Disturbed { presses: SKEWED, unwanted };
            ways.takes(&presses, &pace, &Recovery::default()).hits
        };
        // One undo and one redo for each wrong item: 1/(1 − 2e) presses, e = P(latency > T) of the
        // ex-Gaussian (500, 60, 200) ms at T = 1 s, 0.085863 by scipy: 1.207331.
        let found = hits(&Ways::linear(8).unwrap(), 0.0, 1.0);
        assert!((found - 1.207_331).abs() < 1e-5, "{found}");
        // Without errors one press a level.
        let rows = Ways::equal(&ScanTree::row_column(3, 3), 9).unwrap();
        assert!((hits(&rows, 0.0, 20.0) - 2.0).abs() < 1e-6);
        // Before the last of a list is lit something unwanted comes with chance w = 1 − exp(−7 × 20 × 0.001) = 0.130642:
        // a hit as well, and an undo and a redo follow: 1/(1 − 2w), by hand.
        let last = Ways::new(&ScanTree::linear(8), &[(ItemIx(7), 1.0)]).unwrap();
        let found = hits(&last, 0.001, 20.0);
        assert!((found - 1.0 / 0.738_716).abs() < 2e-3, "{found}");
    }
}
