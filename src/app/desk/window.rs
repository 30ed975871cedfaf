//! The desk's window: the window thread hands events on, the desk thread runs and paints.
//!
//! Nothing is painted without a cause: the desk thread sleeps until an event, news, or a moment that a
//! screen asked for.

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use egui::{Context, FullOutput, PlatformOutput, RawInput, ViewportId};
use egui_winit::accesskit_winit;
use winit::application::ApplicationHandler;
use winit::dpi::LogicalSize;
use winit::event::WindowEvent;
use winit::event_loop::{ActiveEventLoop, ControlFlow, EventLoop, EventLoopProxy};
use winit::window::{Window, WindowId};

use super::bus;
use super::paint::Painter;
use super::predictor::Predictor;
use super::remark::Keyboard;
use super::running::admit;
use super::state::{Desk, News, Wish};
use super::theme;
use super::worker::{self, Wishes, WriteReport};
use crate::app::x11_client::X11Client;
use crate::app::{AppError, attributes, screen, yielding};
use crate::desk::words::Language;
use crate::problem::Problem;
use crate::store::Store;

/// How far the desk stands behind: behind the board's window, and behind what it paints.
const NICER: i32 = 15;

/// What the desk needs to be told.
pub struct DeskConfig {
    /// The data folder.
    pub folder: PathBuf,
    /// The same, opened; why it is not.
    pub store: Result<Store, Problem>,
    /// The day, as 2026-11-29.
    pub today: String,
    /// Language of the words.
    pub language: Language,
    /// Writes the report of a log.
    pub write_report: WriteReport,
    /// This program, which opens the board too.
    pub program: PathBuf,
}

/// Opens the desk and stays until its window is closed.
///
/// # Errors
/// No display, no window, or nothing to draw with.
pub fn run(config: DeskConfig) -> Result<(), AppError> {
    crate::app::display_available().map_err(AppError::NoDisplay)?;
    let events = EventLoop::<Told>::with_user_event().build().map_err(|error| AppError::Window(error.to_string()))?;
    let mut shell = Shell { config: Some(config), proxy: events.create_proxy(), open: None, failure: None };
    events.run_app(&mut shell).map_err(|error| AppError::Window(error.to_string()))?;
    shell.failure.map_or(Ok(()), Err)
}

/// What reaches the window thread from elsewhere.
enum Told {
    /// What egui wants of the window: cursor, accessibility tree.
    Platform(Box<PlatformOutput>),
    /// A screen reader asks.
    Access(accesskit_winit::Event),
    /// Whose the keyboard is from now on.
    Keyboard(Keyboard),
    /// Nothing is left to be saved: the window can go.
    Close,
    /// The desk thread could not go on.
    Failed(AppError),
}

impl From<accesskit_winit::Event> for Told {
    fn from(event: accesskit_winit::Event) -> Told {
        Told::Access(event)
    }
}

/// What reaches the desk thread.
enum Message {
    Input(Box<RawInput>),
    Resized(u32, u32),
    News(Box<News>),
    /// Upper left corner of the monitor that the desk is on.
    Corner((i32, i32)),
    /// Somebody wants to close the window.
    Close,
    Quit,
}

struct Shell {
    config: Option<DeskConfig>,
    proxy: EventLoopProxy<Told>,
    open: Option<Open>,
    failure: Option<AppError>,
}

struct Open {
    egui: egui_winit::State,
    messages: Sender<Message>,
    thread: Option<JoinHandle<()>>,
    client: Option<X11Client>,
    window: Arc<Window>,
}

impl ApplicationHandler<Told> for Shell {
    fn resumed(&mut self, events: &ActiveEventLoop) {
        events.set_control_flow(ControlFlow::Wait);
        let Some(config) = self.config.take() else { return };
        match Open::new(config, events, self.proxy.clone()) {
            Ok(open) => self.open = Some(open),
            Err(error) => self.fail(error, events),
        }
    }

    fn window_event(&mut self, events: &ActiveEventLoop, _: WindowId, event: WindowEvent) {
        let Some(open) = &mut self.open else { return };
        match &event {
            WindowEvent::CloseRequested => {
                // A desk thread that is gone has nothing left to save.
                if open.messages.send(Message::Close).is_err() {
                    events.exit();
                }
                return;
            }
            WindowEvent::Resized(size) if size.width > 0 && size.height > 0 => {
                open.send(Message::Resized(size.width, size.height));
            }
            WindowEvent::Moved(_) => open.tell_corner(),
            _ => {}
        }
        if open.egui.on_window_event(&open.window, &event).repaint {
            open.hand_on();
        }
    }

    fn user_event(&mut self, events: &ActiveEventLoop, told: Told) {
        let Some(open) = &mut self.open else { return };
        match told {
            Told::Platform(output) => open.egui.handle_platform_output(&open.window, *output),
            Told::Access(event) => open.access(event.window_event),
            Told::Keyboard(whose) => open.keyboard_is(whose),
            Told::Close => {
                open.quit();
                events.exit();
            }
            Told::Failed(error) => self.fail(error, events),
        }
    }
}

impl Shell {
    fn fail(&mut self, error: AppError, events: &ActiveEventLoop) {
        self.failure = Some(error);
        events.exit();
    }
}

impl Open {
    fn new(config: DeskConfig, events: &ActiveEventLoop, proxy: EventLoopProxy<Told>) -> Result<Open, AppError> {
        // A screen reader has to be told of the window before it is seen.
        let wanted = Window::default_attributes()
            .with_title("pacewright")
            .with_inner_size(attributes::within(LogicalSize::new(1180.0, 800.0), events))
            .with_min_inner_size(attributes::SMALLEST)
            .with_visible(false);
        let window = events.create_window(wanted).map_err(|error| AppError::Window(error.to_string()))?;
        let window = Arc::new(window);
        let context = Context::default();
        theme::apply(&context);
        let scale = Some(window.scale_factor() as f32);
        let mut egui = egui_winit::State::new(context.clone(), ViewportId::ROOT, events, scale, window.theme(), None);
        let elsewhere = bus::elsewhere(|name| std::env::var(name).ok());
        if elsewhere.is_none() {
            egui.init_accesskit(events, &window, proxy.clone());
        }
        window.set_visible(true);
        let (messages, inbox) = channel();
        let told = Begin { config, elsewhere };
        let thread = DeskThread::start(context, Arc::clone(&window), told, (messages.clone(), inbox), proxy);
        let client = X11Client::new(&window);
        let mut open = Open { egui, messages, thread: Some(thread), client, window };
        open.tell_corner();
        open.hand_on();
        Ok(open)
    }

    fn send(&self, message: Message) {
        // The thread is gone only at the end.
        let _ = self.messages.send(message);
    }

    fn tell_corner(&self) {
        if let Some(monitor) = self.window.current_monitor() {
            self.send(Message::Corner(monitor.position().into()));
        }
    }

    /// While the board is open it keeps the keyboard, whatever is clicked here: the switch may be a key. Where the
    /// window system cannot be told so, the board takes it back. Only for a remark it comes here.
    fn keyboard_is(&self, whose: Keyboard) {
        self.client.iter().for_each(|client| client.wants_keyboard(whose != Keyboard::Board));
        if whose == Keyboard::Desk {
            self.window.focus_window();
            self.client.iter().for_each(|client| _ = client.take_keyboard());
        }
    }

    /// Gives the desk thread what has come in.
    fn hand_on(&mut self) {
        let input = self.egui.take_egui_input(&self.window);
        self.send(Message::Input(Box::new(input)));
    }

    fn access(&mut self, event: accesskit_winit::WindowEvent) {
        match event {
            accesskit_winit::WindowEvent::InitialTreeRequested => self.egui.egui_ctx().enable_accesskit(),
            accesskit_winit::WindowEvent::ActionRequested(request) => self.egui.on_accesskit_action_request(request),
            accesskit_winit::WindowEvent::AccessibilityDeactivated => self.egui.egui_ctx().disable_accesskit(),
        }
        self.hand_on();
    }

    fn quit(&mut self) {
        self.send(Message::Quit);
        if let Some(thread) = self.thread.take() {
            // A panic in there was printed.
            let _ = thread.join();
        }
    }
}

impl Drop for Open {
    fn drop(&mut self) {
        self.quit();
    }
}

/// The desk thread.
struct DeskThread {
    context: Context,
    desk: Desk,
    painter: Painter,
    inbox: Receiver<Message>,
    wishes: Wishes,
    predictor: Predictor,
    /// Whose the keyboard is, as the window was told.
    keyboard: Keyboard,
    proxy: EventLoopProxy<Told>,
    scale: f32,
}

/// What the desk begins with.
struct Begin {
    config: DeskConfig,
    /// A message bus that is not looked at.
    elsewhere: Option<String>,
}

impl Begin {
    /// The desk, with what is wrong from the start.
    fn desk(&self) -> Desk {
        let config = &self.config;
        let mut desk = Desk::new(config.folder.clone(), config.today.clone(), config.language);
        if let Err(problem) = &config.store {
            desk.wrong(problem.to_string());
        }
        if let Some(bus) = &self.elsewhere {
            desk.wrong(format!("{}: {bus}", desk.words.no_screen_reader));
        }
        desk
    }
}

impl DeskThread {
    fn start(
        context: Context,
        window: Arc<Window>,
        begin: Begin,
        (messages, inbox): (Sender<Message>, Receiver<Message>),
        proxy: EventLoopProxy<Told>,
    ) -> JoinHandle<()> {
        std::thread::spawn(move || {
            let (desk, config) = (begin.desk(), begin.config);
            let predicted = messages.clone();
            let tell = Arc::new(move |news| _ = messages.send(Message::News(Box::new(news))));
            let predictor = Predictor::start(config.folder.clone(), move |answer| {
                _ = predicted.send(Message::News(Box::new(News::Predicted(Box::new(answer)))));
            });
            let (folder, store) = (config.folder, config.store.ok());
            let wishes = worker::start(folder, store, config.program, config.write_report, tell);
            // Not before the worker is there: the board that it starts must not stand behind as well.
            yielding::behind(NICER);
            let drivers = screen::load_drivers();
            let size = window.inner_size();
            let painter = match Painter::open(&window, drivers, (size.width.max(1), size.height.max(1))) {
                Ok(painter) => painter,
                Err(error) => {
                    let _ = proxy.send_event(Told::Failed(AppError::Screen(error.to_string())));
                    return;
                }
            };
            let scale = window.scale_factor() as f32;
            DeskThread {
                context,
                desk,
                painter,
                inbox,
                wishes,
                predictor,
                keyboard: Keyboard::default(),
                proxy,
                scale,
            }
            .run();
        })
    }

    fn run(mut self) {
        let mut due: Option<Instant> = None;
        loop {
            let Some(input) = self.wait(due) else { break };
            let delay = match self.frame(input) {
                Ok(delay) => delay,
                Err(error) => {
                    let _ = self.proxy.send_event(Told::Failed(AppError::Screen(error.to_string())));
                    break;
                }
            };
            due = Instant::now().checked_add(delay);
        }
        // What was typed is saved, and what was wished for is done, before the window goes.
        self.desk.save();
        self.pass_on();
    }

    /// Everything that came in until something did; `None` at the end.
    fn wait(&mut self, due: Option<Instant>) -> Option<RawInput> {
        let first = match due {
            None => self.inbox.recv().map_err(|_| RecvTimeoutError::Disconnected),
            Some(due) => self.inbox.recv_timeout(due.saturating_duration_since(Instant::now())),
        };
        let mut input = RawInput::default();
        match first {
            Ok(message) => self.take(message, &mut input)?,
            Err(RecvTimeoutError::Timeout) => {}
            Err(RecvTimeoutError::Disconnected) => return None,
        }
        while let Ok(message) = self.inbox.try_recv() {
            self.take(message, &mut input)?;
        }
        Some(input)
    }

    fn take(&mut self, message: Message, input: &mut RawInput) -> Option<()> {
        match message {
            Message::Input(more) => {
                if let Some(scale) = more.viewports.get(&ViewportId::ROOT).and_then(|view| view.native_pixels_per_point)
                {
                    self.scale = scale;
                }
                input.append(*more);
            }
            Message::Resized(width, height) => self.painter.resize(width, height),
            Message::News(news) => self.desk.told(*news),
            Message::Corner(corner) => self.desk.corner = Some(corner),
            Message::Close => self.desk.close(&elsewhere()),
            Message::Quit => return None,
        }
        Some(())
    }

    /// Runs and paints once; how long nothing has to be painted after.
    fn frame(&mut self, mut input: RawInput) -> Result<Duration, pixels::Error> {
        let (width, height) = self.painter.size();
        let size = egui::vec2(width as f32, height as f32) / (self.scale * self.context.zoom_factor());
        input.screen_rect = Some(egui::Rect::from_min_size(egui::Pos2::ZERO, size));
        let desk = &mut self.desk;
        admit(desk, &mut input);
        let output: FullOutput = self.context.run_ui(input, |ui| super::show(ui, desk));
        self.pass_on();
        let _ = self.proxy.send_event(Told::Platform(Box::new(output.platform_output)));
        let shapes = self.context.tessellate(output.shapes, output.pixels_per_point);
        self.painter.paint(&shapes, &output.textures_delta, output.pixels_per_point)?;
        let view = output.viewport_output.get(&ViewportId::ROOT);
        Ok(view.map_or(Duration::MAX, |view| view.repaint_delay))
    }

    fn pass_on(&mut self) {
        for wish in self.desk.wishes.drain(..) {
            match wish {
                Wish::Predict(question) => self.predictor.ask(*question),
                wish => self.wishes.send(wish),
            }
        }
        if self.desk.may_close() {
            let _ = self.proxy.send_event(Told::Close);
        }
        let keyboard = self.desk.keyboard();
        if keyboard != self.keyboard {
            self.keyboard = keyboard;
            let _ = self.proxy.send_event(Told::Keyboard(keyboard));
        }
    }
}

/// A folder that is likely to take files where the data folder does not.
fn elsewhere() -> String {
    std::env::home_dir().unwrap_or_else(std::env::temp_dir).display().to_string()
}
