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
//! Of a timer only what was measured can be known: it is judged against the best between the measured scan rates and
//! a tenth beyond, and what a rate beyond these would save is not counted.
//!
//! A session has the shape of the shipped protocols: a quiet watch, timed presses, a third of them at a slower scan
//! rate, then menu tasks. Blocks end as they do in the program: 12 to 15 timed presses, by their precision, with rests
//! and stop rules. The last size is a block at either rate that runs until it is precise.
//!
//! The truth is the client's own law through the program's expected time: lapses, contaminants,
//! involuntary presses and the fatigue of the session included.
//! `QUALITY_CLIENTS` sets the number of clients of each kind, `QUALITY_SIZES` the sizes, as in `20,60`, and
//! `QUALITY_KINDS` a part of the names of the kinds that are wanted. `QUALITY_RATES=1` leaves the slower rate out.
//! `QUALITY_SEED` draws other clients: what is tuned is tuned on these, never on those of the table.

mod clients;

use std::time::Instant;

use clients::{KINDS, Truth, traits, worked};
use pacewright::advice::expected_time::{Pace, Recovery, Ways};
use pacewright::advice::recommendation::{Advice, Named};
use pacewright::advice::scan_rate;
use pacewright::analysis::evidence::{Evidence, Opportunity};
use pacewright::analysis::gather;
use pacewright::engine::pattern::Arrangement;
use pacewright::engine::tree::ItemIx;
use pacewright::log::header::Header;
use pacewright::menu::{self, Menu};
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
/// Most trials of a block of timed presses, as in the longer trial.
const BLOCK: u32 = 15;
/// Least trials at the slower rate, and at the first one before it, as in the first look.
const FEWEST: u32 = 8;
/// The slower rate of the shipped protocols.
const SLOWER: f64 = 1.3;
/// Greatest regret that is told: more is as bad.
const MOST: f64 = 10.0;
/// A client whose best selection takes longer, in seconds, has none.
const MOST_S: f64 = 1e6;

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
    let clients = number("QUALITY_CLIENTS").map_or(CLIENTS, |number| number as usize);
    let sizes = std::env::var("QUALITY_SIZES").unwrap_or_else(|_| SIZES.into());
    let wanted = std::env::var("QUALITY_KINDS").unwrap_or_default();
    let kinds: Vec<&str> = KINDS.into_iter().filter(|kind| kind.contains(&wanted)).collect();
    let rates = if number("QUALITY_RATES") == Some(1) { 1 } else { 2 };
    let seed = number("QUALITY_SEED").unwrap_or(0);
    println!(
        "{clients} clients of each of {} kinds, {rates} scan rates, seed {seed}; regret in per cent; size 0 runs until it \
         is precise",
        kinds.len()
    );
    for size in sizes.split(',').filter_map(|text| text.trim().parse::<u32>().ok()) {
        let began = Instant::now();
        let found: Vec<Vec<Outcome>> =
            kinds.iter().map(|kind| of_kind(kind, clients, &Sessions { size, rates, seed })).collect();
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

fn number(variable: &str) -> Option<u64> {
    std::env::var(variable).ok().and_then(|text| text.parse().ok())
}

/// What sessions are made.
struct Sessions {
    size: u32,
    rates: u32,
    seed: u64,
}

fn of_kind(kind: &str, clients: usize, sessions: &Sessions) -> Vec<Outcome> {
    let mut stream = Stream::named(u64::from(sessions.size) + 1000 * sessions.seed, kind);
    (0..clients)
        .filter_map(|index| {
            let traits = traits(kind, &mut stream);
            let plan = plan(&traits, sessions, index, &mut stream);
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
fn plan(traits: &Traits, sessions: &Sessions, index: usize, stream: &mut Stream) -> Plan {
    let mut blocks = blocks(sessions);
    let protocol = serde_json::json!({
        "format": Protocol::FORMAT, "version": Protocol::VERSION, "name": "quality", "menu": "nine", "blocks": [],
    });
    let protocol: Protocol = serde_json::from_value(protocol).expect("a protocol");
    // The clinician begins slowly enough for most presses to come in time.
    let slow = rounding::up(Id::ScanInterval, traits.latency.mean() * (1.4 + stream.unit()));
    let settings = Settings::default()
        .with(Id::ScanInterval, libm::round(slow * 1e6) as i64)
        .with(Id::Pattern, if index.is_multiple_of(2) { 1 } else { 2 })
        .with(Id::CueLead, 1_500_000);
    // A minute of quiet tells what comes by itself, as in a first look.
    blocks.insert(0, Block::of(BlockKind::QuietWatch));
    let menu = menu::shipped::find("nine").expect("a shipped menu");
    Plan { protocol: Protocol { blocks, ..protocol }, menu, settings, seed: stream.bits() }
}

/// Timed presses at the first rate, at the slower one, and at the first again; then menu tasks.
fn blocks(Sessions { size, rates, .. }: &Sessions) -> Vec<Block> {
    let block = |kind, trials, slower, ends_when| Block { trials, slower, ends_when, ..Block::of(kind) };
    let of = |kind, count: u32, slower: f64, ends_when: Option<Precision>| {
        let parts = (0..count.div_ceil(BLOCK)).map(move |nth| BLOCK.min(count - nth * BLOCK));
        parts.map(move |trials| block(kind, trials, slower, ends_when))
    };
    let precise = Some(Precision::default());
    let timed = |count, slower| of(BlockKind::TimedPress, count, slower, precise);
    if *size == 0 {
        let long = |slower| block(BlockKind::TimedPress, 100, slower, precise);
        let slow = (*rates > 1).then(|| long(SLOWER));
        return std::iter::once(long(1.0)).chain(slow).chain(of(BlockKind::MenuTasks, 4, 1.0, None)).collect();
    }
    let presses = size - size / 4;
    let slow = if *rates > 1 { (presses / 3).max(FEWEST).min(presses) } else { 0 };
    let before = ((presses - slow) / 2).max(FEWEST).min(presses - slow);
    let after = presses - slow - before;
    let blocks = timed(before, 1.0).chain(timed(slow, SLOWER)).chain(timed(after, 1.0));
    blocks.chain(of(BlockKind::MenuTasks, size / 4, 1.0, None)).collect()
}

/// Knows the truth about one client on its menu.
struct Judge<'a> {
    traits: &'a Traits,
    worked: Vec<f64>,
    ways: Ways,
    pace: Pace,
    recovery: Recovery,
    best: f64,
    least: f64,
}

/// Between which intervals the best is looked for. Of a timer only what was measured can be known: beyond
/// that the program advises nothing.
fn judged(traits: &Traits, evidence: &Evidence) -> [f64; 2] {
    let intervals = || evidence.opportunities.iter().filter(|one| one.moving()).map(|one| one.interval_s);
    let [low, high] = [intervals().fold(f64::INFINITY, f64::min), intervals().fold(0.0, f64::max)];
    if traits.aim.is_some() { [low / 1.1, high * 1.1] } else { [0.3, 12.0 * traits.latency.mean()] }
}

/// Only what lasts has to be undone.
fn undone(menu: &Menu) -> Recovery {
    let items = menu.items();
    let lasting = items.iter().filter(|item| !item.effects.is_empty()).count();
    Recovery { undo: lasting as f64 / items.len() as f64, wrong_group: None }
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
        let worked = worked(traits, records, evidence);
        let mut judge =
            Judge { traits, worked, ways, pace, recovery: undone(&evidence.menu), best: 0.3, least: MOST_S };
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
        (judge.least < MOST_S).then_some(judge)
    }

    fn seconds(&self, interval: f64) -> f64 {
        let truth = Truth { traits: self.traits, worked: &self.worked, interval };
        self.ways.seconds_with(&truth, &Pace { interval, ..self.pace }, &self.recovery)
    }

    fn regret(&self, interval: f64) -> Regret {
        let share = (self.seconds(interval) / self.least - 1.0).clamp(0.0, MOST);
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
