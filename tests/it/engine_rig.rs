//! Scripts for the engine, written so that a clinician can follow them.
//!
//! A script has one line for each thing that is done (left of the bar, with its time in milliseconds)
//! and for each thing that must come of it (right of the bar). Lines read downwards; what stands
//! right of a bar must be the whole trace, in this order:
//!
//! ```text
//!    0 start | 0 light a
//!            | 1000 light b
//! 1200 down  | 1200 take b, 200 after it was shown
//! ```
//!
//! Done: `start`, `halt`, `stalled`, `leave`, `down`, `up`, `down 2`, `up 2` (the second switch),
//! `frame N` (highlight N was handed to the screen), `wait`, `set SETTINGS`, `roles step select`,
//! `tiles N` (N tiles of 1° side by side, 1° apart), `point X` (thousandths of a degree), `gone`. A stamp `900@1000` is handed
//! in once everything up to 1000 has been done. A menu is written as its items, with groups in round
//! brackets and `back` for an exit: `a (b c back)`; a group is called by its first item: `[b]`.

use std::fmt::Write;
use std::sync::Arc;

use pacewright::engine::Engine;
use pacewright::engine::effect::{Activation, Effect, Ignored, Input, Lit, Role, Spot, Switch, Why};
use pacewright::engine::tree::{Entry, EntryIx, GroupIx, ItemIx, ScanGroup, ScanTree};
use pacewright::settings::{self, Settings};
use pacewright::time::Moment;

/// All times zero where they may be, one second an item, no exit, no limit to the loops.
const PLAIN: &str = "scan_interval 1, first_after_start 0, first_in_group 0, pause_after_selection 0, \
    debounce 0, drop_out 0, lockout 0, loops_top no limit, loops_inside no limit";

/// Settings from text: `hold 0.3, act_on release`; all else as in [`PLAIN`].
pub fn with(changes: &str) -> Settings {
    changed(changed(Settings::default(), PLAIN), changes)
}

fn changed(settings: Settings, changes: &str) -> Settings {
    changes.split(',').map(str::trim).filter(|change| !change.is_empty()).fold(settings, |settings, change| {
        let (name, value) = change.split_once(' ').expect("a name and a value");
        let id = settings::find(name).unwrap_or_else(|error| panic!("{change}: {error:?}"));
        let value = settings::parse_value(id, value).unwrap_or_else(|error| panic!("{change}: {error:?}"));
        settings.with(id, value)
    })
}

/// A menu with the names of its items.
pub struct Menu {
    pub tree: Arc<ScanTree>,
    names: Vec<String>,
}

impl Menu {
    pub fn new(text: &str) -> Menu {
        let spaced = text.replace('(', " ( ").replace(')', " ) ");
        let mut words = spaced.split_whitespace();
        let mut menu = Reading { groups: Vec::new(), names: Vec::new() };
        menu.group(None, &mut words);
        Menu { tree: Arc::new(ScanTree { groups: menu.groups }), names: menu.names }
    }

    fn entry(&self, group: GroupIx, entry: EntryIx) -> String {
        match self.tree.group(group).entries[usize::from(entry.0)] {
            Entry::Item(item) => self.names[usize::from(item.0)].clone(),
            Entry::Group(into) => self.group(into),
            Entry::Exit => "back".into(),
        }
    }

    fn group(&self, group: GroupIx) -> String {
        if group == ScanTree::TOP {
            return "the top".into();
        }
        let named = self.tree.group(group).entries.iter().position(|entry| *entry != Entry::Exit).unwrap_or(0);
        let inner = self.entry(group, EntryIx(named as u16));
        format!("[{}]", inner.trim_matches(['[', ']']))
    }
}

struct Reading {
    groups: Vec<ScanGroup>,
    names: Vec<String>,
}

impl Reading {
    fn group<'a>(&mut self, parent: Option<GroupIx>, words: &mut impl Iterator<Item = &'a str>) -> GroupIx {
        let here = GroupIx(self.groups.len() as u16);
        self.groups.push(ScanGroup { parent, entries: Vec::new() });
        while let Some(word) = words.next().filter(|word| *word != ")") {
            let entry = match word {
                "(" => Entry::Group(self.group(Some(here), words)),
                "back" => Entry::Exit,
                name => {
                    self.names.push(name.into());
                    Entry::Item(ItemIx(self.names.len() as u16 - 1))
                }
            };
            self.groups[usize::from(here.0)].entries.push(entry);
        }
        here
    }
}

/// How the screen follows.
#[derive(Clone, Copy, PartialEq)]
pub enum Screen {
    /// Each highlight is seen at its due time.
    AtOnce,
    /// Frames are reported by the script; highlights are written with their number.
    ByScript,
}

/// What of the trace is compared.
#[derive(Clone, Copy, PartialEq)]
pub enum Show {
    /// What the scanner did.
    Scan,
    /// What the switch filter did.
    Filter,
}

/// Runs a script and compares its trace.
pub fn check(settings: &str, menu: &str, screen: Screen, show: Show, script: &str) {
    let menu = Menu::new(menu);
    let mut engine = Engine::new(menu.tree.clone(), &with(settings));
    engine.assume_shown(screen == Screen::AtOnce);
    let mut trace = Vec::new();
    let mut wanted = String::new();
    for line in script.lines().filter(|line| !line.trim().is_empty()) {
        let (done, expected) = line.split_once('|').unwrap_or((line, ""));
        if !done.trim().is_empty() {
            act(&mut engine, settings, done.trim(), &mut trace);
        }
        if !expected.trim().is_empty() {
            writeln!(wanted, "{}", expected.trim()).unwrap();
        }
    }
    let told = Telling { menu: &menu, numbers: screen == Screen::ByScript };
    let lines = trace.iter().filter(|(_, effect)| is_shown(effect, show));
    let got: String = lines.map(|(at, effect)| format!("{} {}\n", ms(*at), told.effect(effect))).collect();
    assert!(got == wanted, "{settings}\nexpected:\n{wanted}\ngot:\n{got}");
}

/// A script about the scanner, with a screen that follows at once.
pub fn scan(settings: &str, menu: &str, script: &str) {
    check(settings, menu, Screen::AtOnce, Show::Scan, script);
}

/// A script about the scanner, with frames as the script reports them.
pub fn frames(settings: &str, menu: &str, script: &str) {
    check(settings, menu, Screen::ByScript, Show::Scan, script);
}

/// A script about the switch filter.
pub fn filter(settings: &str, script: &str) {
    check(settings, "a", Screen::AtOnce, Show::Filter, script);
}

fn act(engine: &mut Engine, settings: &str, line: &str, trace: &mut Vec<(Moment, Effect)>) {
    let (time, what) = line.split_once(' ').unwrap_or_else(|| panic!("`{line}` has no action"));
    let (stamp, now) = time.split_once('@').map_or((time, None), |(stamp, now)| (stamp, Some(now)));
    if let Some(now) = now {
        engine.advance(moment(now), trace);
    }
    let at = moment(stamp);
    let (word, rest) = what.trim().split_once(' ').unwrap_or((what.trim(), ""));
    let switch = Switch(if word == "down" || word == "up" { rest.parse().unwrap_or(1) - 1 } else { 0 });
    match word {
        "start" => engine.input(at, Input::Start, trace),
        "halt" => engine.input(at, Input::Halt, trace),
        "stalled" => engine.input(at, Input::Stalled, trace),
        "down" => engine.input(at, Input::Edge { switch, down: true }, trace),
        "up" => engine.input(at, Input::Edge { switch, down: false }, trace),
        "frame" => engine.input(at, Input::Shown { number: rest.parse().expect("a number") }, trace),
        "wait" => engine.advance(at, trace),
        "leave" => engine.leave(at, trace),
        "tiles" => engine.lay_out(at, spots(rest), trace),
        "point" => engine.point(at, Some((rest.parse().expect("a place"), 500)), trace),
        "gone" => engine.point(at, None, trace),
        "roles" => engine.set_roles(at, Some(rest.split(' ').map(role).collect()), trace),
        "set" => engine.set(at, &changed(with(settings), rest), trace),
        other => panic!("no such action: `{other}`"),
    }
}

/// So many tiles of 1° side by side, with 1° between.
fn spots(count: &str) -> Vec<Spot> {
    let count: i32 = count.parse().expect("a number of tiles");
    (0..count).map(|place| Spot { x: 2_000 * place, y: 0, width: 1_000, height: 1_000 }).collect()
}

fn role(name: &str) -> Role {
    let named = Role::ALL.into_iter().find(|role| format!("{role:?}").eq_ignore_ascii_case(name));
    named.unwrap_or_else(|| panic!("no such role: `{name}`"))
}

/// Milliseconds, with microseconds behind the point.
fn moment(text: &str) -> Moment {
    let milliseconds: f64 = text.parse().unwrap_or_else(|_| panic!("`{text}` is no time"));
    Moment((milliseconds * 1000.0).round() as u64)
}

fn ms(at: Moment) -> String {
    (at.0 as f64 / 1000.0).to_string()
}

fn is_shown(effect: &Effect, show: Show) -> bool {
    let switches = matches!(effect, Effect::Pressed { .. } | Effect::Released { .. } | Effect::Activated(_));
    let both = matches!(
        effect,
        Effect::NotCounted { .. } | Effect::Stuck { .. } | Effect::Unstuck { .. } | Effect::LongPress { .. }
    );
    let filters = switches || matches!(effect, Effect::ShutOut { .. });
    both || filters == (show == Show::Filter)
}

struct Telling<'a> {
    menu: &'a Menu,
    numbers: bool,
}

impl Telling<'_> {
    fn effect(&self, effect: &Effect) -> String {
        match effect {
            Effect::Highlight { number, lit, .. } if self.numbers => format!("{} #{number}", self.lit(*lit)),
            Effect::Highlight { lit, .. } => self.lit(*lit),
            Effect::Taken { group, entry, latency_us, .. } => {
                format!("take {}{}", self.menu.entry(*group, *entry), after(*latency_us))
            }
            Effect::Entered { into, latency_us, .. } => {
                format!("enter {}{}", self.menu.group(*into), after(*latency_us))
            }
            Effect::Left { group, why, .. } => format!("leave {}: {}", self.menu.group(*group), reason(*why)),
            Effect::Stopped { why } => format!("stop: {}", reason(*why)),
            Effect::Filled { eighths } => format!("filled {eighths}/8"),
            Effect::Rested { group, entry, since, until, .. } => {
                format!("stayed on {} for {}", self.menu.entry(*group, *entry), ms(Moment(until.since(*since).0)))
            }
            Effect::Called { by } => format!("called{}", other(by.switch)),
            Effect::Stalled { late } => format!("stalled, {} late", ms(Moment(late.0))),
            filters => filter_effect(filters),
        }
    }

    fn lit(&self, lit: Lit) -> String {
        match lit {
            Lit::Nothing => "dark".into(),
            Lit::Entry { group, entry, pass: 0 } => format!("light {}", self.menu.entry(group, entry)),
            Lit::Entry { group, entry, pass } => {
                format!("light {} in pass {}", self.menu.entry(group, entry), pass + 1)
            }
        }
    }
}

fn after(latency_us: i64) -> String {
    format!(", {} after it was shown", latency_us as f64 / 1000.0)
}

fn filter_effect(effect: &Effect) -> String {
    match effect {
        Effect::Pressed { switch, edge } => format!("pressed{} at {}", other(*switch), ms(*edge)),
        Effect::Released { switch, pressed, edge } => {
            format!("released{} at {} after {}", other(*switch), ms(*edge), ms(Moment(edge.since(*pressed).0)))
        }
        Effect::Activated(Activation { switch, pressed, .. }) => {
            format!("counts{} from {}", other(*switch), ms(*pressed))
        }
        Effect::NotCounted { switch, pressed, why } => {
            format!("ignored{} from {}: {}", other(*switch), ms(*pressed), not_counted(*why))
        }
        Effect::Stuck { switch } => format!("stuck{}", other(*switch)),
        Effect::Unstuck { switch } => format!("free again{}", other(*switch)),
        Effect::LongPress { switch } => format!("long press{}", other(*switch)),
        Effect::ShutOut { switch } => format!("shut out{}", other(*switch)),
        other => panic!("no words for {other:?}"),
    }
}

/// Which switch, where it is not the first.
fn other(switch: Switch) -> String {
    if switch == Switch(0) { String::new() } else { format!(" {}", switch.0 + 1) }
}

fn not_counted(why: Ignored) -> &'static str {
    match why {
        Ignored::Lockout => "lockout",
        Ignored::TooShort => "too short",
        Ignored::NothingLit => "nothing lit",
        Ignored::NoRole => "no role",
    }
}

fn reason(why: Why) -> &'static str {
    match why {
        Why::Loops => "loops",
        Why::Exit => "exit",
        Why::ExitSwitch => "exit switch",
        Why::LongPress => "long press",
        Why::Asked => "asked",
        Why::Stuck => "stuck",
        Why::Lag => "lag",
        Why::Cancelled => "cancelled",
    }
}
