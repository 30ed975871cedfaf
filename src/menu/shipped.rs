//! The menus that come with the program; all of them are invented.

use super::{Menu, file};

/// Name and text of each, in the order in which they are offered.
pub const MENUS: &[(&str, &str)] = &[
    ("six", include_str!("../../trials/menus/six.json")),
    ("nine", include_str!("../../trials/menus/nine.json")),
    ("flat", include_str!("../../trials/menus/flat.json")),
];

/// The shipped menu of this name.
///
/// # Panics
/// Never for a menu that passed the tests of this module.
#[must_use]
pub fn find(name: &str) -> Option<Menu> {
    let (name, text) = MENUS.iter().find(|(known, _)| *known == name)?;
    Some(file::read(name, text).0.expect("shipped menus are valid"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::menu::home::HomeKind;

    #[test]
    fn every_shipped_menu_is_valid_and_says_that_it_is_invented() {
        for (name, text) in MENUS {
            let (menu, problems) = file::read(name, text);
            assert_eq!(problems, [], "{name}");
            assert!(menu.unwrap().about.starts_with("An invented "), "{name}");
        }
    }

    #[test]
    fn the_small_menus_fit_on_one_page() {
        for (name, count) in [("six", 6), ("nine", 9)] {
            let menu = find(name).unwrap();
            assert_eq!((menu.top.entries.len(), menu.items().len()), (count, count), "{name}");
        }
    }

    #[test]
    fn the_alarm_call_comes_first_and_is_placed_by_risk() {
        for (name, _) in MENUS {
            let menu = find(name).unwrap();
            let first = menu.items()[0];
            assert!(first.placed_by_risk && first.id == "alarm-call", "{name}");
        }
    }

    #[test]
    fn opening_a_door_and_making_a_call_need_confirming() {
        for (name, _) in MENUS {
            let menu = find(name).unwrap();
            let kind = |id: &str| menu.home.iter().find(|thing| thing.id == id).unwrap().kind;
            for item in menu.items() {
                let works = |wanted| {
                    item.effects.iter().any(|e| kind(&e.thing) == wanted && e.change == super::super::Change::To(100))
                };
                let risky = works(HomeKind::Door) || works(HomeKind::Lock) || works(HomeKind::Telephone);
                assert_eq!(item.needs_confirming, risky, "{name}: {}", item.id);
            }
        }
    }

    #[test]
    fn every_item_of_a_shipped_menu_changes_something() {
        for (name, _) in MENUS {
            let menu = find(name).unwrap();
            for item in menu.items() {
                let mut home = crate::menu::home::Home::new(&menu);
                home.prepare(item);
                home.apply(item);
                assert!(home.things().iter().any(|thing| thing.changed), "{name}: {}", item.id);
            }
        }
    }
}
