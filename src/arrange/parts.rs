//! A menu in the making: what stands in which group, by number and without words.

use std::ops::Range;

use crate::menu::{self, Menu, Node};

/// What stands in a group.
#[derive(Clone, Debug, PartialEq)]
pub enum Part {
    /// An item, by its place in [`Stock::items`].
    Item(u16),
    /// A group and what is in it.
    Group(Kind, Vec<Part>),
}

/// Whose group it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A group of the menu, by its place in [`Stock::groups`]: what is in it stays in it.
    Own(u16),
    /// A new group on the page, scanned as one.
    Row,
    /// A new page.
    More,
}

/// The items and groups of a menu, numbered as they stand in it, depth first.
#[derive(Clone, Debug)]
pub struct Stock<'a> {
    /// All items.
    pub items: Vec<&'a menu::Item>,
    /// All groups that are not dissolved, but for the top.
    pub groups: Vec<OwnGroup<'a>>,
}

/// A group of the menu.
#[derive(Clone, Debug)]
pub struct OwnGroup<'a> {
    /// The group.
    pub group: &'a menu::Group,
    /// The items in it.
    pub items: Range<u16>,
}

impl<'a> Stock<'a> {
    /// The menu as it stands in its file; the groups of which `dissolved` says so by id give way to what
    /// is in them.
    pub fn of(menu: &'a Menu, dissolved: impl Fn(&str) -> bool) -> (Stock<'a>, Vec<Part>) {
        let mut stock = Stock { items: Vec::new(), groups: Vec::new() };
        let mut parts = Vec::new();
        stock.take_in(&menu.top, &dissolved, &mut parts);
        (stock, parts)
    }

    fn take_in(&mut self, group: &'a menu::Group, dissolved: &impl Fn(&str) -> bool, parts: &mut Vec<Part>) {
        for node in &group.entries {
            match node {
                Node::Item(item) => {
                    parts.push(Part::Item(self.items.len() as u16));
                    self.items.push(item);
                }
                Node::Group(group) if dissolved(&group.id) => self.take_in(group, dissolved, parts),
                Node::Group(group) => {
                    let (number, first) = (self.groups.len() as u16, self.items.len() as u16);
                    self.groups.push(OwnGroup { group, items: first..first });
                    let mut inside = Vec::new();
                    self.take_in(group, dissolved, &mut inside);
                    self.groups[usize::from(number)].items.end = self.items.len() as u16;
                    parts.push(Part::Group(Kind::Own(number), inside));
                }
            }
        }
    }

    /// Whether the group opens a page of its own.
    pub fn is_page(&self, kind: Kind) -> bool {
        match kind {
            Kind::Own(number) => self.groups[usize::from(number)].group.page,
            Kind::Row => false,
            Kind::More => true,
        }
    }

    /// The pages of the menu around an item, from the top down.
    pub fn pages_around(&self, item: u16) -> Vec<u16> {
        let around = |group: &OwnGroup| group.group.page && group.items.contains(&item);
        (0..).zip(&self.groups).filter(|(_, group)| around(group)).map(|(number, _)| number).collect()
    }

    /// Uses of all that is in a part.
    pub fn weight(&self, part: &Part) -> f64 {
        match part {
            Part::Item(item) => self.items[usize::from(*item)].weight,
            Part::Group(_, inside) => inside.iter().map(|part| self.weight(part)).sum(),
        }
    }

    /// Entries that a part comes to on its page.
    pub fn tiles(&self, part: &Part) -> usize {
        match part {
            Part::Group(kind, inside) if !self.is_page(*kind) => inside.iter().map(|part| self.tiles(part)).sum(),
            _ => 1,
        }
    }
}

/// The items of parts, depth first.
pub fn items(parts: &[Part]) -> Vec<u16> {
    let mut found = Vec::new();
    each_item(parts, &mut |item| found.push(item));
    found
}

fn each_item(parts: &[Part], with: &mut impl FnMut(u16)) {
    for part in parts {
        match part {
            Part::Item(item) => with(*item),
            Part::Group(_, inside) => each_item(inside, with),
        }
    }
}

/// Goes over the items of parts, depth first, to change them.
pub fn each_item_mut(parts: &mut [Part], with: &mut impl FnMut(&mut u16)) {
    for part in parts {
        match part {
            Part::Item(item) => with(item),
            Part::Group(_, inside) => each_item_mut(inside, with),
        }
    }
}

/// The list of parts at an address: the places of the groups to enter, from the top down.
pub fn list<'p>(parts: &'p mut Vec<Part>, address: &[usize]) -> Option<&'p mut Vec<Part>> {
    let Some((place, rest)) = address.split_first() else { return Some(parts) };
    match parts.get_mut(*place)? {
        Part::Group(_, inside) => list(inside, rest),
        Part::Item(_) => None,
    }
}

/// The same to look at.
pub fn list_at<'p>(parts: &'p [Part], address: &[usize]) -> &'p [Part] {
    match address {
        [] => parts,
        address => match part(parts, address) {
            Some(Part::Group(_, inside)) => inside,
            _ => &[],
        },
    }
}

/// The part at an address.
pub fn part<'p>(parts: &'p [Part], address: &[usize]) -> Option<&'p Part> {
    let (place, rest) = address.split_first()?;
    match parts.get(*place)? {
        found if rest.is_empty() => Some(found),
        Part::Group(_, inside) => part(inside, rest),
        Part::Item(_) => None,
    }
}

/// Puts each of two parts where the other was; neither may be in the other.
pub fn swap(parts: &mut Vec<Part>, one: &[usize], other: &[usize]) {
    let (Some(first), Some(second)) = (part(parts, one).cloned(), part(parts, other).cloned()) else { return };
    put(parts, one, second);
    put(parts, other, first);
}

fn put(parts: &mut Vec<Part>, address: &[usize], new: Part) {
    let Some((place, group)) = address.split_last() else { return };
    if let Some(old) = list(parts, group).and_then(|list| list.get_mut(*place)) {
        *old = new;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::menu::shipped;

    #[test]
    fn a_menu_is_numbered_depth_first_and_keeps_its_groups() {
        let menu = shipped::find("flat").unwrap();
        let (stock, parts) = Stock::of(&menu, |_| false);
        assert_eq!(items(&parts), (0..stock.items.len() as u16).collect::<Vec<_>>());
        assert_eq!(stock.items, menu.items());
        let lights = &stock.groups[0];
        assert_eq!((lights.group.id.as_str(), lights.items.clone()), ("lights", 1..5));
        assert_eq!(parts.len(), menu.top.entries.len());
    }

    #[test]
    fn a_dissolved_group_gives_way_to_what_is_in_it() {
        let menu = shipped::find("flat").unwrap();
        let (stock, parts) = Stock::of(&menu, |id| id == "lights");
        assert_eq!(parts[..5], [0, 1, 2, 3, 4].map(Part::Item));
        assert_eq!((stock.items.len(), stock.groups[0].group.id.as_str()), (menu.items().len(), "comfort"));
    }

    #[test]
    fn parts_are_found_and_swapped_by_address() {
        let mut parts = vec![Part::Item(0), Part::Group(Kind::Row, vec![Part::Item(1), Part::Item(2)])];
        swap(&mut parts, &[0], &[1, 1]);
        assert_eq!(items(&parts), [2, 1, 0]);
        assert_eq!(
            (part(&parts, &[1, 1]), part(&parts, &[0, 0]), part(&parts, &[2])),
            (Some(&Part::Item(0)), None, None)
        );
    }
}
