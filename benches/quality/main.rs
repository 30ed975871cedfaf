//! How good the advised scan rate is, through the real engine: virtual clients of many kinds sit
//! through sessions of timed presses and menu tasks, and their logs are advised upon like any other.
//!
//! Prints, for each size of session and kind of client: presses used; advice refused; regret (expected
//! time at the interval over the best possible for the true law, minus 1) in per cent, median and 95th
//! percentile, of the fastest safe value, of the value that the sheet takes, and of mean latency over
//! 0.65; the paired mean difference of the first and the last in standard errors; and the share of 90 %
//! intervals that cover the best interval. A second table counts the regret of a value that is too
//! fast double.
//!
//! Timers whose blocks run at two scan rates are judged against the best between these and a tenth beyond.
//!
//! A quiet watch comes first. Blocks end as they do in the program: 12 to 14 timed presses, by their
//! precision, with rests and stop rules. The last size is one block that runs until it is precise.
//!
//! The truth is the client's own law through the program's expected time: lapses, contaminants,
//! involuntary presses and the fatigue of the session included.
//! `QUALITY_CLIENTS` sets the number of clients of each kind, `QUALITY_SIZES` the sizes, as in `20,60`, and
//! `QUALITY_KINDS` a part of the names of the kinds that are wanted.

mod clients;

use std::time::Instant;

use clients::{KINDS, TWO_PACES, Truth, traits, worked};
use pacewright::advice::expected_time::{Pace, Ways};
use pacewright::advice::recommendation::{Advice, Named};
use pacewright::advice::scan_rate;
use pacewright::analysis::evidence::{Evidence, Opportunity};
use pacewright::analysis::gather;
use pacewright::engine::pattern::Arrangement;
use pacewright::engine::tree::ItemIx;
use pacewright::log::header::Header;
use pacewright::menu;
use pacewright::rng::Stream;
use pacewright::session::event::BlockKind;
use pacewright::session::protocol::{Block, Protocol};
use pacewright::session::record::Record;
use pacewright::session::stop::Precision;
use pacewright::session::{Plan, Session};
use pacewright::settings::{Id, Settings, rounding};
use pacewright::sim::client::Client;
use pacewright::sim::sitting::sit;
use pacewright::sim::traits::Traits;
use pacewright::stats::Sample;

const CLIENTS: usize = 80;
const SIZES: &str = "20,40,60,100,200,0";
/// Trials of a block of timed presses, as in the first look.
const BLOCK: u32 = 14;
/// Greatest regret that is told: more is as bad.
const MOST: f64 = 10.0;

/// What the advice for one client came to.
struct Outcome {
    presses: usize,
    /// Regret of the fastest safe value and of the sheet's; `None` when the advice was refused.
    advised: Option<[Regret; 2]>,
    ratio: Regret,
    covered: bool,
    millis: f64,
}

/// What an interval costs over the best one.
#[derive(Clone, Copy)]
struct Regret {
    share: f64,
    too_fast: bool,
}

impl Regret {
    fn plain(self) -> f64 {
        100.0 * self.share
    }

    fn fast_doubled(self) -> f64 {
        self.plain() * if self.too_fast { 2.0 } else { 1.0 }
    }
}

fn main() {
    let clients: usize = std::env::var("QUALITY_CLIENTS").ok().and_then(|text| text.parse().ok()).unwrap_or(CLIENTS);
    let sizes = std::env::var("QUALITY_SIZES").unwrap_or_else(|_| SIZES.into());
    let wanted = std::env::var("QUALITY_KINDS").unwrap_or_default();
    let kinds: Vec<&str> = KINDS.into_iter().filter(|kind| kind.contains(&wanted)).collect();
    println!("{clients} clients of each of {} kinds; regret in per cent; size 0 runs until it is precise", kinds.len());
    for size in sizes.split(',').filter_map(|text| text.trim().parse::<u32>().ok()) {
        let began = Instant::now();
        let found: Vec<Vec<Outcome>> = kinds.iter().map(|kind| of_kind(kind, size, clients)).collect();
        for (title, weigh) in
            [("regret", Regret::plain as fn(Regret) -> f64), ("too fast doubled", Regret::fast_doubled)]
        {
            println!("\nsize {size}, {title}");
            println!(
                "kind           refused  presses   fastest safe    sheet's value   ratio 0.65      paired (SE)       covered  ms"
            );
            for (kind, outcomes) in kinds.iter().zip(&found) {
                line(kind, &outcomes.iter().collect::<Vec<_>>(), weigh);
            }
            let reacting = kinds.iter().zip(&found).filter(|(kind, _)| !kind.starts_with("timer"));
            line("all reactors", &reacting.flat_map(|(_, outcomes)| outcomes).collect::<Vec<_>>(), weigh);
            line("all", &found.iter().flatten().collect::<Vec<_>>(), weigh);
        }
        println!("({:.0} s)", began.elapsed().as_secs_f64());
    }
}

fn of_kind(kind: &str, size: u32, clients: usize) -> Vec<Outcome> {
    let mut stream = Stream::named(u64::from(size), kind);
    (0..clients)
        .filter_map(|index| {
            let traits = traits(kind, &mut stream);
            let plan = plan(kind, &traits, size, index, &mut stream);
            one(&traits, plan)
        })
        .collect()
}

/// One client through one session; `None` when no press at all was measured.
fn one(traits: &Traits, plan: Plan) -> Option<Outcome> {
    let mut client = Client::new(traits.clone(), plan.seed);
    let mut records: Vec<Record> = Vec::new();
    sit(&mut Session::new(plan.clone()), &mut client, |fresh| records.extend_from_slice(fresh)).ok()?;
    let evidence = gather::evidence(&[(&Header::for_plan(&plan), &records)]).ok()?;
    let latencies: Vec<f64> =
        evidence.opportunities.iter().filter(|one| one.moving()).filter_map(Opportunity::accepted_s).collect();
    let sample = Sample::new(latencies).ok()?;

    let began = Instant::now();
    let advised = scan_rate::advise(&evidence);
    let millis = began.elapsed().as_secs_f64() * 1e3;

    let judge = Judge::new(traits, &records, &evidence)?;
    let ratio = rounding::up(Id::ScanInterval, sample.mean() / 0.65);
    let (advised, covered) = match advised.advice {
        Advice::Set { value, interval, beside, .. } => {
            let fastest = beside.iter().find(|named| named.name == "fastest safe");
            let value_of = |named: &Named| named.value;
            let [low, high] = fastest.and_then(|named| named.interval).or(interval).unwrap_or([f64::NAN; 2]);
            let regrets = [fastest.map_or(value, value_of), value].map(|interval| judge.regret(interval));
            (Some(regrets), low <= judge.best && judge.best <= high)
        }
        _ => (None, false),
    };
    Some(Outcome { presses: sample.len(), advised, ratio: judge.regret(ratio), covered, millis })
}

/// Three quarters of timed presses, the rest menu tasks; half of the clients scan rows and columns.
fn plan(kind: &str, traits: &Traits, size: u32, index: usize, stream: &mut Stream) -> Plan {
    let block = |kind, trials, precise: Option<Precision>| Block { trials, ends_when: precise, ..Block::of(kind) };
    let of = |kind, count: u32, precise: Option<Precision>| {
        (0..count.div_ceil(BLOCK)).map(move |nth| block(kind, BLOCK.min(count - nth * BLOCK), precise))
    };
    let mut blocks: Vec<Block> = match size {
        0 => vec![block(BlockKind::TimedPress, 200, Some(Precision::default())), block(BlockKind::MenuTasks, 4, None)],
        _ => of(BlockKind::TimedPress, size - size / 4, Some(Precision::default()))
            .chain(of(BlockKind::MenuTasks, size / 4, None))
            .collect(),
    };
    let protocol = serde_json::json!({
        "format": Protocol::FORMAT, "version": Protocol::VERSION, "name": "quality", "menu": "nine", "blocks": [],
    });
    let protocol: Protocol = serde_json::from_value(protocol).expect("a protocol");
    // The clinician begins slowly enough for most presses to come in time.
    let slow = rounding::up(Id::ScanInterval, traits.latency.mean() * (1.4 + stream.unit()));
    if kind == TWO_PACES {
        let faster = rounding::up(Id::ScanInterval, 0.7 * slow);
        for block in blocks.iter_mut().skip(1).step_by(2) {
            block.settings.insert("scan_interval".into(), faster.into());
        }
    }
    let settings = Settings::default()
        .with(Id::ScanInterval, libm::round(slow * 1e6) as i64)
        .with(Id::Pattern, if index.is_multiple_of(2) { 1 } else { 2 })
        .with(Id::CueLead, 1_500_000);
    // A minute of quiet tells what comes by itself, as in a first look.
    blocks.insert(0, Block::of(BlockKind::QuietWatch));
    let menu = menu::shipped::find("nine").expect("a shipped menu");
    Plan { protocol: Protocol { blocks, ..protocol }, menu, settings, seed: stream.bits() }
}

/// Knows the truth about one client on its menu.
struct Judge<'a> {
    traits: &'a Traits,
    worked: Vec<f64>,
    ways: Ways,
    pace: Pace,
    best: f64,
    least: f64,
}

/// Between which intervals the best is looked for. Of a timer only what was measured can be known: beyond
/// that the program advises nothing.
fn judged(traits: &Traits, evidence: &Evidence) -> [f64; 2] {
    let intervals = || evidence.opportunities.iter().filter(|one| one.moving()).map(|one| one.interval_s);
    let [low, high] = [intervals().fold(f64::INFINITY, f64::min), intervals().fold(0.0, f64::max)];
    if traits.aim.is_some() && high > low { [low / 1.1, high * 1.1] } else { [0.3, 12.0 * traits.latency.mean()] }
}

impl Judge<'_> {
    fn new<'a>(traits: &'a Traits, records: &[Record], evidence: &Evidence) -> Option<Judge<'a>> {
        let settings = &evidence.settings;
        let arrangement = Arrangement::new(&evidence.menu, settings);
        let weights: Vec<_> = (0u16..).map(ItemIx).zip(arrangement.items().iter().map(|item| item.weight)).collect();
        let pace = Pace {
            interval: 1.0,
            first_at_top: settings.first_after_start().as_seconds(),
            first_inside: settings.first_in_group().as_seconds(),
            pause: settings.pause_after_selection().as_seconds(),
            loops_inside: settings.loops_inside().unwrap_or(1),
        };
        let ways = Ways::new(&arrangement.tree, &weights)?;
        let mut judge = Judge { traits, worked: worked(traits, records), ways, pace, best: 0.3, least: f64::INFINITY };
        let [fastest, slowest] = judged(traits, evidence);
        let steps = (0..1971).map(|step| 0.3 + 0.01 * f64::from(step));
        let inside = steps.filter(|interval| (fastest..slowest).contains(interval));
        // The ends as well: what is best there lies on them, not a step beside them.
        for interval in std::iter::once(fastest).chain(inside).chain([slowest]) {
            let seconds = judge.seconds(interval);
            if seconds < judge.least {
                (judge.best, judge.least) = (interval, seconds);
            }
        }
        judge.least.is_finite().then_some(judge)
    }

    fn seconds(&self, interval: f64) -> f64 {
        let truth = Truth { traits: self.traits, worked: &self.worked, interval };
        self.ways.seconds(&truth, &Pace { interval, ..self.pace })
    }

    fn regret(&self, interval: f64) -> Regret {
        let share = (self.seconds(interval) / self.least - 1.0).min(MOST);
        Regret { share, too_fast: interval < self.best }
    }
}

fn line(kind: &str, outcomes: &[&Outcome], weigh: fn(Regret) -> f64) {
    let count = outcomes.len();
    let mean =
        |value: &dyn Fn(&Outcome) -> f64| outcomes.iter().map(|one| value(one)).sum::<f64>() / count.max(1) as f64;
    let advised: Vec<(f64, f64, f64, bool)> = outcomes
        .iter()
        .filter_map(|one| one.advised.map(|[fast, sheet]| (weigh(fast), weigh(sheet), weigh(one.ratio), one.covered)))
        .collect();
    print!(
        "{kind:13} {:5.1} %   {:6.1}",
        100.0 * (1.0 - advised.len() as f64 / count.max(1) as f64),
        mean(&|one| one.presses as f64)
    );
    let column = |value: fn(&(f64, f64, f64, bool)) -> f64| Sample::new(advised.iter().map(value).collect());
    let (Ok(fast), Ok(sheet), Ok(ratio), Ok(paired)) =
        (column(|a| a.0), column(|a| a.1), column(|a| a.2), column(|a| a.0 - a.2))
    else {
        return println!("   (no advice)");
    };
    for sample in [&fast, &sheet, &ratio] {
        print!("   {:5.2} {:7.2}", sample.median(), sample.quantile(0.95));
    }
    let error = paired.sd().unwrap_or(f64::NAN) / (advised.len() as f64).sqrt();
    let covered = advised.iter().filter(|one| one.3).count() as f64 / advised.len() as f64;
    println!(
        "   {:7.2} ({:6.1})   {:5.1} %   {:5.1}",
        paired.mean(),
        paired.mean() / error,
        100.0 * covered,
        mean(&|one| one.millis)
    );
}
