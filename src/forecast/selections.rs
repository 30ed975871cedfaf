//! The same session by a fitted client at the real engine, as it was and under other settings.
//!
//! Client and order of targets have the same random numbers both times, so that the difference is due
//! to the settings. The client's own random numbers are not those of the person: the client as it was
//! stands beside the log, to show how far the two agree.

use serde::Serialize;

use super::figure::{Figure, most};
use crate::advice::parallel;
use crate::analysis::measures::measures;
use crate::analysis::reading::{Judged, Reading};
use crate::log::header::Header;
use crate::session::event::BlockKind;
use crate::session::record::Record;
use crate::session::{Plan, Session};
use crate::sim::client::Client;
use crate::sim::profile::Profile;
use crate::sim::sitting::sit;
use crate::sim::traits::Traits;
use crate::stats::Sample;

/// Sessions of each guess: enough to tell what the guesses leave open from chance.
const EACH: u64 = 2;

/// What the choices of one session came to; `None` without a trial, or without one that was reached.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Outcomes {
    /// Trials that count.
    pub trials: u32,
    /// Share of trials that went right from beginning to end.
    pub right: Option<f64>,
    /// Share in which something else was pressed first, early, late or elsewhere.
    pub wrong: Option<f64>,
    /// Share without a press.
    pub no_press: Option<f64>,
    /// Time in trials over the number of targets reached.
    pub seconds_per_right: Option<f64>,
    /// Presses in trials, those inside the lockout among them, over the same number.
    pub hits_per_right: Option<f64>,
}

/// The values of [`Outcomes`] of which there are figures, with their names in JSON.
pub const NAMES: [&str; 5] = ["right", "wrong", "no_press", "seconds_per_right", "hits_per_right"];

/// The first of these are shares.
const SHARES: usize = 3;

impl Outcomes {
    /// The choices in a session: timed presses, menu tasks and confirm.
    #[must_use]
    pub fn of(header: &Header, records: &[Record]) -> Outcomes {
        let reading = Reading::of(header, records);
        let kinds = [BlockKind::TimedPress, BlockKind::MenuTasks, BlockKind::Confirm];
        let choices: Vec<&Judged> =
            reading.blocks.iter().filter(|block| kinds.contains(&block.kind)).flat_map(|block| &block.trials).collect();
        let found = measures(&choices);
        let share = |words: &[&str]| {
            let shares = found.outcomes.iter().filter(|one| words.contains(&one.outcome.as_str()));
            (found.trials > 0).then(|| shares.map(|one| one.share).sum())
        };
        Outcomes {
            trials: found.trials,
            right: share(&["hit"]),
            wrong: share(&["early", "late", "extra", "wrong"]),
            no_press: share(&["omission"]),
            seconds_per_right: found.seconds_per_correct,
            hits_per_right: found.presses_per_correct,
        }
    }

    /// The values in the order of [`NAMES`].
    #[must_use]
    pub fn values(&self) -> [Option<f64>; 5] {
        [self.right, self.wrong, self.no_press, self.seconds_per_right, self.hits_per_right]
    }
}

/// One of the values, as it was and as tried.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Compared {
    /// Which one, of [`NAMES`].
    pub name: &'static str,
    /// In the log.
    pub logged: Option<f64>,
    /// By the fitted client under the settings of the log: the mean, and the range of nine sessions in ten; `None` where
    /// most sessions have no such value, as without a right choice.
    pub client: Option<Figure>,
    /// By the same under the settings tried.
    pub tried: Option<Figure>,
    /// Tried minus as it was, by the client, with the 90 % interval that the guesses leave open.
    pub difference: Option<Figure>,
}

/// The choices of the session, as they were and as tried.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Selections {
    /// Simulated sessions under either settings.
    pub sessions: usize,
    /// Value by value.
    pub values: Vec<Compared>,
}

/// The session of the log by the client of `profile`, under the plans of either settings.
#[must_use]
pub fn selections(logged: &Outcomes, profile: &Profile, was: &Plan, tried: &Plan) -> Selections {
    let guesses: Vec<(u64, Traits)> = (0..).zip(profile.guesses()).collect();
    let runs = parallel::map(&guesses, |(number, traits)| {
        let pair = |run: u64| [was, tried].map(|plan| sat(plan, traits, 1 + number * EACH + run).values());
        (0..EACH).map(pair).collect::<Vec<[[Option<f64>; 5]; 2]>>()
    });
    let compared = |place: usize| {
        let of = |side: usize| range(runs.iter().flatten().map(|pair| pair[side][place]));
        let less = |pair: &[[Option<f64>; 5]; 2]| Some(pair[1][place]? - pair[0][place]?);
        let bounded = |figure: Figure| if place < SHARES { figure.within(-1.0, 1.0) } else { figure };
        let each: Vec<Vec<f64>> = runs.iter().map(|runs| runs.iter().filter_map(less).collect()).collect();
        Compared {
            name: NAMES[place],
            logged: logged.values()[place],
            client: of(0),
            tried: of(1),
            difference: of(0).and(of(1)).and(Figure::of(&each)).map(bounded),
        }
    };
    Selections { sessions: guesses.len() * EACH as usize, values: (0..NAMES.len()).map(compared).collect() }
}

/// The mean, and the range of nine in ten; `None` where most sessions have no value: the few that have one are the
/// luckiest.
fn range(values: impl Iterator<Item = Option<f64>> + Clone) -> Option<Figure> {
    if most(values.clone().map(|value| value.is_none())) {
        return None;
    }
    let sample = Sample::new(values.flatten().collect()).ok()?;
    Some(Figure { value: sample.mean(), low: sample.quantile(0.05), high: sample.quantile(0.95) })
}

fn sat(plan: &Plan, traits: &Traits, seed: u64) -> Outcomes {
    let mut records = Vec::new();
    let mut client = Client::new(traits.clone(), seed);
    // A session that comes to no end in time is judged as far as it came.
    let _ = sit(&mut Session::new(plan.clone()), &mut client, |fresh| records.extend_from_slice(fresh));
    Outcomes::of(&Header::for_plan(plan), &records)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_lucky_few_sessions_make_no_figure() {
        let of = |with: usize| range((0..10).map(|nth| (nth < with).then_some(20.0 + nth as f64)));
        assert_eq!(of(4), None);
        // 20 to 24 s: a mean of 22.
        assert_eq!(of(5).unwrap().value, 22.0);
    }
}
