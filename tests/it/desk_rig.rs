//! The desk without its window, and the real board on a screen of its own beside it.

use std::fs;
use std::os::unix::fs::PermissionsExt as _;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, channel};
use std::time::Instant;

use egui::Theme;
use pacewright::app::desk::state::{Desk, News};
use pacewright::app::desk::worker::{self, Wishes};
use pacewright::desk::watch::Watch;
use pacewright::session::scene::Body;
use pacewright::session::{Asked, Session};
use pacewright::store::Store;
use tempfile::TempDir;

use super::window_rig::{Eyes, PATIENCE, SCREEN, TAP};
use super::xvfb::{Hands, Xvfb};

#[allow(dead_code)] // The desk's own tests use the rest.
#[path = "../../src/app/desk/tests/raster.rs"]
mod raster;
#[allow(dead_code)] // The desk's own tests use the rest.
#[path = "../../src/app/desk/tests/rig.rs"]
pub mod rig;

/// Somebody at the desk, and hands and eyes at the board.
pub struct Beside {
    pub rig: rig::Rig,
    pub hands: Hands,
    pub eyes: Eyes,
    pub folder: TempDir,
    news: Receiver<News>,
    wishes: Option<Wishes>,
    _xvfb: Xvfb,
}

impl Beside {
    /// A desk over a data folder that `fill` has filled.
    pub fn start(fill: impl FnOnce(&Path)) -> Beside {
        let xvfb = Xvfb::start(SCREEN.0, SCREEN.1).unwrap_or_else(|words| panic!("{words}"));
        let folder = TempDir::new().expect("a folder");
        let data = folder.path().join("data");
        drop(Store::open(&data).expect("a folder"));
        fill(&data);
        let program = on_display(&folder, &xvfb.display);
        let (send, news) = channel();
        let tell: worker::Tell = Arc::new(move |told| _ = send.send(told));
        let wishes = worker::start(data.clone(), None, program, |log| Ok(log.with_extension("html")), tell);
        let mut rig = rig::Rig::new((1180.0, 2_400.0), Theme::Light);
        rig.desk.folder = data;
        let (hands, eyes) = (Hands::at(&xvfb.display), Eyes::at(&xvfb.display));
        let mut beside = Beside { rig, hands, eyes, folder, news, wishes: Some(wishes), _xvfb: xvfb };
        beside.until("the folder is read", |desk| desk.index.is_some());
        beside
    }

    pub fn data(&self) -> PathBuf {
        self.folder.path().join("data")
    }

    /// Hands wishes and news on, and shows the desk again.
    pub fn pump(&mut self) {
        let wished = self.rig.wishes();
        if let Some(wishes) = &self.wishes {
            wished.into_iter().for_each(|wish| wishes.send(wish));
        }
        let news: Vec<News> = self.news.try_iter().collect();
        let any = !news.is_empty();
        news.into_iter().for_each(|told| self.rig.desk.told(told));
        if any {
            self.rig.settle();
        }
    }

    /// Goes on until the desk knows it.
    pub fn until(&mut self, what: &str, there: impl Fn(&Desk) -> bool) {
        let patience = Instant::now() + 6 * PATIENCE;
        loop {
            self.pump();
            if there(&self.rig.desk) {
                return self.rig.settle();
            }
            assert!(Instant::now() < patience, "it never came: {what}; the desk says:\n{}", self.rig.words());
            std::thread::sleep(TAP);
        }
    }

    /// Clicks what opens the board, and turns its pages with these keys until the session begins.
    pub fn open_board(&mut self, button: &str, pages: &[u8]) {
        let (empty, nobody) = (self.eyes.look(), self.eyes.focus());
        self.rig.click(button);
        self.pump();
        let mut before = self.eyes.until_changed(&empty, "the start of the board");
        let patience = Instant::now() + PATIENCE;
        while self.eyes.focus() == nobody {
            assert!(Instant::now() < patience, "the board did not take the keyboard");
            std::thread::sleep(TAP);
        }
        for page in pages {
            self.hands.tap(*page, TAP);
            before = self.eyes.until_changed(&before, &format!("key {page}"));
        }
        self.until("the session begins", |desk| watch(desk).is_some());
    }

    /// Works the switch whenever the desk shows that it is right, until the desk knows it.
    pub fn work(&mut self, switch: u8, what: &str, there: impl Fn(&Desk) -> bool) {
        let patience = Instant::now() + 9 * PATIENCE;
        let mut pressed = None;
        while !there(&self.rig.desk) {
            assert!(Instant::now() < patience, "it never came: {what}; the desk says:\n{}", self.rig.words());
            self.pump();
            self.carry_on();
            let now = watch(&self.rig.desk).and_then(Watch::session).filter(|session| right(session));
            let scene = now.map(|session| session.scene().number);
            if scene.is_some() && scene != pressed {
                pressed = scene;
                self.hands.tap(switch, TAP);
            }
            std::thread::sleep(TAP / 4);
        }
        self.rig.settle();
    }

    /// A busy computer makes the screen lag, and the session pauses: somebody at the desk goes on.
    fn carry_on(&mut self) {
        let paused = |desk: &Desk| watch(desk).and_then(Watch::session).is_some_and(Session::is_paused);
        if paused(&self.rig.desk) {
            self.rig.click("Go on (F3)");
            self.until("it goes on", |desk| !paused(desk));
        }
    }

    /// The desk is closed; the board is not.
    pub fn close_desk(&mut self) {
        self.wishes = None;
    }
}

pub fn watch(desk: &Desk) -> Option<&Watch> {
    desk.running.as_ref()?.watch.as_ref()
}

/// A press would be right now.
fn right(session: &Session) -> bool {
    let lit = |place: u16| match &session.scene().body {
        Body::Tiles(tiles) => tiles.tiles.get(usize::from(place)).is_some_and(|tile| tile.lit),
        _ => false,
    };
    matches!(session.asked(), Asked::Entry(_, entry) if lit(entry.0))
}

/// The program on this display, whatever the display of the tests is.
fn on_display(folder: &TempDir, display: &str) -> PathBuf {
    let path = folder.path().join("program");
    let program = env!("CARGO_BIN_EXE_pacewright");
    let text = format!("#!/bin/sh\nunset WAYLAND_DISPLAY\nDISPLAY={display} exec '{program}' \"$@\"\n");
    fs::write(&path, text).expect("a file");
    fs::set_permissions(&path, fs::Permissions::from_mode(0o700)).expect("our own file");
    path
}
