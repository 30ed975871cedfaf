//! What the plots of a report draw, worked out from the evidence and from what the rules made of it.
//!
//! A picture shows what a rule rests on; it never leads to another value than the rule's. Where the
//! data do not suffice for one there is none. Times are in seconds.

pub mod latencies;
pub mod presses;
pub mod time_curve;
pub mod trend;

use super::draws::draws;
use super::recommendation::Recommendation;
use super::set_up::SetUpAdvice;
use crate::analysis::evidence::Evidence;
use crate::stats::Sample;

/// Fewer presses make no shape and no course.
const FEWEST: usize = 5;
/// Guesses at the truth over which the curves are averaged, as many as the advice averages.
const GUESSES: usize = 250;

/// The pictures that the evidence bears.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Pictures {
    /// The latencies under a moving highlight.
    pub latencies: Option<latencies::Latencies>,
    /// Expected time of a selection at every scan interval worth a look.
    pub time_curve: Option<time_curve::TimeCurve>,
    /// How long presses were held.
    pub durations: Option<presses::Presses>,
    /// The gaps between presses.
    pub gaps: Option<presses::Presses>,
    /// The latencies in order.
    pub trend: Option<trend::Trend>,
}

impl Pictures {
    /// The pictures of `evidence`, beside the `recommendations` that were made from it.
    #[must_use]
    pub fn of(evidence: &Evidence, recommendations: &[Recommendation]) -> Pictures {
        let moving = || evidence.opportunities.iter().filter(|one| one.moving());
        let accepted = Sample::new(moving().filter_map(|one| one.accepted_s()).collect()).ok();
        let omitted = moving().filter(|one| one.omitted()).count();
        let guesses = accepted.and_then(|sample| draws(&sample, omitted, GUESSES)).unwrap_or_default();
        Pictures {
            latencies: latencies::Latencies::of(evidence, recommendations, &guesses),
            time_curve: time_curve::TimeCurve::of(evidence, recommendations, &guesses),
            durations: presses::durations(evidence, recommendations),
            gaps: presses::gaps(evidence, recommendations),
            trend: trend::Trend::of(evidence, recommendations),
        }
    }

    /// The pictures beside what is advised; none where nothing could be judged.
    #[must_use]
    pub fn beside(advice: Option<&SetUpAdvice>) -> Pictures {
        advice.map_or_else(Pictures::default, |advice| Pictures::of(&advice.evidence, &advice.recommendations))
    }
}
