//! How good the advised scan rate is: virtual clients of many kinds, latencies drawn from their own
//! law, against the best interval that their law allows and against mean latency over 0.65.
//!
//! Prints, for each number of trials and kind of client: regret (expected time at the advised
//! interval over the best possible, minus 1) in per cent, median and 95th percentile, of the fastest
//! safe value and of the ratio; the mean difference of the two in standard errors; the share of 90 %
//! intervals that cover the best interval; and the time of one advice. Before that, the time of one
//! advice by itself, of a scan rate and of every rule from a session.
//!
//! The latencies come straight from the law, not from a session; late presses keep their latency.

use std::hint::black_box;
use std::time::Instant;

use pacewright::advice::expected_time::{Pace, Presses, Ways};
use pacewright::advice::optimum::{DRAWS, Optimum};
use pacewright::advice::{recommendations, scan_rate};
use pacewright::analysis::evidence::{Opportunity, Response};
use pacewright::analysis::gather;
use pacewright::engine::tree::ScanTree;
use pacewright::log::header::Header;
use pacewright::rng::Stream;
use pacewright::session::event::BlockKind;
use pacewright::session::trial::Outcome;
use pacewright::session::{Plan, shipped};
use pacewright::settings::Settings;
use pacewright::stats::{Sample, gamma, normal};

const CLIENTS: usize = 150;
const SIZES: [usize; 5] = [20, 40, 60, 100, 200];
const KINDS: [&str; 7] = ["ex-gaussian", "near-normal", "heavy", "lognormal", "wald", "gamma", "lapsing"];
const PACE: Pace = Pace { interval: 1.0, first_at_top: 1.0, first_inside: 1.0, pause: 1.0, loops_inside: 2 };

/// The law of one client: a shift plus a variable part, in seconds.
struct Law {
    shift: f64,
    part: Part,
    lapses: f64,
}

enum Part {
    ExGaussian { sigma: f64, tau: f64 },
    Lognormal { log_mean: f64, log_sd: f64 },
    Wald { threshold: f64, drift: f64 },
    Gamma { shape: f64, scale: f64 },
}

impl Law {
    fn of(kind: &str, stream: &mut Stream) -> Law {
        let mean = 0.35 * (stream.unit() * (2.5_f64 / 0.35).ln()).exp();
        let cv = 0.14 + 0.28 * stream.unit();
        let sd = cv * mean;
        let ex = |share: f64| {
            let tau = sd * share.sqrt();
            (mean - tau, Part::ExGaussian { sigma: sd * (1.0 - share).sqrt(), tau })
        };
        // The variable part of the shifted laws is two thirds of the mean.
        let spread = cv / (2.0 / 3.0);
        let rest = 2.0 / 3.0 * mean;
        let (shift, part) = match kind {
            "near-normal" => ex(0.05 + 0.1 * stream.unit()),
            "heavy" => ex(0.85 + 0.1 * stream.unit()),
            "lognormal" => {
                let log_sd = (1.0 + spread * spread).ln().sqrt();
                (mean - rest, Part::Lognormal { log_mean: rest.ln() - log_sd * log_sd / 2.0, log_sd })
            }
            "wald" => {
                // mean a/γ, variance a/γ³.
                let drift = (rest / (sd * sd)).sqrt();
                (mean - rest, Part::Wald { threshold: rest * drift, drift })
            }
            "gamma" => {
                let shape = 1.0 / (spread * spread);
                (mean - rest, Part::Gamma { shape, scale: rest / shape })
            }
            _ => ex(0.3 + 0.5 * stream.unit()),
        };
        let lapses = if kind == "lapsing" { 0.04 + 0.08 * stream.unit() } else { 0.03 * stream.unit() };
        Law { shift, part, lapses }
    }

    fn draw(&self, stream: &mut Stream) -> f64 {
        self.shift
            + match self.part {
                Part::ExGaussian { sigma, tau } => sigma * stream.normal() + tau * stream.exponential(),
                Part::Lognormal { log_mean, log_sd } => (log_mean + log_sd * stream.normal()).exp(),
                Part::Wald { .. } | Part::Gamma { .. } => self.invert(stream.unit()),
            }
    }

    /// The quantile of the variable part, by bisection.
    fn invert(&self, share: f64) -> f64 {
        let (mut low, mut high) = (0.0, 60.0);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if self.within(self.shift + middle) < share { low = middle } else { high = middle }
        }
        0.5 * (low + high)
    }
}

impl Presses for Law {
    fn within(&self, seconds: f64) -> f64 {
        let x = seconds - self.shift;
        match self.part {
            Part::ExGaussian { sigma, tau } => {
                let model = pacewright::stats::latency::ExGaussian { mu: 0.0, sigma, tau };
                1.0 - model.log_survival(x).exp()
            }
            _ if x <= 0.0 => 0.0,
            Part::Lognormal { log_mean, log_sd } => normal::cumulative((x.ln() - log_mean) / log_sd),
            Part::Wald { threshold: a, drift: v } => {
                let root = x.sqrt();
                normal::cumulative((v * x - a) / root) + (2.0 * a * v).exp() * normal::cumulative(-(v * x + a) / root)
            }
            Part::Gamma { shape, scale } => gamma::lower(shape, x / scale),
        }
    }

    fn mean(&self) -> f64 {
        self.shift
            + match self.part {
                Part::ExGaussian { tau, .. } => tau,
                Part::Lognormal { log_mean, log_sd } => (log_mean + log_sd * log_sd / 2.0).exp(),
                Part::Wald { threshold, drift } => threshold / drift,
                Part::Gamma { shape, scale } => shape * scale,
            }
    }

    fn lapses(&self) -> f64 {
        self.lapses
    }
}

/// What one client came to.
struct Fared {
    advised: f64,
    ratio: f64,
    covered: bool,
    micros: f64,
}

fn trial(law: &Law, trials: usize, ways: &Ways, stream: &mut Stream) -> Option<Fared> {
    let mut latencies = Vec::new();
    let mut omitted = 0;
    for _ in 0..trials {
        if stream.unit() < law.lapses { omitted += 1 } else { latencies.push(law.draw(stream)) }
    }
    let sample = Sample::new(latencies).ok()?;
    let began = Instant::now();
    let found = Optimum::find(&sample, omitted, ways, &PACE)?;
    let micros = began.elapsed().as_secs_f64() * 1e6;
    let seconds = |interval: f64| ways.seconds(law, &Pace { interval, ..PACE });
    let grid = (0..1971).map(|step| 0.3 + 0.01 * f64::from(step)).take_while(|t| *t < 12.0 * law.mean());
    let (best, least) = grid.map(|t| (t, seconds(t))).fold((0.0, f64::INFINITY), |a, b| if b.1 < a.1 { b } else { a });
    let ratio = (sample.mean() / 0.65).max(0.3);
    let regret = |interval: f64| (seconds(interval) / least - 1.0).min(10.0);
    Some(Fared {
        advised: regret(found.fastest_safe),
        ratio: regret((ratio / 0.05).ceil() * 0.05),
        covered: found.interval[0] <= best && best <= found.interval[1],
        micros,
    })
}

/// Repeats for the time of one advice.
const REPEATS: usize = 30;

/// Prints the time of one advice from 200 trials by itself: what else the machine does only adds to it.
fn print_time(menu: &str, ways: &Ways) {
    let mut stream = Stream::named(1, "time");
    let law = Law::of("ex-gaussian", &mut stream);
    let sample = Sample::new((0..200).map(|_| law.draw(&mut stream)).collect()).expect("finite");
    let find = || Optimum::find(&sample, 4, ways, &PACE).expect("an optimum").exact;
    timed(&format!("{menu}: one advice from 200 trials with {DRAWS} draws (optimum {:.3} s)", find()), find);
}

/// Prints the time of the whole advice of a scan rate from 196 presses and 4 omissions, which is read
/// both ways, on the shipped menu of six; and that of every rule.
fn print_time_of_a_session() {
    let (protocol, menu) = shipped::find("first-look").expect("shipped");
    let plan = Plan { protocol, menu, settings: Settings::default(), seed: 1 };
    let mut evidence = gather::evidence(&[(&Header::for_plan(&plan), &[])]).expect("an empty session");
    let mut stream = Stream::named(1, "time");
    let law = Law::of("ex-gaussian", &mut stream);
    evidence.opportunities = (0..200).map(|nth| opportunity(nth, &law, &mut stream)).collect();
    timed("200 trials, scan rate with both readings", || scan_rate::advise(black_box(&evidence)));
    timed("200 trials, every rule", || recommendations(black_box(&evidence)));
}

/// Prints the time that `work` takes, and what of it the processor spent on all cores.
fn timed<T>(name: &str, work: impl Fn() -> T) {
    black_box(work());
    let (spent, once) = (processor_ms(), |_| {
        let began = Instant::now();
        black_box(work());
        began.elapsed().as_secs_f64() * 1e3
    });
    let times = Sample::new((0..REPEATS).map(once).collect()).expect("finite");
    let spent = spent.zip(processor_ms()).map(|(before, after)| (after - before) / REPEATS as f64);
    println!(
        "{name}: least {:.1} ms, median {:.1} ms; processor time {}",
        times.least(),
        times.median(),
        spent.map_or("not known".into(), |ms| format!("{ms:.1} ms"))
    );
}

/// Processor time of all threads so far, where the system tells it: in hundredths of a second, after the name of the
/// program in brackets.
fn processor_ms() -> Option<f64> {
    let told = std::fs::read_to_string("/proc/self/stat").ok()?;
    let mut fields = told.rsplit_once(')')?.1.split_whitespace().skip(11);
    let ticks = |text: Option<&str>| text?.parse::<f64>().ok();
    Some(10.0 * (ticks(fields.next())? + ticks(fields.next())?))
}

fn opportunity(nth: u32, law: &Law, stream: &mut Stream) -> Opportunity {
    let response = match nth % 50 {
        0 => Response::Omitted { window_s: 2.0 },
        _ => Response::Pressed { latency_s: law.draw(stream), held_s: 0.0, outcome: Outcome::Hit },
    };
    Opportunity {
        session: 0,
        block: 0,
        kind: BlockKind::TimedPress,
        trial: nth + 1,
        at_s: f64::from(nth),
        position: 2,
        count: 6,
        level: 0,
        interval_s: 2.0,
        window_s: 2.0,
        paced: true,
        response,
    }
}

fn main() {
    let clients: usize = std::env::var("ADVICE_CLIENTS").ok().and_then(|text| text.parse().ok()).unwrap_or(CLIENTS);
    let menus = [
        ("nine in a list", Ways::linear(9).expect("nine items")),
        ("six rows of six", Ways::equal(&ScanTree::row_column(6, 6), 36).expect("items")),
    ];
    menus.iter().for_each(|(menu, ways)| print_time(menu, ways));
    print_time_of_a_session();
    if clients == 0 {
        return;
    }
    println!("{clients} clients of each kind; regret in per cent");
    println!("trials  kind         median  95 %   ratio: median  95 %   advised - ratio (SE)   covered   advice, ms");
    for (menu, ways) in &menus {
        println!("{menu}");
        for trials in SIZES {
            let mut all = Vec::new();
            for kind in KINDS {
                let mut stream = Stream::named(trials as u64, kind);
                let outcomes: Vec<Fared> = (0..clients)
                    .filter_map(|_| {
                        let law = Law::of(kind, &mut stream);
                        trial(&law, trials, ways, &mut stream)
                    })
                    .collect();
                print_line(trials, kind, &outcomes);
                all.extend(outcomes);
            }
            print_line(trials, "all", &all);
        }
    }
}

fn print_line(trials: usize, kind: &str, outcomes: &[Fared]) {
    let column = |value: fn(&Fared) -> f64| Sample::new(outcomes.iter().map(value).collect()).expect("clients");
    let (advised, ratio) = (column(|o| 100.0 * o.advised), column(|o| 100.0 * o.ratio));
    let difference = column(|o| 100.0 * (o.advised - o.ratio));
    let error = difference.sd().unwrap_or(0.0) / (outcomes.len() as f64).sqrt();
    let covered = outcomes.iter().filter(|o| o.covered).count() as f64 / outcomes.len() as f64;
    println!(
        "{trials:6}  {kind:11} {:6.2} {:6.2}  {:12.2} {:6.2}   {:8.2} ({:5.1} SE)      {:5.1} %   {:6.1}",
        advised.median(),
        advised.quantile(0.95),
        ratio.median(),
        ratio.quantile(0.95),
        difference.mean(),
        difference.mean() / error,
        100.0 * covered,
        column(|o| o.micros).median() / 1e3
    );
}
