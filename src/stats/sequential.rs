//! When enough trials were made to tell good accuracy from poor: the sequential probability ratio
//! test (Wald 1945, Annals of Mathematical Statistics 16:117–186; from memory).

/// What the trials so far allow to say.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// As good as wanted.
    Good,
    /// No better than poor.
    Poor,
    /// Neither yet.
    GoOn,
}

/// A test of two shares of hits and two risks against each other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gate {
    /// Evidence a hit adds.
    hit: f64,
    /// Evidence a miss adds; below 0.
    miss: f64,
    /// Good from here on.
    good_from: f64,
    /// Poor down from here.
    poor_from: f64,
}

impl Gate {
    /// A gate between the shares `poor` and `good`.
    ///
    /// `false_good` is the risk to call poor accuracy good, `false_poor` to call good accuracy
    /// poor; both hold nearly, since evidence comes in whole trials. `None` unless
    /// `0 < poor < good < 1`, both risks are above 0, and together below 1.
    #[must_use]
    pub fn new(poor: f64, good: f64, false_good: f64, false_poor: f64) -> Option<Gate> {
        let shares = poor > 0.0 && poor < good && good < 1.0;
        let risks = false_good > 0.0 && false_poor > 0.0 && false_good + false_poor < 1.0;
        (shares && risks).then(|| Gate {
            hit: libm::log(good / poor),
            miss: libm::log((1.0 - good) / (1.0 - poor)),
            good_from: libm::log((1.0 - false_poor) / false_good),
            poor_from: libm::log(false_poor / (1.0 - false_good)),
        })
    }

    /// The verdict after so many hits and misses. Ask after every trial and stop at the first
    /// answer: the risks hold only so.
    #[must_use]
    pub fn after(&self, hits: u64, misses: u64) -> Verdict {
        self.verdict(self.evidence(hits, misses))
    }

    /// What so many hits and misses say: the natural logarithm of the ratio of the two likelihoods. Evidence of
    /// several kinds of trial adds up.
    #[must_use]
    pub fn evidence(&self, hits: u64, misses: u64) -> f64 {
        hits as f64 * self.hit + misses as f64 * self.miss
    }

    /// The verdict on this evidence.
    #[must_use]
    pub fn verdict(&self, evidence: f64) -> Verdict {
        if evidence >= self.good_from {
            Verdict::Good
        } else if evidence <= self.poor_from {
            Verdict::Poor
        } else {
            Verdict::GoOn
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rng::Stream;
    use crate::stats::close;

    fn gate() -> Gate {
        Gate::new(0.75, 0.90, 0.05, 0.10).unwrap()
    }

    #[test]
    fn the_bounds_are_those_of_the_formula() {
        let gate = gate();
        assert!(close(gate.good_from, 2.8903717578961645, 1e-13));
        assert!(close(gate.poor_from, -2.251291798606495, 1e-13));
        assert!(close(gate.hit, 0.1823215567939546, 1e-13) && close(gate.miss, -0.916290731874155, 1e-13));
    }

    #[test]
    fn sixteen_hits_in_a_row_pass_and_three_misses_do_not() {
        let gate = gate();
        assert_eq!((gate.after(15, 0), gate.after(16, 0)), (Verdict::GoOn, Verdict::Good));
        assert_eq!((gate.after(0, 2), gate.after(0, 3)), (Verdict::GoOn, Verdict::Poor));
        assert_eq!(gate.after(16, 1), Verdict::GoOn);
    }

    #[test]
    fn the_risks_hold_over_many_runs() {
        let mut stream = Stream::named(5, "sequential");
        let mut share_called_good = |accuracy: f64| {
            let runs = 4_000;
            let good = (0..runs).filter(|_| run(&gate(), accuracy, &mut stream) == Verdict::Good).count();
            good as f64 / f64::from(runs)
        };
        // Wald's bounds: risks of at most 0.05/0.90 and 0.10/0.95, and four standard errors.
        assert!(share_called_good(0.75) < 0.05 / 0.90 + 0.015);
        assert!(share_called_good(0.90) > 1.0 - 0.10 / 0.95 - 0.02);
    }

    fn run(gate: &Gate, accuracy: f64, stream: &mut Stream) -> Verdict {
        let (mut hits, mut misses) = (0, 0);
        while gate.after(hits, misses) == Verdict::GoOn {
            if stream.unit() < accuracy { hits += 1 } else { misses += 1 }
        }
        gate.after(hits, misses)
    }

    #[test]
    fn impossible_gates_are_refused() {
        assert_eq!(Gate::new(0.9, 0.75, 0.05, 0.10), None);
        assert_eq!(Gate::new(0.0, 0.9, 0.05, 0.10), None);
        assert_eq!(Gate::new(0.75, 0.9, 0.5, 0.5), None);
        assert_eq!(Gate::new(0.75, f64::NAN, 0.05, 0.10), None);
    }
}
