//! The clients of the quality bench: kinds, how one of a kind is drawn, and the truth about it.

use pacewright::advice::expected_time::Presses;
use pacewright::analysis::evidence::{Evidence, Opportunity};
use pacewright::rng::Stream;
use pacewright::session::event::Event;
use pacewright::session::record::{Record, What};
use pacewright::sim::latency::Latency;
use pacewright::sim::traits::{Aim, Course, STEADY, Spasm, Traits, Tremor};
use pacewright::stats::normal;
use pacewright::time::Moment;

/// Every kind, in the order in which the tables show them.
pub const KINDS: [&str; 14] = [
    "ex-gaussian",
    "near-normal",
    "heavy tail",
    "lognormal",
    "wald",
    "gamma",
    "contaminated",
    "lapsing",
    "gives up late",
    "involuntary",
    "spasm bursts",
    "tremor",
    "tiring",
    "timer",
];

/// A client of this kind: mean latency 0.35 to 2.5 s, coefficient of variation 0.14 to 0.42.
pub fn traits(kind: &str, stream: &mut Stream) -> Traits {
    let mean = 0.35 * libm::exp(stream.unit() * libm::log(2.5 / 0.35));
    let cv = 0.14 + 0.28 * stream.unit();
    let latency = law(kind, mean, cv, stream);
    let lapses = if kind == "lapsing" { 0.05 + 0.1 * stream.unit() } else { 0.03 * stream.unit() };
    let between = |stream: &mut Stream, low: f64, high: f64| low + (high - low) * stream.unit();
    let mut traits = Traits { latency, miss: lapses, involuntary_per_s: 0.002, rests: 0.05, ..STEADY };
    match kind {
        "gives up late" => traits.gives_up_late = between(stream, 0.3, 1.0),
        "involuntary" => traits.involuntary_per_s = between(stream, 0.01, 0.06),
        "spasm bursts" => traits.spasm = Spasm { per_s: between(stream, 0.002, 0.01), presses: 4, gap_s: 0.3 },
        "tremor" => {
            traits.tremor = Tremor { share: between(stream, 0.2, 0.8), hertz: between(stream, 3.0, 6.0), presses: 3 }
        }
        "tiring" => {
            let (slower_per_min, lapses_per_min) = (between(stream, 0.01, 0.04), 0.004);
            traits.course = Course { slower_per_min, lapses_per_min, rest_undoes: 0.3, ..Course::default() };
        }
        "timer" => {
            let share = between(stream, 0.15, 0.6);
            traits.aim = Some(Aim { share, offset_s: 0.0, sd_s: between(stream, 0.04, 0.12), sd_share: 0.04 });
        }
        _ => {}
    }
    traits
}

fn law(kind: &str, mean: f64, cv: f64, stream: &mut Stream) -> Latency {
    let sd = cv * mean;
    // The variable part of the shifted laws is two thirds of the mean.
    let (rest, shift_s) = (2.0 / 3.0 * mean, mean / 3.0);
    let spread = sd / rest;
    let mut ex_gaussian = |low: f64, high: f64| {
        let share = low + (high - low) * stream.unit();
        let tau_s = sd * libm::sqrt(share);
        Latency::ExGaussian { mu_s: mean - tau_s, sigma_s: sd * libm::sqrt(1.0 - share), tau_s }
    };
    match kind {
        "near-normal" => ex_gaussian(0.05, 0.15),
        "heavy tail" => ex_gaussian(0.85, 0.95),
        "lognormal" => {
            let log_sd = libm::sqrt(libm::log1p(spread * spread));
            Latency::Lognormal { shift_s, median_s: rest * libm::exp(-log_sd * log_sd / 2.0), log_sd }
        }
        "wald" => Latency::Wald { shift_s, mean_s: rest, shape_s: rest / (spread * spread) },
        "gamma" => Latency::Gamma { shift_s, shape: 1.0 / (spread * spread), scale_s: rest * spread * spread },
        "contaminated" => contaminated(&ex_gaussian(0.3, 0.8), mean),
        _ => ex_gaussian(0.3, 0.8),
    }
}

/// One press in twenty comes at any time up to three mean latencies.
fn contaminated(law: &Latency, mean: f64) -> Latency {
    let within = |x: f64| 0.95 * law.within(x) + 0.05 * (x / (3.0 * mean)).clamp(0.0, 1.0);
    let quantile = |share: f64| {
        let (mut low, mut high) = (0.0, 20.0 * mean);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if within(middle) < share { low = middle } else { high = middle }
        }
        0.5 * (low + high)
    };
    Latency::Quantiles { seconds: (0..=400).map(|step| quantile(f64::from(step).min(399.96) / 400.0)).collect() }
}

/// Parts of a session, where fatigue makes them differ.
const PARTS: usize = 16;

/// How many minutes of work told on a client at the lightings of the items it was to press on, as its fatigue counts
/// them: a rest undoes part of them. A few lightings stand for all.
pub fn worked(traits: &Traits, records: &[Record], evidence: &Evidence) -> Vec<f64> {
    let at_trials = worked_at_trials(traits, records);
    let at = |one: &Opportunity| {
        let began = at_trials.partition_point(|(seconds, _)| *seconds <= one.at_s + 1e-6);
        at_trials.get(began.wrapping_sub(1)).map_or(0.0, |(_, minutes)| *minutes)
    };
    let mut minutes: Vec<f64> = evidence.opportunities.iter().filter(|one| one.moving()).map(at).collect();
    minutes.sort_unstable_by(f64::total_cmp);
    match minutes.len() {
        0 => vec![0.0],
        count => (0..PARTS).map(|part| minutes[(2 * part + 1) * count / (2 * PARTS)]).collect(),
    }
}

/// When each trial began, in seconds of the session, and how many minutes of work told then.
fn worked_at_trials(traits: &Traits, records: &[Record]) -> Vec<(f64, f64)> {
    let (mut told, mut since, mut at_trials) = (0.0, None::<Moment>, Vec::new());
    let minutes = |since: Option<Moment>, now: Moment| since.map_or(0.0, |at| now.since(at).as_seconds() / 60.0);
    for Record { at, what } in records {
        match what {
            What::Event(Event::TrialBegan { .. }) => {
                since = since.or(Some(*at));
                at_trials.push((at.since(Moment::START).as_seconds(), told + minutes(since, *at)));
            }
            What::Event(Event::Rest { .. }) => {
                told = (told + minutes(since.take(), *at)) * (1.0 - traits.course.rest_undoes);
            }
            _ => {}
        }
    }
    at_trials
}

/// What is true of a client at one scan interval.
pub struct Truth<'a> {
    /// The client.
    pub traits: &'a Traits,
    /// Minutes of work that told at its trials, in equal parts of these.
    pub worked: &'a [f64],
    /// The interval.
    pub interval: f64,
}

impl Truth<'_> {
    /// The law is that of all the session's presses together, as tired as it was at each.
    fn law(&self, seconds: f64) -> f64 {
        let Some(aim) = self.traits.aim else {
            let latency = &self.traits.latency;
            return self.mean_of(|factor| latency.within(seconds / factor));
        };
        let wait = self.interval * (1.0 + aim.share) + aim.offset_s;
        let sd = libm::hypot(aim.sd_s, aim.sd_share * wait);
        normal::cumulative((seconds - self.aim(aim)) / sd)
    }

    /// The mean over the session of what depends on how much slower it is.
    fn mean_of(&self, of: impl Fn(f64) -> f64) -> f64 {
        let slower = self.worked.iter().map(|minutes| libm::exp(self.traits.course.slower_per_min * minutes));
        slower.map(of).sum::<f64>() / self.worked.len() as f64
    }

    fn aim(&self, aim: Aim) -> f64 {
        aim.share * self.interval + aim.offset_s
    }

    /// Share of presses that are not made because the highlight has moved on.
    fn given_up(&self) -> f64 {
        self.traits.gives_up_late * (1.0 - self.law(self.interval))
    }
}

impl Presses for Truth<'_> {
    fn within(&self, seconds: f64) -> f64 {
        let (all, on_time) = (self.law(seconds), self.law(self.interval));
        let late = (all - on_time).max(0.0);
        (all.min(on_time) + (1.0 - self.traits.gives_up_late) * late) / (1.0 - self.given_up()).max(1e-9)
    }

    fn mean(&self) -> f64 {
        let slower = self.mean_of(|factor| factor);
        self.traits.aim.map_or(slower * self.traits.latency.mean(), |aim| self.aim(aim))
    }

    fn lapses(&self) -> f64 {
        let worked = self.worked.iter().sum::<f64>() / self.worked.len() as f64;
        let miss = (self.traits.miss + self.traits.course.lapses_per_min * worked).min(0.9);
        miss + (1.0 - miss) * self.given_up()
    }

    /// One by one and as bursts, whose first press is what takes an entry.
    fn unwanted(&self) -> f64 {
        self.traits.involuntary_per_s + self.traits.spasm.per_s
    }
}
