//! How a client who times the presses answers a highlight: where it aims, by two scan rates at least.

use super::law::quantiles;
use super::notes::{Notes, round};
use super::{DRAWS, Found};
use crate::advice::rhythm;
use crate::analysis::evidence::{Evidence, Opportunity, Response};
use crate::analysis::gather::Unfit;
use crate::session::trial::Outcome;
use crate::sim::latency::Latency;
use crate::sim::profile::fitted::Draw;
use crate::sim::traits::{Aim, STEADY};
use crate::stats::Sample;

/// Where such a client aims follows from two scan rates.
pub(super) fn of_a_timer(evidence: &Evidence, moving: &[&Opportunity], notes: &mut Notes) -> Result<Found, Unfit> {
    let foreseen = moving.iter().copied().filter(|one| one.position > 0);
    let presses = rhythm::timed(foreseen, 0.0);
    if rhythm::measured(&presses).is_none() {
        return Err(Unfit {
            what: "the presses are timed to the rhythm, and one scan rate does not tell how they follow another".into(),
            remedy: "add a session of the same set-up at a scan rate at least 10 % slower or faster".into(),
        });
    }
    let omitted = moving.iter().filter(|one| one.omitted()).count();
    let interval = evidence.settings.scan_interval().as_seconds();
    let aims = rhythm::draws(&presses, omitted, DRAWS);
    notes.guessed("aim, share of the interval", "share", aims.iter().map(|aim| aim.share), presses.len());
    notes.guessed("aim, offset", "s", aims.iter().map(|aim| aim.lead), presses.len());
    notes.guessed("aim, SD", "s", aims.iter().map(|aim| aim.spread.at(interval)), presses.len());
    notes.guessed("lapses", "share", aims.iter().map(|aim| aim.lapses), presses.len() + omitted);
    let latency = unforeseen(&evidence.opportunities, notes);
    let draws: Vec<Draw> = aims.iter().map(|aim| timed(aim, interval, &latency)).collect();
    let n = draws.len() as f64;
    let mean = |of: fn(&rhythm::Aim) -> f64| aims.iter().map(of).sum::<f64>() / n;
    let centre = rhythm::Aim {
        lead: mean(|aim| aim.lead),
        share: mean(|aim| aim.share),
        spread: rhythm::Spread { fixed: mean(|aim| aim.spread.fixed), growing: mean(|aim| aim.spread.growing) },
        lapses: mean(|aim| aim.lapses),
    };
    Ok(Found { presses: presses.len(), centre: timed(&centre, interval, &latency), draws })
}

/// The spread that grows with the interval, as a share of the time waited since the entry before lit.
fn timed(aim: &rhythm::Aim, interval: f64, latency: &Latency) -> Draw {
    let waited = 1.0 + aim.share + aim.lead / interval;
    let sd_share = (aim.spread.growing / waited.max(0.1)).min(1.0);
    let [share, offset_s, sd_s, sd_share] = [aim.share, aim.lead, aim.spread.fixed, sd_share].map(round);
    Draw {
        latency: latency.clone(),
        aim: Some(Aim { share: share.clamp(-1.0, 2.0), offset_s: offset_s.clamp(-5.0, 5.0), sd_s, sd_share }),
        first_item_s: 0.0,
        miss: aim.lapses,
        gives_up_late: 0.0,
        involuntary_per_s: 0.0,
        slower_per_min: 0.0,
    }
}

/// Where the entry cannot be foreseen such a client reacts too.
fn unforeseen(all: &[Opportunity], notes: &mut Notes) -> Latency {
    let reacts = |one: &&Opportunity| one.position == 0 || !one.moving();
    let latency = |one: &Opportunity| match one.response {
        Response::Pressed { outcome: Outcome::Hit | Outcome::Late, latency_s, .. } => Some(latency_s),
        _ => None,
    };
    let sample = Sample::new(all.iter().filter(reacts).filter_map(latency).collect()).ok();
    match sample.filter(|sample| sample.len() >= rhythm::FEWEST) {
        Some(sample) => {
            let error = sample.sd().unwrap_or(0.0) / libm::sqrt(sample.len() as f64) * 1.645;
            let ends = [sample.mean() - error, sample.mean() + error];
            notes.measured("latency where nothing can be foreseen, mean", "s", sample.mean(), ends, sample.len());
            quantiles(&sample)
        }
        None => {
            notes.assumed("latency where nothing can be foreseen", "that of `steady`", "too few reactions");
            STEADY.latency
        }
    }
}
