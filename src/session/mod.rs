//! One sitting: a protocol of blocks, run as a machine over the engine.
//!
//! The session decides what stands on the screen and what a press meant. It never reads a clock:
//! stamps are handed in, its next deadline is handed out. Inputs, engine effects and its own events
//! come out as [`record::Record`]s, in order; the log writes them and replay compares them.

pub mod cost;
pub mod event;
pub mod input;
pub mod judge;
pub mod protocol;
pub mod protocol_file;
pub mod record;
pub mod scene;
pub mod setup;
pub mod shipped;
pub mod stop;
pub mod trial;
pub mod words;

use crate::menu::Menu;
use crate::settings::Settings;
use crate::time::Moment;

use input::Input;
use protocol::Protocol;
use record::{Record, What};
use scene::{Body, Scene, Tile, Tiles};

/// Everything that decides how a session runs; the log's header holds all of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// The blocks.
    pub protocol: Protocol,
    /// The menu of its tasks.
    pub menu: Menu,
    /// Settings at the start: the protocol's over the defaults, the user's over the protocol's.
    pub settings: Settings,
    /// Seed of all draws.
    pub seed: u64,
}

/// One session.
#[derive(Clone, Debug)]
pub struct Session {
    scene: Scene,
    due: Moment,
    finished: bool,
}

impl Session {
    /// A session that waits for the clinician; `seed` and all else come from the plan.
    #[must_use]
    pub fn new(_plan: Plan) -> Session {
        let tiles = vec![Tile { label: "Lamp".into(), icon: "lamp".into(), ..Tile::default() }; 6];
        let body = Body::Tiles(Tiles { columns: 3, tiles });
        let scene = Scene { number: 0, cue: None, body, home: Vec::new(), note: None, left: None, answered: false };
        Session { scene, due: Moment::START, finished: false }
    }

    /// Something happened at `at`. Everything that was due before is done first. The input itself
    /// and all that follows from it are added to `out`.
    pub fn input(&mut self, at: Moment, input: Input, out: &mut Vec<Record>) {
        self.advance(at, out);
        self.finished |= input == Input::End;
        out.push(Record { at, what: What::Input(input) });
    }

    /// Does all that is due up to and including `now`.
    pub fn advance(&mut self, now: Moment, _out: &mut Vec<Record>) {
        while self.due <= now {
            self.scene.number += 1;
            self.due += crate::time::Span::from_ms(400);
            let step = self.scene.number as usize;
            if let Body::Tiles(tiles) = &mut self.scene.body {
                tiles.tiles.iter_mut().enumerate().for_each(|(i, tile)| tile.lit = i == step % 6);
            }
        }
    }

    /// When [`Session::advance`] has to be called next; `None` when only an input goes on.
    #[must_use]
    pub fn deadline(&self) -> Option<Moment> {
        Some(self.due)
    }

    /// What is to be seen now.
    #[must_use]
    pub fn scene(&self) -> &Scene {
        &self.scene
    }

    /// It is over: the log can be closed once the last scene has been seen.
    #[must_use]
    pub fn finished(&self) -> bool {
        self.finished
    }
}
