//! Sessions that check the switch.

use super::*;
use crate::session::scene::Scene;
use crate::switch_check::{Strip, Verdict};

fn checking() -> Clinic {
    Clinic::of(vec![Block::of(BlockKind::SwitchCheck)]).begin()
}

fn strip(scene: &Scene) -> &Strip {
    let Body::Strip(strip) = &scene.body else { panic!("no strip") };
    strip
}

fn verdicts(clinic: &Clinic) -> Vec<Verdict> {
    let found =
        clinic.events().find_map(|event| if let Event::SwitchChecked(found) = event { Some(found) } else { None });
    found.expect("the check ended").verdicts.clone()
}

fn press(clinic: &mut Clinic, held: f64) {
    clinic.input(Input::Edge { switch: Switch(0), down: true });
    clinic.wait(held);
    clinic.input(Input::Edge { switch: Switch(0), down: false });
}

#[test]
fn what_is_worked_stands_on_the_strip_and_its_finding_in_the_log() {
    let mut clinic = checking();
    for held in [0.1, 0.4, 0.2, 0.7, 0.15, 0.3, 0.12, 0.5] {
        press(&mut clinic, held);
        clinic.wait(0.9);
    }
    assert_eq!(strip(clinic.session.scene()).lanes[0].bars.len(), 8);
    clinic.input(Input::Next);
    assert_eq!(verdicts(&clinic), [Verdict::Clean]);
    assert!(clinic.session.finished());
}

#[test]
fn the_strip_moves_while_there_is_something_on_it_and_then_stands() {
    let mut clinic = checking();
    press(&mut clinic, 0.2);
    let before = strip(clinic.session.scene()).lanes[0].bars[0].from;
    clinic.wait(2.0);
    assert_eq!(before - strip(clinic.session.scene()).lanes[0].bars[0].from, 200);
    clinic.wait(20.0);
    assert_eq!(clinic.session.deadline(), None);
    assert!(strip(clinic.session.scene()).lanes[0].bars.is_empty());
}

#[test]
fn a_pause_keeps_what_was_seen_and_leaves_out_what_comes_meanwhile() {
    let mut clinic = checking();
    press(&mut clinic, 0.2);
    clinic.wait(1.0);
    clinic.input(Input::Pause { why: PauseReason::Clinician });
    press(&mut clinic, 0.2);
    clinic.input(Input::Next);
    clinic.input(Input::End);
    assert_eq!(verdicts(&clinic), [Verdict::TooFew { presses: 1, wanted: 8 }]);
}
