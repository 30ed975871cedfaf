//! Small changes of a grouping, for the search to try: rows take from each other, are made, split,
//! joined and moved. Items never leave their group of the menu.

use super::judge::Judge;
use super::parts::{Kind, Part, list, list_at, part, swap};
use crate::advice::expected_time::Presses;

/// Longest row that is made at once.
const LONGEST_NEW: usize = 6;

/// Every grouping that is one small change away. Which items stand where is no matter: the order is
/// found for each anew.
pub fn regrouped(parts: &[Part]) -> Vec<Vec<Part>> {
    let mut found = Vec::new();
    for pool in pools(parts) {
        for (number, address) in pool.iter().enumerate() {
            let here = list_at(parts, address);
            let mut change = |new: Vec<Part>| found.extend(with(parts, address, new));
            rows_made(here).into_iter().for_each(&mut change);
            rows_changed(here).into_iter().for_each(&mut change);
            for (_, other) in pool.iter().enumerate().filter(|(other, _)| *other != number) {
                found.extend(handed_on(parts, address, other));
            }
        }
    }
    found
}

/// Addresses of the lists of parts, those among which items may move together.
fn pools(parts: &[Part]) -> Vec<Vec<Vec<usize>>> {
    let mut pools = vec![vec![Vec::new()]];
    collect(parts, &mut Vec::new(), 0, &mut pools);
    pools
}

fn collect(parts: &[Part], address: &mut Vec<usize>, pool: usize, pools: &mut Vec<Vec<Vec<usize>>>) {
    for (place, part) in parts.iter().enumerate() {
        let Part::Group(kind, inside) = part else { continue };
        address.push(place);
        let mut pool = pool;
        if matches!(kind, Kind::Own(_)) {
            pools.push(Vec::new());
            pool = pools.len() - 1;
        }
        pools[pool].push(address.clone());
        collect(inside, address, pool, pools);
        address.pop();
    }
}

fn with(parts: &[Part], address: &[usize], new: Vec<Part>) -> Option<Vec<Part>> {
    let mut parts = parts.to_vec();
    *list(&mut parts, address)? = new;
    Some(parts)
}

/// Neighbours become a row.
fn rows_made(here: &[Part]) -> Vec<Vec<Part>> {
    let mut found = Vec::new();
    for length in 2..=LONGEST_NEW.min(here.len().saturating_sub(1)) {
        for first in 0..=here.len() - length {
            let mut new = here.to_vec();
            let row = new.drain(first..first + length).collect();
            new.insert(first, Part::Group(Kind::Row, row));
            found.push(new);
        }
    }
    found
}

/// A row is dissolved, split, joined with the next, or goes up or down.
fn rows_changed(here: &[Part]) -> Vec<Vec<Part>> {
    let mut found = Vec::new();
    for (place, part) in here.iter().enumerate() {
        let Part::Group(kind, inside) = part else { continue };
        for other in [place.wrapping_sub(1), place + 1] {
            if other < here.len() {
                let mut new = here.to_vec();
                new.swap(place, other);
                found.push(new);
            }
        }
        if *kind != Kind::Row {
            continue;
        }
        let instead = |parts: Vec<Part>, taken: usize| {
            let mut new = here.to_vec();
            new.splice(place..place + taken, parts);
            new
        };
        found.push(instead(inside.clone(), 1));
        if inside.len() >= 4 {
            let (one, other) = inside.split_at(inside.len() / 2);
            found.push(instead([one, other].map(|half| Part::Group(Kind::Row, half.to_vec())).to_vec(), 1));
        }
        if let Some(Part::Group(Kind::Row, next)) = here.get(place + 1) {
            found.push(instead(vec![Part::Group(Kind::Row, [&inside[..], next].concat())], 2));
        }
    }
    found
}

/// The last item of one list goes to the end of another, and to the beginning of one that is no row: where in
/// a row it stands is no matter.
fn handed_on(parts: &[Part], from: &[usize], to: &[usize]) -> Vec<Vec<Part>> {
    let hand_on = |to_end: bool| {
        let mut parts = parts.to_vec();
        let source = list(&mut parts, from)?;
        let place = source.iter().rposition(|part| matches!(part, Part::Item(_)))?;
        // A row of one would be a press for nothing; addresses after it would slip.
        if source.len() < 3 || (to.len() > from.len() && to[..from.len()] == *from && to[from.len()] > place) {
            return None;
        }
        let item = source.remove(place);
        let target = list(&mut parts, to)?;
        let at = if to_end { target.len() } else { 0 };
        target.insert(at, item);
        Some(parts)
    };
    let in_row = matches!(part(parts, to), Some(Part::Group(Kind::Row, _)));
    let ends = if in_row { &[true][..] } else { &[true, false] };
    ends.iter().filter_map(|to_end| hand_on(*to_end)).collect()
}

/// Every arrangement in which a group of the menu, or an item that asks a question, changes places with
/// something else of its group.
pub fn exchanged<P: Presses>(judge: &Judge<P>, parts: &[Part]) -> Vec<Vec<Part>> {
    let mut found = Vec::new();
    for pool in pools(parts) {
        let entries: Vec<Vec<usize>> = pool.iter().flat_map(|address| entries(parts, address)).collect();
        let special = |address: &[usize]| is_special(judge, parts, address);
        for one in entries.iter().filter(|one| special(one)) {
            for other in entries.iter().filter(|other| !special(other) || other > &one) {
                let mut new = parts.to_vec();
                swap(&mut new, one, other);
                found.push(new);
            }
        }
    }
    found
}

/// Addresses of the items and of the groups of the menu in a list.
fn entries(parts: &[Part], address: &[usize]) -> Vec<Vec<usize>> {
    let here = list_at(parts, address);
    let stays = |part: &Part| matches!(part, Part::Item(_) | Part::Group(Kind::Own(_), _));
    let places = here.iter().enumerate().filter(|(_, part)| stays(part));
    places.map(|(place, _)| [address, &[place]].concat()).collect()
}

fn is_special<P: Presses>(judge: &Judge<P>, parts: &[Part], address: &[usize]) -> bool {
    match part(parts, address) {
        Some(Part::Item(item)) => judge.stock.items[usize::from(*item)].needs_confirming,
        Some(Part::Group(..)) => true,
        None => false,
    }
}
