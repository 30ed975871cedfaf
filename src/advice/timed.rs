//! The timed presses of a client, as the rules see them that compare settings by expected time.
//!
//! All of them draw from the same guesses and count the same errors as the scan rate, so that what they
//! compare is compared on the same presses.

use super::alike;
use super::draws::Seen;
use super::expected_time::Recovery;
use super::presses::{Disturbed, Pressing};
use super::recommendation::{Advice, Recommendation};
use super::rhythm;
use super::seen::FEWEST;
use super::task::{Unwanted, recovery};
use crate::analysis::evidence::{Evidence, Opportunity};
use crate::analysis::suggestion::WANTED;
use crate::stats::Sample;
use crate::stats::latency::{ExGaussian, Manner};

/// Guesses that are averaged: differences are taken guess by guess, which needs fewer than a value does.
const DRAWS: usize = 100;

/// One guess at how the client presses, unwanted activations among them.
pub type Guess = Disturbed<Pressing>;

/// What the presses leave open.
#[derive(Clone, Debug)]
pub struct Timed {
    /// Right and late presses under a moving highlight, in seconds.
    pub latencies: Sample,
    /// How many lightings were pressed or let go by.
    pub trials: usize,
    /// Guesses at how the client presses.
    pub guesses: Vec<Guess>,
    /// What putting an error right costs.
    pub recovery: Recovery,
}

/// Why the presses bear no comparison.
#[derive(Clone, Debug, PartialEq)]
pub struct Lack {
    presses: usize,
    advice: Advice,
    why: String,
}

impl Timed {
    /// From the presses that a scan rate rests on.
    ///
    /// # Errors
    /// What is missing, where the presses are few or follow the rhythm.
    pub fn of(evidence: &Evidence) -> Result<Timed, Lack> {
        let moving = || evidence.opportunities.iter().filter(|one| one.moving());
        let latencies: Vec<f64> = moving().filter_map(Opportunity::accepted_s).collect();
        let omitted = moving().filter(|one| one.omitted()).count();
        let presses = latencies.len();
        let few = || Lack::new(presses, Advice::more(WANTED, presses, "timed presses"), few(presses));
        let latencies = Sample::new(latencies).ok().filter(|sample| sample.len() >= FEWEST).ok_or_else(few)?;
        if let Some(why) = alike::told(&latencies) {
            return Err(Lack::new(presses, Advice::more(WANTED, 0, "timed presses"), why));
        }
        if rhythm::manner(&rhythm::timed(moving(), 0.0)) == Manner::Times {
            return Err(Lack::new(presses, Advice::Keep, RHYTHM.into()));
        }
        let unwanted = Unwanted::of(evidence);
        let drawn = Seen::of(&latencies, omitted, unwanted.mean()).draws(DRAWS).ok_or_else(few)?;
        let guesses = drawn.into_iter().enumerate().map(|(guess, presses)| unwanted.among(guess, presses)).collect();
        Ok(Timed { trials: presses + omitted, latencies, guesses, recovery: recovery(evidence) })
    }
}

/// One guess, with latencies `slower` times as long and `missed` times the lapses.
#[must_use]
pub fn changed(guess: &Guess, slower: f64, missed: f64) -> Guess {
    let ExGaussian { mu, sigma, tau } = guess.presses.latency;
    let latency = ExGaussian { mu: mu * slower, sigma: sigma * slower, tau: tau * slower };
    let presses = Pressing { latency, lapses: (guess.presses.lapses * missed).min(0.999), ..guess.presses };
    Disturbed { presses, ..*guess }
}

impl Lack {
    fn new(presses: usize, advice: Advice, why: String) -> Lack {
        Lack { presses, advice, why }
    }

    /// No advice, and how many more of what would bear one.
    #[must_use]
    pub fn refuse(&self, blank: Recommendation) -> Recommendation {
        Recommendation { advice: self.advice.clone(), why: self.why.clone(), trials: self.presses as u32, ..blank }
    }
}

fn few(presses: usize) -> String {
    format!("Right or late presses under a moving highlight: {presses}; {WANTED} are wanted.")
}

/// What is compared here rests on reactions.
const RHYTHM: &str = "The presses are timed to the rhythm; how they would follow other timings than the scan rate is \
                      not known.";

#[cfg(test)]
mod tests {
    use super::super::sample::{evidence, hit};
    use super::*;

    fn with(latencies: impl Iterator<Item = f64>) -> Evidence {
        Evidence { opportunities: latencies.map(hit).collect(), ..evidence() }
    }

    #[test]
    fn few_presses_and_presses_to_the_rhythm_say_what_is_missing() {
        let refused = |evidence: &Evidence| {
            let lack = Timed::of(evidence).unwrap_err();
            lack.refuse(Recommendation::keep("a rule", 1, "a test", 0))
        };
        for count in [0, 1, 7] {
            let found = refused(&with((0..count).map(|_| 0.7)));
            let Advice::NotEnough { more, of: "timed presses" } = found.advice else { panic!("{found:?}") };
            assert_eq!((more + count, found.trials), (WANTED as u32, count));
        }
        let rhythm = refused(&with((0..30).map(|i| -0.02 + 0.004 * f64::from(i))));
        assert_eq!((rhythm.advice, rhythm.trials), (Advice::Keep, 30));
    }

    #[test]
    fn a_slower_client_is_slower_throughout() {
        let timed = Timed::of(&with((0..20).map(|i| 0.6 + 0.01 * f64::from(i)))).unwrap();
        let (now, then) = (timed.guesses[0].presses, changed(&timed.guesses[0], 1.5, 2.0).presses);
        assert!((then.latency.mean() - 1.5 * now.latency.mean()).abs() < 1e-12);
        assert!((then.latency.standard_deviation() - 1.5 * now.latency.standard_deviation()).abs() < 1e-12);
        assert!((then.lapses - 2.0 * now.lapses).abs() < 1e-12);
    }

    #[test]
    fn errors_are_those_that_the_scan_rate_counts() {
        let seen = |involuntary, wrong_groups| {
            let evidence = with((0..20).map(|i| 0.6 + 0.01 * f64::from(i)));
            Timed::of(&Evidence { involuntary, quiet_s: 120.0, wrong_groups, ..evidence }).unwrap()
        };
        let (calm, busy) = (seen(0, vec![]), seen(12, vec![4.0; 8]));
        assert!(busy.guesses.iter().zip(&calm.guesses).all(|(busy, calm)| busy.unwanted > calm.unwanted));
        assert_eq!((calm.recovery.wrong_group, busy.recovery.wrong_group), (None, Some(4.0)));
    }
}
