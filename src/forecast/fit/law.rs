//! How a client who reacts answers a highlight.

use super::answers::{Answer, Answers};
use super::notes::Notes;
use super::tiring::Tired;
use super::{DRAWS, EVEN, Found, few};
use crate::advice::{humps, rhythm};
use crate::analysis::effects::{self, Difference};
use crate::analysis::evidence::{Evidence, Opportunity};
use crate::analysis::gather::Unfit;
use crate::analysis::set_ups::Session;
use crate::rng::Stream;
use crate::session::trial::Outcome;
use crate::sim::latency::Latency;
use crate::sim::profile::fitted::Draw;
use crate::stats::Sample;
use crate::stats::latency::{ExGaussian, Manner};

/// Fewer presses on either side do not show what the first place does (common practice, no source).
const FIRST: u32 = 5;
/// Parts into which a law is cut that is given by its quantiles.
const PARTS: usize = 20;

/// A client who reacts.
pub(super) fn of_a_reactor(
    sessions: &[Session],
    evidence: &Evidence,
    moving: &[&Opportunity],
    notes: &mut Notes,
) -> Result<Found, Unfit> {
    let owned: Vec<Opportunity> = moving.iter().map(|one| **one).collect();
    let first = effects::first_entry(&owned).filter(|found| found.counts.iter().all(|count| *count >= FIRST));
    let tired = Tired::of(sessions);
    let slope = tired.slope(&owned);
    let first_item_s = first.map_or(0.0, |found| found.seconds.max(0.0));
    // Fresh and not at the first place: what the law stands for.
    let plain = |one: &Opportunity| {
        let latency = one.latency_s()? - if one.position == 0 { first_item_s } else { 0.0 };
        Some(latency / slope.slower(tired.worked_min(one)))
    };
    let answers = answers(&owned, plain).ok_or_else(|| few(0))?;
    let mut draws = if humps::several(&answers.latencies) {
        in_two_humps(&answers, notes)
    } else {
        of_one_hump(&answers, notes).ok_or_else(|| few(answers.latencies.len()))?
    };
    first_item(first, &mut draws, notes);
    let presses = rhythm::timed(moving.iter().copied(), 0.0);
    let open = match rhythm::manner(&presses) {
        _ if rhythm::measured(&presses).is_none() => Some("one scan rate does not tell these apart"),
        Manner::Unclear => Some("the presses at the scan rates that were measured leave it open"),
        _ => None,
    };
    if let Some(why) = open {
        notes.assumed("rhythm", "reacts, and does not time the presses", why);
    }
    slope.into_draws(&mut draws, notes);
    if evidence.settings.hold().is_zero() {
        notes.assumed("presses while a hold time is on", "as without one", "the sessions had no hold time");
    }
    let centre = middle(&draws, &answers.latencies);
    Ok(Found { presses: answers.latencies.len(), centre, draws })
}

fn answers(moving: &[Opportunity], plain: impl Fn(&Opportunity) -> Option<f64>) -> Option<Answers> {
    let windows = |test: fn(&Opportunity) -> bool| moving.iter().filter(move |one| test(one)).map(|one| one.window_s);
    Some(Answers {
        latencies: Sample::new(moving.iter().filter_map(plain).collect()).ok()?,
        late: moving.iter().filter(|one| one.pressed_as(Outcome::Late)).count(),
        pressed: windows(|one| one.latency_s().is_some()).collect(),
        omitted: windows(Opportunity::omitted).collect(),
    })
}

/// Draws of the usual law.
fn of_one_hump(answers: &Answers, notes: &mut Notes) -> Option<Vec<Draw>> {
    let (guesses, told) = answers.guesses(DRAWS).filter(|(guesses, _)| !guesses.is_empty())?;
    let count = answers.latencies.len();
    notes.guessed("latency, mean", "s", guesses.iter().map(|guess| guess.law.mean()), count);
    notes.guessed("latency, SD", "s", guesses.iter().map(|guess| guess.law.standard_deviation()), count);
    notes.guessed("latency, mu", "s", guesses.iter().map(|guess| guess.law.mu), count);
    notes.guessed("latency, sigma", "s", guesses.iter().map(|guess| guess.law.sigma), count);
    notes.guessed("latency, tau", "s", guesses.iter().map(|guess| guess.law.tau), count);
    notes.assumed("shape of the law of latencies", "ex-Gaussian", "few presses do not tell laws apart");
    lapses(&guesses, answers, told, notes);
    Some(guesses.iter().map(draw).collect())
}

fn lapses(guesses: &[Answer], answers: &Answers, told: bool, notes: &mut Notes) {
    let lightings = answers.pressed.len() + answers.omitted.len();
    notes.guessed("lapses", "share", guesses.iter().map(|guess| guess.miss), lightings);
    if told {
        notes.guessed("late presses not made", "share", guesses.iter().map(|guess| guess.gives_up_late), lightings);
    } else {
        notes.assumed("late presses", "made all the same", "hardly a press was late: a faster scan would show it");
    }
}

fn draw(guess: &Answer) -> Draw {
    let ExGaussian { mu, sigma, tau } = guess.law;
    Draw {
        // Far into the tail of a small sample the Normal part may begin below nought.
        latency: Latency::ExGaussian { mu_s: mu.max(0.0), sigma_s: sigma, tau_s: tau },
        aim: None,
        first_item_s: 0.0,
        miss: guess.miss,
        gives_up_late: guess.gives_up_late,
        involuntary_per_s: 0.0,
        slower_per_min: EVEN.slower_per_min,
    }
}

/// No law is fitted to two humps: the presses themselves are drawn again.
fn in_two_humps(answers: &Answers, notes: &mut Notes) -> Vec<Draw> {
    let seen = &answers.latencies;
    let mut stream = Stream::named(0, "two humps");
    let again = |_| {
        let picked = (0..seen.len()).map(|_| seen.sorted()[stream.below(seen.len() as u64) as usize]);
        Sample::new(picked.collect()).expect("as many as were seen")
    };
    let samples: Vec<Sample> = (0..DRAWS).map(again).collect();
    notes.guessed("latency, mean", "s", samples.iter().map(Sample::mean), seen.len());
    notes.assumed("shape of the law of latencies", "the presses that were seen, in two humps", "no law has two");
    // No law says how many late presses to expect: all that is missing counts as a lapse.
    let [lapsed, pressed] = [answers.omitted.len() as f64 + 0.25, seen.len() as f64 + 9.75];
    let shares: Vec<f64> = (0..DRAWS).map(|_| crate::advice::draws::share(lapsed, pressed, &mut stream)).collect();
    let plain = ExGaussian { mu: 0.0, sigma: 0.0, tau: 0.0 };
    let guesses: Vec<Answer> =
        shares.iter().map(|miss| Answer { law: plain, miss: *miss, gives_up_late: 0.0 }).collect();
    lapses(&guesses, answers, false, notes);
    samples.iter().zip(&guesses).map(|(sample, guess)| Draw { latency: quantiles(sample), ..draw(guess) }).collect()
}

/// A law that is what was seen.
pub(super) fn quantiles(sample: &Sample) -> Latency {
    let seconds = (0..=PARTS).map(|part| sample.quantile(part as f64 / PARTS as f64).max(0.0)).collect();
    Latency::Quantiles { seconds }
}

/// What the first place adds.
fn first_item(first: Option<Difference>, draws: &mut [Draw], notes: &mut Notes) {
    let Some((found, interval)) = first.and_then(|found| Some((found, found.interval?))) else {
        return notes.assumed("first-item effect", "none", "fewer than 5 presses at a first place, or elsewhere");
    };
    // From the middle to an end of a 90 % interval.
    let error = (interval.high - interval.low) / 2.0 / 1.645;
    let mut stream = Stream::named(0, "first item");
    draws.iter_mut().for_each(|draw| draw.first_item_s = (found.seconds + error * stream.normal()).max(0.0));
    let count = found.counts[0] as usize;
    notes.measured("first-item effect", "s", found.seconds.max(0.0), interval.ends().map(|end| end.max(0.0)), count);
}

/// The middle of the draws.
fn middle(draws: &[Draw], seen: &Sample) -> Draw {
    let mean = |of: &dyn Fn(&Draw) -> f64| draws.iter().map(of).sum::<f64>() / draws.len() as f64;
    let part = |of: fn([f64; 3]) -> f64| {
        mean(&|draw| match draw.latency {
            Latency::ExGaussian { mu_s, sigma_s, tau_s } => of([mu_s, sigma_s, tau_s]),
            _ => 0.0,
        })
    };
    let latency = match draws.first().map(|draw| &draw.latency) {
        Some(Latency::ExGaussian { .. }) => {
            Latency::ExGaussian { mu_s: part(|law| law[0]), sigma_s: part(|law| law[1]), tau_s: part(|law| law[2]) }
        }
        _ => quantiles(seen),
    };
    Draw {
        latency,
        aim: None,
        first_item_s: mean(&|draw| draw.first_item_s),
        miss: mean(&|draw| draw.miss),
        gives_up_late: mean(&|draw| draw.gives_up_late),
        involuntary_per_s: 0.0,
        slower_per_min: mean(&|draw| draw.slower_per_min),
    }
}
