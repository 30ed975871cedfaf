//! Changing a menu entry by entry: order, grouping, what is in it. The menu is whole after each step.
//!
//! An entry is named by its way from the top: places, one a level. Labels, pictures and weights are
//! fields of the entry itself.

use crate::menu::{Group, Item, Menu, Node};
use crate::problem::{Problem, Severity};

/// A step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Step {
    /// One place sooner in its group.
    Sooner,
    /// One place later in its group.
    Later,
    /// Into the group before it, as its last entry.
    IntoGroup,
    /// Out of its group, behind it.
    OutOfGroup,
    /// Into a group of its own, to which others can be added.
    OwnGroup,
    /// Off the menu.
    Remove,
}

impl Step {
    /// All of them.
    pub const ALL: [Step; 6] =
        [Step::Sooner, Step::Later, Step::IntoGroup, Step::OutOfGroup, Step::OwnGroup, Step::Remove];
}

/// Takes `step` with the entry at `way`; `false` where it leads nowhere, and then nothing has changed.
pub fn take(menu: &mut Menu, way: &[usize], step: Step) -> bool {
    let Some((&place, above)) = way.split_last() else { return false };
    let done = match step {
        Step::OutOfGroup => out(menu, above, place),
        Step::OwnGroup => own_group(menu, above, place),
        Step::Remove if menu.items().len() <= items_in(menu, way) => false,
        _ => group(menu, above).is_some_and(|group| within(&mut group.entries, place, step)),
    };
    without_empty_groups(&mut menu.top);
    done
}

/// Adds an item at the end of the top; it does nothing to the simulated home.
pub fn add(menu: &mut Menu, label: &str) {
    let item = Item {
        id: fresh_id(menu, "item"),
        label: label.into(),
        spoken: label.into(),
        spoken_s: None,
        icon: "hand".into(),
        weight: 1.0,
        effects: Vec::new(),
        answer: sentence(label),
        cue: sentence(label),
        placed_by_risk: false,
        needs_confirming: false,
    };
    menu.top.entries.push(Node::Item(item));
}

/// What is wrong with a menu that was changed; nothing where it can be run.
#[must_use]
pub fn problems(menu: &Menu) -> Vec<Problem> {
    let (_, mut problems) = Menu::from_json("", &menu.to_json());
    problems.retain(|problem| problem.severity == Severity::Error);
    problems
}

/// Gives an item another label, which it is spoken, asked for and answered with from then on.
pub fn rename(item: &mut Item, label: &str) {
    item.label = label.into();
    item.spoken = label.into();
    item.cue = sentence(label);
    item.answer = sentence(label);
}

fn sentence(label: &str) -> String {
    format!("{label}.")
}

/// The entry at `way`.
#[must_use]
pub fn entry<'a>(menu: &'a mut Menu, way: &[usize]) -> Option<&'a mut Node> {
    let (&place, above) = way.split_last()?;
    group(menu, above)?.entries.get_mut(place)
}

/// The ways of all entries, in the order of the menu.
#[must_use]
pub fn ways(menu: &Menu) -> Vec<Vec<usize>> {
    fn collect(group: &Group, above: &[usize], ways: &mut Vec<Vec<usize>>) {
        for (place, node) in group.entries.iter().enumerate() {
            let way = [above, &[place]].concat();
            ways.push(way.clone());
            if let Node::Group(inner) = node {
                collect(inner, &way, ways);
            }
        }
    }
    let mut ways = Vec::new();
    collect(&menu.top, &[], &mut ways);
    ways
}

/// Tasks whose items are no longer on the menu are dropped.
pub fn drop_lost_tasks(menu: &mut Menu) {
    let ids: Vec<String> = menu.items().iter().map(|item| item.id.clone()).collect();
    menu.tasks.retain(|task| task.items.iter().all(|id| ids.contains(id)));
}

fn group<'a>(menu: &'a mut Menu, way: &[usize]) -> Option<&'a mut Group> {
    way.iter().try_fold(&mut menu.top, |group, place| match group.entries.get_mut(*place)? {
        Node::Group(inner) => Some(inner),
        Node::Item(_) => None,
    })
}

fn within(entries: &mut Vec<Node>, place: usize, step: Step) -> bool {
    match step {
        _ if place >= entries.len() => false,
        Step::Sooner if place > 0 => {
            entries.swap(place, place - 1);
            true
        }
        Step::Later if place + 1 < entries.len() => {
            entries.swap(place, place + 1);
            true
        }
        Step::Remove => {
            entries.remove(place);
            true
        }
        Step::IntoGroup if place > 0 && matches!(entries[place - 1], Node::Group(_)) => {
            let entry = entries.remove(place);
            if let Node::Group(group) = &mut entries[place - 1] {
                group.entries.push(entry);
            }
            true
        }
        _ => false,
    }
}

fn out(menu: &mut Menu, above: &[usize], place: usize) -> bool {
    let Some((&own, further)) = above.split_last() else { return false };
    let Some(from) = group(menu, above).filter(|from| place < from.entries.len()) else { return false };
    let entry = from.entries.remove(place);
    match group(menu, further) {
        Some(to) => to.entries.insert(own + 1, entry),
        None => return false,
    }
    true
}

fn own_group(menu: &mut Menu, above: &[usize], place: usize) -> bool {
    let id = fresh_id(menu, "group");
    let Some(inside) = group(menu, above).filter(|group| place < group.entries.len()) else { return false };
    let entry = inside.entries.remove(place);
    let label = match &entry {
        Node::Item(item) => item.label.clone(),
        Node::Group(group) => group.label.clone(),
    };
    let spoken = label.clone();
    let own = Group { id, label, spoken, spoken_s: None, icon: "home".into(), page: false, entries: vec![entry] };
    inside.entries.insert(place, Node::Group(own));
    true
}

fn items_in(menu: &mut Menu, way: &[usize]) -> usize {
    match entry(menu, way) {
        None => 0,
        Some(Node::Item(_)) => 1,
        Some(Node::Group(group)) => {
            let top = group.clone();
            Menu { name: String::new(), about: String::new(), home: Vec::new(), top, tasks: Vec::new() }.items().len()
        }
    }
}

fn without_empty_groups(group: &mut Group) {
    for node in &mut group.entries {
        if let Node::Group(inner) = node {
            without_empty_groups(inner);
        }
    }
    group.entries.retain(|node| !matches!(node, Node::Group(inner) if inner.entries.is_empty()));
}

/// An id that nothing on the menu has.
fn fresh_id(menu: &Menu, kind: &str) -> String {
    fn ids<'a>(group: &'a Group, found: &mut Vec<&'a str>) {
        for node in &group.entries {
            match node {
                Node::Item(item) => found.push(&item.id),
                Node::Group(inner) => {
                    found.push(&inner.id);
                    ids(inner, found);
                }
            }
        }
    }
    let mut taken = Vec::new();
    ids(&menu.top, &mut taken);
    let mut ids = (1..).map(|number| format!("{kind}-{number}"));
    ids.find(|id| !taken.contains(&id.as_str())).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::menu::shipped;

    /// Labels as they are scanned, groups in brackets.
    fn shape(group: &Group) -> String {
        let told = group.entries.iter().map(|node| match node {
            Node::Item(item) => item.label.clone(),
            Node::Group(inner) => format!("[{}]", shape(inner)),
        });
        told.collect::<Vec<_>>().join(" ")
    }

    fn small() -> Menu {
        let mut menu = shipped::find("six").unwrap();
        menu.top.entries.truncate(3);
        drop_lost_tasks(&mut menu);
        menu
    }

    fn whole(menu: &Menu) {
        let (read, problems) = Menu::from_json("menu", &menu.to_json());
        assert_eq!((read.as_ref(), problems), (Some(menu), Vec::new()));
    }

    #[test]
    fn entries_change_places_and_groups() {
        let mut menu = small();
        let mut after = |way: &[usize], step| {
            assert!(take(&mut menu, way, step), "{way:?} {step:?}");
            whole(&menu);
            shape(&menu.top)
        };
        assert_eq!(after(&[0], Step::Later), "Lamp Alarm call Television");
        assert_eq!(after(&[0], Step::OwnGroup), "[Lamp] Alarm call Television");
        assert_eq!(after(&[1], Step::IntoGroup), "[Lamp Alarm call] Television");
        assert_eq!(after(&[0, 1], Step::Sooner), "[Alarm call Lamp] Television");
        assert_eq!(after(&[0, 0], Step::OutOfGroup), "[Lamp] Alarm call Television");
        assert_eq!(after(&[0, 0], Step::OutOfGroup), "Lamp Alarm call Television");
        assert_eq!(after(&[2], Step::Remove), "Lamp Alarm call");
    }

    #[test]
    fn what_leads_nowhere_changes_nothing() {
        let mut menu = small();
        let before = menu.clone();
        for (way, step) in [
            (&[0][..], Step::Sooner),
            (&[2], Step::Later),
            (&[1], Step::IntoGroup),
            (&[1], Step::OutOfGroup),
            (&[9], Step::Remove),
            (&[9], Step::OwnGroup),
            (&[0, 0], Step::OutOfGroup),
            (&[], Step::Remove),
        ] {
            assert!(!take(&mut menu, way, step), "{way:?} {step:?}");
            assert_eq!(menu, before);
        }
    }

    #[test]
    fn the_last_item_stays_and_a_new_one_is_a_valid_one() {
        let mut menu = small();
        while take(&mut menu, &[0], Step::Remove) {}
        assert_eq!(menu.items().len(), 1);
        drop_lost_tasks(&mut menu);
        for _ in 0..2 {
            add(&mut menu, "Music");
        }
        whole(&menu);
        assert_eq!(ways(&menu), [[0], [1], [2]]);
        if let Some(Node::Item(item)) = entry(&mut menu, &[2]) {
            rename(item, "Radio");
        }
        whole(&menu);
        assert_eq!(shape(&menu.top), "Television Music Radio");
    }
}
