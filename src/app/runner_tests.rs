//! The runner, without a window or a clock.

use std::sync::Mutex;

use super::*;
use crate::app::contacts::Change;
use crate::app::devices::flood::Passage;
use crate::app::devices::gather::Gather;
use crate::app::machine::Machine;
use crate::engine::effect::{Role, Switch};
use crate::session::input::Rating;
use crate::session::scene::Tiles;
use crate::time::{Moment, Span};

/// Steps every 100 ms and writes down the inputs it gets.
struct Stepper {
    scene: Scene,
    due: Moment,
}

impl Machine for Stepper {
    fn input(&mut self, at: Moment, input: Input, out: &mut Vec<Record>) {
        out.push(Record { at, what: What::Input(input) });
    }

    fn advance(&mut self, now: Moment, _: &mut Vec<Record>) {
        while self.due <= now {
            self.scene.number += 1;
            self.due += Span::from_ms(100);
        }
    }

    fn deadline(&self) -> Option<Moment> {
        Some(self.due)
    }

    fn scene(&self) -> &Scene {
        &self.scene
    }

    fn finished(&self) -> bool {
        false
    }

    fn stall_limit(&self) -> Span {
        Span::from_ms(100)
    }

    fn question(&self) -> Option<Rating> {
        None
    }

    fn in_assessors_hands(&self) -> bool {
        false
    }

    fn takes_pointer(&self) -> bool {
        true
    }
}

struct Rig {
    runner: Runner,
    inputs: Arc<Mutex<Vec<(Moment, Input)>>>,
    trouble: Arc<Mutex<Option<String>>>,
    shown: Arc<ShownQueue>,
    clock: Clock,
}

impl Rig {
    fn new() -> Rig {
        let body = Body::Tiles(Tiles { columns: 1, tiles: Vec::new() });
        let scene = Scene { number: 0, cue: None, body, home: Vec::new(), note: None, left: None, answered: false };
        let inputs = Arc::new(Mutex::new(Vec::new()));
        let trouble = Arc::new(Mutex::new(None));
        let (written, told) = (Arc::clone(&inputs), Arc::clone(&trouble));
        let sink: RecordSink = Box::new(move |records| {
            written.lock().unwrap().extend(records.iter().filter_map(|record| match &record.what {
                What::Input(input) => Some((record.at, input.clone())),
                _ => None,
            }));
            told.lock().unwrap().clone()
        });
        let (clock, _) = Clock::start();
        let shown = Arc::new(ShownQueue::default());
        let machine = Box::new(Stepper { scene, due: Moment(100_000) });
        let runner = Runner::new(
            machine,
            sink,
            clock,
            Switches::new(&["Space".parse().unwrap()], &[Role::Select]),
            Arc::clone(&shown),
        );
        Rig { runner, inputs, trouble, shown, clock }
    }

    fn at(&self, ms: u64) -> Instant {
        self.clock.instant(Moment(ms * 1_000)).unwrap()
    }

    fn press(&mut self, ms: u64, key: &str) {
        self.runner.change(self.at(ms), key.parse().unwrap(), true);
    }

    fn inputs(&self) -> Vec<Input> {
        self.inputs.lock().unwrap().iter().map(|(_, input)| input.clone()).collect()
    }
}

#[test]
fn a_switch_is_an_edge_and_a_strange_key_is_nothing() {
    let mut rig = Rig::new();
    rig.press(10, "Space");
    rig.press(20, "KeyQ");
    let edge = Input::Edge { switch: Switch(0), down: true };
    assert_eq!(*rig.inputs.lock().unwrap(), [(Moment(10_000), edge)]);
}

#[test]
fn what_was_shown_before_an_edge_comes_before_it_with_its_own_stamp() {
    let mut rig = Rig::new();
    let at = rig.clock.moment(rig.shown.stamp(7));
    rig.press(50, "Space");
    let inputs = rig.inputs.lock().unwrap();
    assert_eq!(inputs[0], (at, Input::Shown { number: 7 }));
    assert!(matches!(inputs[1].1, Input::Edge { .. }));
}

#[test]
fn a_wake_beyond_the_limit_is_a_stall_before_anything_else() {
    let mut rig = Rig::new();
    rig.runner.wake(rig.at(150));
    assert_eq!(rig.inputs(), []);
    rig.press(301, "Space");
    assert_eq!(rig.inputs()[0], Input::Stalled);
}

#[test]
fn losing_the_keyboard_pauses_once_and_its_return_resumes() {
    let mut rig = Rig::new();
    for here in [false, false, true, true] {
        rig.runner.focus(rig.at(5), here);
    }
    assert_eq!(rig.inputs(), [Input::Pause { why: PauseReason::FocusLost }, Input::Resume]);
}

#[test]
fn help_pauses_and_is_nobodys_scene() {
    let mut rig = Rig::new();
    let before = rig.runner.look();
    rig.press(10, "F1");
    assert_eq!(rig.inputs(), [Input::Pause { why: PauseReason::Clinician }]);
    assert_ne!(rig.runner.look(), before);
    assert_eq!(rig.runner.picture().1, None);
    rig.press(20, "F3");
    assert_eq!(rig.inputs()[1..], [Input::Next]);
    assert_eq!(rig.runner.picture().1, Some(0));
}

#[test]
fn the_line_that_confirms_a_key_stands_for_two_seconds() {
    let mut rig = Rig::new();
    rig.press(10, "F6");
    assert!(rig.runner.picture().0.note.is_some_and(|note| note.text == "Helped by touch"));
    rig.runner.wake(rig.at(2_011));
    assert_eq!(rig.runner.picture().0.note, None);
}

#[test]
fn what_the_log_waits_for_stands_on_the_clinicians_line_until_it_is_over() {
    let mut rig = Rig::new();
    let note = |rig: &Rig| rig.runner.picture().0.note.map(|note| (note.text, note.urgent));
    *rig.trouble.lock().unwrap() = Some("No space.".into());
    let before = rig.runner.look();
    rig.press(10, "Space");
    assert_ne!(rig.runner.look(), before);
    assert_eq!(note(&rig), Some(("No space.".into(), false)), "it is for the clinician and does not cry out");
    rig.press(20, "F6");
    assert_eq!(note(&rig), Some(("Helped by touch".into(), false)));
    rig.runner.wake(rig.at(2_021));
    assert_eq!(note(&rig), Some(("No space.".into(), false)));
    *rig.trouble.lock().unwrap() = None;
    rig.press(2_030, "Space");
    assert_eq!(note(&rig), None);
}

#[test]
fn a_switch_of_a_thousand_changes_a_second_pauses_and_reaches_the_session_no_more() {
    let (mut rig, mut gather) = (Rig::new(), Gather::default());
    let space: Binding = "Space".parse().unwrap();
    for ms in 0..1_000 {
        let (at, down) = (rig.at(ms), ms % 2 == 0);
        match gather.passage(at, Change { binding: space, down, repeat: false, made_up: false }) {
            Some(Passage::Through) => rig.runner.change(at, space, down),
            Some(Passage::ShutOut) => rig.runner.flooded(at, space),
            _ => {}
        }
    }
    let inputs = rig.inputs();
    let edges = inputs.iter().filter(|input| matches!(input, Input::Edge { .. })).count();
    assert_eq!((edges, inputs.last()), (200, Some(&Input::Pause { why: PauseReason::Flooded })));
}

#[test]
fn a_pointer_that_floods_is_thinned_and_the_log_says_so_once() {
    let mut rig = Rig::new();
    for n in 0..1_000_u64 {
        let at = rig.clock.instant(Moment(n * 125)).unwrap();
        rig.runner.pointer(at, Some((n as i32, 0)));
    }
    rig.runner.wake(rig.at(130));
    let inputs = rig.inputs();
    let notes = inputs.iter().filter(|input| matches!(input, Input::Note { .. })).count();
    let samples: Vec<i32> =
        inputs.iter().filter_map(|input| if let Input::Pointer { x, .. } = input { Some(*x) } else { None }).collect();
    assert_eq!((notes, samples.len(), samples.last()), (1, 33, Some(&999)), "an eighth of a second, one in 4 ms");
}

#[test]
fn a_pointer_that_stays_off_the_screen_is_said_and_logged_until_it_is_back() {
    let mut rig = Rig::new();
    let said =
        |rig: &Rig| rig.runner.picture().0.note.is_some_and(|note| note.text.starts_with("The pointer is not on"));
    let point = |rig: &mut Rig, ms, place| rig.runner.pointer(rig.at(ms), place);
    // It goes past the edge and comes back.
    point(&mut rig, 0, Some((1, 1)));
    point(&mut rig, 100, None);
    point(&mut rig, 1_000, Some((1, 1)));
    rig.runner.wake(rig.at(4_000));
    assert!(!said(&rig));
    point(&mut rig, 5_000, None);
    (50..=70).for_each(|tenth| rig.runner.wake(rig.at(tenth * 100)));
    assert!(said(&rig));
    let look = rig.runner.look();
    point(&mut rig, 9_000, Some((2, 2)));
    assert!(!said(&rig) && rig.runner.look() != look, "it is taken away at once");
    let notes = rig.inputs().iter().filter(|input| matches!(input, Input::Note { .. })).count();
    assert_eq!(notes, 1, "once for all of the time");
}
