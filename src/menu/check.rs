//! What makes a menu file valid: its fields as data, and the rules that no field can tell by itself.

use std::collections::HashSet;

use super::file::{FORMAT, VERSION};
use super::{ICONS, home};
use crate::json::Located;
use crate::json::shape::{Field, Shape, needed, optional};
use crate::problem::{Findings, did_you_mean, listed, shortened};

/// Longest label, in characters.
pub const MOST_LABEL: usize = 24;
/// Most words of a cue or an answer.
pub const MOST_WORDS: usize = 5;
/// Most words of a label, so that a cue made from it is short enough.
const MOST_LABEL_WORDS: usize = 4;
/// Deepest nesting of groups below the top.
pub const MOST_DEPTH: usize = 4;
/// Most entries of one page, its inner groups counted by their entries.
pub const MOST_ON_PAGE: usize = 36;
/// Most items of a menu.
pub const MOST_ITEMS: usize = 200;
/// Longest id, in characters.
pub const MOST_ID: usize = 32;

static ID: Shape = Shape::Text(MOST_ID);
static LABEL: Shape = Shape::Text(MOST_LABEL);
static SENTENCE: Shape = Shape::Text(60);
static ABOUT: Shape = Shape::Text(600);
static ICON: Shape = Shape::Text(MOST_ID);
static LEVEL: Shape = Shape::Whole(0, 100);
static STEP: Shape = Shape::Whole(-100, 100);
static WEIGHT: Shape = Shape::Number(0.0, 1e6);
static SPOKEN_S: Shape = Shape::Number(0.1, 10.0);
static KIND: Shape = Shape::Choice(home::KINDS);
static EFFECT: Shape = Shape::Table {
    what: "an effect",
    fields: &[needed("thing", &ID), optional("to", &LEVEL), optional("by", &STEP), optional("toggle", &Shape::Flag)],
};
static EFFECTS: Shape = Shape::List { of: &EFFECT, least: 0, most: 8 };
static THING: Shape = Shape::Table {
    what: "a thing",
    fields: &[needed("id", &ID), needed("label", &LABEL), needed("kind", &KIND), optional("level", &LEVEL)],
};
static THINGS: Shape = Shape::List { of: &THING, least: 0, most: 40 };
static ENTRY: Shape = Shape::Table { what: "an entry", fields: ENTRY_FIELDS };
static ENTRIES: Shape = Shape::List { of: &ENTRY, least: 1, most: MOST_ITEMS };
static ENTRY_FIELDS: &[Field] = &[
    needed("id", &ID),
    needed("label", &LABEL),
    optional("spoken", &SENTENCE),
    optional("spoken_s", &SPOKEN_S),
    needed("icon", &ICON),
    optional("page", &Shape::Flag),
    optional("entries", &ENTRIES),
    optional("weight", &WEIGHT),
    optional("does", &EFFECTS),
    optional("cue", &SENTENCE),
    optional("answer", &SENTENCE),
    optional("placed_by_risk", &Shape::Flag),
    optional("needs_confirming", &Shape::Flag),
];
static IDS: Shape = Shape::List { of: &ID, least: 1, most: 12 };
static TASK: Shape = Shape::Table { what: "a task", fields: &[needed("label", &SENTENCE), needed("items", &IDS)] };
static TASKS: Shape = Shape::List { of: &TASK, least: 0, most: 40 };
static MENU: Shape = Shape::Table {
    what: "the menu",
    fields: &[
        needed("format", &Shape::Choice(&[FORMAT])),
        needed("version", &Shape::Version(VERSION)),
        needed("name", &SENTENCE),
        optional("about", &ABOUT),
        optional("home", &THINGS),
        needed("entries", &ENTRIES),
        optional("tasks", &TASKS),
    ],
};

/// Fields that only an item has, and those that only a group has.
const ITEM_ONLY: [&str; 6] = ["weight", "does", "cue", "answer", "placed_by_risk", "needs_confirming"];
const GROUP_ONLY: [&str; 1] = ["page"];

/// Adds every problem of the menu in `root`.
pub(super) fn check(root: &Located, findings: &mut Findings) {
    MENU.check("the menu", root, findings);
    not_blank(root, "name", findings);
    let things = root.field("home").map_or(&[][..], Located::members);
    let mut ids = HashSet::new();
    for thing in things {
        check_id(thing, &mut ids, findings);
        check_label(thing, findings);
    }
    let mut walk = Walk { things, ids: HashSet::new(), ids_of_items: Vec::new(), items: 0, findings };
    let on_page = walk.entries(root, 0);
    walk.page(root, "the top page", on_page);
    let Walk { ids_of_items, items, .. } = walk;
    if items > MOST_ITEMS {
        findings.error(root.line, format!("the menu has {items} items"), format!("give at most {MOST_ITEMS}"));
    }
    check_tasks(root, &ids_of_items, findings);
}

fn check_tasks(root: &Located, known: &[String], findings: &mut Findings) {
    for task in root.field("tasks").map_or(&[][..], Located::members) {
        not_blank(task, "label", findings);
        for item in task.field("items").map_or(&[][..], Located::members) {
            let id = item.text().unwrap_or_default();
            if !known.iter().any(|known| known == id) {
                let remedy = did_you_mean(id, known.iter().map(String::as_str));
                findings.error(item.line, format!("no item has the id `{}`", shortened(id)), remedy);
            }
        }
    }
}

/// A walk over all entries.
struct Walk<'a> {
    things: &'a [Located],
    ids: HashSet<String>,
    ids_of_items: Vec<String>,
    items: usize,
    findings: &'a mut Findings,
}

impl Walk<'_> {
    /// Checks the entries of a group; how many of them stand on the group's page.
    fn entries(&mut self, group: &Located, depth: usize) -> usize {
        let entries = group.field("entries").map_or(&[][..], Located::members);
        entries.iter().map(|entry| self.entry(entry, depth)).sum()
    }

    fn entry(&mut self, entry: &Located, depth: usize) -> usize {
        check_id(entry, &mut self.ids, self.findings);
        check_label(entry, self.findings);
        check_icon(entry, self.findings);
        not_blank(entry, "spoken", self.findings);
        if entry.field("entries").is_some() { self.group(entry, depth) } else { self.item(entry) }
    }

    fn group(&mut self, group: &Located, depth: usize) -> usize {
        self.foreign(group, "a group", &ITEM_ONLY);
        if depth >= MOST_DEPTH {
            let what = format!("groups are nested more than {MOST_DEPTH} deep");
            self.findings.error(group.line, what, "move this group further up");
        }
        let inside = self.entries(group, depth + 1);
        let opens = group.field("page").is_some_and(Located::is_true);
        if opens {
            self.page(group, "this page", inside);
        }
        if opens { 1 } else { inside }
    }

    fn page(&mut self, group: &Located, name: &str, count: usize) {
        if count > MOST_ON_PAGE {
            let what = format!("{name} has {count} entries");
            self.findings.error(
                group.line,
                what,
                format!("give at most {MOST_ON_PAGE}, or give groups a page of their own (`page: true`)"),
            );
        }
    }

    fn item(&mut self, item: &Located) -> usize {
        self.items += 1;
        self.ids_of_items.push(text(item, "id").to_string());
        self.foreign(item, "an item", &GROUP_ONLY);
        check_weight(item, self.findings);
        check_sentence(item, "cue", self.findings);
        self.effects(item);
        1
    }

    fn foreign(&mut self, entry: &Located, what: &str, fields: &[&str]) {
        for (name, value) in entry.fields().iter().filter(|(name, _)| fields.contains(&name.as_str())) {
            self.findings.error(value.line, format!("{what} has no `{name}`"), "remove it");
        }
    }

    fn effects(&mut self, item: &Located) {
        let mut alarms = false;
        for effect in item.field("does").map_or(&[][..], Located::members) {
            check_change(effect, self.findings);
            alarms |= self.thing(effect).is_some_and(|thing| text(thing, "kind") == "alarm");
        }
        if !alarms {
            check_sentence(item, "answer", self.findings);
        } else if let Some(answer) = item.field("answer").filter(|answer| answer.text() != Some(home::PRACTICE)) {
            let what = format!("an alarm call always answers \"{}\"", home::PRACTICE);
            self.findings.warning(answer.line, what, "remove `answer`");
        }
    }

    fn thing(&mut self, effect: &Located) -> Option<&Located> {
        let wanted = effect.field("thing")?;
        let name = wanted.text()?;
        let known = self.things.iter().find(|thing| text(thing, "id") == name);
        if known.is_none() {
            let remedy = did_you_mean(name, self.things.iter().map(|thing| text(thing, "id")));
            self.findings.error(wanted.line, format!("`home` has no thing `{}`", shortened(name)), remedy);
        }
        known
    }
}

fn text<'a>(value: &'a Located, name: &str) -> &'a str {
    value.field(name).and_then(Located::text).unwrap_or_default()
}

fn check_id(entry: &Located, seen: &mut HashSet<String>, findings: &mut Findings) {
    let Some((value, id)) = entry.field("id").and_then(|value| Some((value, value.text()?))) else { return };
    let plain = |letter: char| letter.is_ascii_lowercase() || letter.is_ascii_digit() || letter == '-';
    if id.contains(['/', '\\']) || id.contains("..") {
        let what = format!("the id `{}` looks like a path", shortened(id));
        findings.error(value.line, what, "use small letters, digits and hyphens only");
    } else if id.is_empty() || !id.chars().all(plain) {
        let what = format!("the id `{}` cannot be used", shortened(id));
        findings.error(value.line, what, "use small letters, digits and hyphens only");
    } else if !seen.insert(id.to_string()) {
        findings.error(value.line, format!("the id `{}` is used twice", shortened(id)), "give each its own id");
    }
}

fn check_label(entry: &Located, findings: &mut Findings) {
    not_blank(entry, "label", findings);
    if let Some(value) = entry.field("label")
        && words(text(entry, "label")) > MOST_LABEL_WORDS
    {
        findings.error(value.line, "`label` is too long for a tile", format!("use at most {MOST_LABEL_WORDS} words"));
    }
}

fn not_blank(entry: &Located, name: &str, findings: &mut Findings) {
    if let Some(value) = entry.field(name)
        && value.text().is_some_and(|text| text.trim().is_empty())
    {
        findings.error(value.line, format!("`{name}` is empty"), "write what is to be read there");
    }
}

fn check_icon(entry: &Located, findings: &mut Findings) {
    if let Some((value, icon)) = entry.field("icon").and_then(|value| Some((value, value.text()?)))
        && !ICONS.contains(&icon)
    {
        let remedy = did_you_mean(icon, ICONS.iter().copied());
        findings.error(value.line, format!("unknown icon `{}`", shortened(icon)), remedy);
    }
}

fn check_weight(item: &Located, findings: &mut Findings) {
    if let Some(value) = item.field("weight")
        && value.number() == Some(0.0)
    {
        findings.error(value.line, "`weight` is `0`", "give how often it is used, in any unit, or remove it");
    }
}

fn check_sentence(item: &Located, name: &str, findings: &mut Findings) {
    not_blank(item, name, findings);
    if let Some(value) = item.field(name)
        && words(text(item, name)) > MOST_WORDS
    {
        let what = format!("`{name}` has {} words", words(text(item, name)));
        findings.error(value.line, what, format!("use at most {MOST_WORDS}: it is read from the bed"));
    }
}

fn words(text: &str) -> usize {
    text.split_whitespace().count()
}

fn check_change(effect: &Located, findings: &mut Findings) {
    const CHANGES: [&str; 3] = ["to", "by", "toggle"];
    let given = CHANGES.iter().filter(|name| effect.field(name).is_some()).count();
    if given != 1 {
        let what = format!("an effect has {given} changes");
        findings.error(effect.line, what, format!("give exactly one of {}", listed(&CHANGES)));
    } else if effect.field("toggle").is_some_and(|value| !value.is_true()) {
        findings.error(effect.line, "`toggle` is not `true`", "write `true`, or remove the effect");
    }
}
