//! What the plots of a report draw, worked out from the evidence and from what the rules made of it.
//!
//! A picture shows what a rule rests on; it never leads to another value than the rule's. Where the
//! data do not suffice for one there is none. Times are in seconds.

pub mod latencies;
pub mod presses;
pub mod time_curve;
pub mod trend;

use super::asked::Asked;
use super::rate_curve::RateCurve;
use super::recommendation::Recommendation;
use super::set_up::SetUpAdvice;
use crate::analysis::evidence::Evidence;

/// Fewer presses make no shape and no course.
const FEWEST: usize = 5;

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
        Pictures::for_asked(evidence, recommendations, &Asked::default())
    }

    /// The same with what the clinician has added.
    #[must_use]
    pub fn for_asked(evidence: &Evidence, recommendations: &[Recommendation], asked: &Asked) -> Pictures {
        let curve = RateCurve::of(evidence, asked);
        Pictures {
            latencies: latencies::Latencies::of(
                evidence,
                recommendations,
                curve.as_ref().map_or(&[], RateCurve::reactions),
            ),
            time_curve: curve.and_then(|curve| time_curve::TimeCurve::of(evidence, recommendations, &curve)),
            durations: presses::durations(evidence, recommendations),
            gaps: presses::gaps(evidence, recommendations),
            trend: trend::Trend::of(evidence, recommendations),
        }
    }

    /// The pictures beside what is advised; none where nothing could be judged.
    #[must_use]
    pub fn beside(advice: Option<&SetUpAdvice>) -> Pictures {
        advice.map_or_else(Pictures::default, |SetUpAdvice { evidence, recommendations, asked, .. }| {
            Pictures::for_asked(evidence, recommendations, asked)
        })
    }
}
