//! Sound in: how loud it is, with stamps. No sound leaves this file, is kept or written anywhere.

use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, TryRecvError, channel};
use std::time::{Duration, Instant};

use super::super::clock::Clock;
use super::{Answer, answer, device, span};
use crate::sound::flat::Flat;
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

/// Why one that gives nothing but zeros is none.
const FLAT: &str = "the microphone gives perfect silence: it is muted, or none is plugged in";
/// One that has not answered within this time does not listen.
const ANSWERS: Duration = Duration::from_secs(3);
/// One that listens has levels all the time; after so long without any it is gone.
const SILENCE: Duration = Duration::from_secs(1);
/// From one look for a microphone that is gone to the next.
const LOOKS_EVERY: Duration = Duration::from_secs(2);

/// The default microphone; it is closed with this value.
pub struct Microphone {
    _open: Sender<()>,
}

impl Microphone {
    /// Opens it; news come from other threads.
    #[must_use]
    fn open(tell: impl Fn(MicrophoneNews) + Clone + Send + 'static) -> Microphone {
        let (open, closed) = channel::<()>();
        let levels = tell.clone();
        std::thread::spawn(move || {
            tell(match answer("the microphone", move |first| keep(&closed, &first, levels)) {
                Ok(name) => MicrophoneNews::Ready(name),
                Err(why) => MicrophoneNews::None(why),
            });
        });
        Microphone { _open: open }
    }

    /// Opens it, and again whenever it is gone, for as long as this value lives: that it is gone is told once, then
    /// that it is ready again.
    #[must_use]
    pub fn keep(tell: impl Fn(MicrophoneNews) + Send + 'static) -> Microphone {
        let (open, closed) = channel::<()>();
        let device = |heard: Sender<MicrophoneNews>| {
            Microphone::open(move |news| {
                let _ = heard.send(news);
            })
        };
        std::thread::spawn(move || attend(device, &closed, LOOKS_EVERY, tell));
        Microphone { _open: open }
    }
}

/// Listens through what `open` opens until the other end of `closed` is gone.
fn attend<D>(
    open: impl Fn(Sender<MicrophoneNews>) -> D,
    closed: &Receiver<()>,
    looks_every: Duration,
    tell: impl Fn(MicrophoneNews),
) {
    let mut gone = false;
    loop {
        let (heard, news) = channel();
        let _device = open(heard);
        let Some((why, listened)) = listen(&news, closed, &tell) else { return };
        if listened || !gone {
            tell(MicrophoneNews::None(why));
        }
        gone = true;
        if closed.recv_timeout(looks_every) != Err(RecvTimeoutError::Timeout) {
            return;
        }
    }
}

/// Hands on what is heard until nothing is any more; then why, and whether it was ready before. `None` when it is closed.
fn listen(
    news: &Receiver<MicrophoneNews>,
    closed: &Receiver<()>,
    tell: &impl Fn(MicrophoneNews),
) -> Option<(String, bool)> {
    let mut ear = Ear { name: None, heard: false, flat: Flat::default(), clock: Clock::start().0 };
    loop {
        let heard = news.recv_timeout(if ear.name.is_some() { SILENCE } else { ANSWERS });
        if closed.try_recv() != Err(TryRecvError::Empty) {
            return None;
        }
        match heard {
            Ok(MicrophoneNews::None(why)) => return Some((why, ear.hears())),
            Ok(MicrophoneNews::Ready(name)) => ear.ready(name, tell),
            Ok(MicrophoneNews::Levels(levels)) => ear.levels(levels, tell),
            Err(_) => return Some(("the microphone has gone silent".to_string(), ear.hears())),
        }
    }
}

/// A microphone that listens: ready once it is open and something has come. One that gives nothing but zeros is told as
/// none and kept open: it may only be muted.
struct Ear {
    name: Option<String>,
    heard: bool,
    flat: Flat,
    clock: Clock,
}

impl Ear {
    fn hears(&self) -> bool {
        self.name.is_some() && self.heard && !self.flat.is_flat()
    }

    fn ready(&mut self, name: String, tell: &impl Fn(MicrophoneNews)) {
        self.name = Some(name);
        self.tell_ready(tell);
    }

    fn tell_ready(&self, tell: &impl Fn(MicrophoneNews)) {
        if let Some(name) = self.name.clone().filter(|_| self.hears()) {
            tell(MicrophoneNews::Ready(name));
        }
    }

    fn levels(&mut self, levels: Vec<(Instant, i32)>, tell: &impl Fn(MicrophoneNews)) {
        if !std::mem::replace(&mut self.heard, true) {
            self.tell_ready(tell);
        }
        for (at, level) in &levels {
            match self.flat.level(self.clock.moment(*at), *level) {
                Some(true) => tell(MicrophoneNews::None(FLAT.to_string())),
                Some(false) => self.tell_ready(tell),
                None => {}
            }
        }
        if !self.flat.is_flat() {
            tell(MicrophoneNews::Levels(levels));
        }
    }
}

/// Keeps the microphone open until the other end of `closed` is gone.
fn keep(closed: &Receiver<()>, first: &Sender<Answer<String>>, tell: impl Fn(MicrophoneNews) + Clone + Send + 'static) {
    let _quiet = device::quiet();
    match device::listen(Listening::new, tell) {
        Ok(stream) if first.send(Ok(stream.name.clone())).is_ok() => drop(closed.recv()),
        Ok(_) => {}
        Err(why) => drop(first.send(Err(why))),
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
    fn a_microphone_that_is_gone_is_told_once_and_listened_to_again_when_it_is_back() {
        let levels = |value| MicrophoneNews::Levels(vec![(Instant::now(), value)]);
        let (tell, told) = channel();
        let (open, closed) = channel();
        // It listens and is unplugged; twice there is none; then it is plugged in again.
        let opened = std::sync::atomic::AtomicU32::new(0);
        let device = move |heard: Sender<MicrophoneNews>| {
            let time = opened.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
            let news = match time {
                0 => vec![MicrophoneNews::Ready("one".into()), levels(1), MicrophoneNews::None("unplugged".into())],
                1 | 2 => vec![MicrophoneNews::None("there is none".into())],
                _ => vec![levels(2), MicrophoneNews::Ready("one".into()), levels(3)],
            };
            news.into_iter().for_each(|news| heard.send(news).unwrap());
            heard
        };
        let tell = move |news| tell.send(news).unwrap();
        std::thread::spawn(move || attend(device, &closed, Duration::from_millis(1), tell));
        let said = |news: MicrophoneNews| match news {
            MicrophoneNews::Ready(_) => "ready".to_string(),
            MicrophoneNews::None(why) => why,
            MicrophoneNews::Levels(levels) => levels[0].1.to_string(),
        };
        let all: Vec<String> = told.iter().take(6).map(said).collect();
        assert_eq!(all, ["ready", "1", "unplugged", "2", "ready", "3"]);
        // Then it says nothing any more, and is closed.
        assert_eq!(told.recv().map(said), Ok("the microphone has gone silent".to_string()));
        drop(open);
        assert!(told.iter().all(|news| matches!(news, MicrophoneNews::Levels(_) | MicrophoneNews::Ready(_))));
    }

    #[test]
    fn one_that_gives_nothing_but_zeros_is_told_as_none_until_it_gives_more() {
        let (heard, news) = channel();
        let (_open, closed) = channel();
        let start = Instant::now();
        heard.send(MicrophoneNews::Ready("one".into())).unwrap();
        for (ms, level) in [(0, 0), (1_900, 0), (2_100, 0), (2_200, 0), (2_300, 900)] {
            heard.send(MicrophoneNews::Levels(vec![(start + Duration::from_millis(ms), level)])).unwrap();
        }
        heard.send(MicrophoneNews::None("unplugged".into())).unwrap();
        let told = std::cell::RefCell::new(Vec::new());
        let ended = listen(&news, &closed, &|news| told.borrow_mut().push(news));
        assert_eq!(ended, Some(("unplugged".to_string(), true)));
        let is_ready = |news: &MicrophoneNews| match news {
            MicrophoneNews::Ready(_) => Some(true),
            MicrophoneNews::None(why) => Some(why != FLAT),
            MicrophoneNews::Levels(_) => None,
        };
        let (told, changes) = (told.borrow(), told.borrow().iter().filter_map(is_ready).collect::<Vec<_>>());
        assert_eq!((told.len(), changes), (6, vec![true, false, true]), "three levels are handed on: {told:?}");
    }

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
