//! The tones: pure, soft at both ends, one burst each.
//!
//! An alarm of a medical device is a burst of several pulses of 75 ms or more with harmonics, repeated (IEC 60601-1-8,
//! from memory). So a tone here is one pulse of one frequency, and what comes with every step of the scan is shorter
//! than any pulse of an alarm. Frequencies lie between 500 and 2000 Hz, where most hearing losses leave something and
//! small speakers give something (common practice, no source).

use std::f32::consts::TAU;
use std::sync::Arc;

use crate::session::input::Sound;

/// How long a tone swells and fades, in seconds.
const EDGE_S: f32 = 0.01;
/// Peak of every tone at full volume, a quarter of the power of full scale.
const PEAK: f32 = 0.5;
/// The lowest and the highest pitch of a place, in hertz.
const PLACES_HZ: (f32, f32) = (600.0, 1_100.0);

/// Pitch in hertz and length in seconds. From a step to a selection the pitch doubles; no other change is as large.
#[must_use]
pub fn pitch(sound: Sound) -> (f32, f32) {
    match sound {
        Sound::Step => (700.0, 0.04),
        Sound::Select => (1_400.0, 0.12),
        Sound::Cue => (1_000.0, 0.3),
        Sound::Error => (550.0, 0.25),
        Sound::Distraction => (850.0, 0.2),
        Sound::Place { position, of } => {
            let share = f32::from(position) / f32::from(of.saturating_sub(1).max(1));
            (PLACES_HZ.0 + (PLACES_HZ.1 - PLACES_HZ.0) * share.min(1.0), 0.06)
        }
    }
}

/// Steps into which the pitches of places are divided. Up to seven places, and nine, have theirs exactly, any other number
/// to 0.4 %.
const STEPS: usize = 120;

/// The samples of every sound, made ahead: a device's thread must not wait for memory.
#[derive(Clone, Debug)]
pub struct Tones {
    plain: [Arc<[f32]>; 5],
    places: Vec<Arc<[f32]>>,
}

impl Tones {
    /// All of them at so many samples a second.
    #[must_use]
    pub fn new(rate: u32) -> Tones {
        let made = |sound| samples(sound, rate).into();
        let place = |position| made(Sound::Place { position, of: STEPS as u16 + 1 });
        Tones {
            plain: [Sound::Step, Sound::Select, Sound::Cue, Sound::Error, Sound::Distraction].map(made),
            places: (0..=STEPS as u16).map(place).collect(),
        }
    }

    /// The samples of this one.
    #[must_use]
    pub fn of(&self, sound: Sound) -> &Arc<[f32]> {
        match sound {
            Sound::Step => &self.plain[0],
            Sound::Select => &self.plain[1],
            Sound::Cue => &self.plain[2],
            Sound::Error => &self.plain[3],
            Sound::Distraction => &self.plain[4],
            Sound::Place { position, of } => {
                let (position, last) = (usize::from(position), usize::from(of.saturating_sub(1).max(1)));
                &self.places[((STEPS * position + last / 2) / last).min(STEPS)]
            }
        }
    }
}

/// The samples of a sound at so many a second, from −1 to 1.
#[must_use]
pub fn samples(sound: Sound, rate: u32) -> Vec<f32> {
    let (hz, seconds) = pitch(sound);
    let rate = rate as f32;
    let count = (seconds * rate) as usize;
    let edge = |frames: usize| {
        let share = (frames as f32 / rate / EDGE_S).min(1.0);
        0.5 - 0.5 * (TAU / 2.0 * share).cos()
    };
    (0..count)
        .map(|frame| {
            // The phase is taken anew within each whole turn, so that a long tone stays exact.
            let turns = (f64::from(hz) * frame as f64 / f64::from(rate)).fract() as f32;
            PEAK * edge(frame).min(edge(count - 1 - frame)) * (TAU * turns).sin()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const RATE: u32 = 48_000;

    fn all() -> Vec<Sound> {
        let places = (0..9).map(|position| Sound::Place { position, of: 9 });
        let others = [Sound::Step, Sound::Select, Sound::Cue, Sound::Error, Sound::Distraction];
        others.into_iter().chain(places).collect()
    }

    /// How often a second the samples cross zero upwards.
    fn measured_hz(samples: &[f32]) -> f32 {
        let crossings: Vec<usize> =
            (1..samples.len()).filter(|at| samples[at - 1] < 0.0 && samples[*at] >= 0.0).collect();
        let (first, last) = (crossings[0], crossings[crossings.len() - 1]);
        (crossings.len() - 1) as f32 * RATE as f32 / (last - first) as f32
    }

    #[test]
    fn every_tone_has_its_pitch_between_500_and_2000_hertz() {
        for sound in all() {
            let hz = measured_hz(&samples(sound, RATE));
            assert!((500.0..=2_000.0).contains(&hz), "{sound:?}: {hz}");
            assert!((hz / pitch(sound).0 - 1.0).abs() < 0.01, "{sound:?}: {hz}");
        }
    }

    #[test]
    fn what_is_made_ahead_is_what_would_be_made() {
        let tones = Tones::new(RATE);
        for sound in all() {
            assert_eq!(tones.of(sound)[..], samples(sound, RATE)[..], "{sound:?}");
        }
        for of in 2..=64 {
            for position in 0..of {
                let sound = Sound::Place { position, of };
                // The last sample has faded to nothing, which is no crossing.
                let [heard @ .., _] = &tones.of(sound)[..] else { panic!("no samples") };
                let hz = measured_hz(heard);
                assert!((hz / pitch(sound).0 - 1.0).abs() < 0.01, "{sound:?}: {hz}");
            }
        }
    }

    #[test]
    fn from_step_to_select_the_pitch_doubles_and_no_place_comes_near() {
        let of = |sound| pitch(sound).0;
        assert!((of(Sound::Select) / of(Sound::Step) - 2.0).abs() < 1e-6);
        assert!(all()[4..].iter().all(|place| of(Sound::Select) / of(*place) > 1.25));
    }

    #[test]
    fn a_tone_begins_and_ends_softly_and_is_one_burst() {
        for sound in all() {
            let samples = samples(sound, RATE);
            assert!(samples[0].abs() < 1e-3 && samples[samples.len() - 1].abs() < 1e-3, "{sound:?}");
            let steps = samples.windows(2).map(|pair| (pair[1] - pair[0]).abs());
            let steepest = TAU * pitch(sound).0 / RATE as f32 * PEAK * 1.05;
            assert!(steps.fold(0.0, f32::max) <= steepest, "no click: {sound:?}");
            let loud = |part: &[f32]| part.iter().fold(0.0_f32, |most, sample| most.max(sample.abs())) > 0.01;
            let parts: Vec<bool> = samples.chunks(RATE as usize / 200).map(loud).collect();
            let inner = &parts[..parts.len() - 1];
            assert!(inner.iter().all(|loud| *loud), "no gap within: {sound:?}");
        }
    }

    #[test]
    fn what_comes_with_every_step_is_shorter_than_any_pulse_of_an_alarm() {
        // IEC 60601-1-8, pulses of 75 ms or more; from memory.
        let steady = all().into_iter().filter(|sound| matches!(sound, Sound::Step | Sound::Place { .. }));
        steady.for_each(|sound| assert!(pitch(sound).1 < 0.075, "{sound:?}"));
    }
}
