//! The render thread: paints the newest scene, hands it to the screen and stamps the hand-over.
//!
//! It owns the surface, so waiting for the screen never delays the window thread. Scenes that come
//! faster than frames are skipped: the latest wins. A failure or panic in here is told, not lost.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use winit::window::Window;

use super::board::{Board, BoardSetup};
use super::measure::{self, Frames};
use super::screen::Screen;
use super::shown::ShownQueue;
use super::sound::SoundNews;
use super::sound::microphone::MicrophoneNews;
use super::words_of_panic;
use super::yielding;
use crate::lock::past_panics;
use crate::session::input::Input;
use crate::session::scene::Scene;

/// What the render thread tells the window thread.
#[derive(Clone, Debug)]
pub enum News {
    /// The first frame was handed over.
    FirstFrame(Instant),
    /// The frames of this screen were measured; the text names display and driver.
    Measured(Frames, String),
    /// Something has reached the session on another thread.
    Handed,
    /// The sound device has something to say.
    Sound(SoundNews),
    /// The microphone has heard something, or hears nothing any more.
    Microphone(MicrophoneNews),
    /// Sent at that instant, to measure how long news take.
    Ping(Instant),
    /// The clinician asks for it at the desk.
    Asked(Input),
    /// The desk was closed.
    Unwatched,
    /// Something stands in the queue of what was shown.
    Shown,
    /// The driver refused.
    Refused(String),
    /// A fault in here.
    Broken(String),
}

/// The drivers, being loaded.
pub type Drivers = JoinHandle<pixels::wgpu::Instance>;

/// How news reach the window thread: wakes it.
pub type Tell = Box<dyn Fn(News) + Send>;

/// What the window thread wants, until the render thread takes it.
#[derive(Default)]
struct Wish {
    scene: Option<(Scene, Option<u64>)>,
    size: Option<(u32, u32)>,
    setup: Option<BoardSetup>,
    again: bool,
    quit: bool,
}

#[derive(Default)]
struct Shared {
    wish: Mutex<Wish>,
    changed: Condvar,
}

/// The window thread's end.
pub struct Renderer {
    shared: Arc<Shared>,
    thread: Option<JoinHandle<()>>,
}

/// How long a window that shows nothing is left alone before it is tried again.
const HIDDEN: Duration = Duration::from_millis(100);
/// How far the render thread stands behind the window thread: a frame may be late, a stamp may not.
const NICER: i32 = 10;
/// How long the end waits for a driver that does not return.
const PATIENCE: Duration = Duration::from_secs(2);

impl Renderer {
    /// Starts the thread on this window.
    pub fn start(
        window: Arc<Window>,
        drivers: Drivers,
        setup: BoardSetup,
        shown: Arc<ShownQueue>,
        tell: Tell,
    ) -> Renderer {
        let shared = Arc::new(Shared::default());
        let ours = Arc::clone(&shared);
        let thread = std::thread::spawn(move || {
            let end = catch_unwind(AssertUnwindSafe(|| run(&window, drivers, setup, &shared, &shown, &tell)));
            match end {
                Ok(Ok(())) => {}
                Ok(Err(error)) => tell(News::Refused(error.to_string())),
                Err(panic) => tell(News::Broken(words_of_panic(&*panic))),
            }
        });
        Renderer { shared: ours, thread: Some(thread) }
    }

    /// Show this scene as soon as possible; `number` is reported once when it is handed over.
    pub fn show(&self, scene: Scene, number: Option<u64>) {
        self.wish(|wish| wish.scene = Some((scene, number)));
    }

    /// The window has another size in pixels.
    pub fn resize(&self, width: u32, height: u32) {
        self.wish(|wish| wish.size = Some((width, height)));
    }

    /// Set the board up anew.
    pub fn set_up(&self, setup: BoardSetup) {
        self.wish(|wish| wish.setup = Some(setup));
    }

    /// The screen has lost the picture.
    pub fn again(&self) {
        self.wish(|wish| wish.again = true);
    }

    fn wish(&self, change: impl FnOnce(&mut Wish)) {
        change(&mut self.shared.lock());
        self.shared.changed.notify_one();
    }
}

impl Drop for Renderer {
    fn drop(&mut self) {
        self.wish(|wish| wish.quit = true);
        let Some(thread) = self.thread.take() else { return };
        let patience = Instant::now() + PATIENCE;
        while !thread.is_finished() && Instant::now() < patience {
            std::thread::sleep(Duration::from_millis(1));
        }
        if thread.is_finished() {
            // A panic in there was told already.
            let _ = thread.join();
        }
    }
}

impl Shared {
    fn lock(&self) -> MutexGuard<'_, Wish> {
        past_panics(&self.wish)
    }

    /// Waits for a wish, at most `limit` when there is one.
    fn wait(&self, limit: Option<Duration>) -> Wish {
        let idle = |wish: &mut Wish| !wish.any();
        let mut guard = match limit {
            None => self.changed.wait_while(self.lock(), idle).unwrap_or_else(PoisonError::into_inner),
            Some(limit) => {
                self.changed.wait_timeout_while(self.lock(), limit, idle).unwrap_or_else(PoisonError::into_inner).0
            }
        };
        std::mem::take(&mut *guard)
    }
}

impl Wish {
    fn any(&self) -> bool {
        self.quit || self.again || self.scene.is_some() || self.size.is_some() || self.setup.is_some()
    }
}

/// The thread's own state.
struct Painter<'a> {
    screen: Screen,
    board: Board,
    size: (u32, u32),
    setup: BoardSetup,
    scene: Option<(Scene, Option<u64>)>,
    reported: Option<u64>,
    shown: &'a ShownQueue,
    tell: &'a Tell,
}

fn run(
    window: &Arc<Window>,
    drivers: Drivers,
    setup: BoardSetup,
    shared: &Shared,
    shown: &ShownQueue,
    tell: &Tell,
) -> Result<(), pixels::Error> {
    yielding::behind(NICER);
    let first = shared.wait(None);
    if first.quit {
        return Ok(());
    }
    let mut painter = Painter::open(window, drivers, setup, first, shown, tell)?;
    let mut measured = false;
    loop {
        let drawn = painter.draw()?;
        // The screen has its frame: the time until the next one is free.
        painter.board.prepare();
        if let (Some(first), false) = (drawn, measured) {
            measured = true;
            tell(News::FirstFrame(first));
            painter.measure()?;
        }
        let hidden = drawn.is_none() && painter.scene.is_some();
        let wish = shared.wait(hidden.then_some(HIDDEN));
        if wish.quit {
            return Ok(());
        }
        painter.take(wish)?;
    }
}

impl<'a> Painter<'a> {
    /// Paints the first wish while the screen is being opened: both take their time.
    fn open(
        window: &Arc<Window>,
        drivers: Drivers,
        setup: BoardSetup,
        first: Wish,
        shown: &'a ShownQueue,
        tell: &'a Tell,
    ) -> Result<Painter<'a>, pixels::Error> {
        let size = window.inner_size();
        let size = (size.width.max(1), size.height.max(1));
        let mut board = Board::new(size.0, size.1, setup);
        let mut frame = vec![0; 4 * size.0 as usize * size.1 as usize];
        let screen = std::thread::scope(|scope| {
            let opening = scope.spawn(|| {
                // A thread that fell over loaded nothing; opening does it then.
                let _drivers = drivers.join();
                Screen::open(window, size.0, size.1)
            });
            if let Some((scene, _)) = &first.scene {
                board.paint(scene, &mut frame);
            }
            opening.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic))
        });
        let mut screen = screen?;
        screen.frame_mut().copy_from_slice(&frame);
        let mut painter = Painter { screen, board, size, setup, scene: None, reported: None, shown, tell };
        painter.take(first)?;
        Ok(painter)
    }
}

impl Painter<'_> {
    fn take(&mut self, wish: Wish) -> Result<(), pixels::Error> {
        if let Some((width, height)) = wish.size.filter(|size| *size != self.size && size.0 > 0 && size.1 > 0) {
            self.screen.resize(width, height)?;
            self.size = (width, height);
            self.board.resize(width, height);
        }
        if let Some(setup) = wish.setup.filter(|setup| *setup != self.setup) {
            self.setup = setup;
            self.board = Board::new(self.size.0, self.size.1, setup);
        }
        if let Some(scene) = wish.scene {
            self.scene = Some(scene);
        }
        Ok(())
    }

    /// Paints and hands over; tells when, or `None` when there was nothing to draw on.
    fn draw(&mut self) -> Result<Option<Instant>, pixels::Error> {
        let Some((scene, number)) = &self.scene else { return Ok(None) };
        self.board.paint(scene, self.screen.frame_mut());
        if !self.screen.present()? {
            return Ok(None);
        }
        let at = match *number {
            Some(number) if self.reported != Some(number) => {
                let at = self.shown.stamp(number);
                self.reported = Some(number);
                (self.tell)(News::Shown);
                at
            }
            _ => Instant::now(),
        };
        Ok(Some(at))
    }

    fn measure(&mut self) -> Result<(), pixels::Error> {
        let mut failed = None;
        let frames = measure::frames(|| {
            self.draw().unwrap_or_else(|error| {
                failed = Some(error);
                None
            })
        });
        (self.tell)(News::Measured(frames, self.screen.describe()));
        failed.map_or(Ok(()), Err)
    }
}
