//! Whose visit it is, and what is kept: no file is written over unread, nobody is brought back, nothing typed is lost.

use egui::{Key, Modifiers, Theme};

use super::pictures::{judged, person, watching};
use super::rig::Rig;
use crate::app::desk::running::Over;
use crate::app::desk::state::{News, Wish};
use crate::code::ClientCode;
use crate::desk::person::Person;
use crate::menu::shipped;
use crate::problem::Problem;
use crate::session::input::Input;
use crate::settings::{Id, Settings};
use crate::store::index::Index;
use crate::store::people::People;

fn code(text: &str) -> ClientCode {
    text.parse().unwrap()
}

fn rig(people: People) -> Rig {
    let mut rig = Rig::new((1180.0, 3_000.0), Theme::Light);
    rig.desk.told(News::Index(Index::default(), people, Vec::new()));
    rig.settle();
    rig.wishes();
    rig
}

fn damaged() -> People {
    let problem = Problem::error("/data/K7.client.json", Some(3), "cannot read the client's file", "mend it by hand");
    People { damaged: [("K7".to_string(), problem)].into(), ..People::default() }
}

fn saves(rig: &mut Rig) -> Vec<(ClientCode, Person)> {
    let save = |wish| if let Wish::Save(code, person) = wish { Some((code, *person)) } else { None };
    rig.wishes().into_iter().filter_map(save).collect()
}

#[test]
fn a_damaged_file_is_said_in_place_and_never_written_over() {
    let mut rig = rig(damaged());
    assert!(rig.says("K7") && rig.says("damaged"), "{}", rig.words());
    rig.click("Open");
    rig.type_into("Why is the client here, in their own words?", "my own door");
    assert!(rig.says("Nothing is written over it") && rig.says("mend it by hand"), "{}", rig.words());
    rig.click("Clients");
    assert_eq!(saves(&mut rig), []);
    // Mended meanwhile: what was typed without knowing it does not take its place.
    rig.desk.told(News::Index(Index::default(), [("K7".to_string(), person())].into(), Vec::new()));
    rig.settle();
    rig.click("Close");
    assert_eq!(saves(&mut rig), []);
    assert_eq!(rig.desk.people["K7"], person());
}

#[test]
fn a_file_that_was_mended_is_taken_where_nothing_was_typed() {
    let mut rig = rig(damaged());
    rig.click("Open");
    rig.desk.told(News::Index(Index::default(), [("K7".to_string(), person())].into(), Vec::new()));
    rig.settle();
    assert_eq!(rig.desk.visit.as_ref().unwrap().person, person());
    rig.click("Close");
    assert_eq!(saves(&mut rig), []);
}

#[test]
fn nobody_is_entered_before_the_folder_is_read() {
    let mut rig = Rig::new((1180.0, 800.0), Theme::Light);
    rig.wishes();
    rig.type_into("New client", "K7");
    rig.click("Enter");
    assert!(rig.desk.visit.is_none() && rig.wishes().is_empty(), "K7 may have a file already");
    rig.desk.told(News::Index(Index::default(), [("K7".to_string(), person())].into(), Vec::new()));
    rig.settle();
    rig.click("Enter");
    assert_eq!(rig.desk.visit.as_ref().unwrap().person, person());
    assert_eq!(rig.wishes(), []);
}

#[test]
fn a_visit_is_over_when_its_client_is_archived_or_deleted() {
    let mut rig = rig([("K7".to_string(), person())].into());
    rig.click("Open");
    rig.type_into("Whom do carers ask about the switch?", "the ward");
    rig.click("Clients");
    rig.click("Archive");
    let last = saves(&mut rig).pop().expect("it is kept");
    assert!(rig.desk.visit.is_none() && last.1.archived && last.1.contact == "the ward");
    rig.desk.open(code("K7"));
    rig.desk.at = "clients";
    rig.settle();
    rig.click("Show archived clients");
    rig.click("Delete…");
    rig.type_into("To delete, type the code K7", "K7");
    rig.click("Delete for good");
    assert_eq!(rig.wishes().last(), Some(&Wish::Delete(code("K7"))));
    assert!(rig.desk.visit.is_none() && rig.desk.people.is_empty());
    rig.desk.save();
    assert_eq!(saves(&mut rig), [], "nothing brings them back");
}

#[test]
fn no_other_client_is_opened_while_the_board_is_open() {
    let mut rig = watching((1180.0, 1_400.0), Theme::Light);
    rig.desk.at = "clients";
    rig.settle();
    rig.wishes();
    rig.click_nth("Open", 1);
    rig.desk.open(code("M2-11"));
    rig.click("Archive");
    assert_eq!(rig.desk.visit.as_ref().unwrap().code, code("K7-03"));
    assert_eq!(saves(&mut rig), []);
    rig.desk.told(News::Over(Over { failed: None, broken_off: None }));
    rig.desk.open(code("M2-11"));
    assert_eq!(rig.desk.visit.as_ref().unwrap().code, code("M2-11"));
}

#[test]
fn the_confirm_block_is_run_on_the_clients_own_menu() {
    let menu = shipped::find("flat").expect("it is shipped").to_json();
    let own = Person { menu: Some(menu.clone()), ..person() };
    let mut rig = rig([("K7-03".to_string(), own)].into());
    rig.desk.open(code("K7-03"));
    rig.desk.told(News::Found(code("K7-03"), judged()));
    rig.desk.at = "findings";
    rig.settle();
    rig.click("Run the confirm block");
    let wishes = rig.wishes();
    let trial = wishes.iter().find_map(|wish| if let Wish::Trial(trial) = wish { Some(trial) } else { None });
    assert_eq!(trial.expect("a trial").menu, Some(menu.to_string()));
}

#[test]
fn a_figure_with_control_turns_to_a_screen_and_answers_nothing() {
    let mut rig = watching((1180.0, 1_400.0), Theme::Light);
    rig.wishes();
    rig.key(Key::Num3, Modifiers::COMMAND);
    let rated = |wish: &Wish| matches!(wish, Wish::Ask(Input::Rate { .. }));
    assert!(rig.desk.at == "switch" && !rig.wishes().iter().any(rated));
}

#[test]
fn what_could_not_be_saved_stands_in_place_until_it_is() {
    let mut rig = rig([("K7".to_string(), person())].into());
    rig.click("Open");
    rig.type_into("Whom do carers ask about the switch?", "the ward");
    rig.click("Clients");
    assert_eq!(saves(&mut rig).len(), 1);
    rig.desk.told(News::Saved(code("K7"), Err("cannot write the file: no space left on device".into())));
    // The folder is read anew: what is not saved is newer.
    rig.desk.told(News::Index(Index::default(), [("K7".to_string(), person())].into(), Vec::new()));
    rig.settle();
    assert!(rig.says("K7: not saved: cannot write the file: no space left"), "{}", rig.words());
    rig.click("Close");
    assert_eq!(saves(&mut rig).len(), 1, "it is tried again with each change of screen");
    rig.desk.told(News::Saved(code("K7"), Err("cannot write the file: no space left on device".into())));
    rig.settle();
    rig.click("Try again");
    let again = saves(&mut rig);
    assert!(again.len() == 1 && again[0].1.contact == "the ward", "{again:?}");
    rig.desk.told(News::Saved(code("K7"), Ok(())));
    rig.settle();
    assert!(!rig.says("not saved"), "{}", rig.words());
}

#[test]
fn a_folder_that_cannot_be_read_is_said_in_place_and_nobody_is_entered() {
    let mut rig = Rig::new((1180.0, 800.0), Theme::Light);
    rig.wishes();
    rig.desk.told(News::NoFolder("/data: cannot list the folder: it is gone; check the path".into()));
    rig.settle();
    assert!(rig.says("cannot list the folder") && !rig.says("Reading the logs"), "{}", rig.words());
    rig.type_into("New client", "K7");
    rig.click("Enter");
    assert!(rig.desk.visit.is_none() && rig.wishes().is_empty(), "K7 may have a file there");
    rig.click("Try again");
    assert_eq!(rig.wishes(), [Wish::Index]);
    rig.desk.told(News::Index(Index::default(), [].into(), Vec::new()));
    rig.settle();
    rig.click("Enter");
    assert!(!rig.says("cannot list the folder") && rig.desk.visit.is_some(), "{}", rig.words());
}

#[test]
fn a_visit_goes_on_when_its_folder_is_gone_and_is_saved_when_it_is_back() {
    let mut rig = rig([("K7".to_string(), person())].into());
    rig.click("Open");
    rig.desk.told(News::NoFolder("/data: cannot list the folder: it is gone".into()));
    rig.settle();
    rig.type_into("Whom do carers ask about the switch?", "the ward");
    rig.click("Close");
    rig.desk.told(News::Saved(code("K7"), Err("cannot write the file: no such folder".into())));
    rig.wishes();
    rig.settle();
    rig.click("Try again");
    assert!(matches!(&rig.wishes()[..], [Wish::Save(_, person), Wish::Index] if person.contact == "the ward"));
}

#[test]
fn no_trial_is_begun_with_settings_that_contradict_themselves() {
    let mut rig = rig([("K7-03".to_string(), person())].into());
    rig.desk.open(code("K7-03"));
    rig.desk.at = "trial";
    let settings = Settings::default().with(Id::Hold, 400_000).with(Id::ScanInterval, 400_000);
    rig.desk.visit.as_mut().unwrap().settings = Some(settings);
    rig.settle();
    assert!(rig.says("the highlight has moved on") && rig.says("Nothing is tried with settings"), "{}", rig.words());
    rig.click("Begin the trial");
    assert!(rig.desk.running.is_none() && rig.wishes().is_empty());
    rig.desk.visit.as_mut().unwrap().settings = None;
    rig.settle();
    rig.click("Begin the trial");
    assert!(rig.desk.running.is_some() && !rig.says("contradict themselves"), "{}", rig.words());
}

#[test]
fn what_was_adjusted_does_not_pass_for_what_was_advised() {
    let mut rig = rig([("K7-03".to_string(), person())].into());
    rig.desk.open(code("K7-03"));
    rig.desk.told(News::Found(code("K7-03"), judged()));
    rig.desk.at = "findings";
    rig.settle();
    rig.type_into("Adjust", "2");
    rig.type_into("Why", "was tired today");
    rig.click("Adjust");
    rig.click("At home");
    assert!(rig.says("As decided") && !rig.says("Advised"), "{}", rig.words());
    rig.click("What if");
    let what_if = rig.desk.visit.as_ref().unwrap().what_if.as_ref().unwrap();
    assert_eq!(what_if.beside[1], what_if.tried, "the advised column keeps what was advised");
    assert!(what_if.home.iter().any(|home| home.raw(Id::ScanInterval) == 2_000_000));
}

#[test]
fn a_review_that_is_past_is_said_beside_the_papers() {
    let mut rig = rig([("K7".to_string(), person())].into());
    rig.click("Open");
    rig.click("Report");
    assert!(rig.says("Next review: 2026-11-01 · overdue"), "{}", rig.words());
}

#[test]
fn what_was_decided_is_saved_at_once_and_what_was_typed_when_the_keyboard_goes_on() {
    let mut rig = rig([("K7-03".to_string(), person())].into());
    rig.desk.open(code("K7-03"));
    rig.desk.told(News::Found(code("K7-03"), judged()));
    rig.desk.at = "findings";
    rig.settle();
    rig.wishes();
    rig.click("Accept");
    let saved = saves(&mut rig);
    assert!(saved.len() == 1 && saved[0].1.decisions.len() == 1, "{saved:?}");
    rig.desk.told(News::Saved(code("K7-03"), Err("cannot write the file: no space left on device".into())));
    (0..5).for_each(|_| rig.settle());
    assert_eq!(saves(&mut rig), [], "a full folder is not asked again and again");
    rig.click("Prepare");
    rig.wishes();
    rig.type_into("Whom do carers ask about the switch?", "the ward");
    assert_eq!(saves(&mut rig), [], "it is being typed");
    rig.key(Key::Tab, Modifiers::NONE);
    assert_eq!(saves(&mut rig).pop().unwrap().1.contact, "the ward");
}
