//! A session worked by hand: every frame is shown 10 ms after its scene, presses come where the test says.

use super::super::event::Event;
use super::super::input::Input;
use super::super::protocol::{Block, Protocol};
use super::super::record::{Record, What};
use super::super::scene::{Body, Tile};
use super::super::stop::StopRules;
use super::super::trial::{Outcome, Trial};
use super::super::{Asked, Plan, Session, words};
use crate::engine::effect::{Lit, Switch};
use crate::settings::Settings;
use crate::time::{Moment, Span};

pub const FRAME: Span = Span::from_ms(10);

/// A session with its records so far and the frame that is on its way.
pub struct Clinic {
    pub session: Session,
    pub records: Vec<Record>,
    pub now: Moment,
    pub frame: Option<(Moment, u64)>,
    pub last_scene: u64,
}

impl Clinic {
    pub fn of(blocks: Vec<Block>) -> Clinic {
        Clinic::with(blocks, Settings::default())
    }

    pub fn with(blocks: Vec<Block>, settings: Settings) -> Clinic {
        let protocol = Protocol {
            format: Protocol::FORMAT.to_string(),
            version: Protocol::VERSION,
            name: "test".to_string(),
            about: String::new(),
            menu: "six".to_string(),
            settings: serde_json::Map::new(),
            most_presses: None,
            most_minutes: None,
            rest_every: 8,
            alone: false,
            stop: StopRules::default(),
            blocks,
        };
        let menu = crate::menu::shipped::find("six").unwrap();
        let session = Session::new(Plan { protocol, menu, settings, seed: 1 });
        Clinic { session, records: Vec::new(), now: Moment::START, frame: None, last_scene: 0 }
    }

    /// The same worked by the client alone.
    pub fn alone(mut self) -> Clinic {
        let mut plan = self.session.plan().clone();
        plan.protocol.alone = true;
        self.session = Session::new(plan);
        self
    }

    pub fn begin(mut self) -> Clinic {
        self.input(Input::Next);
        self
    }

    pub fn input(&mut self, input: Input) {
        self.session.input(self.now, input, &mut self.records);
        self.look();
    }

    pub fn look(&mut self) {
        let number = self.session.scene().number;
        if number != self.last_scene {
            self.last_scene = number;
            self.frame = Some((self.now + FRAME, number));
        }
    }

    /// One step: the next deadline or frame, at most `limit`. Says whether there was one.
    pub fn step(&mut self, limit: Moment) -> bool {
        let frame = self.frame.map_or(Moment::NEVER, |(at, _)| at);
        let next = self.session.deadline().unwrap_or(Moment::NEVER).min(frame);
        if next > limit {
            self.now = limit;
            self.session.advance(limit, &mut self.records);
            return false;
        }
        self.now = next;
        if frame == next {
            let (_, number) = self.frame.take().unwrap();
            self.session.input(next, Input::Shown { number }, &mut self.records);
        } else {
            self.session.advance(next, &mut self.records);
        }
        self.look();
        true
    }

    pub fn wait(&mut self, seconds: f64) {
        let limit = self.now + Span::from_seconds(seconds).unwrap();
        while self.step(limit) {}
    }

    /// Runs until `there` says so; at most ten minutes.
    pub fn until(&mut self, there: impl Fn(&Clinic) -> bool) {
        let limit = self.now + Span::from_ms(600_000);
        while !there(self) {
            assert!(self.step(limit), "it never came");
        }
    }

    pub fn press(&mut self) {
        self.input(Input::Edge { switch: Switch(0), down: true });
        self.wait(0.15);
        self.input(Input::Edge { switch: Switch(0), down: false });
    }

    /// Waits until what is asked for is lit and shown, and presses `after` seconds later.
    pub fn press_wanted(&mut self, after: f64) {
        self.until(|clinic| matches!(clinic.session.asked(), Asked::Entry(..)) && clinic.on_wanted());
        self.wait(FRAME.as_seconds() + after);
        self.press();
    }

    pub fn on_wanted(&self) -> bool {
        let Asked::Entry(wanted_group, wanted_entry) = self.session.asked() else { return false };
        matches!(self.session.lit, Lit::Entry { group, entry, .. } if (group, entry) == (wanted_group, wanted_entry))
    }

    /// What stands on the tiles.
    pub fn offers(&self) -> Vec<&str> {
        self.tiles().iter().map(|tile| tile.label.as_str()).collect()
    }

    /// Waits until this tile is lit and shown, and presses.
    pub fn choose(&mut self, label: &str) {
        self.until(|clinic| clinic.tiles().iter().any(|tile| tile.lit && tile.label == label));
        self.wait(FRAME.as_seconds() + 0.5);
        self.press();
        // The lockout behind a press.
        self.wait(1.0);
    }

    /// Ends a session worked alone.
    pub fn end(&mut self) {
        self.choose("End");
        self.choose("Yes, end");
    }

    fn tiles(&self) -> &[Tile] {
        if let Body::Tiles(tiles) = &self.session.scene().body { &tiles.tiles } else { &[] }
    }

    /// Presses at the question until it carries on.
    pub fn carry_on(&mut self) {
        self.until(|clinic| clinic.at_question());
        self.press_wanted(0.5);
    }

    pub fn at_question(&self) -> bool {
        self.cue() == words::QUESTION
    }

    pub fn cue(&self) -> String {
        self.session.scene().cue.as_ref().map_or_else(String::new, |cue| cue.text.clone())
    }

    pub fn title(&self) -> String {
        match &self.session.scene().body {
            Body::Message(message) => message.title.clone(),
            Body::Tiles(_) | Body::Strip(_) => String::new(),
        }
    }

    pub fn events(&self) -> impl Iterator<Item = &Event> {
        self.records.iter().filter_map(|record| if let What::Event(event) = &record.what { Some(event) } else { None })
    }

    pub fn trials(&self) -> Vec<&Trial> {
        self.events().filter_map(|event| if let Event::Trial(trial) = event { Some(&**trial) } else { None }).collect()
    }

    pub fn outcomes(&self) -> Vec<Outcome> {
        self.trials().iter().map(|trial| trial.outcome).collect()
    }

    pub fn has(&self, wanted: &Event) -> bool {
        self.events().any(|event| event == wanted)
    }
}
