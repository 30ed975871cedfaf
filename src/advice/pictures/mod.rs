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
use crate::analysis::evidence::Evidence;
use crate::analysis::gather;
use crate::log::header::Header;
use crate::session::record::Record;
use crate::stats::Sample;

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

    /// The pictures of one session; none where its evidence cannot be judged.
    #[must_use]
    pub fn of_session(header: &Header, records: &[Record], recommendations: &[Recommendation]) -> Pictures {
        gather::evidence(&[(header, records)])
            .map_or_else(|_| Pictures::default(), |evidence| Pictures::of(&evidence, recommendations))
    }
}
