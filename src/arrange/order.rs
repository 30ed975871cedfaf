//! The best order for a given grouping.
//!
//! What a place costs does not depend on which item stands there, as long as items that ask a question
//! change places among themselves, and the others among themselves. So the sum of uses times costs is
//! least when the most used item has the cheapest place, and so on (rearrangement inequality: Hardy,
//! Littlewood and Pólya 1934, Inequalities, theorem 368; from memory).

use super::judge::{Judge, Judged, Pin};
use super::parts::{Kind, Part, each_item_mut, items, part, swap};
use super::search::GROUP_ITEM;
use crate::advice::expected_time::{Presses, Takes};

/// An arrangement and what it takes.
#[derive(Clone, Debug)]
pub struct Found {
    /// What stands where.
    pub parts: Vec<Part>,
    /// What it takes.
    pub judged: Judged,
}

/// Costs that differ by less are the same.
const SAME: f64 = 1e-9;

/// Places that items may change among each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Class {
    /// The group of the menu in which they stand; `None` at the top.
    own: Option<u16>,
    asks: bool,
}

impl<P: Presses> Judge<'_, P> {
    /// The best order of the items for this grouping: groups and items that ask a question stay where they
    /// are. `None` where a kept item cannot have its place, or no time comes out.
    pub fn ordered(&self, mut parts: Vec<Part>, pattern: i64) -> Option<Found> {
        let judged = self.looked_at(&mut parts, pattern)?;
        Some(self.in_order(parts, &judged, true))
    }

    /// The same, but items that ask a question are first given places by their use as all others are.
    pub fn ordered_anew(&self, mut parts: Vec<Part>, pattern: i64) -> Option<Found> {
        let judged = self.looked_at(&mut parts, pattern)?;
        if !self.stock.items.iter().any(|item| item.needs_confirming) {
            return Some(self.in_order(parts, &judged, true));
        }
        let mut mixed = self.in_order(parts.clone(), &judged, false).parts;
        if self.asking(&mixed) == self.asking(&parts) {
            return Some(self.in_order(parts, &judged, true));
        }
        let judged = self.looked_at(&mut mixed, pattern)?;
        Some(self.in_order(mixed, &judged, true))
    }

    /// What the parts take once kept items are back in their places. The quick look is a sieve: what comes
    /// through it may still be too much for a page.
    fn looked_at(&self, parts: &mut Vec<Part>, pattern: i64) -> Option<Judged> {
        self.pin(parts);
        if pattern != GROUP_ITEM {
            return self.judge(parts, pattern);
        }
        let kept = |pin: &Pin| part(parts, &pin.place) == Some(&Part::Item(pin.item));
        if self.pins.iter().all(kept) { self.quick(parts) } else { None }
    }

    /// The most used items in the cheapest places, `judged` being what the places take.
    fn in_order(&self, mut parts: Vec<Part>, Judged { each, .. }: &Judged, apart: bool) -> Found {
        let mut slots = Vec::new();
        self.slots(&parts, None, &mut slots);
        let before: Vec<u16> = slots.iter().map(|(_, item)| *item).collect();
        let mut after = before.clone();
        let class = |slot: usize| slots[slot].0.map(|class| Class { asks: class.asks && apart, ..class });
        let mut classes: Vec<Class> = (0..slots.len()).filter_map(class).collect();
        classes.sort_unstable();
        classes.dedup();
        for wanted in classes {
            let mut places: Vec<usize> = (0..slots.len()).filter(|slot| class(*slot) == Some(wanted)).collect();
            let mut items: Vec<u16> = places.iter().map(|slot| before[*slot]).collect();
            items.sort_unstable_by_key(|item| self.rank(*item));
            places.sort_by_cached_key(|slot| (self.cost_of_place(before[*slot], each, apart) / SAME + 0.5) as i64);
            places.into_iter().zip(items).for_each(|(slot, item)| after[slot] = item);
        }
        let mut takes = vec![Takes::default(); each.len()];
        before.iter().zip(&after).for_each(|(was, is)| takes[usize::from(*is)] = each[usize::from(*was)]);
        let mut next = after.into_iter();
        each_item_mut(&mut parts, &mut |item| *item = next.next().unwrap_or(*item));
        Found { judged: Judged { takes: self.mean(&takes), each: takes }, parts }
    }

    /// What the place costs in which an item stands; without the question about it, unless those that ask are
    /// put in order `apart`.
    fn cost_of_place(&self, item: u16, each: &[Takes], apart: bool) -> f64 {
        let question = self.stock.items[usize::from(item)].needs_confirming && !apart;
        let about = self.pace.first_inside + self.pace.interval + self.presses.mean() + self.hit_s;
        self.cost(&each[usize::from(item)]) - if question { about } else { 0.0 }
    }

    /// Of each item, depth first, whether it asks a question.
    fn asking(&self, parts: &[Part]) -> Vec<bool> {
        items(parts).iter().map(|item| self.stock.items[usize::from(*item)].needs_confirming).collect()
    }

    /// The items depth first, each with its class, or `None` for one that keeps its place.
    fn slots(&self, parts: &[Part], own: Option<u16>, slots: &mut Vec<(Option<Class>, u16)>) {
        for part in parts {
            match part {
                Part::Item(item) => {
                    let asks = self.stock.items[usize::from(*item)].needs_confirming;
                    slots.push(((!self.is_pinned(*item)).then_some(Class { own, asks }), *item));
                }
                Part::Group(Kind::Own(inner), inside) => self.slots(inside, Some(*inner), slots),
                Part::Group(_, inside) => self.slots(inside, own, slots),
            }
        }
    }

    /// Whether an item keeps its place.
    pub fn is_pinned(&self, item: u16) -> bool {
        self.pins.iter().any(|pin| pin.item == item)
    }

    /// Puts the items that keep their place back there, and the pages on the way to them, where something
    /// else has come to stand in it.
    fn pin(&self, parts: &mut Vec<Part>) {
        for pin in &self.pins {
            let pages =
                self.stock.pages_around(pin.item).into_iter().map(|page| Part::Group(Kind::Own(page), Vec::new()));
            for (levels, page) in pin.pages.iter().zip(pages) {
                put_back(parts, &page, &pin.place[..*levels]);
            }
            put_back(parts, &Part::Item(pin.item), &pin.place);
        }
    }
}

/// Lets an item or a group of the menu change places with what stands in its place, if that is in the
/// same group of the menu.
fn put_back(parts: &mut Vec<Part>, wanted: &Part, place: &[usize]) {
    let Some(now) = address_of(parts, wanted).filter(|now| now != place) else { return };
    let may_move = matches!(part(parts, place), Some(Part::Item(_) | Part::Group(Kind::Own(_), _)));
    if may_move && own_around(parts, &now) == own_around(parts, place) {
        swap(parts, &now, place);
    }
}

/// The innermost group of the menu around an address.
fn own_around(parts: &[Part], address: &[usize]) -> Option<u16> {
    let around = (1..address.len()).rev().filter_map(|levels| part(parts, &address[..levels]));
    around.into_iter().find_map(|part| if let Part::Group(Kind::Own(own), _) = part { Some(*own) } else { None })
}

/// Where an item or a group of the menu stands.
fn address_of(parts: &[Part], wanted: &Part) -> Option<Vec<usize>> {
    parts.iter().enumerate().find_map(|(place, part)| match (part, wanted) {
        (Part::Item(item), Part::Item(wanted)) if item == wanted => Some(vec![place]),
        (Part::Group(kind, _), Part::Group(wanted, _)) if kind == wanted => Some(vec![place]),
        (Part::Group(_, inside), wanted) => {
            let mut address = address_of(inside, wanted)?;
            address.insert(0, place);
            Some(address)
        }
        _ => None,
    })
}
