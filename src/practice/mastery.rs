//! Mastered, repeated, too hard, or stuck: what comes after a session of one step.
//!
//! The rule is the sequential probability ratio test ([`crate::stats::sequential`]) between a share of
//! hits that is poor and one that is good. Sixteen hits in a row are enough, three misses in a row too
//! many. It is asked after every attempt and stops at its first answer.
//!
//! A task of several choices is judged as a whole: it is right when each of its choices was right at the first try.
//! Of a share p of right choices p^n of the tasks of n choices are right, so both shares are taken to that power, and
//! the evidence of all tasks adds up: sixteen right choices in a row are enough here too.

use crate::session::event::TaskEnd;
use crate::stats::sequential::{Gate, Verdict};
use crate::stats::{Sample, normal};

/// When a step is mastered.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Mastery {
    /// After this many presses, whatever they hit.
    Presses(u32),
    /// When a share of hits is shown to be good rather than poor.
    Share {
        /// A share that is no mastery.
        poor: f64,
        /// A share that is.
        good: f64,
    },
    /// The same shares of choices, shown by tasks of several choices that are right as a whole.
    Tasks {
        /// A share of right choices that is no mastery.
        poor: f64,
        /// A share that is.
        good: f64,
    },
}

/// A task of several choices that is over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Whole {
    /// How many choices it had.
    pub choices: u16,
    /// How it went.
    pub end: TaskEnd,
}

/// Risk to call a poor share good.
const FALSE_GOOD: f64 = 0.05;
/// Risk to call a good share poor.
const FALSE_POOR: f64 = 0.10;
/// Sessions of one step without an answer and without movement: practice alone does not help on.
pub const PLATEAU: usize = 3;
/// What counts as movement: so much of the latency, or of the share of hits.
const MOVED: f64 = 0.05;
/// Fewer latencies have no mean worth comparing.
const FEWEST: usize = 5;

impl Mastery {
    /// 90 % rather than 75 % of attempts.
    pub const MOST: Mastery = Mastery::Share { poor: 0.75, good: 0.90 };

    /// The same of tasks of several choices as a whole.
    pub const MOST_TASKS: Mastery = Mastery::Tasks { poor: 0.75, good: 0.90 };

    /// What the attempts, presses and whole tasks of one session say.
    #[must_use]
    pub fn after(self, hits: u32, misses: u32, presses: u32, tasks: &[Whole]) -> Verdict {
        let gate = |poor, good| Gate::new(poor, good, FALSE_GOOD, FALSE_POOR);
        let verdict = match self {
            Mastery::Presses(wanted) => return if presses >= wanted { Verdict::Good } else { Verdict::GoOn },
            Mastery::Share { poor, good } => gate(poor, good).map(|gate| gate.after(hits.into(), misses.into())),
            Mastery::Tasks { poor, good } => gate(poor, good).map(|whole| {
                let evidence = |task: &Whole| {
                    let [poor, good] = [poor, good].map(|share| libm::pow(share, f64::from(task.choices)));
                    let right = u64::from(task.end == TaskEnd::Right);
                    gate(poor, good).map_or(0.0, |gate| gate.evidence(right, 1 - right))
                };
                whole.verdict(tasks.iter().filter(|task| task.end != TaskEnd::Helped).map(evidence).sum())
            }),
        };
        verdict.unwrap_or(Verdict::GoOn)
    }

    /// The rule in words.
    #[must_use]
    pub fn words(self) -> String {
        match self {
            Mastery::Presses(wanted) => format!("mastered after {wanted} presses"),
            Mastery::Share { poor, good } => format!(
                "mastered when a sequential test finds {:.0} % of attempts right rather than {:.0} %; 16 right in a row are enough",
                100.0 * good,
                100.0 * poor
            ),
            Mastery::Tasks { poor, good } => format!(
                "mastered when a sequential test finds so many tasks right as a whole as {:.0} % right choices make rather than {:.0} %; 16 right choices in a row are enough",
                100.0 * good,
                100.0 * poor
            ),
        }
    }
}

/// What the test said, in words.
#[must_use]
pub const fn verdict_words(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Good => "The step is mastered.",
        Verdict::Poor => "The step was too hard.",
        Verdict::GoOn => "The step is not decided yet.",
    }
}

/// What comes after a session.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Next {
    /// The next step.
    Up,
    /// The same step again.
    Again,
    /// The step before.
    Down,
    /// Nothing moves: somebody has to look at it.
    AskTherapist,
}

impl Next {
    /// For the client and whoever is with them.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Next::Up => "Next time: the next step.",
            Next::Again => "Next time: the same step again.",
            Next::Down => "Next time: an easier step.",
            Next::AskTherapist => "Please ask your therapist before the next practice.",
        }
    }
}

/// A session of one step, as far as the next one is decided by it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Session<'a> {
    /// What the test said.
    pub verdict: Verdict,
    /// Attempts that hit.
    pub hits: u32,
    /// Attempts that failed.
    pub misses: u32,
    /// Of the presses, in seconds, late ones too.
    pub latencies: &'a [f64],
}

/// What comes after these sessions of the same step, the last one being the newest. `lowest` is a step
/// that has none before it.
#[must_use]
pub fn next(sessions: &[Session], lowest: bool) -> Next {
    match sessions.last().map(|session| session.verdict) {
        Some(Verdict::Good) => Next::Up,
        Some(Verdict::Poor) if lowest => Next::AskTherapist,
        Some(Verdict::Poor) => Next::Down,
        _ if nothing_moves(sessions) => Next::AskTherapist,
        _ => Next::Again,
    }
}

/// Nothing moves: the last three sessions had no verdict, and from the first to the last of them it is
/// more probable than not that neither the latencies fell by 5 % nor the share of hits rose by 5 points.
#[must_use]
pub fn nothing_moves(sessions: &[Session]) -> bool {
    let Some(from) = sessions.len().checked_sub(PLATEAU) else { return false };
    let latest = &sessions[from..];
    let undecided = latest.iter().all(|session| session.verdict == Verdict::GoOn);
    undecided && !Movement::of(&latest[0], &latest[PLATEAU - 1]).is_likely()
}

/// How probable it is that something moved from one session to another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Movement {
    /// That the latencies fell by at least 5 %.
    pub faster: f64,
    /// That the share of hits rose by at least 5 points.
    pub surer: f64,
}

impl Movement {
    /// From `first` to `last`: posterior probabilities under flat priors, both by the Normal law. The latencies
    /// are compared by the mean of their logarithm.
    #[must_use]
    pub fn of(first: &Session, last: &Session) -> Movement {
        let [was, is] = [first, last].map(|one| log_mean(one.latencies));
        let faster = was.zip(is).map_or(0.0, |(was, is)| above(was, is, -libm::log1p(-MOVED)));
        let [was, is] = [first, last].map(|one| share(one.hits, one.misses));
        let surer = if last.hits + last.misses == 0 { 0.0 } else { above(is, was, MOVED) };
        Movement { faster, surer }
    }

    /// Either is more probable than not.
    #[must_use]
    pub fn is_likely(&self) -> bool {
        self.faster.max(self.surer) >= 0.5
    }
}

/// A mean and the square of its standard error.
type Mean = (f64, f64);

/// How probable it is that the first lies above the second by at least `by`.
fn above(first: Mean, second: Mean, by: f64) -> f64 {
    normal::cumulative((first.0 - second.0 - by) / libm::sqrt(first.1 + second.1))
}

/// Of the logarithm of the latencies; `None` for fewer than five, or all the same.
fn log_mean(latencies: &[f64]) -> Option<Mean> {
    let logs = latencies.iter().filter(|latency| **latency > 0.0).map(|latency| libm::log(*latency)).collect();
    let logs = Sample::new(logs).ok().filter(|logs| logs.len() >= FEWEST)?;
    let sd = logs.sd().filter(|sd| *sd > 0.0)?;
    Some((logs.mean(), sd * sd / logs.len() as f64))
}

/// Of the share of hits.
fn share(hits: u32, misses: u32) -> Mean {
    let (good, all) = (f64::from(hits) + 1.0, f64::from(hits + misses) + 2.0);
    let mean = good / all;
    (mean, mean * (1.0 - mean) / (all + 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rng::Stream;

    fn session(verdict: Verdict) -> Session<'static> {
        Session { verdict, hits: 20, misses: 4, latencies: &[] }
    }

    #[test]
    fn sixteen_right_in_a_row_master_a_step_and_three_wrong_ones_are_too_many() {
        // Wald's test of 0.75 against 0.90 at risks 0.05 and 0.10: bounds 2.890372 and -2.251292.
        assert_eq!(Mastery::MOST.after(15, 0, 15, &[]), Verdict::GoOn);
        assert_eq!(Mastery::MOST.after(16, 0, 16, &[]), Verdict::Good);
        assert_eq!(Mastery::MOST.after(0, 2, 2, &[]), Verdict::GoOn);
        assert_eq!(Mastery::MOST.after(0, 3, 3, &[]), Verdict::Poor);
        assert_eq!(Mastery::Presses(8).after(0, 7, 8, &[]), Verdict::Good);
    }

    #[test]
    fn a_task_is_judged_as_a_whole_by_the_shares_of_its_choices() {
        let after = |tasks: &[(u16, TaskEnd)]| {
            let tasks: Vec<Whole> = tasks.iter().map(|(choices, end)| Whole { choices: *choices, end: *end }).collect();
            Mastery::MOST_TASKS.after(0, 0, 0, &tasks)
        };
        // Evidence of Wald's test: a right task of n choices n·ln(0.90/0.75), a wrong one
        // ln((1 − 0.90^n)/(1 − 0.75^n)): −0.834042 for 2, −0.757735 for 3; bounds 2.890372 and −2.251292.
        let right = (2, TaskEnd::Right);
        assert_eq!((after(&[right; 7]), after(&[right; 8])), (Verdict::GoOn, Verdict::Good));
        assert_eq!(after(&[(3, TaskEnd::Right); 6]), Verdict::Good);
        let wrong = [(2, TaskEnd::Mended), (2, TaskEnd::NotDone), (3, TaskEnd::Mended)];
        assert_eq!((after(&wrong), after(&[wrong[0]; 3])), (Verdict::Poor, Verdict::Poor));
        assert_eq!(after(&[(3, TaskEnd::NotDone); 2]), Verdict::GoOn);
        assert_eq!(after(&[(2, TaskEnd::Helped); 40]), Verdict::GoOn, "help says nothing");
    }

    #[test]
    fn a_verdict_leads_up_or_down() {
        assert_eq!(next(&[session(Verdict::Good)], false), Next::Up);
        assert_eq!(next(&[session(Verdict::Poor)], false), Next::Down);
        assert_eq!(next(&[session(Verdict::Poor)], true), Next::AskTherapist);
        assert_eq!(next(&[], true), Next::Again);
    }

    #[test]
    fn three_sessions_without_movement_ask_the_therapist() {
        let same = [session(Verdict::GoOn); 3];
        assert_eq!((next(&same[..2], false), next(&same, false)), (Next::Again, Next::AskTherapist));
        let surer = [0, 4, 11].map(|more| Session { hits: 12 + more, misses: 12 - more, ..same[0] });
        assert_eq!(next(&surer, false), Next::Again);
        // Nobody who never presses moves on.
        let none = [Session { hits: 0, misses: 0, ..same[0] }; 3];
        assert_eq!(next(&none, true), Next::AskTherapist);
    }

    #[test]
    fn the_chance_of_a_movement_is_that_of_the_normal_law() {
        // Logarithms 0 and ln 2 in turn, then the same 0.2 lower: scipy, norm.cdf.
        let was: Vec<f64> = (0..20).map(|place| f64::from(1 + place % 2)).collect();
        let is: Vec<f64> = was.iter().map(|latency| latency * (-0.2_f64).exp()).collect();
        let [first, last] = [&was, &is].map(|latencies| Session { latencies, ..session(Verdict::GoOn) });
        let Movement { faster, surer } = Movement::of(&first, &last);
        assert!((faster - 0.906_999_8).abs() < 1e-6, "{faster}");
        // Two beta laws of 21 and 5: means 0.807692, variances 0.00575279.
        assert!((surer - 0.320_557_9).abs() < 1e-6, "{surer}");
    }

    #[test]
    fn who_learns_is_rarely_sent_to_the_therapist_and_who_does_not_is_mostly() {
        // Forty presses a session, a coefficient of variation of about 0.3; a seventh faster, or not at all.
        let asked = |faster: f64| {
            let mut stream = Stream::named(3, "plateau");
            let mut latencies = |mean: f64| (0..40).map(|_| mean * libm::exp(0.3 * stream.normal())).collect();
            let runs = 400;
            let stuck = |_: &u32| {
                let all: [Vec<f64>; 3] = [1.0, faster.sqrt(), faster].map(&mut latencies);
                let sessions = all.each_ref().map(|latencies| Session { latencies, ..session(Verdict::GoOn) });
                next(&sessions, false) == Next::AskTherapist
            };
            (0..runs).filter(stuck).count() as f64 / f64::from(runs)
        };
        assert!(asked(0.86) < 0.15 && asked(1.0) > 0.7, "{} {}", asked(0.86), asked(1.0));
    }
}
