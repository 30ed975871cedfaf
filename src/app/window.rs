//! The window thread: stamps what arrives before anything else, runs the session, shows its scenes.

mod around;
mod breath;
mod hands;
mod hearing;
mod shell;
mod told;

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::time::{Duration, Instant};

use winit::event_loop::{ActiveEventLoop, ControlFlow, DeviceEvents, EventLoop, EventLoopProxy};
use winit::window::Window;

use super::attributes;
use super::clock::{self, Clock};
use super::devices::gather::Gather;
use super::devices::pad_thread::Pads;
use super::devices::touch::Division;
use super::devices::wheel;
use super::focus::Focus;
use super::keep_awake::KeepAwake;
use super::learn::{Learn, Learned, Lesson, Place};
use super::measure::Frames;
use super::pump::Pump;
use super::render::{Drivers, News, Renderer, Tell};
use super::runner::{Look, Runner};
use super::screen;
use super::shown::ShownQueue;
use super::switches::Switches;
use super::x11_client::{X11Client, is_x11};
use super::{AppConfig, AppError, Begin, Outcome, Start, words_of_panic};
use crate::engine::effect::Role;
use crate::log::header::Measured;
use around::Around;
use breath::{Breath, Calibrating};
use hearing::Hearing;
use shell::{Shared, Shell};

/// Opens the window and runs one session in it, from the pages before it to its last scene.
///
/// Must be called on the main thread, and once in a process: window systems ask for both.
///
/// # Errors
/// No display, no window, nothing to draw with, a session that cannot begin, or a panic in any
/// part. The sink has all records up to then and has been dropped: the log can be closed.
pub fn run(config: AppConfig) -> Result<Outcome, AppError> {
    super::display_available().map_err(AppError::NoDisplay)?;
    let drivers = screen::load_drivers();
    let events = EventLoop::with_user_event().build().map_err(|error| AppError::Window(error.to_string()))?;
    // What a notch of the wheel is made of is told by X's raw events alone, with which every key comes twice. winit asks
    // for them when the window gets the focus, so it is decided here.
    let raw = is_x11(&events) && wheel::may_work(&config.switches, config.roles.len());
    events.listen_device_events(if raw { DeviceEvents::WhenFocused } else { DeviceEvents::Never });
    let shared = Shared::new(App::new(config, drivers, events.create_proxy()));
    let ran = catch_unwind(AssertUnwindSafe(|| events.run_app(&mut Shell(shared.clone()))));
    // From here on the pads' thread finds nobody.
    let mut app = shared.take().expect("it is taken here alone");
    match ran {
        Ok(Ok(())) => {}
        Ok(Err(error)) => app.failure = Some(AppError::Window(error.to_string())),
        Err(panic) => app.failure = Some(AppError::Broken(words_of_panic(&*panic))),
    }
    app.outcome()
}

enum Stage {
    Learning(Box<Learn>),
    Calibrating(Box<Calibrating>),
    Running(Box<Runner>),
    /// Nothing can begin any more.
    Over,
}

/// What exists once the window does. The renderer stands first: it has to go before the window.
struct Open {
    renderer: Renderer,
    _pads: Option<Pads>,
    client: Option<X11Client>,
    awake: KeepAwake,
    window: Arc<Window>,
}

struct App {
    title: String,
    windowed: bool,
    board: super::BoardSetup,
    begin: Begin,
    proxy: EventLoopProxy<News>,
    drivers: Option<Drivers>,
    open: Option<Open>,
    shown: Arc<ShownQueue>,
    pads: Option<super::OpenPads>,
    roles: Vec<Role>,
    devices: Gather,
    pump: Pump,
    /// At what steps a pad is polled, once that is known.
    polled_us: Option<u64>,
    focus: Focus,
    stage: Stage,
    /// What the renderer was last given.
    showing: Option<Showing>,
    first_frame: Option<Instant>,
    measured: Option<Measured>,
    learned: Option<Learned>,
    hearing: Hearing,
    /// When the troubles of staying awake are asked for.
    ask_awake: Option<Instant>,
    /// When the last scene has stood long enough.
    over_since: Option<Instant>,
    leave_at: Option<Instant>,
    failure: Option<AppError>,
    around: Around,
    breath: Option<Breath>,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Showing {
    Page(u64),
    Session(Look),
}

/// A program that cannot hold off sleep fails within this time.
const AWAKE_SETTLES: Duration = Duration::from_millis(400);

impl App {
    fn new(config: AppConfig, drivers: Drivers, proxy: EventLoopProxy<News>) -> App {
        let place = Place { distance_mm: config.board.distance_mm, width_mm: config.board.screen_width_mm };
        let mut devices = Gather::default();
        devices.touch.divide(Division::of(&config.switches, config.roles.len()));
        let lesson = Lesson {
            roles: config.roles.clone(),
            known: config.switches,
            place,
            place_known: config.place_known,
            broken_off: config.broken_off,
            found: super::devices::connected::found().unwrap_or_default(),
        };
        App {
            title: config.title,
            windowed: config.windowed,
            board: config.board,
            begin: config.begin,
            proxy,
            drivers: Some(drivers),
            open: None,
            shown: Arc::default(),
            pads: config.pads,
            roles: config.roles,
            devices,
            pump: Pump::default(),
            polled_us: None,
            focus: Focus::default(),
            stage: Stage::Learning(Box::new(Learn::new(lesson))),
            showing: None,
            first_frame: None,
            measured: None,
            learned: None,
            hearing: Hearing::new(config.sound),
            ask_awake: None,
            over_since: None,
            leave_at: None,
            failure: None,
            around: Around::new(config.watched),
            breath: config.level.map(Breath::new),
        }
    }

    fn outcome(mut self) -> Result<Outcome, AppError> {
        // After a panic the last records may still wait; a sink that panics itself gets no second chance.
        let _ = catch_unwind(AssertUnwindSafe(|| {
            if let Stage::Running(runner) = &mut self.stage {
                runner.hand_on();
            }
        }));
        if let Some(failure) = self.failure {
            return Err(failure);
        }
        Ok(Outcome { began: matches!(self.stage, Stage::Running(_)), first_frame: self.first_frame })
    }

    fn open(&mut self, events: &ActiveEventLoop, shared: &Shared) -> Result<Open, AppError> {
        let (desk, orders) = self.around.watched.take().map(|watched| (watched.desk, watched.orders)).unzip();
        let attributes = attributes::attributes(&self.title, self.windowed, desk.flatten(), events);
        let window = Arc::new(events.create_window(attributes).map_err(|error| AppError::Window(error.to_string()))?);
        self.take_orders(orders);
        let tell = self.tell();
        let pads = self.pads.take().map(|open| {
            let breath = self.breath.as_ref().and_then(Breath::axis);
            Pads::start(open, breath, shared.hand_in(self.tell()))
        });
        self.pump.start(self.tell());
        self.open_speaker();
        self.open_microphone();
        let drivers = self.drivers.take().unwrap_or_else(screen::load_drivers);
        let renderer = Renderer::start(Arc::clone(&window), drivers, self.board, Arc::clone(&self.shown), tell);
        let client = X11Client::new(&window);
        let awake = KeepAwake::hold(client.as_ref());
        Ok(Open { renderer, _pads: pads, client, awake, window })
    }

    /// A way for another thread to wake this one.
    fn tell(&self) -> Tell {
        let proxy = self.proxy.clone();
        Box::new(move |news| {
            // The window is gone at the very end only; then nobody needs the news.
            let _ = proxy.send_event(news);
        })
    }

    fn end(&mut self, at: Instant) {
        match &mut self.stage {
            Stage::Running(runner) => runner.end(at),
            _ => self.stage = Stage::Over,
        }
    }

    /// Does what is due, then begins, shows or leaves as it follows.
    fn settle(&mut self, events: &ActiveEventLoop) {
        let now = Instant::now();
        self.breathe(now);
        if let Stage::Running(runner) = &mut self.stage {
            runner.wake(now);
        }
        self.ring();
        self.place_tiles(now);
        self.keep_focus(now);
        self.ask_awake(now);
        self.begin_when_ready(now);
        self.show();
        self.leave_when_over(now, events);
        events.set_control_flow(self.deadline().map_or(ControlFlow::Wait, ControlFlow::WaitUntil));
    }

    fn ask_awake(&mut self, now: Instant) {
        if let (Some(open), Stage::Learning(learn)) = (&mut self.open, &mut self.stage)
            && self.ask_awake.is_some_and(|at| at <= now)
        {
            self.ask_awake = None;
            learn.warn(open.awake.troubles());
        }
    }

    /// Begins once everything is learned and the screen is measured, and again when a session is over.
    fn begin_when_ready(&mut self, now: Instant) {
        match &self.stage {
            Stage::Learning(learn) if self.measured.is_some() && self.hearing.is_known() => {
                let Some(learned) = learn.done() else { return };
                let number = learn.scene().number + 1;
                self.place(&learned);
                self.learned = Some(learned);
                self.calibrate_or_begin(now, number);
            }
            Stage::Calibrating(calibrating) => {
                let Some(level) = calibrating.done() else { return };
                self.learned.iter_mut().for_each(|learned| learned.levels.push(level.clone()));
                self.begin(now);
            }
            Stage::Running(runner) if runner.finished() && self.over_since.is_none() => self.begin(now),
            _ => {}
        }
    }

    fn begin(&mut self, now: Instant) {
        let (Some(learned), Some(measured)) = (self.learned.clone(), self.measured.clone()) else { return };
        self.devices.contacts.forget();
        self.around.size = Some(self.size());
        let (input_step_us, pump_lag_us) = (self.polled_us.unwrap_or(0), self.pump.lag_us());
        let measured = self.hearing.measured(Measured { input_step_us, pump_lag_us, ..measured });
        let before = if let Stage::Running(runner) = &self.stage { Some(&**runner) } else { None };
        let carrier = self.breath.as_ref().and_then(Breath::carrier);
        let switches = Switches::new(&learned.switches, &self.roles).with_level(carrier);
        let (clock, began) = Clock::start();
        let start = Start { learned, measured, began, board: self.painted() };
        match (self.begin)(start, before.map(Runner::machine)) {
            Ok(Some((machine, sink))) => {
                let runner = Runner::new(machine, sink, clock, switches, Arc::clone(&self.shown));
                let runner = runner.heard_through(self.hearing.speaker());
                let runner = before.into_iter().fold(runner, |runner, before| runner.after(now, before));
                self.stage = Stage::Running(Box::new(runner));
            }
            Ok(None) if before.is_none() => self.stage = Stage::Over,
            Ok(None) => {}
            Err(words) => self.failure = Some(AppError::Begin(words)),
        }
        self.tell_breath(now);
    }

    fn show(&mut self) {
        let Some(open) = &self.open else { return };
        let showing = match &self.stage {
            Stage::Learning(learn) => Showing::Page(learn.scene().number),
            Stage::Calibrating(calibrating) => Showing::Page(calibrating.scene().number),
            Stage::Running(runner) => Showing::Session(runner.look()),
            Stage::Over => return,
        };
        if self.showing.replace(showing) == Some(showing) {
            return;
        }
        match &self.stage {
            Stage::Learning(learn) => open.renderer.show(learn.scene().clone(), None),
            Stage::Calibrating(calibrating) => open.renderer.show(calibrating.scene().clone(), None),
            Stage::Running(runner) => {
                let (scene, number) = runner.picture();
                open.renderer.show(scene, number);
            }
            Stage::Over => {}
        }
    }

    fn leave_when_over(&mut self, now: Instant, events: &ActiveEventLoop) {
        let leave = match &self.stage {
            Stage::Running(runner) if runner.finished() => {
                self.leave_at = Some(*self.over_since.get_or_insert(now) + runner.patience());
                runner.ended_by_clinician() || self.leave_at <= Some(now)
            }
            Stage::Learning(_) | Stage::Calibrating(_) | Stage::Running(_) => false,
            Stage::Over => true,
        };
        if leave || self.failure.is_some() {
            events.exit();
        }
    }

    fn deadline(&self) -> Option<Instant> {
        let session = match &self.stage {
            Stage::Running(runner) => runner.deadline(),
            _ => None,
        };
        [session, self.breath_deadline(), self.focus.deadline(), self.ask_awake, self.leave_at]
            .into_iter()
            .flatten()
            .min()
    }

    fn fail(&mut self, at: Instant, failure: AppError) {
        self.end(at);
        self.failure = Some(failure);
    }

    fn measured(&mut self, frames: Frames, display: String) {
        let clock = clock::quality();
        self.measured = Some(Measured {
            clock_step_ns: clock.step_ns,
            clock_read_ns: clock.read_ns,
            frame_interval_us: frames.interval_us,
            frame_lag_us: frames.lag_us,
            display,
            ..Measured::default()
        });
    }
}
