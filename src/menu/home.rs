//! The simulated home: what a choice would do, as levels to be drawn.
//!
//! Nothing here or anywhere else in the program drives a real appliance or calls anybody. A choice
//! that touches the alarm call always answers [`PRACTICE`], whatever the menu says.

use serde::{Deserialize, Serialize};

use super::{Change, Effect, Item, Menu, Thing};

/// What the simulated alarm call always answers.
pub const PRACTICE: &str = "This is practice. Nobody has been called.";

/// The names of all kinds of thing in a menu file.
pub const KINDS: &[&str] = &[
    "lamp",
    "curtain",
    "window",
    "door",
    "lock",
    "intercom",
    "telephone",
    "alarm",
    "heater",
    "fan",
    "bed",
    "television",
    "music",
    "lift",
    "computer",
];

/// The kinds of thing that the simulated home can show.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum HomeKind {
    /// A light: dark or lit.
    Lamp,
    /// A curtain: closed or open.
    Curtain,
    /// A window: closed or open.
    Window,
    /// A door: closed or open.
    Door,
    /// A lock: locked or unlocked.
    Lock,
    /// The speech link to the front door: silent or talking.
    Intercom,
    /// A telephone: hung up or in a call.
    Telephone,
    /// The practice alarm call: quiet or calling. Nobody is ever called.
    Alarm,
    /// A heater: off or on.
    Heater,
    /// A fan: still or turning.
    Fan,
    /// A bed: flat or raised.
    Bed,
    /// A television: dark or playing.
    Television,
    /// Music: silent or playing.
    Music,
    /// A lift between floors: down or up.
    Lift,
    /// A computer: off or on.
    Computer,
}

/// One thing of the simulated home and how it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct HomeThing {
    /// What it is.
    pub kind: HomeKind,
    /// What the menu calls it.
    pub label: String,
    /// From 0 (off, closed, flat, down, quiet) to 1 (on, open, raised, up, loud).
    pub level: f32,
    /// The last selection changed it.
    pub changed: bool,
}

/// The level from which a thing counts as on, open or up.
const ON: u8 = 50;

/// How the simulated home stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Home {
    things: Vec<Standing>,
}

/// One thing and how it stands now.
#[derive(Clone, Debug, PartialEq)]
struct Standing {
    thing: Thing,
    level: u8,
    changed: bool,
}

impl Home {
    /// The home as the menu begins it.
    #[must_use]
    pub fn new(menu: &Menu) -> Home {
        let standing = |thing: &Thing| Standing { level: thing.level, thing: thing.clone(), changed: false };
        Home { things: menu.home.iter().map(standing).collect() }
    }

    /// Does what the item does, marks the things that it changed, and answers.
    pub fn apply(&mut self, item: &Item) -> String {
        self.things.iter_mut().for_each(|standing| standing.changed = false);
        for effect in &item.effects {
            if let Some(standing) = self.standing_mut(&effect.thing) {
                let level = changed(standing.level, effect.change);
                standing.changed |= level != standing.level;
                standing.level = level;
            }
        }
        if self.calls_alarm(item) { PRACTICE.into() } else { item.answer.clone() }
    }

    /// Puts things so that the item has something to change: what it would leave as it is goes back
    /// to its beginning, or else to the other end. Marks nothing; for the start of a task.
    pub fn prepare(&mut self, item: &Item) {
        for Effect { thing, change } in &item.effects {
            if let Some(standing) = self.standing_mut(thing) {
                let idle = |level: u8| changed(level, *change) == level;
                if idle(standing.level) {
                    let other_end = if standing.level >= ON { 0 } else { 100 };
                    standing.level = if idle(standing.thing.level) { other_end } else { standing.thing.level };
                }
            }
        }
    }

    /// Ids of the things that may change without a choice while `item` is wanted: nothing that it works, nothing that
    /// calls somebody or lets somebody in, nothing that moves the person.
    #[must_use]
    pub fn bystanders(&self, item: &Item) -> Vec<&str> {
        let harmless = |thing: &Thing| {
            matches!(
                thing.kind,
                HomeKind::Lamp | HomeKind::Curtain | HomeKind::Fan | HomeKind::Television | HomeKind::Music
            )
        };
        let worked = |thing: &Thing| item.effects.iter().any(|effect| effect.thing == thing.id);
        let things = self.things.iter().map(|standing| &standing.thing);
        things.filter(|thing| harmless(thing) && !worked(thing)).map(|thing| thing.id.as_str()).collect()
    }

    /// Turns the thing of this id on or off, and marks it.
    pub fn turn(&mut self, id: &str) {
        self.things.iter_mut().for_each(|standing| standing.changed = standing.thing.id == id);
        if let Some(standing) = self.standing_mut(id) {
            standing.level = changed(standing.level, Change::Toggle);
        }
    }

    /// Whether the first thing that the item works is on, open or up now.
    #[must_use]
    pub fn on(&self, item: &Item) -> bool {
        item.effects.first().and_then(|effect| self.standing(&effect.thing)).is_some_and(|found| found.level >= ON)
    }

    /// Whether the item touches the alarm call.
    #[must_use]
    pub fn calls_alarm(&self, item: &Item) -> bool {
        let alarm = |effect: &Effect| self.standing(&effect.thing).is_some_and(|it| it.thing.kind == HomeKind::Alarm);
        item.effects.iter().any(alarm)
    }

    /// Everything as it is to be drawn, in the order of the menu.
    #[must_use]
    pub fn things(&self) -> Vec<HomeThing> {
        self.things.iter().map(Standing::drawn).collect()
    }

    fn standing(&self, id: &str) -> Option<&Standing> {
        self.things.iter().find(|standing| standing.thing.id == id)
    }

    fn standing_mut(&mut self, id: &str) -> Option<&mut Standing> {
        self.things.iter_mut().find(|standing| standing.thing.id == id)
    }
}

impl Standing {
    fn drawn(&self) -> HomeThing {
        HomeThing {
            kind: self.thing.kind,
            label: self.thing.label.clone(),
            level: f32::from(self.level) / 100.0,
            changed: self.changed,
        }
    }
}

fn changed(level: u8, change: Change) -> u8 {
    match change {
        Change::To(wanted) => wanted.min(100),
        Change::By(step) => (i16::from(level) + i16::from(step)).clamp(0, 100) as u8,
        Change::Toggle => {
            if level < ON {
                100
            } else {
                0
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::menu::file;

    const ROOM: &str = r#"{"format":"pacewright menu","version":1,"name":"n",
        "home":[{"id":"lamp","label":"Lamp","kind":"lamp"},{"id":"bed","label":"Bed","kind":"bed","level":90},
                {"id":"help","label":"Alarm","kind":"alarm"}],
        "entries":[
          {"id":"on","label":"Lamp","icon":"lamp","does":[{"thing":"lamp","to":100}],"answer":"The lamp is on."},
          {"id":"up","label":"Bed up","icon":"bed-up","does":[{"thing":"bed","by":20}]},
          {"id":"turn","label":"Lamp","icon":"lamp","does":[{"thing":"lamp","toggle":true}]},
          {"id":"call","label":"Help","icon":"alarm","answer":"Help is coming.",
           "does":[{"thing":"lamp","to":0},{"thing":"help","to":100}]}]}"#;

    fn room() -> (Home, Vec<Item>) {
        let menu = file::read("room", ROOM).0.unwrap();
        let items = menu.items().into_iter().cloned().collect();
        (Home::new(&menu), items)
    }

    fn levels(home: &Home) -> Vec<(f32, bool)> {
        home.things().iter().map(|thing| (thing.level, thing.changed)).collect()
    }

    #[test]
    fn a_choice_has_a_visible_consequence() {
        let (mut home, items) = room();
        assert_eq!(home.apply(&items[0]), "The lamp is on.");
        assert_eq!(levels(&home), [(1.0, true), (0.9, false), (0.0, false)]);
        assert!(home.on(&items[0]));
        home.apply(&items[1]);
        assert_eq!(levels(&home), [(1.0, false), (1.0, true), (0.0, false)]);
        home.apply(&items[2]);
        assert_eq!(levels(&home)[0], (0.0, true));
    }

    #[test]
    fn the_alarm_call_is_always_practice_whatever_the_file_says() {
        let (mut home, items) = room();
        assert_eq!(home.apply(&items[3]), "This is practice. Nobody has been called.");
        assert_eq!(levels(&home)[2], (1.0, true));
    }

    #[test]
    fn a_task_begins_with_something_to_change() {
        let (mut home, items) = room();
        for item in items.iter().chain(&items) {
            home.apply(item);
            home.prepare(item);
            home.apply(item);
            assert!(home.things().iter().any(|thing| thing.changed), "{}", item.id);
        }
    }

    #[test]
    fn only_what_is_harmless_and_not_wanted_changes_by_itself() {
        let (mut home, items) = room();
        assert_eq!(home.bystanders(&items[1]), ["lamp"]);
        assert_eq!(home.bystanders(&items[0]), [""; 0]);
        home.turn("lamp");
        assert_eq!(levels(&home), [(1.0, true), (0.9, false), (0.0, false)]);
    }

    #[test]
    fn every_kind_of_thing_has_its_name_in_files() {
        for kind in KINDS {
            assert!(serde_json::from_value::<HomeKind>((*kind).into()).is_ok(), "{kind}");
        }
        let unknown = serde_json::from_str::<HomeKind>("\"x\"").unwrap_err().to_string();
        assert_eq!(unknown.matches('`').count(), 2 + 2 * KINDS.len(), "{unknown}");
    }
}
