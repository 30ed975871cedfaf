//! A menu of the client's own: what can be run is kept, what cannot is refused in place.

use egui::Theme;

use super::pictures::person;
use super::rig::Rig;
use crate::app::desk::own_menu::unreadable;
use crate::app::desk::state::News;
use crate::desk::menu_edit::add;
use crate::desk::person::Person;
use crate::menu::{Menu, shipped};
use crate::session::setup::Setup;
use crate::store::index::Index;

/// A menu of so many items on one page.
fn menu(items: usize) -> Menu {
    let mut menu = shipped::find("six").expect("it is shipped");
    while menu.items().len() < items {
        add(&mut menu, "Radio");
    }
    menu
}

fn rig(menu: &Menu, setup: Setup) -> Rig {
    let own = Person { menu: Some(menu.to_json()), set_ups: vec![setup], ..person() };
    let mut rig = Rig::new((1180.0, 9_000.0), Theme::Light);
    rig.desk.told(News::Index(Index::default(), [("K7".to_string(), own)].into(), Vec::new()));
    rig.desk.open("K7".parse().unwrap());
    rig.settle();
    rig
}

fn kept(rig: &Rig) -> Menu {
    let kept = rig.desk.visit.as_ref().unwrap().person.menu.clone().expect("a menu of their own");
    Menu::from_json("menu", &kept).0.expect("what is kept can be run")
}

#[test]
fn a_page_takes_no_more_than_a_menu_may_have() {
    let mut rig = rig(&menu(35), Setup::default());
    rig.click("Add an item");
    assert_eq!(kept(&rig).items().len(), 36);
    rig.click("Add an item");
    assert_eq!(kept(&rig).items().len(), 36);
    assert!(rig.says("This was not done: the top page has 37 entries; give at most 36"), "{}", rig.words());
    rig.click_nth("Remove", 1);
    assert!(kept(&rig).items().len() < 36 && !rig.says("This was not done"), "{}", rig.words());
}

#[test]
fn a_page_takes_no_more_than_can_be_read_from_the_bed() {
    let seen_from = |screen_distance_mm| Setup { screen_distance_mm, screen_width_mm: 530, ..Setup::default() };
    let fits = |items, distance| unreadable(&menu(items), &seen_from(distance)).is_none();
    assert!(unreadable(&menu(35), &Setup::default()).is_none(), "nobody has said where the screen stands");
    let distance =
        [700, 900, 1_100, 1_400, 1_800].into_iter().find(|distance| fits(6, *distance) && !fits(35, *distance));
    let (distance, far) = distance.map(|distance| (distance, seen_from(distance))).expect("six can be read, 35 cannot");
    let fits = (6..35).take_while(|items| fits(*items, distance)).last().expect("six can be read");
    let mut rig = rig(&menu(fits), far);
    rig.click("Add an item");
    assert_eq!(kept(&rig).items().len(), fits);
    assert!(rig.says("This was not done: letters are too small to read from"), "{}", rig.words());
}

#[test]
fn what_is_half_typed_stays_in_the_editor_and_the_last_valid_menu_is_kept() {
    let mut rig = rig(&menu(6), Setup::default());
    let before = kept(&rig);
    let cue = before.items()[0].cue.clone();
    rig.type_into_value(&cue, " and then some words more");
    assert!(rig.says("Not kept until it is put right: 'cue' has"), "{}", rig.words());
    assert_eq!(kept(&rig), before);
}
