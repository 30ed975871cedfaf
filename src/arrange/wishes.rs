//! What has to be right of a menu before it is arranged: known uses, a size that can be searched, and
//! wishes that do not contradict each other.

use crate::json::Located;
use crate::menu::Menu;
use crate::problem::{Findings, Problem, did_you_mean, shortened};

/// Most items that are arranged.
pub const MOST_ITEMS: usize = 64;

/// What the user wants kept or given up, by id.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wishes {
    /// Items, or groups with all their items, that keep their place.
    pub keep: Vec<String>,
    /// Groups whose items may stand anywhere in the group above.
    pub dissolve: Vec<String>,
}

impl Wishes {
    /// Whether a group is to be dissolved.
    #[must_use]
    pub fn dissolves(&self, id: &str) -> bool {
        self.dissolve.iter().any(|dissolved| dissolved == id)
    }

    /// The items that keep their place, by id: those placed by risk, and those wanted.
    #[must_use]
    pub fn kept(&self, root: &Located) -> Vec<String> {
        let mut kept = Vec::new();
        walk(root, &mut |entry, above| {
            let wanted = || above.iter().chain([&entry]).any(|entry| self.keep.iter().any(|id| is(entry, id)));
            if entry.field("entries").is_none() && (is_risky(entry) || wanted()) {
                kept.extend(id(entry).map(String::from));
            }
        });
        kept
    }

    /// Adds every problem of a menu that is valid as such; `root` is its file.
    pub fn check(&self, menu: &Menu, root: &Located, findings: &mut Findings) {
        size(menu, root, findings);
        walk(root, &mut |entry, _| weight(entry, findings));
        for (flag, wanted) in [("--keep", &self.keep), ("--dissolve", &self.dissolve)] {
            findings.problems.extend(wanted.iter().filter_map(|id| unknown(flag, id, root)));
        }
        self.contradictions(root, findings);
    }

    /// What is dissolved has to be a group, and nothing in it may have to keep its place.
    fn contradictions(&self, root: &Located, findings: &mut Findings) {
        let kept = self.kept(root);
        walk(root, &mut |entry, above| {
            let own = id(entry).unwrap_or_default();
            if entry.field("entries").is_none() && self.dissolves(own) {
                findings.error(entry.line, format!("`--dissolve {own}` names an item"), "name a group");
            }
            let dissolved = above.iter().filter_map(|group| id(group)).find(|group| self.dissolves(group));
            if let (true, Some(group)) = (kept.iter().any(|kept| kept == own), dissolved) {
                let why = if is_risky(entry) { "is placed by risk" } else { "is to keep its place" };
                let what = format!("`{own}` {why}, but its group `{group}` is to be dissolved");
                findings.error(entry.line, what, format!("leave `--dissolve {group}` out, or do not keep the item"));
            }
        });
    }
}

fn size(menu: &Menu, root: &Located, findings: &mut Findings) {
    let count = menu.items().len();
    if count > MOST_ITEMS {
        let what = format!("the menu has {count} items, more than the {MOST_ITEMS} that are arranged");
        findings.error(root.line, what, "take out what is hardly used, or make two menus of it");
    }
}

fn weight(entry: &Located, findings: &mut Findings) {
    if entry.field("entries").is_none() && entry.field("weight").is_none() {
        let id = id(entry).unwrap_or_default();
        let remedy = "give how often it is used, in the same unit for all: uses a day, or counts from a diary";
        findings.error(entry.line, format!("the item `{}` has no `weight`", shortened(id)), remedy);
    }
}

fn unknown(flag: &str, wanted: &str, root: &Located) -> Option<Problem> {
    let mut known = Vec::new();
    walk(root, &mut |entry, _| known.extend(id(entry)));
    let what = || format!("no entry of the menu has the id `{}`", shortened(wanted));
    let missing = !known.contains(&wanted);
    missing.then(|| Problem::error(flag, None, what(), did_you_mean(wanted, known.iter().copied())))
}

/// Every entry below `group`, with the groups above it.
fn walk<'a>(group: &'a Located, with: &mut impl FnMut(&'a Located, &[&'a Located])) {
    fn down<'a>(group: &'a Located, above: &mut Vec<&'a Located>, with: &mut impl FnMut(&'a Located, &[&'a Located])) {
        for entry in group.field("entries").map_or(&[][..], Located::members) {
            with(entry, above);
            above.push(entry);
            down(entry, above, with);
            above.pop();
        }
    }
    down(group, &mut Vec::new(), with);
}

fn id(entry: &Located) -> Option<&str> {
    entry.field("id").and_then(Located::text)
}

fn is(entry: &Located, wanted: &str) -> bool {
    id(entry) == Some(wanted)
}

fn is_risky(item: &Located) -> bool {
    item.field("placed_by_risk").is_some_and(Located::is_true)
}
