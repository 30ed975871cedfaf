//! A model of a client at an automatic row-column scan, with an exact solution, drives the engine.
//!
//! The model, in our own words. The scan runs over 6 rows, then over the 6 columns of the row that was
//! taken; each pass lights its first entry for `D + T` and the others for `T`. A row of which no column
//! is taken in one pass is left, and the rows begin again; so they do after a choice, at once.
//!
//! The client wants a tile drawn uniformly. Whenever its row (or, in its row, its column) lights and no
//! press is under way, the client gets one under way: with probability `1 − omission` it falls
//! `max(0, mu + sigma·Z + tau·E)` later, Z standard Normal, E standard exponential. It falls wherever
//! the scan is by then, in a later pass too; in a wrong row the client starts none. Besides, presses
//! fall by accident at a constant rate. Any press takes what is lit and calls off the one under way.
//! A wrong choice is an error and nothing is put right: the client goes on for the same tile. A trial
//! ends with the wanted one.
//!
//! The reference values come from an exact solution of this model (a Markov renewal equation, no
//! sampling), computed. Where the latency is constant, shorter than `T`, and nothing goes wrong:
//! `E[time] = 2·mu + D·((R − 1)/R + (C − 1)/C) + T·((R − 1)/2 + (C − 1)/2)`.

use std::sync::Arc;

use pacewright::engine::effect::{Effect, Input, Lit, Switch};
use pacewright::engine::tree::{EntryIx, GroupIx, ItemIx, ScanTree};
use pacewright::engine::{Engine, Watch};
use pacewright::rng::Stream;
use pacewright::time::{Moment, Span};

use crate::engine_rig::with;

const ROWS: u16 = 6;
const COLUMNS: u16 = 6;
const SETTINGS: &str = "scan_interval 1, first_after_start 0.5, first_in_group 0.5, first_item_on every-pass, \
    loops_inside 1";

/// How a client presses. Times are seconds, the rate is per second.
#[derive(Clone, Copy)]
struct Client {
    mu: f64,
    sigma: f64,
    tau: f64,
    omission: f64,
    accidents: f64,
}

/// One trial.
#[derive(Clone, Copy, Default)]
struct Trial {
    seconds: f64,
    hits: f64,
    errors: f64,
}

/// A client at the engine.
struct Sitting {
    client: Client,
    draws: Stream,
    engine: Engine,
    row: u16,
    column: u16,
    /// The press under way.
    coming: Moment,
    accident: Moment,
    trial: Trial,
    began: Moment,
    done: Option<Trial>,
}

impl Sitting {
    fn new(client: Client) -> Sitting {
        let mut engine = Engine::new(Arc::new(ScanTree::row_column(ROWS, COLUMNS)), &with(SETTINGS));
        engine.assume_shown(true);
        let draws = Stream::named(5, "row-column model");
        let (never, trial) = (Moment::NEVER, Trial::default());
        let mut sitting = Sitting {
            client,
            draws,
            engine,
            row: 0,
            column: 0,
            coming: never,
            accident: never,
            trial,
            began: Moment::START,
            done: None,
        };
        sitting.accident = sitting.next_accident(Moment::START);
        sitting
    }

    /// Begins anew with this tile as target, and gives the trial.
    fn aim_at(&mut self, row: u16, column: u16) -> Trial {
        (self.row, self.column) = (row, column);
        (self.coming, self.trial, self.began) = (Moment::NEVER, Trial::default(), self.engine.now());
        self.input(self.began, Input::Start);
        loop {
            if let Some(trial) = self.done.take() {
                return trial;
            }
            let press = self.coming.min(self.accident);
            let limit = if press == Moment::NEVER { self.engine.now() + Span::from_ms(60_000) } else { press };
            let mut effects = Vec::new();
            let seen = self.engine.run_until(limit, self.watched(), &mut effects);
            effects.into_iter().for_each(|(at, effect)| self.look(at, &effect));
            if seen.is_none() && limit == press {
                self.press(press);
            }
        }
    }

    /// What the client waits for.
    fn watched(&self) -> Watch {
        let Lit::Entry { group, .. } = self.engine.lit() else { panic!("the scan goes on") };
        let entry = if group == ScanTree::TOP { self.row } else { self.column };
        let aims = group == ScanTree::TOP || group == GroupIx(1 + self.row);
        Watch { entry: aims.then_some((group, EntryIx(entry))) }
    }

    fn press(&mut self, at: Moment) {
        if at == self.accident {
            self.accident = self.next_accident(at);
        }
        self.coming = Moment::NEVER;
        self.trial.hits += 1.0;
        self.input(at, Input::Edge { switch: Switch(0), down: true });
        if self.done.is_none() {
            self.input(at, Input::Edge { switch: Switch(0), down: false });
        } else {
            self.engine.input(at, Input::Edge { switch: Switch(0), down: false }, &mut Vec::new());
        }
    }

    fn input(&mut self, at: Moment, input: Input) {
        let mut effects = Vec::new();
        self.engine.input(at, input, &mut effects);
        effects.into_iter().for_each(|(at, effect)| self.look(at, &effect));
    }

    fn look(&mut self, at: Moment, effect: &Effect) {
        match effect {
            Effect::Taken { item, .. } if *item == ItemIx(self.row * COLUMNS + self.column) => {
                self.trial.seconds = at.since(self.began).as_seconds();
                self.done = Some(self.trial);
            }
            Effect::Taken { .. } => self.trial.errors += 1.0,
            Effect::NotCounted { .. } => panic!("each press takes what is lit"),
            effect if self.done.is_none() && self.watched().sees(effect) => self.lit(at, effect),
            _ => {}
        }
    }

    fn lit(&mut self, at: Moment, effect: &Effect) {
        let is_target = matches!(effect, Effect::Highlight { .. });
        if is_target && self.coming == Moment::NEVER && self.draws.unit() >= self.client.omission {
            let Client { mu, sigma, tau, .. } = self.client;
            let latency = mu + sigma * self.draws.normal() + tau * self.draws.exponential();
            self.coming = at + Span::from_seconds(latency.max(0.0)).expect("a time");
        }
    }

    fn next_accident(&mut self, from: Moment) -> Moment {
        if self.client.accidents == 0.0 {
            return Moment::NEVER;
        }
        from + Span::from_seconds(self.draws.exponential() / self.client.accidents).expect("a time")
    }
}

fn close(left: f64, right: f64, within: f64) {
    assert!((left - right).abs() < within, "{left} is not {right} within {within}");
}

#[test]
fn a_steady_client_takes_exactly_as_long_as_the_closed_form() {
    let mut sitting = Sitting::new(Client { mu: 0.3, sigma: 0.0, tau: 0.0, omission: 0.0, accidents: 0.0 });
    let targets = (0..ROWS).flat_map(|row| (0..COLUMNS).map(move |column| (row, column)));
    let trials: Vec<Trial> = targets.map(|(row, column)| sitting.aim_at(row, column)).collect();
    let seconds = trials.iter().map(|trial| trial.seconds).sum::<f64>() / 36.0;
    close(seconds, 2.0 * 0.3 + 0.5 * (5.0 / 6.0 + 5.0 / 6.0) + 1.0 * (2.5 + 2.5), 1e-9);
    close(seconds, 6.433_333, 1e-6);
    assert!(trials.iter().all(|trial| trial.hits == 2.0 && trial.errors == 0.0));
}

/// Mean and standard error.
fn estimate(trials: &[Trial], value: impl Fn(&Trial) -> f64) -> (f64, f64) {
    let count = trials.len() as f64;
    let mean = trials.iter().map(&value).sum::<f64>() / count;
    let variance = trials.iter().map(|trial| (value(trial) - mean).powi(2)).sum::<f64>() / (count - 1.0);
    (mean, (variance / count).sqrt())
}

#[test]
fn an_erring_client_takes_as_long_and_errs_as_often_as_the_exact_solution() {
    let mut sitting = Sitting::new(Client { mu: 0.45, sigma: 0.08, tau: 0.15, omission: 0.03, accidents: 0.005 });
    let mut targets = Stream::named(5, "row-column targets");
    let mut tile = || (targets.below(ROWS.into()) as u16, targets.below(COLUMNS.into()) as u16);
    let trials: Vec<Trial> = (0..60_000)
        .map(|_| {
            let (row, column) = tile();
            sitting.aim_at(row, column)
        })
        .collect();
    let (seconds, error) = estimate(&trials, |trial| trial.seconds);
    close(seconds, 8.299_545, 4.0 * error);
    let (hits, error) = estimate(&trials, |trial| trial.hits);
    close(hits, 2.158_987, 4.0 * error);
    // The error rate is e/(1 + e) with e the errors a trial; its derivative is 1/(1 + e)².
    let (errors, error) = estimate(&trials, |trial| trial.errors);
    close(errors / (1.0 + errors), 0.036_506, 4.0 * error / (1.0 + errors).powi(2));
}
