//! The pages before a session, pressed through.

use super::*;
use crate::app::devices::connected::FoundKind;
use crate::session::scene::Body;

fn lesson(switch_count: usize) -> Lesson {
    let place = Place { distance_mm: 1_500, width_mm: 531 };
    let roles = Role::ALL[..switch_count].to_vec();
    Lesson { roles, known: Vec::new(), place, place_known: true, broken_off: None, found: Vec::new() }
}

fn press(learn: &mut Learn, keys: &[&str]) {
    keys.iter().for_each(|key| learn.press(key.parse().unwrap()));
}

fn shown(learn: &Learn) -> String {
    let Body::Message(message) = &learn.scene().body else { panic!("not a page") };
    format!("{} | {}", message.title, message.lines.join(" | "))
}

#[test]
fn the_notice_says_what_this_is_and_what_it_is_not() {
    let mut learn = Learn::new(lesson(1));
    learn.warn(vec!["The screen saver cannot be held off here.".into()]);
    for words in ["not certified as a medical device", "drives no appliance", "calls nobody", "screen saver"] {
        assert!(shown(&learn).contains(words), "{words}");
    }
}

#[test]
fn a_switch_worked_twice_is_learned() {
    let mut learn = Learn::new(lesson(1));
    press(&mut learn, &["F3", "Space"]);
    assert_eq!(shown(&learn), "Work it again. | Learned: key Space");
    assert_eq!(learn.done(), None);
    press(&mut learn, &["Space"]);
    assert_eq!(learn.done().unwrap().switches, ["Space".parse().unwrap()]);
}

#[test]
fn what_two_keyboards_cannot_tell_apart_is_said_where_a_key_is_learned() {
    let found = ["Desk keyboard", "Switch box"].map(|name| Found { name: name.into(), kind: FoundKind::Keyboard });
    let mut learn = Learn::new(Lesson { found: found.into(), ..lesson(1) });
    press(&mut learn, &["Enter", "Space"]);
    assert!(shown(&learn).contains("Desk keyboard, Switch box"), "{}", shown(&learn));
    press(&mut learn, &["pad 1 button South"]);
    assert!(!shown(&learn).contains("Desk keyboard"), "{}", shown(&learn));
}

#[test]
fn an_axis_that_stands_at_its_end_is_said_where_a_switch_is_asked_for() {
    let mut learn = Learn::new(lesson(1));
    learn.refuse("stands at its end".into());
    press(&mut learn, &["Enter"]);
    assert!(!shown(&learn).contains("stands at its end"));
    learn.refuse("stands at its end".into());
    assert!(shown(&learn).contains("stands at its end"));
}

#[test]
fn another_key_the_second_time_is_the_new_candidate() {
    let mut learn = Learn::new(lesson(1));
    press(&mut learn, &["Enter", "Space", "mouse button 1"]);
    assert_eq!(shown(&learn), "Work it again. | Learned: mouse button 1");
}

#[test]
fn the_clinicians_keys_are_refused_with_a_word() {
    let mut learn = Learn::new(lesson(1));
    press(&mut learn, &["Enter", "F9"]);
    assert!(shown(&learn).contains("F9 is kept for the clinician"), "{}", shown(&learn));
}

#[test]
fn two_switches_have_to_differ() {
    let mut learn = Learn::new(lesson(2));
    press(&mut learn, &["Enter", "Space", "Space", "Space"]);
    assert!(shown(&learn).contains("key Space is a switch already: it moves on."), "{}", shown(&learn));
    press(&mut learn, &["Enter", "Enter"]);
    assert_eq!(learn.done().unwrap().switches.len(), 2);
}

#[test]
fn each_of_five_switches_is_asked_for_by_what_it_does() {
    let mut learn = Learn::new(lesson(5));
    press(&mut learn, &["Enter"]);
    let keys = ["KeyA", "mouse button 1", "pad 1 button South", "pad 1 axis LeftStickX -", "touch anywhere"];
    let asked = ["moves on", "takes", "moves back", "asks for rest", "nobody is called here"];
    for (key, words) in keys.into_iter().zip(asked) {
        assert!(shown(&learn).contains(words), "{}", shown(&learn));
        press(&mut learn, &[key, key]);
    }
    assert_eq!(learn.done().unwrap().switches.len(), 5);
}

#[test]
fn the_place_is_asked_and_enter_takes_what_is_shown() {
    let mut learn = Learn::new(Lesson { place_known: false, ..lesson(1) });
    press(&mut learn, &["Enter", "Digit2", "Digit2", "Digit0", "Enter", "Enter", "Space", "Space"]);
    assert_eq!(learn.done().unwrap().place, Place { distance_mm: 2_200, width_mm: 531 });
}

#[test]
fn with_everything_known_only_the_notice_stands() {
    let mut learn = Learn::new(Lesson { known: vec!["Space".parse().unwrap()], ..lesson(1) });
    assert_eq!(learn.done(), None);
    press(&mut learn, &["Enter"]);
    assert!(learn.done().is_some());
}

#[test]
fn a_session_that_was_broken_off_is_gone_on_with_or_left() {
    for (answer, go_on) in [("F3", true), ("F4", false)] {
        let known = vec!["Space".parse().unwrap()];
        let words = "The session of today was broken off.".to_string();
        let mut learn = Learn::new(Lesson { known, broken_off: Some(words), ..lesson(1) });
        press(&mut learn, &["F3", "Space", "F9"]);
        assert!(shown(&learn).starts_with("Go on with the last session? | The session of today"), "{answer}");
        assert_eq!(learn.done(), None, "only a clear answer is one");
        press(&mut learn, &[answer]);
        assert_eq!(learn.done().map(|learned| learned.go_on), Some(go_on));
    }
}

#[test]
fn help_covers_any_page_and_the_next_press_only_puts_it_away() {
    let mut learn = Learn::new(lesson(1));
    press(&mut learn, &["Enter", "F1"]);
    assert!(shown(&learn).starts_with("Keys"), "{}", shown(&learn));
    press(&mut learn, &["Space"]);
    assert!(shown(&learn).starts_with("Work the switch. | A key"), "{}", shown(&learn));
}

#[test]
fn every_press_is_a_new_scene() {
    let mut learn = Learn::new(lesson(1));
    let before = learn.scene().number;
    press(&mut learn, &["Enter"]);
    assert!(learn.scene().number > before);
}
