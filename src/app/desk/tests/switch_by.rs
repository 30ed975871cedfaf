//! What works the switch is chosen at Prepare and reaches the board.

use egui::Theme;

use super::pictures::person;
use super::rig::Rig;
use crate::app::desk::state::{News, Trial, Wish};
use crate::store::index::Index;

fn rig() -> Rig {
    let mut rig = Rig::new((1180.0, 6_000.0), Theme::Light);
    rig.desk.told(News::Index(Index::default(), [("K7-03".to_string(), person())].into(), Vec::new()));
    rig.desk.open("K7-03".parse().unwrap());
    rig.settle();
    rig
}

/// The level of the trial that is begun once this has been chosen.
fn begun(rig: &mut Rig, before: &str, choice: &str) -> Trial {
    rig.click(before);
    rig.click(choice);
    rig.wishes();
    rig.click("Trial");
    rig.click("Begin the trial");
    let trial =
        rig.wishes().into_iter().find_map(|wish| if let Wish::Trial(trial) = wish { Some(*trial) } else { None });
    trial.expect("a trial")
}

#[test]
fn each_way_is_handed_on_as_the_board_takes_it() {
    let ways = [
        ("Breath, two keys or buttons", "keys"),
        ("Breath, pressure on an axis of a pad", "pad 1 axis LeftStickY +"),
        ("Breath, emulated with the arrow keys (teaching)", "emulated"),
        ("A sound: voice, hum or click of the tongue", "microphone"),
    ];
    for (choice, level) in ways {
        let trial = begun(&mut rig(), "Not stated: the board learns it", choice);
        assert_eq!((trial.setup.level.as_str(), trial.setup.is_breath()), (level, level != "microphone"));
    }
}

#[test]
fn a_field_to_be_touched_is_a_switch_that_is_known_already() {
    let (none, field) = ("Not stated: the board learns it", "A touch, only on a field at the lower edge of the screen");
    let trial = begun(&mut rig(), none, field);
    assert_eq!((trial.setup.level.as_str(), trial.setup.devices), ("", vec!["touch field".to_string()]));
    let mut rig = rig();
    rig.click(none);
    rig.click(field);
    assert_eq!(begun(&mut rig, field, none).setup.devices, Vec::<String>::new(), "the board learns it");
}

#[test]
fn what_was_learned_of_another_way_is_forgotten_and_an_axis_that_is_none_is_said() {
    let mut rig = rig();
    let visit = rig.desk.visit.as_mut().unwrap();
    visit.person.set_ups[0].devices = vec!["key Space".into()];
    rig.settle();
    rig.click("Not stated: the board learns it");
    rig.click("Breath, pressure on an axis of a pad");
    let setup = |rig: &Rig| rig.desk.visit.as_ref().unwrap().person.set_ups[0].clone();
    assert_eq!(setup(&rig).devices, Vec::<String>::new());
    assert!(rig.says("Do without breath where the lips do not seal"), "{}", rig.words());
    assert!(!rig.says("cannot take a breath"), "{}", rig.words());
    rig.type_into("Axis, with the side of the puff", " to 5 bar");
    assert!(rig.says("cannot take a breath from 'pad 1 axis LeftStickY + to 5 bar'"), "{}", rig.words());
}
