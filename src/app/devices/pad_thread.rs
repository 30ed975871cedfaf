//! The thread that waits for pads: it stamps on arrival, before anything else, and hands on edges.
//!
//! Where the pads come from is a [`PadSource`]: the system's, or a test's. The driver's stamp travels
//! beside ours; on Linux it is the kernel's, elsewhere that of a thread which polls.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::JoinHandle;
use std::time::{Duration, Instant, SystemTime};

use gilrs::{Event, EventType, Gilrs, GilrsBuilder};

use super::axis::Sides;
use super::pads::Control;
use super::polling::Polling;
use crate::app::binding::Binding;

/// How long the thread waits before it looks whether it should end.
const WAIT: Duration = Duration::from_millis(200);

/// What a pad did, as its driver tells it.
#[derive(Clone, Debug, PartialEq)]
pub struct PadEvent {
    /// Which pad, from 1.
    pub pad: u8,
    /// The driver's stamp.
    pub driver: SystemTime,
    /// What.
    pub what: PadChange,
}

/// What changed on a pad.
#[derive(Clone, Debug, PartialEq)]
pub enum PadChange {
    /// A button went down (`true`) or up.
    Button(Control, bool),
    /// An axis stands at this value, from −1 to 1; named by its side of the greater values.
    Axis(Control, f32),
    /// It was plugged in.
    Plugged(String),
    /// It was unplugged.
    Unplugged,
}

/// Where pads come from.
pub trait PadSource {
    /// The next event, or `None` when none came within `limit`. It blocks, and does not poll.
    fn next(&mut self, limit: Duration) -> Option<PadEvent>;
}

/// Opens the pads on their own thread; an error is a sentence.
pub type OpenPads = Box<dyn FnOnce() -> Result<Box<dyn PadSource>, String> + Send>;

/// What is told of pads, on their own thread.
#[derive(Clone, Debug, PartialEq)]
pub enum PadNews {
    /// An edge.
    Edge {
        /// Our stamp, taken on arrival.
        at: Instant,
        /// How much earlier the driver had stamped it, by the wall clock; negative when that was set back.
        before_us: i64,
        /// What changed.
        binding: Binding,
        /// It closed.
        down: bool,
    },
    /// This side of an axis has stood at full for as long as it was heard; it presses nothing.
    Stands(Instant, Binding),
    /// The axis that gives a breath stands at this value, from −1 to 1 where it is one at all.
    Level(Instant, f32),
    /// A pad was plugged in, or found there at the start.
    Plugged(u8, String),
    /// A pad was unplugged.
    Unplugged(Instant, u8),
    /// At what steps the pad is polled, in microseconds.
    Polled(u64),
    /// There can be no pads; the sentence says why.
    None(String),
}

/// The thread; it ends with this value.
pub struct Pads {
    quit: Arc<AtomicBool>,
    _thread: JoinHandle<()>,
}

impl Pads {
    /// Starts it; `breath` is the axis that gives a breath, named by the side of its greater values.
    #[must_use]
    pub fn start(open: OpenPads, breath: Option<(u8, Control)>, tell: impl Fn(PadNews) + Send + 'static) -> Pads {
        let quit = Arc::new(AtomicBool::new(false));
        let ours = Arc::clone(&quit);
        let thread = std::thread::spawn(move || match open() {
            Ok(mut source) => listen(source.as_mut(), breath, &ours, &tell),
            Err(why) => tell(PadNews::None(why)),
        });
        Pads { quit, _thread: thread }
    }
}

impl Drop for Pads {
    fn drop(&mut self) {
        // It wakes by itself soon; nobody has to wait for it.
        self.quit.store(true, Ordering::Relaxed);
    }
}

fn listen(source: &mut dyn PadSource, breath: Option<(u8, Control)>, quit: &AtomicBool, tell: &impl Fn(PadNews)) {
    let mut listener = Listener { breath, ..Listener::default() };
    while !quit.load(Ordering::Relaxed) {
        let Some(event) = source.next(WAIT) else { continue };
        let at = Instant::now();
        listener.take(at, SystemTime::now(), event, tell);
    }
}

/// An axis that has not been seen open for so long stands at full.
const STANDS: Duration = Duration::from_secs(2);

/// What was heard of an axis.
struct Heard {
    sides: Sides,
    since: Instant,
    told: bool,
}

/// Turns what drivers tell into edges.
#[derive(Default)]
struct Listener {
    breath: Option<(u8, Control)>,
    axes: Vec<((u8, Control), Heard)>,
    polling: Polling,
    told_step: Option<u64>,
}

impl Listener {
    fn take(&mut self, at: Instant, wall: SystemTime, event: PadEvent, tell: &impl Fn(PadNews)) {
        let before_us = signed_us(wall, event.driver);
        let edge = |control, down| PadNews::Edge { at, before_us, binding: Binding::Pad(event.pad, control), down };
        match event.what {
            PadChange::Button(control, down) => tell(edge(control, down)),
            PadChange::Axis(control, value) if self.breath == Some((event.pad, control)) => {
                tell(PadNews::Level(at, value));
            }
            PadChange::Axis(control, value) => {
                let axis = self.axis((event.pad, control), at);
                for change in axis.sides.value(value) {
                    tell(edge(control.side(change.more), change.down));
                }
                if let Some(more) = axis.stands(at) {
                    tell(PadNews::Stands(at, Binding::Pad(event.pad, control.side(more))));
                }
            }
            PadChange::Plugged(name) => tell(PadNews::Plugged(event.pad, name)),
            PadChange::Unplugged => {
                self.axes.retain(|((pad, _), _)| *pad != event.pad);
                tell(PadNews::Unplugged(at, event.pad));
            }
        }
        self.polling.stamp(event.driver);
        if let Some(step) = self.polling.step_us().filter(|step| self.told_step != Some(*step)) {
            self.told_step = Some(step);
            tell(PadNews::Polled(step));
        }
    }

    fn axis(&mut self, axis: (u8, Control), at: Instant) -> &mut Heard {
        let place = self.axes.iter().position(|(known, _)| *known == axis).unwrap_or_else(|| {
            self.axes.push((axis, Heard { sides: Sides::of(axis.1), since: at, told: false }));
            self.axes.len() - 1
        });
        &mut self.axes[place].1
    }
}

impl Heard {
    /// The side on which it stands at full; said once.
    fn stands(&mut self, at: Instant) -> Option<bool> {
        let more = self.sides.stands_at_full().filter(|_| !self.told && at >= self.since + STANDS)?;
        self.told = true;
        Some(more)
    }
}

impl Control {
    /// The same axis, on this side.
    pub fn side(self, more: bool) -> Control {
        match self {
            Control::Axis { axis, .. } => Control::Axis { axis, more },
            Control::AxisNumber { number, .. } => Control::AxisNumber { number, more },
            button => button,
        }
    }
}

fn signed_us(later: SystemTime, earlier: SystemTime) -> i64 {
    match later.duration_since(earlier) {
        Ok(span) => span.as_micros() as i64,
        Err(error) => -(error.duration().as_micros() as i64),
    }
}

/// The pads of this system.
///
/// # Errors
/// Says why the system gives none.
pub fn system() -> Result<Box<dyn PadSource>, String> {
    // Filters would hide values and delay none; what a switch is, is decided here.
    let built = GilrsBuilder::new().with_default_filters(false).build();
    let gilrs =
        built.map_err(|error| format!("cannot look for pads: {error}; keys and mouse buttons work all the same"))?;
    let found = gilrs.gamepads().map(|(id, pad)| (number(id), pad.name().to_string())).collect();
    Ok(Box::new(System { gilrs, found }))
}

struct System {
    gilrs: Gilrs,
    /// There from the start, not told yet.
    found: Vec<(u8, String)>,
}

impl PadSource for System {
    fn next(&mut self, limit: Duration) -> Option<PadEvent> {
        if let Some((pad, name)) = self.found.pop() {
            return Some(PadEvent { pad, driver: SystemTime::now(), what: PadChange::Plugged(name) });
        }
        let event = self.gilrs.next_event_blocking(Some(limit))?;
        let what = self.change(event)?;
        Some(PadEvent { pad: number(event.id), driver: event.time, what })
    }
}

impl System {
    fn change(&self, event: Event) -> Option<PadChange> {
        match event.event {
            EventType::ButtonPressed(button, code) => Some(PadChange::Button(named(button, code), true)),
            EventType::ButtonReleased(button, code) => Some(PadChange::Button(named(button, code), false)),
            EventType::AxisChanged(gilrs::Axis::Unknown, value, code) => {
                Some(PadChange::Axis(Control::AxisNumber { number: code.into_u32(), more: true }, value))
            }
            EventType::AxisChanged(axis, value, _) => Some(PadChange::Axis(Control::Axis { axis, more: true }, value)),
            EventType::Connected => {
                let pad = self.gilrs.connected_gamepad(event.id);
                Some(PadChange::Plugged(pad.map_or_else(String::new, |pad| pad.name().to_string())))
            }
            EventType::Disconnected => Some(PadChange::Unplugged),
            _ => None,
        }
    }
}

fn named(button: gilrs::Button, code: gilrs::ev::Code) -> Control {
    if button == gilrs::Button::Unknown { Control::Number(code.into_u32()) } else { Control::Button(button) }
}

/// Counted from 1, as people do.
fn number(id: gilrs::GamepadId) -> u8 {
    usize::from(id).saturating_add(1).min(255) as u8
}

#[cfg(test)]
mod tests {
    use super::*;
    use gilrs::{Axis, Button};
    use std::cell::RefCell;

    fn told(events: Vec<PadChange>) -> Vec<String> {
        let (heard, mut listener) = (RefCell::new(Vec::new()), Listener::default());
        for what in events {
            let now = SystemTime::now();
            let event = PadEvent { pad: 2, driver: now - Duration::from_millis(3), what };
            listener.take(Instant::now(), now, event, &|news| {
                heard.borrow_mut().push(match news {
                    PadNews::Edge { binding, down, before_us, .. } => {
                        assert_eq!(before_us, 3_000);
                        format!("{binding} {}", if down { "down" } else { "up" })
                    }
                    other => format!("{other:?}").chars().take(9).collect(),
                });
            });
        }
        heard.into_inner()
    }

    #[test]
    fn buttons_are_edges_and_an_axis_is_two_switches() {
        let axis = |value| PadChange::Axis(Control::Axis { axis: Axis::LeftStickX, more: true }, value);
        let south = |down| PadChange::Button(Control::Button(Button::South), down);
        let heard = told(vec![south(true), south(false), axis(0.0), axis(0.9), axis(-0.9), axis(0.0)]);
        let expected = [
            "pad 2 button South down",
            "pad 2 button South up",
            "pad 2 axis LeftStickX + down",
            "pad 2 axis LeftStickX + up",
            "pad 2 axis LeftStickX - down",
            "pad 2 axis LeftStickX - up",
        ];
        assert_eq!(heard, expected);
    }

    #[test]
    fn after_unplugging_an_axis_has_to_be_seen_open_again() {
        let axis = |value| PadChange::Axis(Control::AxisNumber { number: 7, more: true }, value);
        let heard = told(vec![axis(0.0), axis(1.0), PadChange::Unplugged, axis(1.0), axis(0.0), axis(1.0)]);
        assert_eq!(heard, ["pad 2 axis number 7 + down", "Unplugged", "pad 2 axis number 7 + down"]);
    }

    #[test]
    fn the_first_push_after_plugging_in_counts_though_its_beginning_was_not_heard() {
        let axis = |axis, value| PadChange::Axis(Control::Axis { axis, more: true }, value);
        let stick = |value| axis(Axis::LeftStickX, value);
        let heard =
            told(vec![stick(0.0), PadChange::Unplugged, PadChange::Plugged("one".into()), stick(0.4), stick(0.8)]);
        assert_eq!(heard, ["Unplugged", "Plugged(2", "pad 2 axis LeftStickX + down"]);
        assert_eq!(told(vec![axis(Axis::DPadX, -1.0)]), ["pad 2 axis DPadX - down"]);
    }

    #[test]
    fn an_axis_that_stands_at_full_is_told_once() {
        let (told, mut listener) = (RefCell::new(Vec::new()), Listener::default());
        let start = Instant::now();
        for n in 0..500 {
            let control = Control::Axis { axis: Axis::LeftStickY, more: true };
            let what = PadChange::Axis(control, -0.95 - (n % 5) as f32 / 100.0);
            let event = PadEvent { pad: 1, driver: SystemTime::now(), what };
            let at = start + Duration::from_millis(10 * n);
            listener.take(at, SystemTime::now(), event, &|news| told.borrow_mut().push(news));
        }
        let binding = "pad 1 axis LeftStickY -".parse().unwrap();
        let told: Vec<PadNews> =
            told.into_inner().into_iter().filter(|news| !matches!(news, PadNews::Polled(_))).collect();
        assert_eq!(told, [PadNews::Stands(start + STANDS, binding)]);
    }

    #[test]
    fn a_thread_without_pads_says_so_and_ends() {
        let (send, receive) = std::sync::mpsc::channel();
        let pads = Pads::start(Box::new(|| Err("no pads here".into())), None, move |news| {
            let _ = send.send(news);
        });
        assert_eq!(receive.recv(), Ok(PadNews::None("no pads here".into())));
        drop(pads);
    }
}
