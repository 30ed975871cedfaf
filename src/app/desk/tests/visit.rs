//! A whole visit, worked by what a screen reader would say.

use egui::{Key, Modifiers, Theme};

use super::pictures::{judged, person, predict, session};
use super::rig::Rig;
use crate::app::desk::board::Batch;
use crate::app::desk::running::Over;
use crate::app::desk::state::{News, Wish};
use crate::desk::person::{Outcome, Person, Verdict};
use crate::engine::effect::Switch;
use crate::log::live::Told;
use crate::menu::Menu;
use crate::session::Session;
use crate::session::input::Input;
use crate::settings::Settings;
use crate::store::index::Index;
use crate::time::Moment;

fn rig() -> Rig {
    let mut rig = Rig::new((1180.0, 6_000.0), Theme::Light);
    assert_eq!(rig.wishes(), [Wish::Index]);
    rig.desk.told(News::Index(Index::default(), [].into(), Vec::new()));
    rig.settle();
    rig
}

/// A whole session of a virtual client, as it is heard.
fn sat(protocol: &str) -> Batch {
    let (header, records) = session(protocol);
    let began = std::iter::once(Told::Began(Box::new(header)));
    (0..).zip(began.chain(records.into_iter().map(Told::Record))).collect()
}

/// A switch check with three presses.
fn checked() -> Batch {
    let (mut header, _) = session("switch-check");
    header.setup.devices = vec!["key Space".into()];
    let mut session = Session::new(header.plan("check").unwrap());
    let mut records = Vec::new();
    session.input(Moment(1), Input::Next, &mut records);
    for press in 0..3 {
        for (down, ms) in [(true, 0), (false, 100 + 60 * press)] {
            let edge = Input::Edge { switch: Switch(0), down };
            session.input(Moment((1_000 + 900 * press + ms) * 1_000), edge, &mut records);
        }
    }
    let began = std::iter::once(Told::Began(Box::new(header)));
    (0..).zip(began.chain(records.into_iter().map(Told::Record))).collect()
}

#[test]
fn a_new_client_is_entered_prepared_tried_judged_and_carried_over() {
    let mut rig = rig();
    rig.type_into("New client", "K7-03");
    rig.click("Enter");
    assert!(matches!(&rig.wishes()[..], [Wish::Save(code, _)] if code.as_str() == "K7-03"));
    rig.type_into("Why is the client here, in their own words?", "my own door");
    rig.click("Add a set-up");
    rig.type_into("Site", "cheek");
    rig.type_into("Switch", "light-touch switch");
    rig.click("Switch check");
    let saved = rig.wishes();
    let [.., Wish::Save(_, saved)] = &saved[..] else { panic!("{saved:?}") };
    assert_eq!((saved.reason.as_str(), saved.set_ups[0].site.as_str()), ("my own door", "cheek"));
    assert!(rig.says("work it twice, and it is learned"));
    rig.click("Check the switch on the board");
    let wishes = rig.wishes();
    assert!(matches!(&wishes[..], [Wish::Trial(trial)] if trial.protocol == "switch-check"), "{wishes:?}");
    rig.desk.told(News::Heard(checked()));
    rig.settle();
    assert!(rig.says("3 of 8 presses"), "{}", rig.words());
    rig.desk.told(News::Over(Over { failed: None, broken_off: None }));
    rig.settle();
    assert!(rig.says("3 of 8 presses") && rig.says("The switch is: key Space"), "{}", rig.words());
    assert!(rig.wishes().iter().any(|wish| matches!(wish, Wish::Save(..))), "what was learned is kept");
    rig.click("To the trial (F3)");

    rig.click("Begin the trial");
    let wishes = rig.wishes();
    assert!(
        matches!(&wishes[..], [Wish::Trial(trial)] if trial.setup.site == "cheek"
            && trial.setup.devices == ["key Space"] && trial.protocol == "first-look"),
        "{wishes:?}"
    );
    rig.desk.told(News::Heard(sat("first-look")));
    rig.desk.told(News::Over(Over { failed: None, broken_off: None }));
    rig.settle();

    assert_eq!(rig.desk.at, "findings");
    assert!(rig.wishes().iter().any(|wish| matches!(wish, Wish::Judge(code) if code.as_str() == "K7-03")));
    assert!(rig.says("Reading the logs"));
    let found = judged();
    rig.desk.told(News::Found("K7-03".parse().unwrap(), found.clone()));
    rig.settle();
    assert!(rig.says("What to set"), "{}", rig.words());
    rig.click("Accept");
    let decided = &rig.desk.visit.as_ref().unwrap().person.decisions;
    assert_eq!((decided.len(), &decided[0].verdict), (1, &Verdict::Accepted));
    rig.click("Run the confirm block");
    let wishes = rig.wishes();
    let trial = wishes.iter().find_map(|wish| if let Wish::Trial(trial) = wish { Some(trial) } else { None });
    assert!(trial.is_some_and(|trial| trial.protocol == "confirm" && !trial.set.is_empty()), "{wishes:?}");

    rig.desk.told(News::Over(Over { failed: None, broken_off: None }));
    rig.desk.told(News::Found("K7-03".parse().unwrap(), found));
    rig.click("At home");
    rig.type_into("Scan rate, seconds per item", "0.5 to 5 by 0.5");
    assert!(rig.says("the next slower choice") && rig.says("it has none. Way round"), "{}", rig.words());

    rig.click("What if");
    assert!(rig.says("One choice from the menu") && rig.says("…"));
    predict(&mut rig);
    assert!(rig.says("at once, by formula") && !rig.says("…"), "{}", rig.words());
    let advised = rig.desk.visit.as_ref().unwrap().what_if.as_ref().unwrap().tried.clone();
    rig.drag("Scan rate, seconds per item", 40.0);
    let moved = rig.desk.visit.as_ref().unwrap().what_if.as_ref().unwrap().tried.clone();
    assert!(moved.scan_interval() > advised.scan_interval());
    let asked = rig.wishes();
    assert!(
        matches!(asked.last(), Some(Wish::Predict(question)) if question.settings[0] == moved),
        "the newest is asked first"
    );
    rig.click("Back to what is advised");
    assert_eq!(rig.desk.visit.as_ref().unwrap().what_if.as_ref().unwrap().tried, advised);

    rig.click("Report");
    assert!(rig.says("Which switch, exactly where"), "{}", rig.words());
    rig.click("When it does not work, look at four things");
    rig.click("Write and open to print");
    let wishes = rig.wishes();
    let Some(Wish::Paper { name, html }) = wishes.last() else { panic!("{wishes:?}") };
    assert_eq!(name, "K7-03.carers-1-2026-11-29.html");
    assert!(html.contains("light-touch switch") && !html.contains("four things"), "{html}");
    rig.click("For a funder: report and request");
    rig.click("Write and open to print");
    let wishes = rig.wishes();
    assert!(matches!(wishes.last(), Some(Wish::Paper { html, .. }) if html.contains("my own door")), "{wishes:?}");
    rig.click("Close");
    assert!(rig.desk.visit.is_none() && rig.desk.people["K7-03"].decisions.len() == 1);
}

#[test]
fn a_value_is_adjusted_or_rejected_only_with_a_reason() {
    let mut rig = rig();
    rig.desk.told(News::Index(Index::default(), [("K7".to_string(), person())].into(), Vec::new()));
    rig.desk.open("K7".parse().unwrap());
    rig.desk.told(News::Found("K7".parse().unwrap(), judged()));
    rig.desk.at = "findings";
    rig.settle();
    rig.click("Reject");
    assert!(rig.desk.visit.as_ref().unwrap().person.decisions.is_empty());
    rig.type_into("Why", "was tired today");
    rig.click("Reject");
    let decisions = &rig.desk.visit.as_ref().unwrap().person.decisions;
    assert_eq!((decisions.len(), decisions[0].reason.as_str()), (1, "was tired today"));
    assert_eq!(decisions[0].verdict, Verdict::Rejected);
}

#[test]
fn what_is_not_scanning_leads_straight_to_the_report() {
    let mut rig = rig();
    let direct = Person { outcome: Outcome::DirectWay, ..Person::default() };
    rig.desk.told(News::Index(Index::default(), [("K7".to_string(), direct)].into(), Vec::new()));
    rig.desk.open("K7".parse().unwrap());
    rig.settle();
    assert!(rig.says("Scanning is not what this client needs: write the report."));
    rig.click("Report");
    rig.click("Scanning is not what this client needs");
    rig.click("Write and open to print");
    let wishes = rig.wishes();
    assert!(
        matches!(wishes.last(), Some(Wish::Paper { name, .. }) if name == "K7.outcome-2026-11-29.html"),
        "{wishes:?}"
    );
}

#[test]
fn a_practice_plan_is_written_once_it_says_how_help_is_called() {
    let mut rig = rig();
    rig.desk.told(News::Index(Index::default(), [("K7".to_string(), person())].into(), Vec::new()));
    rig.desk.open("K7".parse().unwrap());
    rig.desk.told(News::Found("K7".parse().unwrap(), judged()));
    rig.desk.at = "at home";
    rig.settle();
    rig.click("Begin a practice plan");
    rig.wishes();
    rig.click("Write the plan into the data folder");
    assert!(rig.says("'how' is empty") || rig.says("`how` is empty"), "{}", rig.words());
    assert!(!rig.wishes().iter().any(|wish| matches!(wish, Wish::Plan { .. })));
    rig.type_into("How does the client call for help while practising?", "the night nurse");
    rig.click("Five items");
    rig.click("Write the plan into the data folder");
    let wishes = rig.wishes();
    let Some(Wish::Plan { name, text }) = wishes.last() else { panic!("{wishes:?}") };
    assert_eq!(name, "K7-practice-plan.json");
    let plan = crate::practice::plan::read(name, text).0.expect("a whole plan");
    assert_eq!(plan.help.how, "the night nurse");
    assert_eq!(plan.steps.last().unwrap(), "five-items");
    assert!(plan.advised_s().is_some_and(|advised_s| advised_s > 0.3), "the scan rate of the sheet: {plan:?}");
    // It stays in the client's file.
    let saved = wishes.iter().rev().find_map(|wish| if let Wish::Save(_, saved) = wish { Some(saved) } else { None });
    assert_eq!(saved.expect("it was saved").practice.as_ref(), Some(&plan));
}

#[test]
fn a_menu_is_changed_and_the_next_trial_has_other_settings() {
    let mut rig = rig();
    rig.desk.told(News::Index(Index::default(), [("K7".to_string(), person())].into(), Vec::new()));
    rig.desk.open("K7".parse().unwrap());
    rig.settle();
    rig.click("a menu of this client's own");
    rig.click_nth("Later", 0);
    rig.click("Add an item");
    let kept = rig.desk.visit.as_ref().unwrap().person.menu.clone().expect("a menu of their own");
    let (menu, problems) = Menu::from_json("menu", &kept);
    let labels: Vec<String> = menu.unwrap().items().iter().map(|item| item.label.clone()).collect();
    assert_eq!((labels[0].as_str(), labels[1].as_str(), problems), ("Lamp", "Alarm call", Vec::new()));
    assert_eq!(labels.last().unwrap(), "New item");
    rig.click("All settings");
    rig.drag("Scan rate, seconds per item", 60.0);
    let settings = rig.desk.visit.as_ref().unwrap().settings.clone().expect("other settings");
    rig.click("As the protocol has them");
    assert_eq!(rig.desk.visit.as_ref().unwrap().settings, None);
    assert!(settings.scan_interval() > Settings::default().scan_interval());
}

#[test]
fn nobody_is_deleted_without_the_code_being_typed() {
    let mut rig = rig();
    let gone = Person { archived: true, ..Person::default() };
    rig.desk.told(News::Index(Index::default(), [("K7".to_string(), gone)].into(), Vec::new()));
    rig.settle();
    rig.click("Show archived clients");
    rig.click("Delete…");
    rig.wishes();
    rig.click("Delete for good");
    assert_eq!(rig.wishes(), []);
    rig.type_into("To delete, type the code K7", "K7");
    rig.click("Delete for good");
    assert!(matches!(&rig.wishes()[..], [Wish::Delete(code)] if code.as_str() == "K7"));
}

#[test]
fn a_code_that_cannot_be_is_told_and_nothing_is_entered() {
    let mut rig = rig();
    rig.type_into("New client", "../etc");
    rig.click("Enter");
    assert!(rig.says("looks like a path") && rig.wishes().is_empty() && rig.desk.visit.is_none());
}

#[test]
fn screens_are_reached_by_keys_alone() {
    let mut rig = rig();
    rig.desk.told(News::Index(Index::default(), [("K7".to_string(), person())].into(), Vec::new()));
    rig.desk.open("K7".parse().unwrap());
    rig.settle();
    rig.key(Key::Num3, Modifiers::COMMAND);
    assert_eq!(rig.desk.at, "switch");
    rig.key(Key::F3, Modifiers::NONE);
    assert_eq!(rig.desk.at, "trial");
    rig.key(Key::Num1, Modifiers::COMMAND);
    assert_eq!(rig.desk.at, "clients");
}
