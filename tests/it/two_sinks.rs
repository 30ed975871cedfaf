//! A session that is logged and selections that are counted are the same run: what the log of the one
//! adds up to is what the other counts, exactly.

use std::collections::VecDeque;
use std::sync::Arc;

use pacewright::engine::effect::{Effect, Lit, Why};
use pacewright::engine::pattern::Arrangement;
use pacewright::engine::tree::{EntryIx, ItemIx, ScanTree};
use pacewright::log::header::Header;
use pacewright::log::reader;
use pacewright::log::writer::Writer;
use pacewright::session::event::{BlockKind, Event};
use pacewright::session::input::Input;
use pacewright::session::protocol::{Block, Protocol};
use pacewright::session::record::{Record, What};
use pacewright::session::stop::StopRules;
use pacewright::session::{Plan, Session, shipped};
use pacewright::settings::{Id, Settings};
use pacewright::sim::client::Client;
use pacewright::sim::counts::Counts;
use pacewright::sim::plan::{Plan as Selections, Trials};
use pacewright::sim::selecting::Selecting;
use pacewright::sim::sitting::sit;
use pacewright::sim::traits::{Aim, Contact, Course, Recovery, STEADY, Spasm, Traits, Tremor};
use pacewright::time::{Moment, Span};

/// When the clinician begins, and how long a frame takes to the screen, in [`sit`].
const BEGIN: Moment = Moment(2_000_000);
const FRAME: Span = Span(8_333);

fn plan(block: Block, settings: &Settings, seed: u64) -> Plan {
    let (shipped, menu) = shipped::find("longer-trial").unwrap();
    let stop = StopRules { omissions: 0, errors: 0, window: 1, slowing: 0.0, minutes: 0.0 };
    let protocol = Protocol { blocks: vec![block], stop, rest_every: 0, settings: serde_json::Map::new(), ..shipped };
    Plan { protocol, menu, settings: settings.clone(), seed }
}

/// The records of the session as they come back from its log.
fn logged(plan: &Plan, traits: &Traits) -> Vec<Record> {
    let mut writer = Writer::begin(Vec::new(), &Header::for_plan(plan)).unwrap();
    let mut client = Client::new(traits.clone(), plan.seed);
    let end = sit(&mut Session::new(plan.clone()), &mut client, |fresh| {
        fresh.iter().for_each(|record| writer.add(record).unwrap());
    });
    writer.end(end.unwrap()).unwrap();
    let (file, problems) = reader::read(writer.into_sink().as_slice(), "log");
    assert_eq!(problems, []);
    file.known().cloned().collect()
}

/// Where the items stand.
struct Menu {
    tree: Arc<ScanTree>,
    arrangement: Option<Arrangement>,
}

impl Menu {
    fn item(&self, target: &str) -> ItemIx {
        match &self.arrangement {
            Some(arrangement) => arrangement.find(target).unwrap(),
            None => ItemIx(target.strip_prefix("tile-").unwrap().parse::<u16>().unwrap() - 1),
        }
    }
}

/// What the log adds up to, and the targets of its trials.
fn added_up(records: &[Record], menu: &Menu) -> (Counts, Vec<ItemIx>) {
    let (mut counts, mut targets, mut hits) = (Counts::default(), Vec::new(), 0);
    // What is seen after the choice is no lighting any more.
    let (mut frames, mut scanned) = (VecDeque::new(), false);
    for Record { what, .. } in records {
        let wanted = |place| targets.last().is_some_and(|target| menu.tree.path(*target).unwrap().contains(&place));
        match what {
            What::Event(Event::TrialBegan { target, .. }) => {
                scanned = true;
                targets.push(menu.item(target));
            }
            What::Event(Event::Trial(trial)) if trial.reached => counts.selected(trial.ended.since(trial.began).0),
            What::Input(Input::Shown { number }) => {
                while frames.front().is_some_and(|(highlight, _)| highlight <= number) {
                    if let Some((_, Lit::Entry { group, entry, .. })) = frames.pop_front() {
                        counts.lightings += u64::from(scanned && wanted((group, entry)));
                    }
                }
            }
            What::Effect(Effect::Pressed { .. }) => hits += 1,
            What::Effect(Effect::Taken { item, group, entry, .. }) => {
                counts.wrong_items += u64::from(Some(item) != targets.last());
                counts.in_time += u64::from(wanted((*group, *entry)));
                (counts.hits, scanned) = (hits, false);
            }
            What::Effect(Effect::Entered { group, entry, .. }) => {
                let right = wanted((*group, *entry));
                (counts.in_time, counts.wrong_groups) =
                    (counts.in_time + u64::from(right), counts.wrong_groups + u64::from(!right));
            }
            What::Effect(Effect::Left { why: Why::Loops, .. }) => counts.left_groups += 1,
            What::Effect(Effect::Stopped { .. }) => {
                (counts.stops, counts.hits, scanned) = (counts.stops + 1, hits, false);
            }
            What::Effect(Effect::Highlight { number, lit, .. }) => {
                frames.push_back((*number, *lit));
                counts.passes += u64::from(matches!(lit, Lit::Entry { entry: EntryIx(0), .. }));
            }
            _ => {}
        }
    }
    (counts, targets)
}

/// Runs both and compares; gives what was counted.
fn same(block: Block, settings: &Settings, traits: &Traits, seed: u64) -> Counts {
    let plan = plan(block, settings, seed);
    let arrangement =
        (plan.protocol.blocks[0].kind == BlockKind::MenuTasks).then(|| Arrangement::new(&plan.menu, settings));
    let tree = arrangement.as_ref().map_or_else(|| Arc::new(ScanTree::linear(6)), |known| Arc::clone(&known.tree));
    let loops = if arrangement.is_some() { 2 } else { 1 };
    let menu = Menu { tree, arrangement };
    let (logged, targets) = added_up(&logged(&plan, traits), &menu);

    let settings = settings.clone().with(Id::Start, 0).with(Id::AfterSelection, 2).with(Id::LoopsTop, loops);
    let how = format!("{:?}, {:?}", settings.technique(), settings.pattern());
    let weights = vec![1.0; menu.arrangement.as_ref().map_or(6, |known| known.items().len())];
    let trials = Trials { begin: BEGIN, lead: settings.cue_lead(), lag: FRAME };
    let selections = Selections::new(menu.tree, settings, &weights, false, true, Span::from_ms(3_600_000)).unwrap();
    let selections = selections.as_trials(trials);
    let mut selecting = Selecting::new(&selections, Client::new(traits.clone(), seed));
    let counted = targets.iter().fold(Counts::default(), |_, target| selecting.select(*target, &mut |_| ()));

    assert_eq!(counted, logged, "{how}, seed {seed}");
    counted
}

fn timed(trials: u32) -> Block {
    Block { trials, tiles: 6, ..Block::of(BlockKind::TimedPress) }
}

fn quick(interval_us: i64) -> Settings {
    Settings::default().with(Id::ScanInterval, interval_us).with(Id::CueLead, 700_000)
}

#[test]
fn lists_of_tiles_count_alike_logged_or_not() {
    let hasty = Traits { miss: 0.15, involuntary_per_s: 0.1, ..STEADY };
    let wild = Traits {
        contact: Contact { bounces: 2, bounce_s: 0.01, drop_outs_per_s: 3.0, drop_out_s: 0.05 },
        tremor: Tremor { share: 0.3, hertz: 5.0, presses: 4 },
        spasm: Spasm { per_s: 0.03, presses: 3, gap_s: 0.3 },
        course: Course { slower_per_min: 0.05, lapses_per_min: 0.02, ..Course::default() },
        ..STEADY
    };
    let late = Traits { gives_up_late: 0.5, ..hasty.clone() };
    let aim = Some(Aim { share: 0.4, offset_s: 0.0, sd_s: 0.2, sd_share: 0.05 });
    let timer = Traits { aim, miss: 0.1, ..STEADY };
    let mut wrong = 0;
    for traits in [STEADY, hasty, wild, late, timer] {
        for seed in 0..3 {
            for settings in [quick(700_000), quick(500_000).with(Id::Hold, 100_000).with(Id::Lockout, 0)] {
                wrong += same(timed(60), &settings, &traits, seed).wrong_items;
            }
        }
    }
    assert!(wrong > 100, "errors were among what was compared: {wrong}");
}

#[test]
fn menus_count_alike_logged_or_not_under_every_technique_and_pattern() {
    // After a wrong choice the session explains it for 2.5 s.
    let sure = Traits { miss: 0.0, involuntary_per_s: 0.02, ..STEADY };
    let waits = Traits { recovery: Recovery { takes_exit: 0.0, tries_again: 1.0 }, ..sure.clone() };
    let tasks = Block { trials: 24, ..Block::of(BlockKind::MenuTasks) };
    let mut wrong_groups = 0;
    for technique in ["automatic", "step", "step-auto-accept", "inverse"] {
        for pattern in [0, 2, 3] {
            for (seed, traits) in [(1, &sure), (2, &waits)] {
                let settings = Settings::for_technique(technique)
                    .with(Id::ScanInterval, 1_100_000)
                    .with(Id::Pattern, pattern)
                    .with(Id::PauseAfterSelection, 2_500_000)
                    .with(Id::CueLead, 500_000);
                let counts = same(tasks.clone(), &settings, traits, seed);
                assert!(counts.selections >= 20, "{technique}, pattern {pattern}: {counts:?}");
                wrong_groups += counts.wrong_groups;
            }
        }
    }
    assert!(wrong_groups > 0, "a group was entered by mistake");
}
