//! A trial that is watched: what is seen of it, what can be asked for, and how it may end.

use egui::{Event, Key, Modifiers, Theme};

use super::pictures::watching;
use super::rig::Rig;
use crate::app::desk::running::Over;
use crate::app::desk::state::{News, Trial, Wish};
use crate::log::live::Told;
use crate::session::input::{Input, Interruption, PauseReason};

fn rig() -> Rig {
    let mut rig = watching((1180.0, 1_400.0), Theme::Light);
    rig.wishes();
    rig
}

/// What the board was asked for.
fn asked(rig: &mut Rig) -> Vec<Input> {
    rig.wishes().into_iter().filter_map(|wish| if let Wish::Ask(input) = wish { Some(input) } else { None }).collect()
}

#[test]
fn what_is_asked_for_by_mouse_reaches_the_board_as_the_clinicians_input() {
    let mut rig = rig();
    let interval = rig.desk.running.as_ref().unwrap().watch.as_ref().unwrap().interval().unwrap().1;
    for name in ["Slower (F11)", "Helped by touch (F6)", "Suction", "Looks tired", "Leave out the last trial (F8)"] {
        rig.click(name);
    }
    let asked = asked(&mut rig);
    let Input::Set { name, value } = &asked[0] else { panic!("{asked:?}") };
    assert!(name == "scan_interval" && value.as_f64().unwrap() > interval.as_seconds());
    assert!(matches!(asked[1], Input::Prompt { .. }));
    assert_eq!(asked[2], Input::Interruption { interruption: Interruption::Suction });
    assert_eq!(asked[3], Input::Note { text: "Looks tired".into() });
    assert!(matches!(asked[4], Input::Exclude { .. }) && asked.len() == 5);
}

#[test]
fn the_keys_of_the_board_do_the_same_and_no_other_key_does_anything() {
    let mut rig = rig();
    rig.key(Key::F9, Modifiers::NONE);
    assert_eq!(asked(&mut rig), [Input::Pause { why: PauseReason::Clinician }]);
    // What the client's switch may send works no button, not even one that was clicked before.
    rig.click("Pause (F9)");
    asked(&mut rig);
    for key in [Key::Space, Key::Enter, Key::Tab] {
        rig.key(key, Modifiers::NONE);
    }
    rig.frame(vec![Event::Text(" ".into())]);
    assert_eq!(asked(&mut rig), []);
}

#[test]
fn a_switch_that_works_the_mouse_works_nothing_at_the_desk() {
    let mut rig = rig();
    rig.desk.running.as_mut().unwrap().trial.setup.devices = vec!["mouse button 1".into()];
    rig.desk.running.as_mut().unwrap().watch = None;
    rig.settle();
    assert!(rig.says("use the keys named here, at the board"), "{}", rig.words());
    rig.click("End (F10)");
    assert_eq!(asked(&mut rig), []);
    rig.key(Key::F9, Modifiers::NONE);
    assert_eq!(asked(&mut rig).len(), 1);
}

#[test]
fn what_was_not_heard_is_said_and_the_counts_stand() {
    let mut rig = rig();
    let record = crate::session::record::Record {
        at: crate::time::Moment(1),
        what: crate::session::record::What::Input(Input::Shown { number: 1 }),
    };
    rig.desk.told(News::Heard(vec![(1_000_000, Told::Record(record))]));
    rig.settle();
    assert!(rig.says("Something was not heard") && rig.says("Hits"), "{}", rig.words());
}

#[test]
fn a_board_that_broke_off_is_told_and_can_be_gone_on_with() {
    let mut rig = rig();
    let failed = Some("the board ended before its time (signal: 9)".to_string());
    rig.desk.told(News::Over(Over { failed, broken_off: Some(7) }));
    rig.settle();
    assert!(rig.says("ended before its time") && rig.says("Trials saved: 7"), "{}", rig.words());
    rig.wishes();
    rig.click("Go on with it");
    let wishes = rig.wishes();
    assert!(
        matches!(&wishes[..], [Wish::Trial(trial)] if trial.go_on && trial.protocol == "longer-trial"),
        "{wishes:?}"
    );
}

#[test]
fn one_board_is_open_at_a_time() {
    let mut rig = rig();
    rig.desk.begin(Trial::new("K7-03".parse().unwrap(), "first-look"));
    assert_eq!(rig.wishes(), []);
}
