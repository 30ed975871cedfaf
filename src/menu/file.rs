//! The menu file.
//!
//! A JSON object (UTF-8, at most 1 MiB):
//!
//! ```json
//! {
//!   "format": "pacewright menu",
//!   "version": 1,
//!   "name": "One lamp",
//!   "about": "An invented room.",
//!   "home": [{ "id": "lamp", "label": "Lamp", "kind": "lamp", "level": 0 }],
//!   "entries": [
//!     {
//!       "id": "lights", "label": "Lights", "icon": "lamp", "page": true,
//!       "entries": [
//!         {
//!           "id": "lamp-on", "label": "Lamp", "icon": "lamp", "weight": 5,
//!           "does": [{ "thing": "lamp", "to": 100 }],
//!           "cue": "Turn the lamp on.", "answer": "The lamp is on."
//!         }
//!       ]
//!     }
//!   ],
//!   "tasks": [{ "label": "Light the room", "items": ["lamp-on"] }]
//! }
//! ```
//!
//! An entry with `entries` is a group, any other an item. `does` holds `to` (a level), `by` (a
//! difference) or `toggle: true` for a thing of `home`; levels are per cent. What is left out:
//! `spoken` is the label, `spoken_s` (how long it takes to speak, in seconds, which the scan rate has to
//! allow for) is not known, `weight` 1, `does` nothing, `cue` and `answer` are made from the label,
//! `page`, `placed_by_risk` and `needs_confirming` are `false`, `level` is 0. `tasks` are what the
//! household needs done, each a few items one after the other; it may be left out. Ids of things and ids
//! of entries are counted apart. No file drives a real appliance: `home` is simulated.

use serde_json::{Value, json};

use super::home::HomeKind;
use super::{Change, Effect, Group, Item, Menu, Node, Task, Thing, check, home};
use crate::json::Located;
use crate::problem::{Findings, Problem};

/// What the `format` field holds.
pub const FORMAT: &str = "pacewright menu";
/// The version written and read.
pub const VERSION: i64 = 1;
/// Id of the top group, which has none in the file.
const TOP: &str = "top";

/// Reads a menu; `file` is its name for messages. The menu is there unless a problem is an error;
/// every problem is reported, in the order of lines.
#[must_use]
pub fn read(file: &str, bytes: impl AsRef<[u8]>) -> (Option<Menu>, Vec<Problem>) {
    match crate::json::read(file, bytes) {
        Err(problem) => (None, vec![problem]),
        Ok(root) => {
            let mut findings = Findings::of(file);
            check::check(&root, &mut findings);
            let menu = (!findings.fatal()).then(|| menu(&root));
            (menu, findings.sorted())
        }
    }
}

impl Menu {
    /// The menu as it stands in a file, with nothing left out.
    #[must_use]
    pub fn to_json(&self) -> Value {
        json!({
            "format": FORMAT,
            "version": VERSION,
            "name": self.name,
            "about": self.about,
            "home": self.home,
            "entries": self.top.entries.iter().map(node_to_json).collect::<Vec<_>>(),
            "tasks": self.tasks.iter().map(task_to_json).collect::<Vec<_>>(),
        })
    }

    /// Reads what [`Menu::to_json`] wrote; lines count within the value's own compact text.
    #[must_use]
    pub fn from_json(name: &str, value: &Value) -> (Option<Menu>, Vec<Problem>) {
        read(name, value.to_string())
    }
}

fn node_to_json(node: &Node) -> Value {
    match node {
        Node::Group(group) => with_length(
            group.spoken_s,
            json!({
                "id": group.id, "label": group.label, "spoken": group.spoken, "icon": group.icon, "page": group.page,
                "entries": group.entries.iter().map(node_to_json).collect::<Vec<_>>(),
            }),
        ),
        Node::Item(item) => with_length(
            item.spoken_s,
            json!({
                "id": item.id, "label": item.label, "spoken": item.spoken, "icon": item.icon, "weight": item.weight,
                "does": item.effects.iter().map(effect_to_json).collect::<Vec<_>>(),
                "cue": item.cue, "answer": item.answer,
                "placed_by_risk": item.placed_by_risk, "needs_confirming": item.needs_confirming,
            }),
        ),
    }
}

/// A length that is not known stays out, as in files.
fn with_length(spoken_s: Option<f64>, mut entry: Value) -> Value {
    if let Some(seconds) = spoken_s {
        entry["spoken_s"] = seconds.into();
    }
    entry
}

fn task_to_json(task: &Task) -> Value {
    json!({ "label": task.label, "items": task.items })
}

fn effect_to_json(effect: &Effect) -> Value {
    match effect.change {
        Change::To(level) => json!({ "thing": effect.thing, "to": level }),
        Change::By(step) => json!({ "thing": effect.thing, "by": step }),
        Change::Toggle => json!({ "thing": effect.thing, "toggle": true }),
    }
}

/// A checked tree as a menu.
fn menu(root: &Located) -> Menu {
    let name = text(root, "name");
    let home: Vec<Thing> = members(root, "home").iter().map(thing).collect();
    let top = Group {
        id: TOP.into(),
        label: name.clone(),
        spoken: name.clone(),
        spoken_s: None,
        icon: "home".into(),
        page: true,
        entries: nodes(root, &home),
    };
    let tasks = members(root, "tasks").iter().map(task).collect();
    Menu { name, about: text(root, "about"), home, top, tasks }
}

fn task(value: &Located) -> Task {
    let items = members(value, "items").iter().filter_map(Located::text).map(String::from).collect();
    Task { label: text(value, "label"), items }
}

fn thing(value: &Located) -> Thing {
    let kind = value.field("kind").map(Located::to_value).unwrap_or_default();
    Thing {
        id: text(value, "id"),
        label: text(value, "label"),
        kind: serde_json::from_value(kind).expect("the kind was checked"),
        level: number(value, "level").unwrap_or(0.0) as u8,
    }
}

fn nodes(group: &Located, home: &[Thing]) -> Vec<Node> {
    members(group, "entries").iter().map(|entry| node(entry, home)).collect()
}

fn node(value: &Located, home: &[Thing]) -> Node {
    if value.field("entries").is_some() { Node::Group(group(value, home)) } else { Node::Item(item(value, home)) }
}

fn group(value: &Located, home: &[Thing]) -> Group {
    let label = text(value, "label");
    Group {
        id: text(value, "id"),
        spoken: text_or(value, "spoken", &label),
        spoken_s: number(value, "spoken_s"),
        label,
        icon: text(value, "icon"),
        page: flag(value, "page"),
        entries: nodes(value, home),
    }
}

fn item(value: &Located, home: &[Thing]) -> Item {
    let label = text(value, "label");
    let effects: Vec<Effect> = members(value, "does").iter().map(effect).collect();
    let alarm = |id: &str| home.iter().any(|thing| thing.id == id && thing.kind == HomeKind::Alarm);
    let answer = match effects.iter().any(|effect| alarm(&effect.thing)) {
        true => home::PRACTICE.into(),
        false => text_or(value, "answer", &format!("{label}: done.")),
    };
    Item {
        id: text(value, "id"),
        spoken: text_or(value, "spoken", &label),
        spoken_s: number(value, "spoken_s"),
        icon: text(value, "icon"),
        weight: number(value, "weight").unwrap_or(1.0),
        effects,
        answer,
        cue: text_or(value, "cue", &format!("Choose: {label}.")),
        placed_by_risk: flag(value, "placed_by_risk"),
        needs_confirming: flag(value, "needs_confirming"),
        label,
    }
}

fn effect(value: &Located) -> Effect {
    let change = match (number(value, "to"), number(value, "by")) {
        (Some(level), _) => Change::To(level as u8),
        (None, Some(step)) => Change::By(step as i8),
        (None, None) => Change::Toggle,
    };
    Effect { thing: text(value, "thing"), change }
}

fn text(value: &Located, name: &str) -> String {
    text_or(value, name, "")
}

fn text_or(value: &Located, name: &str, otherwise: &str) -> String {
    value.field(name).and_then(Located::text).unwrap_or(otherwise).into()
}

fn number(value: &Located, name: &str) -> Option<f64> {
    value.field(name).and_then(Located::number)
}

fn flag(value: &Located, name: &str) -> bool {
    value.field(name).is_some_and(Located::is_true)
}

fn members<'a>(value: &'a Located, name: &str) -> &'a [Located] {
    value.field(name).map_or(&[], Located::members)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The example of the module's documentation.
    fn example() -> String {
        crate::json::documented_example(include_str!("file.rs"))
    }

    #[test]
    fn the_example_of_the_documentation_is_a_valid_menu() {
        let (menu, problems) = read("example", example());
        assert_eq!(problems, []);
        let Node::Group(lights) = &menu.unwrap().top.entries[0] else { panic!("a group") };
        assert!(
            matches!(&lights.entries[0], Node::Item(item) if item.cue == "Turn the lamp on." && item.weight == 5.0)
        );
    }

    #[test]
    fn what_is_left_out_is_made_from_the_label() {
        let text = r#"{"format":"pacewright menu","version":1,"name":"n","entries":[{"id":"a","label":"Lamp","icon":"lamp"}]}"#;
        let menu = read("f", text).0.unwrap();
        let Node::Item(item) = &menu.top.entries[0] else { panic!("an item") };
        let said = (item.spoken.as_str(), item.cue.as_str(), item.answer.as_str(), item.weight);
        assert_eq!(said, ("Lamp", "Choose: Lamp.", "Lamp: done.", 1.0));
    }

    #[test]
    fn the_longest_spoken_label_is_found_and_goes_to_json_and_back() {
        let entry = |id: &str, more: &str| format!(r#"{{"id":"{id}","label":"L","icon":"lamp"{more}}}"#);
        let file = |first: &str, inner: &str| {
            let group = entry("g", &format!(r#","spoken_s":0.8,"entries":[{}]"#, entry("b", inner)));
            let entries = [entry("a", first), group].join(",");
            format!(r#"{{"format":"pacewright menu","version":1,"name":"n","entries":[{entries}]}}"#)
        };
        for (first, inner, longest) in [("", "", 0.8), (r#","spoken_s":1.4"#, "", 1.4), ("", r#","spoken_s":2"#, 2.0)] {
            let menu = read("f", file(first, inner)).0.unwrap();
            assert_eq!(menu.longest_spoken_s(), Some(longest));
            assert_eq!(Menu::from_json("f", &menu.to_json()).0, Some(menu));
        }
        let problems = read("f", file(r#","spoken_s":11"#, "")).1;
        assert!(problems[0].to_string().contains("from 0.1 to 10"), "{problems:?}");
        assert_eq!(crate::menu::shipped::find("six").unwrap().longest_spoken_s(), None);
    }

    #[test]
    fn every_shipped_menu_goes_to_json_and_back() {
        for (name, text) in crate::menu::shipped::MENUS {
            let menu = read(name, text).0.unwrap();
            assert_eq!(Menu::from_json(name, &menu.to_json()), (Some(menu), vec![]), "{name}");
        }
    }
}
