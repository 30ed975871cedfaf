//! What the sound driver's thread does when its device pulls. Nothing here asks for memory, frees any, takes a lock or
//! waits: a thread that must not be late would be.

use std::thread::Thread;
use std::time::{Duration, Instant};

use rtrb::{Consumer, Producer};

use super::{Due, span};
use crate::app::clock::Clock;
use crate::session::input::Sound;
use crate::sound::player::{Labels, Onset, Player, Sounding};
use crate::time::Span;

/// What it leaves for another thread to tell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Told {
    /// The latency is known.
    Settled {
        /// From opening to the first pull.
        start: Span,
        /// From the due time of a sound to its being heard.
        latency: Span,
    },
    /// A sound was heard.
    Heard {
        /// What it was.
        sound: Sound,
        /// Number of its label.
        label: Option<usize>,
        /// So much after its due time and the latency.
        late_us: i64,
    },
}

/// What the driver's thread works on.
pub(super) struct Pulling {
    player: Player,
    clock: Clock,
    due: Consumer<Due>,
    began: Instant,
    first: Option<Instant>,
    settled: bool,
    told: Producer<Told>,
    /// Who tells it.
    wake: Thread,
}

impl Pulling {
    pub fn new(
        rate: u32,
        labels: Labels,
        began: Instant,
        due: Consumer<Due>,
        told: Producer<Told>,
        wake: Thread,
    ) -> Pulling {
        let (player, clock) = (Player::new(rate, labels), Clock::start().0);
        Pulling { player, clock, due, began, first: None, settled: false, told, wake }
    }

    /// The device pulls; `delay` is what its driver says is still to be played before this, `sample` makes its samples.
    pub fn pull<S: Copy>(
        &mut self,
        at: Instant,
        delay: Duration,
        out: &mut [S],
        channels: usize,
        sample: impl Fn(f32) -> S,
    ) {
        while let Ok((due, sounding)) = self.due.pop() {
            self.player.take(Sounding { due: self.clock.moment(due), ..sounding });
        }
        let first = *self.first.get_or_insert(at);
        let (now, told, wake) = (self.clock.moment(at), &mut self.told, &self.wake);
        let heard = |Onset { sounding: Sounding { sound, label, .. }, late_us }: Onset| {
            leave(told, wake, Told::Heard { sound, label, late_us });
        };
        self.player.pull(now, span(delay), out, channels, sample, heard);
        if let (Some(latency), false) = (self.player.latency(), self.settled) {
            leave(told, wake, Told::Settled { start: span(first - self.began), latency });
            self.settled = true;
        }
    }
}

/// What nobody takes is lost.
fn leave(told: &mut Producer<Told>, wake: &Thread, news: Told) {
    let _ = told.push(news);
    wake.unpark();
}

#[cfg(test)]
mod tests {
    use allocation_counter::{AllocationInfo, measure};
    use rtrb::RingBuffer;

    use super::*;
    use crate::time::Moment;

    const RATE: u32 = 8_000;

    /// The driver's thread, and both ends of its ways.
    struct Rig {
        pulling: Pulling,
        cues: Producer<Due>,
        news: Consumer<Told>,
        began: Instant,
    }

    fn rig(rate: u32, labels: Labels) -> Rig {
        let ((cues, due), (told, news)) = (RingBuffer::new(256), RingBuffer::new(256));
        let began = Instant::now();
        Rig { pulling: Pulling::new(rate, labels, began, due, told, std::thread::current()), cues, news, began }
    }

    impl Rig {
        /// When so much is over since the first pull, which comes 50 ms after the beginning.
        fn at(&self, us: u64) -> Instant {
            self.began + Duration::from_micros(50_000 + us)
        }

        fn send(&mut self, us: u64, sound: Sound, label: Option<usize>) {
            let sounding = Sounding { due: Moment::NEVER, sound, label, volume: 300 };
            self.cues.push((self.at(us), sounding)).expect("there is room");
        }

        /// Pulls two channels at this instant, as a device of whole numbers does, and counts.
        fn pull(&mut self, us: u64, out: &mut [i16]) -> AllocationInfo {
            let at = self.at(us);
            measure(|| self.pulling.pull(at, Duration::from_millis(20), out, 2, |sample| (sample * 32_767.0) as i16))
        }
    }

    #[test]
    fn a_cue_that_is_sent_is_heard_a_constant_time_after_its_instant() {
        let mut rig = rig(1_000, Labels::new());
        let pull = |rig: &mut Rig, call: u64| {
            let at = rig.at(10_000 * call);
            rig.pulling.pull(at, Duration::from_millis(20), &mut [0.0; 10], 1, f32::from)
        };
        (0..20).for_each(|call| pull(&mut rig, call));
        let settled = Told::Settled { start: Span::from_ms(50), latency: Span::from_ms(35) };
        assert_eq!(rig.news.pop(), Ok(settled));
        rig.send(205_000, Sound::Select, None);
        (20..30).for_each(|call| pull(&mut rig, call));
        let Ok(Told::Heard { sound: Sound::Select, label: None, late_us }) = rig.news.pop() else { panic!("silence") };
        assert!(late_us.abs() <= 1_000, "to a frame: {late_us}");
        assert!(rig.news.pop().is_err(), "nothing else");
    }

    /// What would be counted if anything were.
    fn touched(memory: AllocationInfo) -> bool {
        memory.count_total > 0 || memory.count_current != 0
    }

    #[test]
    fn the_counter_sees_what_is_asked_for_and_what_is_freed() {
        let mut label = Some("lamp".to_string());
        assert!(touched(measure(|| drop(label.take()))), "freed");
        assert!(touched(measure(|| label = Some("door".to_string()))), "asked for");
        assert!(!touched(measure(|| _ = label.as_ref().map(String::len))));
    }

    #[test]
    fn the_drivers_thread_neither_asks_for_memory_nor_frees_any_whatever_is_played() {
        let label: std::sync::Arc<[f32]> = vec![0.25; RATE as usize / 2].into();
        let (mut rig, mut out) = (rig(RATE, vec![label]), vec![0_i16; 160]);
        let (mut loud, mut heard) = (0, 0);
        for call in 0..3_000 {
            let now = 10_000 * call;
            match call % 100 {
                0 => rig.send(now, Sound::Step, None),
                20 => rig.send(now, Sound::Select, None),
                // Spoken, cut off by the next, and one that is not recorded.
                40 | 45 => rig.send(now, Sound::Place { position: 1, of: 3 }, Some(0)),
                60 => rig.send(now, Sound::Cue, Some(7)),
                // A label that comes so late that it is given up.
                80 if call > 100 => rig.send(now - 900_000, Sound::Place { position: 2, of: 3 }, Some(0)),
                // More at once than can wait or sound together.
                90 => (0..200).for_each(|_| rig.send(now, Sound::Error, None)),
                _ => {}
            }
            assert!(!touched(rig.pull(now, &mut out)), "pull {call}");
            loud += usize::from(out.iter().any(|sample| *sample != 0));
            heard += std::iter::from_fn(|| rig.news.pop().ok()).count();
        }
        assert!(loud > 1_000 && heard > 30 * 60, "it was heard: {loud} {heard}");
    }

    #[test]
    fn nor_where_the_device_pulls_so_often_that_not_all_pulls_are_remembered() {
        let mut rig = rig(RATE, Labels::new());
        let pulls: Vec<AllocationInfo> = (0..4_000).map(|call| rig.pull(1_000 * call, &mut [0; 16])).collect();
        assert!(!pulls.into_iter().any(touched));
    }
}
