//! `simulate`: how a virtual client would fare under other settings.

use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;

use super::simulate_args::SimulateArgs;
use super::simulated::{csv, plot, text};
use super::{Done, Trouble, files, print_line, progress};
use crate::advice::contradiction::of_client;
use crate::advice::recommendation::Remark;
use crate::problem::Problem;
use crate::settings::Id;
use crate::sim::blocks::Blocks;
use crate::sim::outcome::Outcome;
use crate::sim::parts;
use crate::sim::study::Study;
use crate::sim::sweep::{Axis, Point, points};
use crate::sim::tally::Tally;
use crate::sim::traits::Traits;
use crate::store;

/// What `--help` adds.
pub(super) const HELP: &str = "\
A selection lasts from the start of the scan to the choice of the wanted item: wrong choices, pauses after them and new
passes included, the pause after the right choice not. One that takes more than ten minutes is given up. A client sits
down afresh after every 50 selections. Omissions are lightings of the wanted entry that went by, late presses included.
Intervals (95 %) cover the chance of the simulation, not what is unknown of a client.

Where an exact solution is known it stands beside the simulated values: an automatic scan of a list, or of equal rows
without exits, that never stops (loops_top=\"no limit\", loops_inside=1, exit=none, lockout=0, first-item times 0 or on
every pass), for a client who only reacts, lapses and presses by accident (presses last no time there).

  simulate --profile steady --set scan_interval=0.6:2.0:0.1
  simulate --profile spasm --set hold=0,0.1,0.2 --set lockout=0:1:0.25 --undo
  simulate --profile timer --technique automatic,step --pattern linear,row-column --as csv --out sweep.csv
  simulate --profile steady --set scan_interval=0.6:2:0.1 --shard 1/2 --as json --out part-1.json
  simulate --merge part-1.json part-2.json --plot sweep.svg";

/// Settings that play no part where selections are only counted.
const WITHOUT_PART: [Id; 5] = [Id::CueLead, Id::Dwell, Id::LeaveTime, Id::LeaveAngle, Id::LateLimit];

pub(super) fn run(args: &SimulateArgs) -> Done {
    let outcome = if args.merge.is_empty() { studied(args)? } else { merged(args)? };
    if let Some(path) = &args.plot {
        store::write_whole(path, plot::svg(&outcome).map_err(|what| plotless(path, what))?.as_bytes())?;
    }
    let result = match args.form.as_str() {
        "csv" => csv::table(&outcome),
        "json" => format!("{:#}\n", outcome.to_json()),
        _ => text::table(&outcome),
    };
    match &args.out {
        Some(path) => store::write_whole(path, result.as_bytes())?,
        None => print_line(format_args!("{}", result.trim_end_matches('\n'))),
    }
    ended(&outcome)
}

/// Whether all of it was done, and whether anybody got there.
fn ended(outcome: &Outcome) -> Done {
    if !outcome.is_complete() {
        let (done, of) = (outcome.points.len(), outcome.of);
        return Err(Trouble::Failed(format!("stopped: {done} of {of} combinations are done and kept")));
    }
    if outcome.blocks.parts == 1 && outcome.points.iter().all(|(_, tally)| tally.counts.selections == 0) {
        let what = format!("`{}` never gets the wanted item; every selection was given up", outcome.profile.name);
        let remedy = "give a client who presses, or settings that let its presses count";
        return Err(Problem::error("--profile", None, what, remedy).into());
    }
    Ok(())
}

fn plotless(path: &Path, what: &str) -> Trouble {
    let remedy = "give `--set` several values of a setting, as `scan_interval=0.6:2.0:0.1`";
    Problem::error(&path.display().to_string(), None, what, remedy).into()
}

fn merged(args: &SimulateArgs) -> Result<Outcome, Trouble> {
    let read = |path: &std::path::PathBuf| -> Result<(String, Outcome), Problem> {
        let name = path.display().to_string();
        let bytes = store::read_at_most(path, LARGEST, "split the sweep")?;
        let outcome = parts::read(&name, &bytes)?;
        Ok((name, outcome))
    };
    let read = args.merge.iter().map(read).collect::<Result<Vec<_>, _>>()?;
    Ok(parts::together(read)?)
}

/// No file of a study is larger, in bytes.
const LARGEST: u64 = 1 << 28;

fn studied(args: &SimulateArgs) -> Result<Outcome, Trouble> {
    let profile = files::profile(args.profile.as_deref().unwrap_or_default())?;
    let menu = files::menu(&args.menu)?;
    let axes = axes(args)?;
    let all = points(&axes).map_err(|error| set_problem(&error.to_string()))?;
    let blocks = Blocks { selections: args.selections, ..part(args)? };
    refuse(&all, &profile.traits)?;
    let study = Study { traits: profile.traits.clone(), menu: menu.clone(), undo: args.undo, seed: args.seed, blocks };
    let of = all.len();
    let points = sweep(&study, all, threads(args))?;
    Ok(Outcome { profile, menu, undo: args.undo, seed: args.seed, blocks, axes, points, of })
}

/// Runs point after point until all are done or somebody stops it.
fn sweep(study: &Study, points: Vec<Point>, threads: usize) -> Result<Vec<(Point, Tally)>, Trouble> {
    let stop = Arc::new(AtomicBool::new(false));
    let asked = Arc::clone(&stop);
    // Without it the sweep runs, and Ctrl-C loses what was done.
    let _ = ctrlc::set_handler(move || asked.store(true, Ordering::Relaxed));
    let (mut done, of) = (Vec::with_capacity(points.len()), points.len());
    for point in points {
        progress(&format!("{} of {of} combinations", done.len()));
        let tally = study.at(&point, threads, &stop);
        if stop.load(Ordering::Relaxed) {
            break;
        }
        done.push((point, tally));
    }
    progress("");
    Ok(done)
}

fn threads(args: &SimulateArgs) -> usize {
    let all = || thread::available_parallelism().map_or(1, usize::from);
    args.threads.map_or_else(all, usize::from)
}

fn axes(args: &SimulateArgs) -> Result<Vec<Axis>, Trouble> {
    let named = [("technique", &args.technique), ("pattern", &args.pattern)];
    let named = named.into_iter().filter_map(|(name, values)| Some(format!("{name}={}", values.as_ref()?)));
    let axes: Result<Vec<Axis>, _> = named.chain(args.set.iter().cloned()).map(|text| Axis::parse(&text)).collect();
    let axes = axes.map_err(|error| set_problem(&error.to_string()))?;
    match axes.iter().find(|axis| WITHOUT_PART.contains(&axis.id)) {
        Some(axis) => {
            let what = format!("`{}` has no part in counted selections", axis.id.setting().name);
            Err(Problem::error("--set", None, what, "leave it out").into())
        }
        None => Ok(axes),
    }
}

fn set_problem(what: &str) -> Trouble {
    Problem::error("--set", None, what, "`pacewright settings` lists them all").into()
}

fn part(args: &SimulateArgs) -> Result<Blocks, Trouble> {
    let Some(text) = &args.shard else { return Ok(Blocks::whole(0)) };
    let number = |text: &str| text.trim().parse::<u64>().ok();
    let read = text.split_once('/').and_then(|(part, parts)| Some((number(part)?, number(parts)?)));
    match read {
        Some((part, parts)) if (1..=parts).contains(&part) && args.form == "json" => {
            Ok(Blocks { selections: 0, part: part - 1, parts })
        }
        Some((part, parts)) if (1..=parts).contains(&part) => {
            let what = "a part is kept as JSON, to be put together with the others";
            Err(Problem::error("--shard", None, what, "add `--as json`").into())
        }
        _ => {
            let what = format!("`{text}` is no part of a whole");
            Err(Problem::error("--shard", None, what, "write `1/3` for the first of three").into())
        }
    }
}

/// Refuses what contradicts itself, and says where first.
fn refuse(points: &[Point], traits: &Traits) -> Done {
    let broken = |point: &Point| Some((point.label(), of_client(&point.settings, traits).into_iter().next()?));
    let found: Vec<(String, Remark)> = points.iter().filter_map(broken).collect();
    let Some((label, Remark { text, remedy })) = found.first() else { return Ok(()) };
    let at = if label.is_empty() { String::new() } else { format!("at {label}: ") };
    let many = format!(" So it is in {} of {} combinations.", found.len(), points.len());
    let what = format!("{at}{text}{}", if points.len() > 1 { &many } else { "" });
    Err(Problem::error("--set", None, what.trim_end_matches('.'), remedy.trim_end_matches('.')).into())
}
