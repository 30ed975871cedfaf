//! The rules of a profile that no field can tell by itself.

use crate::json::Located;
use crate::problem::Findings;
use crate::sim::latency::Latency;
use crate::sim::profile::Profile;
use crate::sim::traits::Traits;

/// Presses that nobody wanted may take this share of the time.
const MOST_INVOLUNTARY: f64 = 0.5;
/// A latency longer than this on average is likely a slip.
const LONG_S: f64 = 20.0;

/// Adds every problem.
pub(super) fn check(profile: &Profile, root: &Located, findings: &mut Findings) {
    let Some(at) = root.field("traits") else { return };
    let traits = &profile.traits;
    latency(&traits.latency, line(at, "latency"), findings);
    draws(profile, root, findings);
    trains(traits, at, findings);
    involuntary(traits, at, findings);
    without_effect(traits, at, findings);
}

fn latency(latency: &Latency, line: u32, findings: &mut Findings) {
    if let Latency::Quantiles { seconds } = latency
        && seconds.windows(2).any(|pair| pair[0] > pair[1])
    {
        findings.error(line, "`seconds` falls", "give the quantiles in rising order");
    }
    let mean = latency.mean();
    if mean <= 0.0 {
        findings.error(line, "the mean latency is 0 s", "give a law that takes some time");
    } else if mean > LONG_S {
        findings.warning(line, format!("the mean latency is {mean:.0} s"), "make sure that these are seconds");
    }
}

/// Each draw has a law of its own.
fn draws(profile: &Profile, root: &Located, findings: &mut Findings) {
    let Some(places) = root.field("fitted").and_then(|fitted| fitted.field("draws")) else { return };
    let draws = profile.fitted.iter().flat_map(|fitted| &fitted.draws);
    draws.zip(places.members()).for_each(|(draw, place)| latency(&draw.latency, place.line, findings));
}

fn trains(traits: &Traits, at: &Located, findings: &mut Findings) {
    let tremor = traits.tremor;
    if tremor.share > 0.0 && (tremor.hertz <= 0.0 || tremor.presses < 2) {
        findings.error(line(at, "tremor"), "`tremor` makes no train", "give `hertz`, and 2 `presses` or more");
    }
    if traits.spasm.per_s > 0.0 && traits.spasm.presses == 0 {
        findings.error(line(at, "spasm"), "`spasm` has no presses", "give `presses`: how many are in a burst");
    }
}

/// Share of the time that involuntary presses take.
fn involuntary(traits: &Traits, at: &Located, findings: &mut Findings) {
    let (held, spasm) = (traits.held_s, traits.spasm);
    let burst = f64::from(spasm.presses) * (held + spasm.gap_s);
    if traits.involuntary_per_s * held + spasm.per_s * burst > MOST_INVOLUNTARY {
        let name = if spasm.per_s > 0.0 { "spasm" } else { "involuntary_per_s" };
        let what = "involuntary presses take more than half of the time";
        findings.error(line(at, name), what, "give fewer or shorter ones");
    }
}

fn without_effect(traits: &Traits, at: &Located, findings: &mut Findings) {
    let contact = traits.contact;
    if contact.bounces > 0 && contact.bounce_s <= 0.0 {
        let what = "`bounces` without `bounce_s` has no effect";
        findings.error(line(at, "contact"), what, "give the time within which they are over");
    }
    if contact.drop_outs_per_s > 0.0 && contact.drop_out_s <= 0.0 {
        let what = "`drop_outs_per_s` without `drop_out_s` has no effect";
        findings.error(line(at, "contact"), what, "give how long each lasts");
    }
    if traits.course.unpractised != 0.0 && traits.course.practice_presses <= 0.0 {
        let what = "`unpractised` without `practice_presses` has no effect";
        findings.error(line(at, "course"), what, "give the presses that it takes");
    }
}

/// The line of a field, or of the traits where it was left out.
fn line(at: &Located, name: &str) -> u32 {
    at.field(name).unwrap_or(at).line
}
