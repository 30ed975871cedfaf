//! Plays cues on time: mixes what the device pulls, and tells when each sound was heard.
//!
//! A sound is heard at its due time plus one constant latency, which holds the device's buffer and what a cue needs to
//! get here. The latency is settled from the first pulls, before the session begins, and never changes; what comes later
//! than that is told as late.

use std::sync::Arc;

use super::mixer::Mixer;
use super::pulls::Pulls;
use super::tone::Tones;
use crate::session::input::Sound;
use crate::time::{Moment, Span};

/// Pulls from which the latency is settled.
const SETTLING: usize = 16;
/// What a cue may take from the session to the player.
const ARRIVES: Span = Span::from_ms(5);
/// Sounds that may wait: more than any session asks for before they are given up.
const WAITING: usize = 64;
/// A sound that would come later than this says nothing any more.
const GIVEN_UP: Span = Span::from_ms(500);

/// Samples of labels, by their numbers, at the rate of the device.
pub type Labels = Vec<Arc<[f32]>>;

/// A cue as the device's thread takes it: its label is a number, so that nothing of it has to be freed there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sounding {
    /// When what it stands for happens.
    pub due: Moment,
    /// What is heard, unless there is a label.
    pub sound: Sound,
    /// Number of the label that is wanted; without samples of that number the sound stands for it.
    pub label: Option<usize>,
    /// How loud, in thousandths.
    pub volume: u16,
}

/// A sound that was heard.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Onset {
    /// What it was.
    pub sounding: Sounding,
    /// Heard so much after its due time and the constant latency.
    pub late_us: i64,
}

/// One device's player.
#[derive(Clone, Debug)]
pub struct Player {
    rate: u32,
    mixer: Mixer,
    pulls: Pulls,
    settling: Vec<Span>,
    latency: Option<Span>,
    waiting: Vec<Sounding>,
    labels: Labels,
    tones: Tones,
}

impl Player {
    /// A player at so many frames a second.
    #[must_use]
    pub fn new(rate: u32, labels: Labels) -> Player {
        Player {
            rate,
            mixer: Mixer::new(rate),
            pulls: Pulls::new(rate),
            settling: Vec::with_capacity(SETTLING),
            latency: None,
            waiting: Vec::with_capacity(WAITING),
            labels,
            tones: Tones::new(rate),
        }
    }

    /// The constant latency, once it is settled.
    #[must_use]
    pub fn latency(&self) -> Option<Span> {
        self.latency
    }

    /// A sound to come. Of more than can wait the oldest is given up.
    pub fn take(&mut self, sounding: Sounding) {
        if self.waiting.len() == WAITING {
            self.waiting.remove(0);
        }
        self.waiting.push(sounding);
    }

    /// The device pulls whole frames at `now`, as `sample` makes them; the first of them will be heard after `delay`.
    /// Tells what begins in them. A device's thread must not wait: nothing here asks for memory or frees any.
    pub fn pull<S: Copy>(
        &mut self,
        now: Moment,
        delay: Span,
        out: &mut [S],
        channels: usize,
        sample: impl Fn(f32) -> S,
        heard: impl FnMut(Onset),
    ) {
        let frames = out.len() / channels.max(1);
        self.settle(delay + self.span(frames));
        self.pulls.pulled(self.mixer.next(), now + delay);
        self.begin(frames as u64, heard);
        self.mixer.fill(out, channels, sample);
    }

    fn settle(&mut self, held: Span) {
        if self.latency.is_none() {
            self.settling.push(held);
            let most = self.settling.iter().copied().max().unwrap_or_default();
            self.latency = (self.settling.len() == SETTLING).then_some(most + ARRIVES);
        }
    }

    fn span(&self, frames: usize) -> Span {
        Span(frames as u64 * 1_000_000 / u64::from(self.rate.max(1)))
    }

    /// Begins what falls into the next frames.
    fn begin(&mut self, frames: u64, mut heard: impl FnMut(Onset)) {
        let (Some(latency), Some(next)) = (self.latency, self.pulls.heard(self.mixer.next())) else { return };
        self.waiting.retain(|sounding| sounding.due + latency + GIVEN_UP > next);
        let end = self.mixer.next() + frames;
        let mut place = 0;
        while place < self.waiting.len() {
            match self.pulls.frame(self.waiting[place].due + latency).filter(|frame| *frame < end) {
                Some(frame) => {
                    let sounding = self.waiting.remove(place);
                    self.play(sounding, frame, latency).into_iter().for_each(&mut heard);
                }
                None => place += 1,
            }
        }
    }

    fn play(&mut self, sounding: Sounding, frame: u64, latency: Span) -> Option<Onset> {
        let label = sounding.label.and_then(|number| self.labels.get(number));
        let samples = label.unwrap_or_else(|| self.tones.of(sounding.sound));
        let yields = matches!(sounding.sound, Sound::Place { .. } | Sound::Cue);
        // Labels and tones hold their samples too, so the mixer's end of them never frees any.
        let starts = self.mixer.play(frame, Arc::clone(samples), gain(sounding.volume), yields);
        let late_us = self.pulls.heard(starts)?.signed_us_since(sounding.due + latency);
        Some(Onset { sounding, late_us })
    }
}

/// What loudness asks for: half the volume sounds about half as loud at a third of the amplitude (a sone doubles with
/// 10 dB, ISO 532, from memory).
fn gain(thousandths: u16) -> f32 {
    (f32::from(thousandths) / 1_000.0).clamp(0.0, 1.0).powf(1.66)
}

#[cfg(test)]
mod tests {
    use super::*;

    const WAITS: Span = Span::from_ms(20);

    /// A player at 1000 frames a second that has settled, and its next pull of 10 frames.
    fn settled(labels: Labels) -> (Player, u64) {
        let mut player = Player::new(1_000, labels);
        let mut at = 0;
        while player.latency().is_none() {
            player.pull(Moment(at), WAITS, &mut [0.0; 10], 1, f32::from, |_| {});
            at += 10_000;
        }
        (player, at)
    }

    #[test]
    fn a_label_is_spoken_where_there_is_one_and_stands_for_a_tone_where_there_is_none() {
        let samples: Arc<[f32]> = vec![0.25; 30].into();
        let (mut player, at) = settled(vec![samples]);
        let sound = Sound::Place { position: 0, of: 2 };
        let label = |number, after| Sounding { due: Moment(at + after), sound, label: Some(number), volume: 1_000 };
        player.take(label(0, 0));
        player.take(label(1, 100_000));
        let mut heard = vec![0.0; 200];
        let mut late = Vec::new();
        player.pull(Moment(at), WAITS, &mut heard, 1, f32::from, |onset| late.push(onset.late_us));
        assert_eq!((player.latency(), late), (Some(Span::from_ms(35)), vec![0, 0]));
        assert_eq!((heard[14], heard[15], heard[44], heard[45]), (0.0, 0.25, 0.25, 0.0));
        assert!(heard[120..170].iter().any(|sample| sample.abs() > 0.3), "the tone");
    }

    #[test]
    fn half_the_volume_is_ten_decibels_less_and_none_is_silence() {
        assert!((20.0 * gain(500).log10() + 10.0).abs() < 0.1);
        assert_eq!((gain(0), gain(1_000)), (0.0, 1.0));
    }
}
