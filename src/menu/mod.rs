//! The menu of household functions: what it offers, not how it is scanned.
//!
//! A menu is a tree. Its leaves are items of the simulated home, its branches are groups; a group
//! is scanned as a block on the same page, or opens a page of its own. A menu is read from a JSON
//! file ([`mod@file`]) and never drives a real appliance.

pub(crate) mod check;
pub mod file;
pub mod home;
pub mod shipped;

use serde::Serialize;

use home::HomeKind;

/// The pictures that a menu may name. The board has a drawing for each.
pub const ICONS: &[&str] = &[
    "alarm",
    "bed",
    "bed-down",
    "bed-up",
    "bell",
    "blinds",
    "book",
    "call",
    "check",
    "computer",
    "curtain",
    "curtain-close",
    "door",
    "door-open",
    "drink",
    "fan",
    "film",
    "hand",
    "heater",
    "help",
    "home",
    "intercom",
    "lamp",
    "lamp-ceiling",
    "lift",
    "lift-down",
    "lift-up",
    "lock",
    "mail",
    "minus",
    "moon",
    "music",
    "mute",
    "next",
    "person",
    "play",
    "plus",
    "power",
    "previous",
    "quiet",
    "radio",
    "rest",
    "stop",
    "sun",
    "switch",
    "telephone",
    "television",
    "unlock",
    "volume-down",
    "volume-up",
    "window",
    "yes",
    "back",
    "wind",
    "shower",
    "camera",
    "food",
];

/// A whole menu.
#[derive(Clone, Debug, PartialEq)]
pub struct Menu {
    /// What it is called.
    pub name: String,
    /// Where the example comes from; demonstration menus say that they are invented.
    pub about: String,
    /// The things of the simulated home that items change.
    pub home: Vec<Thing>,
    /// The top page.
    pub top: Group,
    /// Things that a household needs done, each a few choices one after the other.
    pub tasks: Vec<Task>,
}

/// A household task, for example "Let the visitor in".
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Task {
    /// What it is for.
    pub label: String,
    /// Ids of the items to choose, in order; never empty.
    pub items: Vec<String>,
}

impl Menu {
    /// All items, depth first, in the order of the file.
    #[must_use]
    pub fn items(&self) -> Vec<&Item> {
        let mut items = Vec::new();
        self.top.add_items(&mut items);
        items
    }

    /// How long the longest spoken label takes, in seconds; `None` where no length is given.
    #[must_use]
    pub fn longest_spoken_s(&self) -> Option<f64> {
        self.top.longest_spoken_s()
    }

    /// The item with this id.
    #[must_use]
    pub fn item(&self, id: &str) -> Option<&Item> {
        self.items().into_iter().find(|item| item.id == id)
    }
}

impl Group {
    fn longest_spoken_s(&self) -> Option<f64> {
        let of = |node: &Node| match node {
            Node::Item(item) => item.spoken_s,
            // The name of the group itself is spoken before its entries are.
            Node::Group(group) => [group.spoken_s, group.longest_spoken_s()].into_iter().flatten().reduce(f64::max),
        };
        self.entries.iter().filter_map(of).reduce(f64::max)
    }

    fn add_items<'a>(&'a self, items: &mut Vec<&'a Item>) {
        for entry in &self.entries {
            match entry {
                Node::Group(group) => group.add_items(items),
                Node::Item(item) => items.push(item),
            }
        }
    }
}

/// One thing of the simulated home.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Thing {
    /// Its id, unique in the menu.
    pub id: String,
    /// Its name for people.
    pub label: String,
    /// How it is drawn.
    pub kind: HomeKind,
    /// How it stands at the beginning, in per cent: 0 off, closed, flat or down; 100 on, open or up.
    pub level: u8,
}

/// A branch of the menu.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// Its id, unique in the menu.
    pub id: String,
    /// The words on its tile.
    pub label: String,
    /// What is spoken; the label where none is given.
    pub spoken: String,
    /// How long that takes where the menu is used, in seconds; `None` where it is not spoken, or not known.
    pub spoken_s: Option<f64>,
    /// The picture on its tile, from [`ICONS`].
    pub icon: String,
    /// It opens a page of its own; otherwise its entries stand on the page of its parent.
    pub page: bool,
    /// What is in it; never empty.
    pub entries: Vec<Node>,
}

/// A branch or a leaf.
#[derive(Clone, Debug, PartialEq)]
pub enum Node {
    /// A branch.
    Group(Group),
    /// A leaf.
    Item(Item),
}

/// A leaf: one thing that the client can do.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// Its id, unique in the menu.
    pub id: String,
    /// The words on its tile.
    pub label: String,
    /// What is spoken; the label where none is given.
    pub spoken: String,
    /// How long that takes where the menu is used, in seconds; `None` where it is not spoken, or not known.
    pub spoken_s: Option<f64>,
    /// The picture on its tile, from [`ICONS`].
    pub icon: String,
    /// How often it is used, in any unit; greater than 0.
    pub weight: f64,
    /// What it does to the simulated home.
    pub effects: Vec<Effect>,
    /// What the home answers, at most five words: "The lamp is on."
    pub answer: String,
    /// The cue that asks for it, at most five words: "Turn the lamp on."
    pub cue: String,
    /// It is placed by risk and keeps its place when a menu is rearranged.
    pub placed_by_risk: bool,
    /// It is taken only after a second press on a two-item question.
    pub needs_confirming: bool,
}

/// What an item does to one thing of the simulated home.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Effect {
    /// Id of the thing.
    pub thing: String,
    /// What happens to it.
    pub change: Change,
}

/// A change of level, in per cent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Change {
    /// To this level.
    To(u8),
    /// By this much, up or down, kept within 0 to 100.
    By(i8),
    /// From below 50 to 100, otherwise to 0.
    Toggle,
}
