//! Adds sounds up, each from its own frame on.

use std::sync::Arc;

/// Frames in which a label that is cut short fades, in thousandths of the rate.
const FADE_MS: u32 = 5;
/// Sounds at once; of more the oldest is cut off.
const VOICES: usize = 32;

/// One channel of sound; the device's channels all get the same.
#[derive(Clone, Debug)]
pub struct Mixer {
    rate: u32,
    /// The frame that is pulled next.
    next: u64,
    voices: Vec<Voice>,
}

#[derive(Clone, Debug)]
struct Voice {
    samples: Arc<[f32]>,
    gain: f32,
    starts: u64,
    /// It gives way to the next of its kind.
    yields: bool,
    /// It fades from this frame on.
    fades: Option<u64>,
}

impl Mixer {
    /// Silence, at so many frames a second.
    #[must_use]
    pub fn new(rate: u32) -> Mixer {
        Mixer { rate, next: 0, voices: Vec::with_capacity(VOICES) }
    }

    /// The frame that is pulled next.
    #[must_use]
    pub fn next(&self) -> u64 {
        self.next
    }

    /// Begins a sound at `frame`, or now if that is past; gives the frame. One that yields stops when the next of
    /// its kind begins, so that labels never pile up.
    pub fn play(&mut self, frame: u64, samples: Arc<[f32]>, gain: f32, yields: bool) -> u64 {
        let starts = frame.max(self.next);
        if yields {
            let before = self.voices.iter_mut().filter(|voice| voice.yields);
            before.for_each(|voice| voice.fades = Some(voice.fades.map_or(starts, |fades| fades.min(starts))));
        }
        if self.voices.len() == VOICES {
            self.voices.remove(0);
        }
        self.voices.push(Voice { samples, gain, starts, yields, fades: None });
        starts
    }

    /// Fills whole frames of so many channels, as `sample` makes them.
    pub fn fill<S: Copy>(&mut self, out: &mut [S], channels: usize, sample: impl Fn(f32) -> S) {
        let fade = u64::from(self.rate * FADE_MS / 1_000).max(1);
        for frame in out.chunks_mut(channels.max(1)) {
            let sum: f32 = self.voices.iter().map(|voice| voice.at(self.next, fade)).sum();
            frame.fill(sample(sum.clamp(-1.0, 1.0)));
            self.next += 1;
        }
        let next = self.next;
        self.voices.retain(|voice| !voice.over(next, fade));
    }
}

impl Voice {
    fn at(&self, frame: u64, fade: u64) -> f32 {
        let Some(since) = frame.checked_sub(self.starts) else { return 0.0 };
        let faded = self.fades.map_or(0, |from| frame.saturating_sub(from)).min(fade);
        let sample = self.samples.get(since as usize).copied().unwrap_or(0.0);
        sample * self.gain * (1.0 - faded as f32 / fade as f32)
    }

    fn over(&self, frame: u64, fade: u64) -> bool {
        frame >= self.starts + self.samples.len() as u64 || self.fades.is_some_and(|from| frame >= from + fade)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pulled(mixer: &mut Mixer, frames: usize) -> Vec<f32> {
        let mut out = vec![9.0; frames * 2];
        mixer.fill(&mut out, 2, f32::from);
        assert!(out.chunks(2).all(|frame| frame[0] == frame[1]), "both channels are the same");
        out.chunks(2).map(|frame| frame[0]).collect()
    }

    #[test]
    fn a_sound_begins_at_its_frame_across_the_edges_of_buffers() {
        let mut mixer = Mixer::new(48_000);
        assert_eq!(mixer.play(5, vec![0.5; 4].into(), 1.0, false), 5);
        let heard: Vec<f32> = [3, 3, 6].into_iter().flat_map(|frames| pulled(&mut mixer, frames)).collect();
        assert_eq!(heard, [0.0, 0.0, 0.0, 0.0, 0.0, 0.5, 0.5, 0.5, 0.5, 0.0, 0.0, 0.0]);
    }

    #[test]
    fn one_that_comes_too_late_begins_now_and_sums_stay_within_full_scale() {
        let mut mixer = Mixer::new(48_000);
        pulled(&mut mixer, 10);
        assert_eq!(mixer.play(3, vec![0.8; 2].into(), 1.0, false), 10);
        mixer.play(10, vec![0.8; 3].into(), 0.5, false);
        assert_eq!(pulled(&mut mixer, 4), [1.0, 1.0, 0.4, 0.0]);
    }

    #[test]
    fn a_label_fades_when_the_next_one_begins() {
        let mut mixer = Mixer::new(1_000);
        mixer.play(0, vec![1.0; 100].into(), 1.0, true);
        mixer.play(2, vec![0.0; 100].into(), 1.0, true);
        let heard = pulled(&mut mixer, 8);
        assert_eq!(heard[..3], [1.0, 1.0, 1.0]);
        assert!(heard.windows(2).all(|pair| pair[1] <= pair[0]) && heard[7] == 0.0, "{heard:?}");
        assert_eq!(mixer.voices.len(), 1, "it is gone");
    }
}
