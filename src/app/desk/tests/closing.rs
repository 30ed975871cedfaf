//! Closing the desk: at once where all is saved, and not without being asked where something would be lost.

use egui::{Key, Modifiers, Theme};

use super::pictures::person;
use super::rig::Rig;
use crate::app::desk::state::{News, Wish};
use crate::code::ClientCode;
use crate::desk::person::Person;
use crate::problem::Problem;
use crate::store::index::Index;
use crate::store::people::People;

fn code() -> ClientCode {
    "K7".parse().unwrap()
}

/// A desk at which something was typed that is not saved yet.
fn typed() -> Rig {
    let mut rig = Rig::new((1180.0, 3_000.0), Theme::Light);
    rig.desk.told(News::Index(Index::default(), [("K7".to_string(), person())].into(), Vec::new()));
    rig.settle();
    rig.click("Open");
    rig.type_into("Whom do carers ask about the switch?", "the ward");
    rig.wishes();
    rig
}

/// The same, and the folder takes nothing.
fn refused() -> Rig {
    let mut rig = typed();
    rig.desk.close("/stick");
    rig.settle();
    assert!(matches!(&rig.wishes()[..], [Wish::Save(_, person)] if person.contact == "the ward"));
    assert!(!rig.desk.may_close(), "nobody knows yet whether it was saved");
    rig.desk.told(News::Saved(code(), Err("cannot write the file: no space left on device".into())));
    rig.settle();
    assert!(rig.says("Close the desk?") && rig.says("no space left") && !rig.desk.may_close(), "{}", rig.words());
    rig
}

#[test]
fn what_was_typed_is_saved_and_the_desk_closes() {
    let mut rig = typed();
    rig.desk.close("/stick");
    rig.settle();
    rig.desk.told(News::Saved(code(), Ok(())));
    assert!(rig.desk.may_close());
    let mut idle = Rig::new((1180.0, 800.0), Theme::Light);
    idle.desk.close("/stick");
    assert!(idle.desk.may_close(), "nothing was typed");
}

#[test]
fn whoever_stays_goes_on_where_they_were() {
    for stay in [|rig: &mut Rig| rig.click("Stay"), |rig: &mut Rig| rig.key(Key::Escape, Modifiers::NONE)] {
        let mut rig = refused();
        stay(&mut rig);
        assert!(rig.desk.closing.is_none() && !rig.desk.may_close() && rig.desk.at == "prepare");
        assert_eq!(rig.desk.visit.as_ref().unwrap().person.contact, "the ward");
    }
}

#[test]
fn it_closes_when_there_is_room_again_or_somebody_says_so() {
    let mut rig = refused();
    rig.click("Try again");
    assert!(matches!(&rig.wishes()[..], [Wish::Save(_, person)] if person.contact == "the ward"));
    rig.desk.told(News::Saved(code(), Ok(())));
    assert!(rig.desk.may_close());
    let mut rig = refused();
    rig.click("Close and lose it");
    assert!(rig.desk.may_close());
}

#[test]
fn it_is_saved_elsewhere_and_closes_only_when_it_was() {
    let mut rig = refused();
    rig.click("Save there and close");
    let wishes = rig.wishes();
    let [Wish::SaveElsewhere(folder, people)] = &wishes[..] else { panic!("{wishes:?}") };
    assert!(folder.to_str() == Some("/stick") && people[0].0 == code() && people[0].1.contact == "the ward");
    rig.desk.told(News::SavedElsewhere(Err("/stick: read-only file system".into())));
    rig.settle();
    assert!(rig.says("read-only file system") && !rig.desk.may_close(), "{}", rig.words());
    rig.click("Save there and close");
    rig.desk.told(News::SavedElsewhere(Ok(())));
    assert!(rig.desk.may_close());
}

#[test]
fn keys_alone_answer_it() {
    let mut rig = refused();
    // Nothing is chosen beforehand: who types on does not close.
    rig.key(Key::Enter, Modifiers::NONE);
    rig.key(Key::Num3, Modifiers::COMMAND);
    assert!(!rig.desk.may_close() && rig.desk.at == "prepare");
    let tabs = |rig: &mut Rig, wanted: &str| {
        for _ in 0..30 {
            rig.key(Key::Tab, Modifiers::NONE);
            if rig.focused() == Some(wanted) {
                return;
            }
        }
        panic!("`{wanted}` is not reached by keys");
    };
    tabs(&mut rig, "Close and lose it");
    rig.key(Key::Enter, Modifiers::NONE);
    assert!(rig.desk.may_close());
}

#[test]
fn what_is_typed_beside_a_damaged_file_is_not_lost_silently() {
    let mut rig = Rig::new((1180.0, 3_000.0), Theme::Light);
    let problem = Problem::error("/data/K7.client.json", Some(3), "cannot read the client's file", "mend it by hand");
    let people = People { damaged: [("K7".to_string(), problem)].into(), ..People::default() };
    rig.desk.told(News::Index(Index::default(), people, Vec::new()));
    rig.settle();
    rig.desk.close("/stick");
    assert!(rig.desk.may_close(), "nothing was typed");
    rig.desk.closing = None;
    rig.settle();
    rig.click("Open");
    rig.type_into("Whom do carers ask about the switch?", "the ward");
    rig.desk.close("/stick");
    rig.settle();
    assert!(!rig.desk.may_close() && rig.says("K7."), "{}", rig.words());
    rig.click("Save there and close");
    let wishes = rig.wishes();
    let kept = |people: &[(ClientCode, Person)]| people[0].1.contact == "the ward";
    assert!(matches!(wishes.last(), Some(Wish::SaveElsewhere(_, people)) if kept(people)), "{wishes:?}");
}
