//! Recordings of labels: WAV files, as samples.

use std::collections::BTreeMap;
use std::io::Cursor;

use super::player::Labels;

/// The longest label that is taken, in seconds.
pub const LONGEST_S: f64 = 10.0;
/// To this peak every recording is made as loud as the others.
const PEAK: f32 = 0.8;
/// A recording with a smaller peak is silence.
const SILENCE: f32 = 0.003;
/// What is quieter than this share of the peak, before and behind the words, is cut away.
const QUIET: f32 = 0.02;

/// One recorded label, one channel.
#[derive(Clone, Debug, PartialEq)]
pub struct Recording {
    rate: u32,
    samples: Vec<f32>,
}

/// Recordings by the ids of their labels.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Recordings(pub BTreeMap<String, Recording>);

impl Recording {
    /// Reads a WAV file. The silence round the words is cut away, so that they begin when the highlight comes, and
    /// every recording is made equally loud.
    ///
    /// # Errors
    /// A sentence: it is no WAV file, it is broken off, too long, or nothing is to be heard in it.
    pub fn read(bytes: &[u8]) -> Result<Recording, String> {
        let mut file =
            hound::WavReader::new(Cursor::new(bytes)).map_err(|error| format!("it is no WAV file: {error}"))?;
        let spec = file.spec();
        if spec.sample_rate == 0 || spec.channels == 0 {
            return Err("it is no WAV file: it has no rate or no channel".to_string());
        }
        let seconds = f64::from(file.duration()) / f64::from(spec.sample_rate);
        if seconds > LONGEST_S {
            return Err(format!("it lasts {seconds:.1} s; {LONGEST_S} s is the most"));
        }
        let all: Result<Vec<f32>, hound::Error> = match spec.sample_format {
            hound::SampleFormat::Float => file.samples::<f32>().collect(),
            hound::SampleFormat::Int => {
                let full = 2.0_f32.powi(i32::from(spec.bits_per_sample) - 1);
                file.samples::<i32>().map(|sample| sample.map(|sample| sample as f32 / full)).collect()
            }
        };
        let all = all.map_err(|error| format!("it cannot be read to its end: {error}"))?;
        let channels = usize::from(spec.channels);
        let mixed: Vec<f32> = all.chunks(channels).map(|frame| frame.iter().sum::<f32>() / channels as f32).collect();
        Recording::of(spec.sample_rate, &mixed)
    }

    fn of(rate: u32, samples: &[f32]) -> Result<Recording, String> {
        if samples.iter().any(|sample| !sample.is_finite()) {
            return Err("it holds samples that are no numbers".to_string());
        }
        let peak = samples.iter().fold(0.0_f32, |most, sample| most.max(sample.abs()));
        if peak < SILENCE {
            return Err("nothing is to be heard in it".to_string());
        }
        let loud = |sample: &f32| sample.abs() > peak * QUIET;
        let (first, last) = (samples.iter().position(loud), samples.iter().rposition(loud));
        let words = &samples[first.unwrap_or(0)..=last.unwrap_or(samples.len() - 1)];
        Ok(Recording { rate, samples: words.iter().map(|sample| sample * PEAK / peak).collect() })
    }

    /// How long it takes to hear it, in seconds.
    #[must_use]
    pub fn seconds(&self) -> f64 {
        self.samples.len() as f64 / f64::from(self.rate)
    }

    /// The samples at another rate, on straight lines between them: enough for speech, which has little above half
    /// of any rate it is recorded at.
    fn at_rate(&self, rate: u32) -> Vec<f32> {
        let step = f64::from(self.rate) / f64::from(rate.max(1));
        let count = (self.samples.len() as f64 / step) as usize;
        let sample = |place: usize| self.samples.get(place).copied().unwrap_or(0.0);
        (0..count)
            .map(|frame| {
                let place = frame as f64 * step;
                let (before, share) = (place as usize, place.fract() as f32);
                sample(before) * (1.0 - share) + sample(before + 1) * share
            })
            .collect()
    }
}

impl Recordings {
    /// The ids of all labels, in the order of their numbers.
    #[must_use]
    pub fn ids(&self) -> Vec<String> {
        self.0.keys().cloned().collect()
    }

    /// The samples of all of them at this rate, in the order of their numbers.
    #[must_use]
    pub fn at_rate(&self, rate: u32) -> Labels {
        self.0.values().map(|recording| recording.at_rate(rate).into()).collect()
    }

    /// How long the longest of these takes, in seconds.
    #[must_use]
    pub fn longest_s(&self, of: impl Fn(&str) -> bool) -> Option<f64> {
        self.0.iter().filter(|(id, _)| of(id)).map(|(_, recording)| recording.seconds()).reduce(f64::max)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A WAV file: silence, half a second of 500 Hz, silence.
    fn wav(rate: u32, channels: u16, peak: f32) -> Vec<u8> {
        let spec = hound::WavSpec {
            channels,
            sample_rate: rate,
            bits_per_sample: 16,
            sample_format: hound::SampleFormat::Int,
        };
        let mut bytes = Cursor::new(Vec::new());
        let mut file = hound::WavWriter::new(&mut bytes, spec).unwrap();
        for frame in 0..rate {
            let turns = 500.0 * frame as f32 / rate as f32;
            let words = (rate / 4..rate * 3 / 4).contains(&frame);
            let sample = if words { peak * (std::f32::consts::TAU * turns).sin() } else { 0.0 };
            (0..channels).for_each(|_| file.write_sample((sample * 32_767.0) as i16).unwrap());
        }
        file.finalize().unwrap();
        bytes.into_inner()
    }

    #[test]
    fn a_recording_is_cut_to_its_words_and_made_as_loud_as_the_others() {
        for (rate, channels, peak) in [(8_000, 1, 0.1), (22_050, 2, 0.9)] {
            let read = Recording::read(&wav(rate, channels, peak)).unwrap();
            assert!((read.seconds() - 0.5).abs() < 0.01, "{}", read.seconds());
            let samples = read.at_rate(48_000);
            assert!((samples.len() as f64 / 48_000.0 - read.seconds()).abs() < 1e-3);
            let loudest = samples.iter().fold(0.0_f32, |most, sample| most.max(sample.abs()));
            assert!((loudest - PEAK).abs() < 0.01, "{loudest}");
            let up = samples.windows(2).filter(|pair| pair[0] < 0.0 && pair[1] >= 0.0).count();
            assert!((248..=251).contains(&up), "still 500 Hz: {up}");
        }
    }

    #[test]
    fn what_cannot_be_a_label_is_refused_with_the_reason() {
        let refusal = |bytes: &[u8]| Recording::read(bytes).unwrap_err();
        let whole = wav(8_000, 1, 0.5);
        assert!(refusal(b"MThd, no WAV").starts_with("it is no WAV file"), "{}", refusal(b"MThd"));
        assert!(refusal(b"").starts_with("it is no WAV file"));
        assert!(refusal(&whole[..whole.len() / 2]).starts_with("it cannot be read to its end"));
        assert_eq!(refusal(&wav(8_000, 1, 0.0)), "nothing is to be heard in it");
        assert_eq!(Recording::of(8, &[f32::NAN]), Err("it holds samples that are no numbers".to_string()));
        let spec = hound::WavSpec {
            channels: 1,
            sample_rate: 8_000,
            bits_per_sample: 8,
            sample_format: hound::SampleFormat::Int,
        };
        let mut bytes = Cursor::new(Vec::new());
        let mut file = hound::WavWriter::new(&mut bytes, spec).unwrap();
        (0..88_000).for_each(|_| file.write_sample(100_i8).unwrap());
        file.finalize().unwrap();
        assert_eq!(refusal(&bytes.into_inner()), "it lasts 11.0 s; 10 s is the most");
    }
}
