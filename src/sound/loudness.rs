//! The loudness of what a microphone hears, as a level: no sound is kept, only how loud it is.
//!
//! In millionths of the amplitude of a sine of full scale, every 5 ms over the last 20 ms. That is long enough to bridge
//! the pulses of a low voice and short enough to see a click of the tongue. What lies below the voice (hum of the mains,
//! handling, air) is filtered out first. The scale is that of the amplitude and not of decibels, because efforts and
//! noise are compared as multiples of each other; [`dbfs`] tells people.

use std::collections::VecDeque;

use crate::level::Range;

/// What the levels can be, in millionths.
pub const RANGE: Range = Range { least: 0, greatest: 1_000_000 };
/// What one step of the levels is, for the log.
pub const UNIT: &str = "10⁻⁶ of full scale";
/// Levels a second, and steps of which each takes in the last ones.
const STEPS_A_SECOND: u32 = 200;
const STEPS: usize = 4;
/// The filter lets through from here, in hertz (one pole, 6 dB an octave).
const FROM_HZ: f32 = 100.0;

/// Turns samples into levels.
#[derive(Clone, Debug)]
pub struct Loudness {
    step: usize,
    /// How much of the filter's memory goes with each frame.
    forgets: f32,
    low: f32,
    /// Frames and sum of squares of the step under way.
    frames: usize,
    squares: f64,
    /// Mean squares of the last steps.
    steps: VecDeque<f64>,
}

impl Loudness {
    /// Nothing has been heard yet, at so many frames a second.
    #[must_use]
    pub fn new(rate: u32) -> Loudness {
        Loudness {
            step: (rate / STEPS_A_SECOND).max(1) as usize,
            forgets: 1.0 - (-std::f32::consts::TAU * FROM_HZ / rate.max(1) as f32).exp(),
            low: 0.0,
            frames: 0,
            squares: 0.0,
            steps: VecDeque::with_capacity(STEPS),
        }
    }

    /// The levels that end within these frames, each with the number of frames before its end. Channels are heard as
    /// their mean; what is no number is silence.
    pub fn hear(&mut self, samples: &[f32], channels: usize) -> Vec<(usize, i32)> {
        let channels = channels.max(1);
        let mut levels = Vec::new();
        for (frame, sample) in samples.chunks(channels).enumerate() {
            let mean = sample.iter().sum::<f32>() / channels as f32;
            let mean = if mean.is_finite() { mean } else { 0.0 };
            self.low += (mean - self.low) * self.forgets;
            self.squares += f64::from(mean - self.low).powi(2);
            self.frames += 1;
            if self.frames == self.step {
                levels.push((frame + 1, self.level()));
            }
        }
        levels
    }

    fn level(&mut self) -> i32 {
        if self.steps.len() == STEPS {
            self.steps.pop_front();
        }
        self.steps.push_back(self.squares / self.step as f64);
        (self.frames, self.squares) = (0, 0.0);
        // A sine of full scale has a mean square of one half.
        let power = 2.0 * self.steps.iter().sum::<f64>() / self.steps.len() as f64;
        (libm::round(1e6 * libm::sqrt(power)) as i32).clamp(RANGE.least, RANGE.greatest)
    }
}

/// A level in decibels below a sine of full scale (dBFS as AES17 defines it, from memory); silence is −120 dB.
#[must_use]
pub fn dbfs(level: f64) -> f64 {
    20.0 * libm::log10(level.max(1.0) / 1e6)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f32::consts::TAU;

    const RATE: u32 = 48_000;

    /// The last level of a second of sine.
    fn of_sine(hz: f32, peak: f32, channels: usize) -> i32 {
        let sine = (0..RATE).map(|frame| peak * (TAU * hz * frame as f32 / RATE as f32).sin());
        let samples: Vec<f32> = sine.flat_map(|sample| std::iter::repeat_n(sample, channels)).collect();
        let levels = Loudness::new(RATE).hear(&samples, channels);
        assert_eq!(levels.len(), STEPS_A_SECOND as usize);
        levels[levels.len() - 1].1
    }

    #[test]
    fn a_sine_of_full_scale_is_the_reference_and_half_of_it_six_decibels_less() {
        for (peak, decibels) in [(1.0, 0.0), (0.5, -6.02), (0.1, -20.0), (0.001, -60.0)] {
            let level = dbfs(f64::from(of_sine(1_000.0, peak, 1)));
            // The filter takes a tenth of a decibel at 1 kHz.
            assert!((level + 0.1 - decibels).abs() < 0.05, "{peak}: {level}");
        }
        assert_eq!(of_sine(1_000.0, 0.1, 2), of_sine(1_000.0, 0.1, 1));
    }

    #[test]
    fn silence_noise_that_is_no_number_and_hum_stay_low() {
        let mut loudness = Loudness::new(RATE);
        assert!(loudness.hear(&[0.0; 4_800], 1).iter().all(|(_, level)| *level == RANGE.least));
        assert!(loudness.hear(&[f32::NAN; 480], 1).iter().all(|(_, level)| *level == RANGE.least));
        // 6 dB an octave: 50 Hz lies 7 dB down behind a pole at 100 Hz.
        let hum = dbfs(f64::from(of_sine(50.0, 0.1, 1)));
        assert!((hum + 27.0).abs() < 0.6, "{hum}");
    }

    #[test]
    fn a_level_stands_where_it_ends_whatever_the_buffers() {
        let mut loudness = Loudness::new(RATE);
        let ends: Vec<usize> = (0..5).flat_map(|_| loudness.hear(&[0.1; 100], 1)).map(|(frame, _)| frame).collect();
        assert_eq!(ends, [40, 80], "after 240 and 480 frames");
    }
}
