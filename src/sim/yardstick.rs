//! The simulation held against the exact solution of [`super::exact`].

use std::sync::Arc;

use super::counts::Counts;
use super::exact::{PerSelection, Reaction, RowColumn};
use super::plan::Plan;
use super::reactor::Reactor;
use super::selecting::Selecting;
use crate::engine::tree::ScanTree;
use crate::rng::Stream;
use crate::settings::{Id, REGISTRY, Settings, find, parse_value};
use crate::time::Span;

/// Events of which fewer than this are expected are judged by their expected number alone.
const RARE: f64 = 100.0;

/// A menu and a client whose exact means are known, ready to be simulated.
#[derive(Clone, Debug)]
pub struct Yardstick {
    model: RowColumn,
    exact: PerSelection,
    plan: Plan,
    seed: u32,
}

impl Yardstick {
    /// Studies of different `seed` share no random numbers. `None` where there is no exact solution, or
    /// the settings do not allow these timings.
    #[must_use]
    pub fn new(model: RowColumn, seed: u32) -> Option<Yardstick> {
        let exact = model.solve()?;
        let tree = Arc::new(ScanTree::row_column(model.rows as u16, model.columns as u16));
        let weights = vec![1.0; model.rows * model.columns];
        // The model never gives up.
        let patience = Span::from_seconds(1e9)?;
        let plan = Plan::new(tree, settings(&model)?, &weights, false, false, patience)?;
        Some(Yardstick { model, exact, plan, seed })
    }

    /// The exact means.
    #[must_use]
    pub fn exact(&self) -> &PerSelection {
        &self.exact
    }

    /// `count` simulated selections; each `block` has random numbers of its own.
    #[must_use]
    pub fn run(&self, block: u32, count: u64) -> Counts {
        let stream = |name| Stream::named(u64::from(self.seed) << 32 | u64::from(block), name);
        let RowColumn { reaction, omission, accidents, .. } = self.model;
        let reactor = Reactor::new(reaction, omission, accidents, stream("reactor"));
        Selecting::new(&self.plan, reactor).run(count, &mut stream("targets"), |_| ())
    }

    /// How far a simulation in `parts` of equal size lies from the exact means, output by output.
    #[must_use]
    pub fn compare(&self, parts: &[Counts]) -> Vec<Deviation> {
        let PerSelection { seconds, hits, wrong_rows, abandons, passes, .. } = self.exact;
        let each =
            |name, count: fn(&Counts) -> u64, exact| Output::of(parts, |part| part.each(count(part)), name, exact);
        vec![
            Output::of(parts, Counts::seconds, "seconds", seconds).deviation(),
            Output::of(parts, Counts::error_rate, "error rate", self.exact.error_rate()).of_events(),
            each("hits", |part| part.hits, hits).deviation(),
            each("wrong rows", |part| part.wrong_groups, wrong_rows).of_events(),
            each("rows left", |part| part.left_groups, abandons).of_events(),
            each("passes", |part| part.passes, passes).deviation(),
        ]
    }
}

/// How far one mean lies from the exact one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Deviation {
    /// What it is the mean of.
    pub name: &'static str,
    /// What was found.
    pub found: f64,
    /// The exact value.
    pub exact: f64,
    /// Their difference in standard errors; infinite if they differ where nothing varies.
    pub standard_errors: f64,
}

/// One mean of a simulation.
struct Output {
    name: &'static str,
    selections: f64,
    found: f64,
    exact: f64,
    /// Standard error of what was found, from the spread of the parts.
    error: f64,
}

impl Output {
    fn of(parts: &[Counts], output: impl Fn(&Counts) -> f64, name: &'static str, exact: f64) -> Output {
        let whole = parts.iter().fold(Counts::default(), |sum, part| sum.plus(part));
        let (found, count) = (output(&whole), parts.len() as f64);
        let spread: f64 = parts.iter().map(|part| (output(part) - found).powi(2)).sum();
        let error = (spread / count / (count - 1.0)).sqrt();
        Output { name, selections: whole.selections as f64, found, exact, error }
    }

    fn deviation(self) -> Deviation {
        let Output { name, found, exact, error, .. } = self;
        let off = found - exact;
        // The exact means have about ten digits.
        let alike = off.abs() <= 1e-9 * exact.abs().max(1.0);
        Deviation { name, found, exact, standard_errors: if alike { 0.0 } else { off / error } }
    }

    /// Rare events are too few to show their spread; then the error is that of a Poisson count, at
    /// least one event. An event that cannot happen must not.
    fn of_events(self) -> Deviation {
        let expected = self.exact * self.selections;
        let rare = expected > 0.0 && expected < RARE;
        let poisson = expected.max(1.0).sqrt() / self.selections;
        Output { error: if rare { self.error.max(poisson) } else { self.error }, ..self }.deviation()
    }
}

fn settings(model: &RowColumn) -> Option<Settings> {
    let timings = [
        (Id::ScanInterval, model.interval),
        (Id::FirstAfterStart, model.first),
        (Id::FirstInGroup, model.first),
        (Id::PauseAfterSelection, 0.0),
        (Id::Debounce, 0.0),
        (Id::Lockout, 0.0),
    ];
    let timed = timings.into_iter().try_fold(Settings::default(), |settings, (id, seconds)| {
        let raw = Span::from_seconds(seconds)?.0 as i64;
        let allowed = REGISTRY.iter().any(|setting| setting.id == id && setting.allows(raw));
        allowed.then(|| settings.with(id, raw))
    })?;
    let choices = [("first_item_on", "every-pass"), ("loops_top", "no limit"), ("loops_inside", "1")];
    choices.into_iter().try_fold(timed, |settings, (name, value)| {
        let id = find(name).ok()?;
        Some(settings.with(id, parse_value(id, value).ok()?))
    })
}

/// A client at a 6×6 menu of ordinary timings.
pub const ORDINARY: RowColumn = RowColumn {
    rows: 6,
    columns: 6,
    interval: 1.0,
    first: 0.5,
    reaction: Reaction { mu: 0.45, sigma: 0.08, tau: 0.15 },
    omission: 0.03,
    accidents: 0.005,
};

/// A client at the same menu who always reacts in the same time: nothing is random but the target.
pub const STEADY: RowColumn =
    RowColumn { reaction: Reaction { mu: 0.3, sigma: 0.0, tau: 0.0 }, omission: 0.0, accidents: 0.0, ..ORDINARY };

/// A menu and a client drawn at random: 1 to 8 rows and columns, 0.3 to 2 s an item, a first-item time
/// up to 1 s, up to 30 % omissions and one accident in 10 s. One who needs more than ten minutes for a
/// selection is drawn again.
#[must_use]
pub fn any_model(number: u32) -> Yardstick {
    let mut stream = Stream::named(number.into(), "yardstick");
    loop {
        let rows = 1 + stream.below(8) as usize;
        let columns = 1 + stream.below(8) as usize;
        let mut between = |low: f64, high: f64| low + (high - low) * stream.unit();
        let (interval, first) = (whole_us(between(0.3, 2.0)), whole_us(between(0.0, 1.0)));
        let reaction = Reaction { mu: between(0.2, 0.8), sigma: between(0.0, 0.2), tau: between(0.0, 0.4) };
        let (omission, accidents) = (between(0.0, 0.3), between(0.0, 0.1));
        let model = RowColumn { rows, columns, interval, first, reaction, omission, accidents };
        if let Some(yardstick) = Yardstick::new(model, number).filter(|yardstick| yardstick.exact.seconds < 600.0) {
            return yardstick;
        }
    }
}

fn whole_us(seconds: f64) -> f64 {
    (seconds * 1e6).round() / 1e6
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Whether 100 parts of this size agree with the exact means.
    fn check(yardstick: &Yardstick, size: u64) {
        let parts: Vec<Counts> = (0..100).map(|block| yardstick.run(block, size)).collect();
        for deviation in yardstick.compare(&parts) {
            assert!(deviation.standard_errors.abs() < 4.0, "{deviation:?} of {:?}", yardstick.model);
        }
    }

    #[test]
    fn twenty_random_menus_and_clients_agree_with_the_exact_solution() {
        (0..20).for_each(|number| check(&any_model(number), 300));
    }

    #[test]
    fn an_ordinary_and_a_steady_client_agree_with_the_exact_solution() {
        check(&Yardstick::new(ORDINARY, 0).unwrap(), 300);
        check(&Yardstick::new(STEADY, 0).unwrap(), 300);
    }

    #[test]
    fn a_small_difference_is_noticed() {
        let other = Yardstick::new(RowColumn { omission: 0.06, ..ORDINARY }, 0).unwrap();
        let parts: Vec<Counts> = (0..40).map(|block| other.run(block, 500)).collect();
        let worst = Yardstick::new(ORDINARY, 0).unwrap().compare(&parts);
        assert!(worst.iter().any(|deviation| deviation.standard_errors.abs() > 4.0));
    }

    #[test]
    fn timings_that_the_settings_do_not_allow_make_no_yardstick() {
        assert!(Yardstick::new(RowColumn { interval: 0.1, ..ORDINARY }, 0).is_none());
        assert!(Yardstick::new(RowColumn { omission: 1.0, ..ORDINARY }, 0).is_none());
    }
}
