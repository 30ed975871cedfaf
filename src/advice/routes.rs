//! The routes to the items of a menu: what has to be taken, level by level, with the share of use.
//!
//! It counts steps and levels for the closed forms of the techniques. Errors and what they cost stand in
//! [`super::expected_time`].

use crate::engine::pattern::Arrangement;
use crate::engine::tree::{EntryIx, GroupIx, ItemIx, ScanTree};

/// The routes to all items that are used.
#[derive(Clone, Debug, PartialEq)]
pub struct Routes {
    routes: Vec<Route>,
}

#[derive(Clone, Debug, PartialEq)]
struct Route {
    share: f64,
    levels: Vec<Level>,
}

/// One level of a route.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Level {
    /// Of the wanted entry, from 0.
    position: usize,
    place: Place,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Place {
    Top,
    /// Inside a group of the menu or of the pattern.
    Group,
    /// The two answers to the question before a risky item.
    Question,
}

impl Routes {
    /// The routes of a menu under its pattern; `None` when no item is used.
    #[must_use]
    pub fn of(arrangement: &Arrangement) -> Option<Routes> {
        let weights = weights(arrangement);
        let question = |item| arrangement.question(item);
        Routes::new(&arrangement.tree, &weights, question)
    }

    fn new(tree: &ScanTree, weights: &[(ItemIx, f64)], question: impl Fn(ItemIx) -> Option<GroupIx>) -> Option<Routes> {
        let used = || weights.iter().filter(|(_, weight)| weight.is_finite() && *weight > 0.0);
        let total: f64 = used().map(|(_, weight)| weight).sum();
        let route = |(item, weight): &(ItemIx, f64)| {
            let path = tree.path(*item)?.into_iter();
            let asked = question(*item);
            Some(Route { share: weight / total, levels: path.map(|step| level(step, asked)).collect() })
        };
        let routes: Vec<Route> = used().filter_map(route).collect();
        (!routes.is_empty()).then_some(Routes { routes })
    }

    /// Mean number of highlights up to the wanted ones, these included.
    #[must_use]
    pub fn steps(&self) -> f64 {
        self.mean(|levels| levels.iter().map(|level| level.position as f64 + 1.0).sum())
    }

    /// Mean number of levels, and so of presses where none goes wrong.
    #[must_use]
    pub fn levels(&self) -> f64 {
        self.mean(|levels| levels.len() as f64)
    }

    /// Some item stands in a group; questions before risky items are none.
    #[must_use]
    pub fn has_groups(&self) -> bool {
        self.any(|level| level.place == Place::Group)
    }

    /// Some item or group is the first of the group in which it stands.
    #[must_use]
    pub fn has_first_in_group(&self) -> bool {
        self.any(|level| level.place == Place::Group && level.position == 0)
    }

    fn any(&self, test: impl Fn(&Level) -> bool) -> bool {
        self.routes.iter().flat_map(|route| &route.levels).any(test)
    }

    fn mean(&self, of: impl Fn(&[Level]) -> f64) -> f64 {
        self.routes.iter().map(|route| route.share * of(&route.levels)).sum()
    }
}

/// The items with their use.
#[must_use]
pub fn weights(arrangement: &Arrangement) -> Vec<(ItemIx, f64)> {
    (0u16..).map(ItemIx).zip(arrangement.items().iter().map(|item| item.weight)).collect()
}

fn level((group, entry): (GroupIx, EntryIx), question: Option<GroupIx>) -> Level {
    let place = match group {
        ScanTree::TOP => Place::Top,
        group if question == Some(group) => Place::Question,
        _ => Place::Group,
    };
    Level { position: usize::from(entry.0), place }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::menu::shipped;
    use crate::settings::{Id, Settings};

    fn equal(tree: &ScanTree, items: u16) -> Routes {
        let weights: Vec<_> = (0..items).map(|item| (ItemIx(item), 1.0)).collect();
        Routes::new(tree, &weights, |_| None).unwrap()
    }

    #[test]
    fn steps_of_even_use_are_the_closed_forms() {
        // (N + 1)/2 in a list, (R + C + 2)/2 in rows: 6.5 for 12, 5 for 4 × 4.
        assert!((equal(&ScanTree::linear(12), 12).steps() - 6.5).abs() < 1e-12);
        let rows = equal(&ScanTree::row_column(4, 4), 16);
        assert!((rows.steps() - 5.0).abs() < 1e-12 && (rows.levels() - 2.0).abs() < 1e-12);
    }

    #[test]
    fn a_question_is_no_group_and_a_list_has_none() {
        let routes = |menu: &str, pattern| {
            let settings = Settings::default().with(Id::Pattern, pattern);
            Routes::of(&Arrangement::new(&shipped::find(menu).unwrap(), &settings)).unwrap()
        };
        assert!(!routes("six", 1).has_groups());
        assert!(routes("six", 2).has_groups() && routes("six", 2).has_first_in_group());
        assert!(routes("flat", 1).has_groups());
    }
}
