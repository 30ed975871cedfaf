//! Sound out, and the loudness of sound in. A device is opened on a thread of its own, its driver's thread mixes, the
//! window thread only sends.
//!
//! The window thread hands over cues with the instants at which they are due and goes on; nothing that happens to the
//! sound can delay a stamp. The driver's thread waits for nobody either: it asks for no memory, frees none and takes no
//! lock. Without a device, or when it goes, that is told once and the session goes on.

mod device;
pub mod microphone;
mod numbers;
mod pulling;

use std::sync::Mutex;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::time::{Duration, Instant};

use rtrb::{Consumer, Producer, RingBuffer};

use crate::lock::past_panics;
use crate::session::input::Sound;
use crate::sound::cue::Cue;
use crate::sound::player::Sounding;
use crate::sound::recording::Recordings;
use crate::time::Span;
use numbers::Numbers;
use pulling::{Pulling, Told};

/// Sounds that may wait on their way to the device's thread, and back.
const ON_THE_WAY: usize = 256;
/// A device that has not played by then will not.
const PATIENCE: Duration = Duration::from_secs(2);

/// What the window thread is told.
#[derive(Clone, Debug, PartialEq)]
pub enum SoundNews {
    /// The device plays silence, and its latency is settled.
    Ready(Ready),
    /// There is no sound: why, in a sentence.
    None(String),
    /// The device is gone: why, in a sentence.
    Lost(String),
    /// A sound was heard.
    Heard(Heard),
}

/// A device that plays.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Ready {
    /// Its name.
    pub device: String,
    /// From opening to the first pull.
    pub start: Span,
    /// From the due time of a sound to its being heard, for every sound.
    pub latency: Span,
}

/// A sound that was heard.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Heard {
    /// What it was.
    pub sound: Sound,
    /// Id of the label that was spoken or stood for.
    pub label: Option<String>,
    /// Heard so much after its due time and the constant latency, in microseconds.
    pub late_us: i64,
}

/// A sound to come, due at an instant; its own moment is not used.
type Due = (Instant, Sounding);

/// The way to the device; it is closed with this value.
pub struct Speaker {
    /// Only this end of the way is locked.
    cues: Mutex<Producer<Due>>,
    numbers: Numbers,
    _open: Sender<()>,
}

impl Speaker {
    /// Opens the default device; news come from other threads.
    #[must_use]
    pub fn open(recordings: Recordings, tell: impl Fn(SoundNews) + Clone + Send + 'static) -> Speaker {
        let (cues, due) = RingBuffer::new(ON_THE_WAY);
        let (open, closed) = channel();
        let numbers = Numbers::new(recordings.ids());
        let (others, known) = (tell.clone(), numbers.clone());
        std::thread::spawn(move || {
            let keep = move |first: Sender<Answer<Ready>>| keep(&recordings, known, due, &closed, &first, others);
            tell(match answer("the sound device", keep) {
                Ok(ready) => SoundNews::Ready(ready),
                Err(why) => SoundNews::None(why),
            });
        });
        Speaker { cues: Mutex::new(cues), numbers, _open: open }
    }

    /// A sound to come. Where there is no device any more, or it stands still, nothing happens.
    pub fn send(&self, due: Instant, cue: Cue) {
        let Cue { sound, label, volume, .. } = cue;
        let label = label.map(|id| self.numbers.of(id));
        let sounding = Sounding { due: cue.due, sound, label, volume };
        let _ = past_panics(&self.cues).push((due, sounding));
    }
}

/// What a driver says first: that its device is there, or why it is not, in a sentence.
type Answer<T> = Result<T, String>;

/// The first answer of a driver that `open` asks on a thread of its own; a driver may never come back from that. What it
/// answers too late finds nobody who listens, and `open` has to close its device then.
fn answer<T: Send + 'static>(device: &str, open: impl FnOnce(Sender<Answer<T>>) + Send + 'static) -> Answer<T> {
    let (first, answers) = channel();
    std::thread::spawn(move || open(first));
    answers.recv_timeout(PATIENCE).unwrap_or_else(|_| Err(format!("{device} does not answer")))
}

/// Keeps the device open until the other end of `closed` is gone.
fn keep(
    recordings: &Recordings,
    numbers: Numbers,
    due: Consumer<Due>,
    closed: &Receiver<()>,
    first: &Sender<Answer<Ready>>,
    tell: impl Fn(SoundNews) + Clone + Send + 'static,
) {
    let (_quiet, began) = (device::quiet(), Instant::now());
    let (told, news) = RingBuffer::new(ON_THE_WAY);
    let (settled, wait) = channel();
    let others = tell.clone();
    let listener = std::thread::spawn(move || hand_on(news, &numbers, &settled, others));
    let wake = listener.thread().clone();
    let pulling = |rate| Pulling::new(rate, recordings.at_rate(rate), began, due, told, wake);
    let stream = match device::open(pulling, tell) {
        Ok(stream) => stream,
        Err(why) => return drop(first.send(Err(why))),
    };
    let Ok((start, latency)) = wait.recv_timeout(PATIENCE) else { return };
    if first.send(Ok(Ready { device: stream.name.clone(), start, latency })).is_ok() {
        let _ = closed.recv();
    }
}

/// Tells what the driver's thread leaves, until that is gone. It looks whenever it is woken, and now and then: it is not
/// waited for with a lock, which the driver's thread would have to take.
fn hand_on(mut news: Consumer<Told>, numbers: &Numbers, settled: &Sender<(Span, Span)>, tell: impl Fn(SoundNews)) {
    loop {
        let over = news.is_abandoned();
        while let Ok(told) = news.pop() {
            match told {
                Told::Settled { start, latency } => _ = settled.send((start, latency)),
                Told::Heard { sound, label, late_us } => {
                    tell(SoundNews::Heard(Heard { sound, label: label.and_then(|label| numbers.id(label)), late_us }));
                }
            }
        }
        if over {
            return;
        }
        std::thread::park_timeout(PATIENCE);
    }
}

fn span(duration: Duration) -> Span {
    Span(duration.as_micros() as u64)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_driver_that_never_answers_is_not_waited_for() {
        let (late, heard) = channel();
        let asked = answer::<Ready>("the sound device", move |first| {
            std::thread::sleep(PATIENCE + PATIENCE / 4);
            late.send(first.send(Ok(Ready::default())).is_err()).unwrap();
        });
        assert_eq!(asked, Err("the sound device does not answer".to_string()));
        assert_eq!(heard.recv(), Ok(true), "what it says later is told to nobody");
        assert_eq!(answer("the device", |first| drop(first.send(Ok(7)))), Ok(7));
        assert!(answer::<Ready>("the device", drop).is_err(), "one that has died says nothing");
    }
}
