//! A household task done by a client of any kind, at the engine: a few choices one after the other,
//! and what goes wrong put right until all are made.
//!
//! Every highlight is seen at its due time. A wrong item that changes something is undone by taking it
//! once more; where the loops are over and the scan waits, the client starts it again. Nothing is
//! logged.

use super::client::Client;
use super::notice::Notice;
use super::traits::Traits;
use super::view::Told;
use crate::engine::Engine;
use crate::engine::effect::{Effect, Input, Lit, Why};
use crate::engine::pattern::Arrangement;
use crate::engine::tree::{Entry, EntryIx, GroupIx, ItemIx, ScanTree};
use crate::menu::Menu;
use crate::session::Asked;
use crate::session::event::{BlockKind, Event};
use crate::session::record::{Record, What};
use crate::settings::{AfterSelection, Settings, StartBy, Technique};
use crate::time::{Moment, Span};

/// Whoever needs longer calls somebody (common practice, no source).
pub const PATIENCE: Span = Span::from_ms(10 * 60_000);

/// A menu with its timings.
#[derive(Clone, Debug)]
pub struct Home {
    arrangement: Arrangement,
    settings: Settings,
    /// The way to each item.
    ways: Vec<Vec<(GroupIx, EntryIx)>>,
}

/// How a task went.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Doing {
    /// From the first highlight to the last choice, in seconds; [`PATIENCE`] where it was given up.
    pub seconds: f64,
    /// Closures of the switch.
    pub hits: u32,
    /// Wrong items taken.
    pub wrong: u32,
    /// All choices were made.
    pub done: bool,
}

impl Home {
    /// The menu under these settings.
    #[must_use]
    pub fn new(menu: &Menu, settings: &Settings) -> Home {
        let arrangement = Arrangement::new(menu, settings);
        let items = (0..arrangement.items().len() as u16).map(ItemIx);
        let ways = items.map(|item| arrangement.tree.path(item).unwrap_or_default()).collect();
        Home { arrangement, settings: settings.clone(), ways }
    }

    /// The menu as it is scanned.
    #[must_use]
    pub fn arrangement(&self) -> &Arrangement {
        &self.arrangement
    }

    /// Its timings.
    #[must_use]
    pub fn settings(&self) -> &Settings {
        &self.settings
    }

    /// A client takes `items` in this order; the same seed gives the same presses.
    #[must_use]
    pub fn does(&self, items: &[ItemIx], traits: &Traits, seed: u64) -> Doing {
        AtTask::new(self, items, Client::new(traits.clone(), seed)).run()
    }

    /// What to take in `group` by one who wants `item`: the next entry on the way, or the way out.
    fn aim(&self, item: ItemIx, group: GroupIx) -> Option<EntryIx> {
        let way = self.ways[usize::from(item.0)].iter().find(|(known, _)| *known == group);
        way.map(|(_, entry)| *entry).or_else(|| {
            let exit = self.arrangement.tree.group(group).entries.iter().position(|entry| *entry == Entry::Exit);
            exit.map(|place| EntryIx(place as u16))
        })
    }

    /// A wrong item that changes something has to be undone.
    fn lasts(&self, item: ItemIx) -> bool {
        !self.arrangement.item(item).effects.is_empty()
    }
}

/// A client before the menu.
struct AtTask<'a> {
    home: &'a Home,
    engine: Engine,
    client: Client,
    notice: Notice,
    /// What is still wanted, the next one last.
    wanted: Vec<ItemIx>,
    /// Wrong items that have to be taken once more first, the latest last.
    undo: Vec<ItemIx>,
    /// The group that is scanned.
    group: GroupIx,
    /// The scan waits for a press.
    armed: bool,
    /// Nothing is asked before this: the pause after a choice.
    paused_until: Moment,
    began: Option<Moment>,
    doing: Doing,
}

impl<'a> AtTask<'a> {
    fn new(home: &'a Home, items: &[ItemIx], client: Client) -> AtTask<'a> {
        let mut engine = Engine::new(home.arrangement.tree.clone(), &home.settings);
        engine.assume_shown(true);
        let mut at_task = AtTask {
            home,
            engine,
            client,
            notice: Notice::default(),
            wanted: items.iter().rev().copied().collect(),
            undo: Vec::new(),
            group: ScanTree::TOP,
            armed: home.settings.start() == StartBy::Press,
            paused_until: Moment::START,
            began: None,
            doing: Doing::default(),
        };
        let values = Box::new(home.settings.clone());
        at_task.note(Event::Settings { revision: 0, scan_interval_us: home.settings.scan_interval(), values });
        at_task.note(Event::BlockBegan { block: 0, kind: BlockKind::MenuTasks });
        at_task
    }

    /// Tells the client's eyes what is known beforehand.
    fn note(&mut self, event: Event) {
        self.notice.take(&Record { at: Moment::START, what: What::Event(event) }, Asked::Nothing);
    }

    fn run(mut self) -> Doing {
        let give_up = Moment::START + PATIENCE;
        self.client.told(Moment::START, Told::Trial { again: false });
        self.start(Moment::START);
        while !self.doing.done {
            let due = self.engine.deadline().unwrap_or(Moment::NEVER);
            let now = due.min(self.client.next_edge());
            if now >= give_up {
                self.doing.seconds = PATIENCE.as_seconds();
                break;
            }
            self.step(now, due);
            if !self.engine.is_scanning() && !self.armed && !self.doing.done {
                self.start(now);
            }
        }
        self.doing
    }

    /// The scan begins, or waits for the press that begins it.
    fn start(&mut self, at: Moment) {
        self.paused_until = at;
        let before = self.asked(at);
        let mut out = Vec::new();
        self.engine.input(at, Input::Start, &mut out);
        self.armed = self.home.settings.start() == StartBy::Press;
        self.take_in(at, before, out);
        if self.asked(at) == Asked::Press {
            self.looks(at, None);
        } else if let Some(view) = self.notice.looks_again(at, Asked::Nothing, self.asked(at)) {
            self.client.sees(&view);
        }
    }

    fn step(&mut self, now: Moment, due: Moment) {
        let before = self.asked(self.engine.now());
        let mut out = Vec::new();
        if due <= now {
            self.engine.advance(now, &mut out);
        } else if let Some((switch, down)) = self.client.edge() {
            self.doing.hits += u32::from(down);
            self.engine.edge(now, switch, down, &mut out);
        }
        self.take_in(now, before, out);
        if let Some(view) = self.notice.looks_again(now, before, self.asked(now)) {
            self.client.sees(&view);
        }
    }

    /// What happened is noticed, and what is lit now is seen.
    fn take_in(&mut self, now: Moment, asked: Asked, effects: Vec<(Moment, Effect)>) {
        let (mut newest, mut in_vain) = (None, false);
        for (at, effect) in effects {
            match &effect {
                Effect::Highlight { number, lit, .. } => {
                    newest = Some(*number);
                    self.lights(at, *lit);
                }
                Effect::NotCounted { .. } => in_vain = true,
                _ => self.follows(at, &effect),
            }
            self.notice.take(&Record { at, what: What::Effect(effect) }, asked);
        }
        if newest.is_some() || (in_vain && self.asked(now) == Asked::Press) {
            self.looks(now, newest);
        }
    }

    fn lights(&mut self, at: Moment, lit: Lit) {
        if let Lit::Entry { group, .. } = lit {
            self.began = self.began.or(Some(at));
            (self.group, self.armed) = (group, false);
        }
    }

    /// Where the scan is after a choice.
    fn follows(&mut self, at: Moment, effect: &Effect) {
        match effect {
            Effect::Taken { item, .. } => self.took(at, *item),
            Effect::Entered { into, .. } => self.group = *into,
            Effect::Left { group, .. } => {
                self.group = self.home.arrangement.tree.group(*group).parent.unwrap_or(ScanTree::TOP);
            }
            Effect::Stopped { why } => self.armed = *why == Why::Loops,
            _ => {}
        }
    }

    fn took(&mut self, at: Moment, item: ItemIx) {
        let settings = &self.home.settings;
        self.group = ScanTree::TOP;
        if settings.after_selection() == AfterSelection::Stop {
            self.armed = settings.start() == StartBy::Press;
        } else {
            self.paused_until = at + settings.pause_after_selection();
        }
        if let Some(place) = self.undo.iter().position(|wrong| *wrong == item) {
            self.undo.remove(place);
        } else if self.undo.is_empty() && self.wanted.last() == Some(&item) {
            self.wanted.pop();
            self.doing.done = self.wanted.is_empty();
            self.doing.seconds = at.since(self.began.unwrap_or(at)).as_seconds();
        } else {
            self.doing.wrong += 1;
            self.undo.extend(Some(item).filter(|item| self.home.lasts(*item)));
        }
    }

    /// What the client sees; without a number the screen is as it was.
    fn looks(&mut self, at: Moment, number: Option<u64>) {
        let asked = self.asked(at);
        let view = self.notice.shown(number.unwrap_or(0), at, asked);
        self.client.sees(&view);
    }

    fn asked(&self, at: Moment) -> Asked {
        // In inverse scanning the press that starts the scan is the one that is held.
        if self.armed && self.home.settings.technique() != Technique::Inverse {
            return Asked::Press;
        }
        let item = self.undo.last().or(self.wanted.last()).filter(|_| at >= self.paused_until);
        match item.and_then(|item| self.home.aim(*item, self.group)) {
            Some(entry) => Asked::Entry(self.group, entry),
            None => Asked::Nothing,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::latency::Latency;
    use super::super::traits::STEADY;
    use super::*;
    use crate::menu::shipped;
    use crate::settings::Id;

    /// Presses half a second after the highlight, never otherwise.
    fn sharp() -> Traits {
        let latency = Latency::ExGaussian { mu_s: 0.5, sigma_s: 0.0, tau_s: 0.0 };
        Traits { latency, miss: 0.0, involuntary_per_s: 0.0, rests: 0.0, ..STEADY }
    }

    fn done(menu: &str, settings: &Settings, items: &[&str], traits: &Traits) -> Doing {
        let home = Home::new(&shipped::find(menu).unwrap(), settings);
        let items: Vec<ItemIx> = items.iter().map(|id| home.arrangement().find(id).unwrap()).collect();
        home.does(&items, traits, 1)
    }

    #[test]
    fn a_choice_takes_the_time_to_its_entry_and_the_latency() {
        // Two seconds an item, one more for the first: the second lights at 3 s, the sixth at 11 s.
        let lamp = done("six", &Settings::default(), &["lamp-on"], &sharp());
        assert_eq!(lamp, Doing { seconds: 3.5, hits: 1, wrong: 0, done: true });
        let curtains = done("six", &Settings::default(), &["curtains-open"], &sharp());
        assert_eq!(curtains.seconds, 11.5);
        // One after the other, with a pause of 1 s.
        assert_eq!(done("six", &Settings::default(), &["lamp-on", "curtains-open"], &sharp()).seconds, 16.0);
    }

    #[test]
    fn a_question_is_one_more_press() {
        // The fifth at 9 s; then yes is the second of two: one more interval and the first-item time.
        let door = done("six", &Settings::default(), &["door-open"], &sharp());
        assert_eq!(door, Doing { seconds: 9.0 + 0.5 + 3.0 + 0.5, hits: 2, wrong: 0, done: true });
    }

    #[test]
    fn every_technique_and_start_leads_to_the_end() {
        for technique in ["automatic", "step", "step-auto-accept", "inverse"] {
            for (start, after) in [(0, 0), (1, 0), (1, 2), (0, 2), (0, 1)] {
                let settings =
                    Settings::for_technique(technique).with(Id::Start, start).with(Id::AfterSelection, after);
                for menu in ["six", "flat"] {
                    let doing = done(menu, &settings, &["lamp-on", "alarm-call"], &sharp());
                    assert!(doing.done && doing.wrong == 0, "{technique} {start} {after} {menu}: {doing:?}");
                }
            }
        }
    }

    #[test]
    fn a_late_press_takes_a_wrong_item_which_is_undone() {
        // Two of three presses come an item late: undone and begun again until it is right.
        let latency = Latency::Quantiles { seconds: vec![1.2, 1.5, 2.4, 3.6] };
        let doing = done("six", &Settings::default(), &["lamp-on"], &Traits { latency, ..sharp() });
        assert!(doing.done && doing.wrong > 0 && doing.hits > 2 * doing.wrong, "{doing:?}");
    }

    #[test]
    fn a_scan_that_has_stopped_is_started_again_and_one_who_does_nothing_is_given_up() {
        let far_away = Traits { miss: 0.9, ..sharp() };
        let doing = done("six", &Settings::default().with(Id::LoopsTop, 1), &["lamp-on"], &far_away);
        assert!(doing.done && doing.hits > 1, "{doing:?}");
        for loops in [0, 3] {
            let absent = Traits { stops_after_s: Some(0.0), ..sharp() };
            let doing = done("six", &Settings::default().with(Id::LoopsTop, loops), &["lamp-on"], &absent);
            assert_eq!(doing, Doing { seconds: 600.0, ..Doing::default() });
        }
    }
}
