//! Sound out, and the loudness of sound in. A device is opened on a thread of its own, its driver's thread mixes, the window thread only sends.
//!
//! The window thread hands over cues with the instants at which they are due and goes on; nothing that happens to the
//! sound can delay a stamp. Without a device, or when it goes, that is told once and the session goes on.

mod device;
pub mod microphone;

use std::sync::mpsc::{Receiver, Sender, SyncSender, channel, sync_channel};
use std::time::{Duration, Instant};

use super::clock::Clock;
use crate::sound::cue::Cue;
use crate::sound::player::{Onset, Player};
use crate::sound::recording::Recordings;
use crate::time::Span;

/// Sounds that may wait on their way to the device's thread, and back. The room for them is asked for once: that thread
/// must not wait for memory.
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
    Heard(Onset),
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

/// A sound to come, due at an instant; the cue's own moment is not used.
type Due = (Instant, Cue);

/// The way to the device; it is closed with this value.
pub struct Speaker {
    cues: SyncSender<Due>,
    _open: Sender<()>,
}

impl Speaker {
    /// Opens the default device; news come from other threads.
    #[must_use]
    pub fn open(recordings: Recordings, tell: impl Fn(SoundNews) + Clone + Send + 'static) -> Speaker {
        let (cues, due) = sync_channel(ON_THE_WAY);
        let (open, closed) = channel();
        let others = tell.clone();
        std::thread::spawn(move || {
            let keep = move |first: Sender<Answer<Ready>>| keep(&recordings, due, &closed, &first, others);
            tell(match answer("the sound device", keep) {
                Ok(ready) => SoundNews::Ready(ready),
                Err(why) => SoundNews::None(why),
            });
        });
        Speaker { cues, _open: open }
    }

    /// A sound to come. Where there is no device any more, or it stands still, nothing happens.
    pub fn send(&self, due: Instant, cue: Cue) {
        let _ = self.cues.try_send((due, cue));
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
    due: Receiver<Due>,
    closed: &Receiver<()>,
    first: &Sender<Answer<Ready>>,
    tell: impl Fn(SoundNews) + Clone + Send + 'static,
) {
    let (_quiet, began) = (device::quiet(), Instant::now());
    let (settled, wait) = sync_channel(1);
    let heard = hand_on(tell.clone());
    let pulling = |rate| Pulling {
        player: Player::new(rate, recordings.at_rate(rate)),
        clock: Clock::start().0,
        due,
        began,
        first: None,
        settled: Some(settled),
        heard,
    };
    let stream = match device::open(pulling, tell) {
        Ok(stream) => stream,
        Err(why) => return drop(first.send(Err(why))),
    };
    let Ok((start, latency)) = wait.recv_timeout(PATIENCE) else { return };
    if first.send(Ok(Ready { device: stream.name.clone(), start, latency })).is_ok() {
        let _ = closed.recv();
    }
}

/// A way for the driver's thread to say what was heard; another thread tells it. It ends with the way.
fn hand_on(tell: impl Fn(SoundNews) + Send + 'static) -> SyncSender<Onset> {
    let (heard, onsets) = sync_channel(ON_THE_WAY);
    std::thread::spawn(move || onsets.into_iter().for_each(|onset| tell(SoundNews::Heard(onset))));
    heard
}

/// What the driver's thread works on.
struct Pulling {
    player: Player,
    clock: Clock,
    due: Receiver<Due>,
    began: Instant,
    first: Option<Instant>,
    settled: Option<SyncSender<(Span, Span)>>,
    heard: SyncSender<Onset>,
}

impl Pulling {
    /// The device pulls; `delay` is what its driver says is still to be played before this.
    fn pull(&mut self, at: Instant, delay: Duration, out: &mut [f32], channels: usize) {
        while let Ok((due, cue)) = self.due.try_recv() {
            self.player.cue(Cue { due: self.clock.moment(due), ..cue });
        }
        let first = *self.first.get_or_insert(at);
        let (now, heard) = (self.clock.moment(at), &self.heard);
        self.player.pull(now, span(delay), out, channels, |onset| _ = heard.try_send(onset));
        if let (Some(latency), Some(settled)) = (self.player.latency(), &self.settled) {
            let _ = settled.try_send((span(first - self.began), latency));
            self.settled = None;
        }
    }
}

fn span(duration: Duration) -> Span {
    Span(duration.as_micros() as u64)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::input::Sound;
    use crate::time::Moment;

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

    #[test]
    fn a_cue_that_is_sent_is_heard_a_constant_time_after_its_instant() {
        let (cues, due) = sync_channel(1);
        let (settled, wait) = sync_channel(1);
        let (heard, onsets) = sync_channel(2);
        let began = Instant::now();
        let player = Player::new(1_000, Recordings::default().at_rate(1_000));
        let settled = Some(settled);
        let mut pulling = Pulling { player, clock: Clock::start().0, due, began, first: None, settled, heard };
        let start = began + Duration::from_millis(50);
        let mut pull = |call: u32| {
            let at = start + Duration::from_millis(10) * call;
            pulling.pull(at, Duration::from_millis(20), &mut [0.0; 10], 1)
        };
        (0..20).for_each(&mut pull);
        assert_eq!(wait.try_recv(), Ok((Span::from_ms(50), Span::from_ms(35))));
        let cue = Cue { due: Moment::NEVER, sound: Sound::Select, label: None, volume: 300 };
        cues.send((start + Duration::from_millis(205), cue)).unwrap();
        (20..30).for_each(&mut pull);
        let heard: Vec<i64> = onsets.try_iter().map(|onset| onset.late_us).collect();
        assert!(heard.len() == 1 && heard[0].abs() <= 1_000, "to a frame: {heard:?}");
    }
}
