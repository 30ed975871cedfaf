//! Sound in: how loud it is, with stamps. No sound leaves this file, is kept or written anywhere.

use std::sync::mpsc::{Sender, channel};
use std::time::{Duration, Instant};

use super::super::clock::Clock;
use super::{device, span};
use crate::sound::loudness::Loudness;
use crate::sound::pulls::Pulls;
use crate::time::Moment;

/// What others are told.
#[derive(Clone, Debug, PartialEq)]
pub enum MicrophoneNews {
    /// The microphone of this name listens.
    Ready(String),
    /// There is none, or it is gone: why, in a sentence.
    None(String),
    /// So loud it was, in millionths of full scale, at these instants.
    Levels(Vec<(Instant, i32)>),
}

/// The default microphone; it is closed with this value.
pub struct Microphone {
    _open: Sender<()>,
}

impl Microphone {
    /// Opens it; news come from other threads.
    #[must_use]
    pub fn open(tell: impl Fn(MicrophoneNews) + Clone + Send + 'static) -> Microphone {
        let (open, closed) = channel::<()>();
        std::thread::spawn(move || {
            let _quiet = device::quiet();
            match device::listen(Listening::new, tell.clone()) {
                Ok(stream) => {
                    tell(MicrophoneNews::Ready(stream.name.clone()));
                    let _ = closed.recv();
                }
                Err(why) => tell(MicrophoneNews::None(why)),
            }
        });
        Microphone { _open: open }
    }
}

/// What the driver's thread works on.
pub(super) struct Listening {
    loudness: Loudness,
    pulls: Pulls,
    clock: Clock,
    frames: u64,
}

impl Listening {
    fn new(rate: u32) -> Listening {
        Listening { loudness: Loudness::new(rate), pulls: Pulls::new(rate), clock: Clock::start().0, frames: 0 }
    }

    /// The device hands over whole frames; the first of them came so much before `at`.
    pub(super) fn hear(
        &mut self,
        at: Instant,
        before: Duration,
        samples: &[f32],
        channels: usize,
    ) -> Vec<(Instant, i32)> {
        let first = self.clock.moment(at).0.saturating_sub(span(before).0);
        self.pulls.pulled(self.frames, Moment(first));
        let levels = self.loudness.hear(samples, channels);
        let when = |frame: usize| self.pulls.heard(self.frames + frame as u64).and_then(|end| self.clock.instant(end));
        let stamped = levels.into_iter().filter_map(|(frame, level)| Some((when(frame)?.min(at), level))).collect();
        self.frames += (samples.len() / channels.max(1)) as u64;
        stamped
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn levels_are_stamped_by_the_frames_and_not_by_the_calls() {
        let mut listening = Listening::new(16_000);
        let start = listening.clock.instant(Moment(1_000_000)).unwrap();
        let buffer = Duration::from_millis(20);
        let late = [0, 7, 3, 0, 11];
        let mut stamps = Vec::new();
        for (call, late) in (1..).zip(late) {
            let at = start + buffer * call + Duration::from_millis(late);
            stamps.extend(listening.hear(at, buffer, &[0.1; 640], 2).into_iter().map(|(at, _)| at));
        }
        let gaps: Vec<Duration> = stamps.windows(2).map(|pair| pair[1] - pair[0]).collect();
        assert_eq!((stamps[0] - start, gaps), (Duration::from_millis(5), vec![Duration::from_millis(5); 19]));
    }
}
