//! The exact solution of a client at an automatic row-column scan: no sampling.
//!
//! The model. The scan runs over the rows, then over the columns of the row that was taken; in every
//! pass the first entry is lit for the first-item time longer than the others. A row in which nothing
//! is taken for one pass is left, and the rows begin again; so they do, at once, after a choice. The
//! client wants one tile, every tile as often as any other. Whenever its row lights (or, in its row,
//! its column) and no press is under way, one is got under way with probability 1 − omission; it
//! falls one latency later, wherever the scan is by then. Besides, presses fall by accident at a
//! constant rate. Any press takes what is lit and calls off the one under way. After a wrong choice
//! the client goes on for the same tile.
//!
//! From the start of a pass without a press under way, what follows until the next press depends on
//! nothing before it: a Markov renewal process of three states (rows; the wanted row; another row).
//! The chances of its transitions are differences of one survival function at the edges of the
//! windows; the mean time between them is that function's integral.

use crate::stats::latency::ExGaussian;

/// Latency of a reaction, in seconds: `max(0, mu + sigma·Z + tau·E)`, Z standard Normal, E standard
/// exponential. `sigma` and `tau` may be 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reaction {
    /// Mean of the Normal part.
    pub mu: f64,
    /// Standard deviation of the Normal part.
    pub sigma: f64,
    /// Mean of the exponential part.
    pub tau: f64,
}

/// A row-column menu and a client. Times are seconds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RowColumn {
    /// Rows, at least 1.
    pub rows: usize,
    /// Columns, at least 1.
    pub columns: usize,
    /// Time for which an entry is lit, above 0.
    pub interval: f64,
    /// Added while the first entry of a pass is lit.
    pub first: f64,
    /// Latency of the presses that come.
    pub reaction: Reaction,
    /// Share of lightings of the wanted entry without a press; below 1.
    pub omission: f64,
    /// Accidental presses a second.
    pub accidents: f64,
}

/// Means over selections, each of which ends with the wanted tile.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PerSelection {
    /// Seconds from the start of the scan.
    pub seconds: f64,
    /// Presses, accidental ones among them.
    pub hits: f64,
    /// Wrong tiles taken.
    pub errors: f64,
    /// Wrong rows entered.
    pub wrong_rows: f64,
    /// Rows left without a choice.
    pub abandons: f64,
    /// Passes begun.
    pub passes: f64,
}

impl PerSelection {
    /// Wrong tiles as a share of all tiles taken.
    #[must_use]
    pub fn error_rate(&self) -> f64 {
        self.errors / (1.0 + self.errors)
    }

    fn plus(self, share: f64, other: PerSelection) -> PerSelection {
        PerSelection {
            seconds: self.seconds + share * other.seconds,
            hits: self.hits + share * other.hits,
            errors: self.errors + share * other.errors,
            wrong_rows: self.wrong_rows + share * other.wrong_rows,
            abandons: self.abandons + share * other.abandons,
            passes: self.passes + share * other.passes,
        }
    }

    fn times(self, factor: f64) -> PerSelection {
        PerSelection::default().plus(factor, self)
    }
}

/// What happens from the fresh start of a pass to the next one: costs, and the chances of where it
/// goes on. What is missing to 1 is the wanted tile.
#[derive(Clone, Copy, Debug, Default)]
struct Turn {
    cost: PerSelection,
    to_rows: f64,
    to_wanted_row: f64,
    to_wrong_row: f64,
}

impl Turn {
    fn plus(self, share: f64, other: Turn) -> Turn {
        Turn {
            cost: self.cost.plus(share, other.cost),
            to_rows: self.to_rows + share * other.to_rows,
            to_wanted_row: self.to_wanted_row + share * other.to_wanted_row,
            to_wrong_row: self.to_wrong_row + share * other.to_wrong_row,
        }
    }
}

/// No chance below this is followed any further.
const NEGLIGIBLE: f64 = 1e-17;

impl RowColumn {
    /// Means over all tiles, to about ten digits.
    ///
    /// `None` for a client who never takes the wanted tile, and for values outside their domain.
    #[must_use]
    pub fn solve(&self) -> Option<PerSelection> {
        self.solve_for(&vec![1.0; self.rows * self.columns])
    }

    /// The same for tiles that are wanted as often as `weights` say, row by row.
    #[must_use]
    pub fn solve_for(&self, weights: &[f64]) -> Option<PerSelection> {
        self.mean(weights, |tile| self.tile(tile / self.columns, tile % self.columns))
    }

    /// The same for a list of `rows` tiles, each of which one press takes; there are no columns.
    #[must_use]
    pub fn solve_list(&self, weights: &[f64]) -> Option<PerSelection> {
        self.mean(weights, |tile| self.listed(tile))
    }

    fn mean(&self, weights: &[f64], tile: impl Fn(usize) -> PerSelection) -> Option<PerSelection> {
        if !self.is_sound() {
            return None;
        }
        let share = |sum: PerSelection, (number, weight): (usize, &f64)| sum.plus(*weight, tile(number));
        let sum = weights.iter().enumerate().fold(PerSelection::default(), share);
        let mean = sum.times(1.0 / weights.iter().sum::<f64>());
        mean.seconds.is_finite().then_some(mean)
    }

    /// Whatever is no choice of the wanted tile leads to the list again, after a wrong one at once.
    fn listed(&self, tile: usize) -> PerSelection {
        let Turn { cost, to_wanted_row, .. } = self.mixed(|pending| self.rows_turn(tile, pending));
        PerSelection { errors: cost.wrong_rows, wrong_rows: 0.0, ..cost }.times(1.0 / to_wanted_row)
    }

    fn is_sound(&self) -> bool {
        let Reaction { mu, sigma, tau } = self.reaction;
        let finite = [self.first, sigma, tau, self.accidents].iter().all(|value| value.is_finite() && *value >= 0.0);
        let omission = (0.0..1.0).contains(&self.omission);
        finite && omission && mu.is_finite() && self.interval > 0.0 && self.rows > 0 && self.columns > 0
    }

    /// Solves the three equations of one tile: R = turn of rows, C = turn of the wanted row, and of
    /// another row, from which the rows always follow.
    fn tile(&self, row: usize, column: usize) -> PerSelection {
        let rows = self.mixed(|pending| self.rows_turn(row, pending));
        let wanted = self.mixed(|pending| self.wanted_row_turn(row, column, pending));
        let wrong = self.wrong_row_turn().cost;
        // With W = wrong + R: R(1 − rr − rw) = (r + rw·wrong) + rc·C, and C(1 − cc) = (c + cw·wrong) + (cr + cw)·R.
        let from_rows = rows.cost.plus(rows.to_wrong_row, wrong);
        let from_wanted = wanted.cost.plus(wanted.to_wrong_row, wrong).times(1.0 / (1.0 - wanted.to_wanted_row));
        let again = (wanted.to_rows + wanted.to_wrong_row) / (1.0 - wanted.to_wanted_row);
        let leaves = 1.0 - rows.to_rows - rows.to_wrong_row - rows.to_wanted_row * again;
        from_rows.plus(rows.to_wanted_row, from_wanted).times(1.0 / leaves)
    }

    /// With a press under way after the wanted entry has lit, and without.
    fn mixed(&self, turn: impl Fn(bool) -> Turn) -> Turn {
        Turn::default().plus(1.0 - self.omission, turn(true)).plus(self.omission, turn(false))
    }

    fn rows_turn(&self, row: usize, pending: bool) -> Turn {
        let run = Run { model: self, onset: self.onset(row), pending };
        let mut turn = self.row_passes(&run, row, 0.0);
        turn.cost.seconds = run.seconds(self.pass(self.rows));
        turn
    }

    fn wanted_row_turn(&self, row: usize, column: usize, pending: bool) -> Turn {
        let run = Run { model: self, onset: self.onset(column), pending };
        let end = self.pass(self.columns);
        let (left, right) = (run.quiet_until(end), run.within(self.window(column, self.columns)));
        let wrong = 1.0 - left - right;
        let own =
            PerSelection { hits: right + wrong, errors: wrong, abandons: left, passes: 1.0, ..Default::default() };
        let mut turn = Turn { cost: own, to_rows: wrong, ..Turn::default() };
        if pending {
            turn = turn.plus(1.0, self.row_passes(&run, row, end));
        } else {
            turn.to_rows += left;
        }
        turn.cost.seconds = run.seconds(end);
        turn
    }

    /// Passes over the rows from `start` on, until a press falls; one pass only where none is under way.
    fn row_passes(&self, run: &Run, row: usize, start: f64) -> Turn {
        let (mut turn, mut start) = (Turn::default(), start);
        loop {
            let end = start + self.pass(self.rows);
            let (before, left) = (run.quiet_until(start), run.quiet_until(end));
            let [from, to] = self.window(row, self.rows).map(|edge| start + edge);
            let right = run.within([from, to]);
            let wrong = before - left - right;
            turn.to_wanted_row += right;
            turn.to_wrong_row += wrong;
            turn.cost.hits += right + wrong;
            turn.cost.wrong_rows += wrong;
            turn.cost.passes += before;
            if !run.pending {
                turn.to_rows += left;
                return turn;
            }
            if left < NEGLIGIBLE {
                return turn;
            }
            start = end;
        }
    }

    fn wrong_row_turn(&self) -> Turn {
        let run = Run { model: self, onset: 0.0, pending: false };
        let end = self.pass(self.columns);
        let left = run.quiet_until(end);
        let cost = PerSelection {
            seconds: run.seconds(end),
            hits: 1.0 - left,
            errors: 1.0 - left,
            abandons: left,
            passes: 1.0,
            ..Default::default()
        };
        Turn { cost, to_rows: 1.0, ..Turn::default() }
    }

    fn onset(&self, entry: usize) -> f64 {
        if entry == 0 { 0.0 } else { self.first + entry as f64 * self.interval }
    }

    fn pass(&self, entries: usize) -> f64 {
        self.first + entries as f64 * self.interval
    }

    /// From when to when an entry of a pass is lit.
    fn window(&self, entry: usize, entries: usize) -> [f64; 2] {
        let end = if entry + 1 == entries { self.pass(entries) } else { self.onset(entry + 1) };
        [self.onset(entry), end]
    }
}

/// The time from the fresh start of a pass to the next press.
struct Run<'a> {
    model: &'a RowColumn,
    /// When the wanted entry lights.
    onset: f64,
    /// A press is got under way then.
    pending: bool,
}

impl Run<'_> {
    /// Chance that no press has fallen before `at`.
    fn quiet_until(&self, at: f64) -> f64 {
        let no_accident = libm::exp(-self.model.accidents * at);
        if self.pending && at > self.onset {
            no_accident * self.model.reaction.at_least(at - self.onset)
        } else {
            no_accident
        }
    }

    /// Chance that the press falls in this window.
    fn within(&self, [from, to]: [f64; 2]) -> f64 {
        self.quiet_until(from) - self.quiet_until(to)
    }

    /// Mean seconds until the press, or until `end` where none is under way.
    fn seconds(&self, end: f64) -> f64 {
        let rate = self.model.accidents;
        let plain = |span: f64| if rate > 0.0 { -libm::expm1(-rate * span) / rate } else { span };
        if !self.pending {
            return plain(end);
        }
        let knots = self.model.reaction.knots();
        let after = knots.windows(2).map(|edges| integral([edges[0], edges[1]], |x| self.quiet_until(self.onset + x)));
        plain(self.onset) + after.sum::<f64>()
    }
}

impl Reaction {
    /// Chance of a latency of at least `x`, for `x` above 0.
    fn at_least(&self, x: f64) -> f64 {
        let Reaction { mu, sigma, tau } = *self;
        match (sigma > 0.0, tau > 0.0) {
            (true, true) => libm::exp(ExGaussian { mu, sigma, tau }.log_survival(x)),
            (true, false) => 0.5 * libm::erfc((x - mu) / (sigma * std::f64::consts::SQRT_2)),
            (false, true) => libm::exp(-(x - mu).max(0.0) / tau),
            (false, false) => f64::from(u8::from(x <= mu)),
        }
    }

    /// Edges of pieces from 0 to where hardly a latency comes, in each of which the chances above run
    /// smoothly.
    fn knots(&self) -> Vec<f64> {
        let bend = (-8..=8).map(|step| self.mu + f64::from(step) * self.sigma);
        let tail = (1..=45).map(|step| self.mu + 8.0 * self.sigma + f64::from(step) * self.tau);
        let mut knots: Vec<f64> = bend.chain(tail).filter(|knot| *knot > 0.0).collect();
        knots.insert(0, 0.0);
        knots
    }
}

/// Abscissas and weights of Gauss and Legendre's rule of eight points on −1 to 1, one half of them
/// (Abramowitz and Stegun 1964, table 25.4).
const GAUSS: [[f64; 2]; 4] = [
    [0.183_434_642_495_649_8, 0.362_683_783_378_362],
    [0.525_532_409_916_329, 0.313_706_645_877_887_3],
    [0.796_666_477_413_626_7, 0.222_381_034_453_374_47],
    [0.960_289_856_497_536_3, 0.101_228_536_290_376_26],
];

fn integral([from, to]: [f64; 2], value: impl Fn(f64) -> f64) -> f64 {
    let (middle, half) = (0.5 * (from + to), 0.5 * (to - from));
    GAUSS.iter().map(|[x, weight]| weight * half * (value(middle - x * half) + value(middle + x * half))).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sim::yardstick::ORDINARY;

    #[test]
    fn the_reference_values_come_out() {
        // From another exact solver of the same model, computed.
        let found = ORDINARY.solve().unwrap();
        assert!((found.seconds - 8.299_545).abs() < 5e-7, "{found:?}");
        assert!((found.error_rate() - 0.036_506).abs() < 5e-7, "{found:?}");
        assert!((found.hits - 2.158_987).abs() < 5e-7, "{found:?}");
    }

    #[test]
    fn without_errors_the_closed_form_comes_out() {
        // 2·mu + D·((R − 1)/R + (C − 1)/C) + T·((R − 1)/2 + (C − 1)/2), mu = 0.3: by hand.
        let reaction = Reaction { mu: 0.3, sigma: 0.0, tau: 0.0 };
        let found = RowColumn { reaction, omission: 0.0, accidents: 0.0, ..ORDINARY }.solve().unwrap();
        assert!((found.seconds - 6.433_333_333).abs() < 1e-9, "{found:?}");
        assert_eq!((found.hits, found.errors, found.passes), (2.0, 0.0, 2.0));
    }

    #[test]
    fn a_lapse_costs_one_pass_in_a_single_row_of_one() {
        // One tile: two passes of one entry; each is passed over q/(1 − q) times in vain. A lapse in the column
        // leads back to the row: E = (t + qP)/(1 − q) for each, twice, the second also paying for rows again.
        let reaction = Reaction { mu: 0.4, sigma: 0.0, tau: 0.0 };
        let one = RowColumn { rows: 1, columns: 1, first: 0.0, reaction, omission: 0.2, accidents: 0.0, ..ORDINARY };
        let found = one.solve().unwrap();
        // R = 0.8·(0.4 + C) + 0.2·(1 + R), C = 0.8·0.4 + 0.2·(1 + R): R = 0.65 + C, 0.8·C = 0.65; by hand.
        let column = (0.52 + 0.2 * 0.65) / 0.8;
        assert!((found.seconds - (0.65 + column)).abs() < 1e-12, "{found:?}");
    }

    #[test]
    fn a_list_comes_out_as_by_hand() {
        // Eight tiles, the third wanted, an omission in ten: 2·1.2 + 0.78 + 8·1.2·0.1/0.9 = 4.246667 (by hand).
        let reaction = Reaction { mu: 0.78, sigma: 0.0, tau: 0.0 };
        let list =
            RowColumn { rows: 8, columns: 1, interval: 1.2, first: 0.0, reaction, omission: 0.1, accidents: 0.0 };
        let found = list.solve_list(&[0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 0.0, 0.0]).unwrap();
        assert!((found.seconds - 4.246_666_667).abs() < 1e-9 && found.hits == 1.0, "{found:?}");
        // First-item time 0.6: 2·1.2 + 0.6 + 0.78 = 3.78 without omissions (by hand).
        let found = RowColumn { first: 0.6, omission: 0.0, ..list }.solve_list(&[0.0, 0.0, 1.0]).unwrap();
        assert!((found.seconds - 3.78).abs() < 1e-9, "{found:?}");
    }

    #[test]
    fn the_limits_of_the_law_join() {
        let at =
            |sigma, tau| RowColumn { reaction: Reaction { mu: 0.45, sigma, tau }, ..ORDINARY }.solve().unwrap().seconds;
        assert!((at(0.08, 1e-6) - at(0.08, 0.0)).abs() < 1e-5);
        assert!((at(1e-6, 0.15) - at(0.0, 0.15)).abs() < 1e-5);
        let never = RowColumn { accidents: 1e-9, ..ORDINARY }.solve().unwrap().seconds;
        assert!((never - RowColumn { accidents: 0.0, ..ORDINARY }.solve().unwrap().seconds).abs() < 1e-6);
    }

    #[test]
    fn what_never_ends_and_what_is_no_client_has_no_solution() {
        assert_eq!(RowColumn { omission: 1.0, ..ORDINARY }.solve(), None);
        assert_eq!(RowColumn { interval: 0.0, ..ORDINARY }.solve(), None);
        assert_eq!(RowColumn { accidents: f64::NAN, ..ORDINARY }.solve(), None);
    }
}
