//! A remark in the clinician's own words: typed only while the board waits for the clinician, and never lost.

use egui::{Event, Key, Modifiers, Theme};

use super::pictures::{session, watching};
use super::rig::Rig;
use crate::app::desk::remark::Keyboard;
use crate::app::desk::running::Over;
use crate::app::desk::state::{News, Wish};
use crate::log::live::Told;
use crate::session::Session;
use crate::session::input::{Input, PauseReason};
use crate::session::record::{Record, What};
use crate::time::{Moment, Span};

const WRITE: &str = "Other words (pauses) …";
const PAUSE: Input = Input::Pause { why: PauseReason::Clinician };

/// The desk, and the session on its board, of which nothing is told but what it does next.
struct Beside {
    rig: Rig,
    session: Session,
    now: Moment,
    next: u64,
}

impl Beside {
    fn start() -> Beside {
        let mut rig = watching((1180.0, 1_400.0), Theme::Light);
        rig.wishes();
        let (header, records) = session("longer-trial");
        let heard = &records[..records.len() / 2];
        let mut session = Session::new(header.plan("log").unwrap());
        let mut all = Vec::new();
        for record in heard {
            if let What::Input(input) = &record.what {
                session.input(record.at, input.clone(), &mut all);
            }
        }
        let now = heard.last().unwrap().at;
        let mut beside = Beside { rig, session, now, next: 1 + heard.len() as u64 };
        beside.tell(all.split_off(heard.len()));
        beside
    }

    fn tell(&mut self, fresh: Vec<Record>) {
        let told: Vec<(u64, Told)> = (self.next..).zip(fresh.into_iter().map(Told::Record)).collect();
        self.next += told.len() as u64;
        self.rig.desk.told(News::Heard(told));
        self.rig.settle();
    }

    /// Does on the board what was asked for at the desk; gives that.
    fn board(&mut self) -> Vec<Input> {
        let wishes = self.rig.wishes().into_iter();
        let asked: Vec<Input> =
            wishes.filter_map(|wish| if let Wish::Ask(input) = wish { Some(input) } else { None }).collect();
        for input in &asked {
            self.now += Span::from_ms(1);
            let mut fresh = Vec::new();
            self.session.input(self.now, input.clone(), &mut fresh);
            self.tell(fresh);
        }
        asked
    }

    /// What is written reads so, and nothing is asked of the board.
    fn only_written(&mut self, text: &str) -> bool {
        self.board().is_empty() && self.written() == Some(text)
    }

    fn written(&self) -> Option<&str> {
        self.rig.desk.running.as_ref()?.remark.as_deref()
    }

    fn types(&mut self, text: &str) {
        self.rig.frame(vec![Event::Text(text.into())]);
        self.rig.settle();
    }
}

#[test]
fn a_remark_is_typed_once_the_board_waits_and_going_on_notes_it() {
    let mut beside = Beside::start();
    beside.types("lost");
    beside.rig.click(WRITE);
    beside.types("too soon");
    assert_eq!((beside.written(), beside.rig.desk.keyboard()), (Some(""), Keyboard::Board));
    assert_eq!(beside.board(), [PAUSE]);
    assert_eq!(beside.rig.desk.keyboard(), Keyboard::Desk);
    beside.types("head turned, ");
    // A figure is a figure here, and no answer.
    beside.rig.key(Key::Num7, Modifiers::NONE);
    beside.types("7 cm");
    assert!(beside.only_written("head turned, 7 cm"), "{:?}", beside.written());
    beside.rig.key(Key::F3, Modifiers::NONE);
    assert_eq!(beside.board(), [Input::Note { text: "head turned, 7 cm".into() }, Input::Next]);
    assert_eq!((beside.written(), beside.rig.desk.keyboard()), (None, Keyboard::Board));
}

#[test]
fn what_a_switch_sends_while_a_remark_is_written_works_nothing() {
    let mut beside = Beside::start();
    beside.rig.click(WRITE);
    beside.board();
    beside.types("pale");
    for key in [Key::Space, Key::Enter, Key::Tab] {
        beside.rig.key(key, Modifiers::NONE);
    }
    beside.types(" and tired");
    assert!(beside.only_written("pale and tired"), "{:?}", beside.written());
    beside.rig.click("Note it");
    assert_eq!(beside.board(), [Input::Note { text: "pale and tired".into() }]);
    assert!(beside.rig.desk.running.is_some() && beside.session.is_paused(), "it goes on only when somebody says so");
}

#[test]
fn nothing_is_typed_where_the_remark_is_out_of_sight_or_the_trial_goes_on() {
    let mut beside = Beside::start();
    beside.rig.click(WRITE);
    beside.board();
    beside.types("pale");
    beside.rig.key(Key::Num2, Modifiers::COMMAND);
    assert_eq!((beside.rig.desk.at, beside.rig.desk.keyboard()), ("prepare", Keyboard::Board));
    beside.rig.desk.at = "trial";
    // Somebody goes on at the board itself.
    let mut fresh = Vec::new();
    beside.session.input(beside.now, Input::Next, &mut fresh);
    beside.tell(fresh);
    beside.types("lost");
    assert_eq!((beside.written(), beside.rig.desk.keyboard()), (Some("pale"), Keyboard::Board));
    assert!(beside.rig.says("the board has to wait"), "{}", beside.rig.words());
}

#[test]
fn a_remark_that_the_end_of_the_trial_overtakes_is_told() {
    let mut beside = Beside::start();
    beside.rig.click(WRITE);
    beside.board();
    beside.types("pale");
    beside.rig.desk.told(News::Over(Over { failed: None, broken_off: Some(3) }));
    beside.rig.settle();
    assert!(beside.rig.says("it stands in no log: pale"), "{}", beside.rig.words());
}
