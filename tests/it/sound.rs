//! Sound through a device that exists as arithmetic only: it pulls buffers by a clock of its own, as a sound card does,
//! and what it pulled is written to a WAV file and read back.

use pacewright::session::input::Sound;
use pacewright::sound::player::{Labels, Onset, Player, Sounding};
use pacewright::time::{Moment, Span};
use rand_core::RngCore;
use rand_xoshiro::Xoshiro256PlusPlus;
use rand_xoshiro::rand_core::SeedableRng;

const RATE: u32 = 16_000;
const CHANNELS: usize = 1;
/// When the device begins to play, by our clock.
const BEGAN_US: f64 = 250_000.0;
/// Five minutes of sound, one every 0.7 s or so.
const LASTS_S: u64 = 300;

/// A sound card.
struct Device {
    /// Frames of one pull, and of its whole buffer.
    period: u64,
    buffer: u64,
    /// Its frames a second, by our clock.
    rate: f64,
    /// A pull comes late by up to this.
    late_us: u64,
    /// Whether the driver says how much is really waiting, or the same at every pull.
    exact: bool,
}

impl Device {
    /// When a frame is heard.
    fn heard_us(&self, frame: f64) -> f64 {
        BEGAN_US + frame * 1e6 / self.rate
    }

    /// When the pull that begins with this frame comes, and what the driver says of it.
    fn pull(&self, first: u64, draw: u64) -> (Moment, Span) {
        let nominal = (self.buffer - self.period) as f64;
        let room = self.heard_us((first as f64 - nominal).max(0.0));
        let at = room + (draw % (self.late_us + 1)) as f64;
        let waits = if self.exact { self.heard_us(first as f64) - at } else { nominal * 1e6 / f64::from(RATE) };
        (Moment(at as u64), Span(waits.max(0.0) as u64))
    }
}

struct Run {
    latency: Span,
    cues: Vec<Moment>,
    onsets: Vec<Onset>,
    /// The frame in the file at which each sound begins.
    frames: Vec<u64>,
}

fn run(device: &Device, seed: u64) -> Run {
    let mut rng = Xoshiro256PlusPlus::seed_from_u64(seed);
    let mut player = Player::new(RATE, Labels::new());
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("out.wav");
    let spec = hound::WavSpec {
        channels: CHANNELS as u16,
        sample_rate: RATE,
        bits_per_sample: 32,
        sample_format: hound::SampleFormat::Float,
    };
    let mut file = hound::WavWriter::create(&path, spec).unwrap();
    let (mut cues, mut onsets, mut next) = (Vec::new(), Vec::new(), Moment(2_000_000));
    let mut buffer = vec![0.0; device.period as usize * CHANNELS];
    for call in 0..LASTS_S * u64::from(RATE) / device.period {
        let (at, delay) = device.pull(call * device.period, rng.next_u64());
        // The session's cues come when they are due, a little late as a thread wakes.
        while next + Span(1_000) <= at {
            player.take(Sounding { due: next, sound: Sound::Step, label: None, volume: 1_000 });
            cues.push(next);
            next += Span(600_000 + rng.next_u64() % 200_000);
        }
        player.pull(at, delay, &mut buffer, CHANNELS, f32::from, |onset| onsets.push(onset));
        buffer.iter().for_each(|sample| file.write_sample(*sample).unwrap());
    }
    file.finalize().unwrap();
    let latency = player.latency().unwrap();
    cues.truncate(onsets.len());
    Run { latency, cues, onsets, frames: begins(&path) }
}

/// The frames of a file at which there is sound after silence.
fn begins(path: &std::path::Path) -> Vec<u64> {
    let mut silent = RATE;
    let mut found = Vec::new();
    let samples = hound::WavReader::open(path).unwrap().into_samples::<f32>();
    for (frame, sample) in samples.step_by(CHANNELS).enumerate() {
        if sample.unwrap() == 0.0 {
            silent += 1;
        } else {
            // The first sample of a tone is zero: it swells from there.
            found.extend((silent > RATE / 10).then_some(frame as u64 - 1));
            silent = 0;
        }
    }
    found
}

/// True lateness of each sound in the file against its due time and the constant latency, in microseconds.
fn lateness_us(device: &Device, run: &Run) -> Vec<f64> {
    assert_eq!(run.frames.len(), run.cues.len(), "every sound is in the file");
    let wanted = run.cues.iter().map(|due| (*due + run.latency).0 as f64);
    run.frames.iter().zip(wanted).map(|(frame, wanted)| device.heard_us(*frame as f64) - wanted).collect()
}

fn devices() -> Vec<(&'static str, Device)> {
    let device = |period, buffer, drift_ppm: f64, late_us, exact| Device {
        period,
        buffer,
        rate: f64::from(RATE) * (1.0 + drift_ppm * 1e-6),
        late_us,
        exact,
    };
    vec![
        ("10 ms, exact", device(160, 320, 0.0, 3_000, true)),
        ("10 ms, nominal", device(160, 320, 0.0, 3_000, false)),
        ("10 ms, 200 ppm fast", device(160, 320, 200.0, 3_000, false)),
        ("10 ms, 200 ppm slow", device(160, 320, -200.0, 3_000, false)),
        ("64 ms, 100 ppm slow", device(1_024, 4_096, -100.0, 8_000, false)),
    ]
}

#[test]
fn sounds_begin_on_time_do_not_drift_in_five_minutes_and_their_lateness_is_told() {
    for (name, device) in devices() {
        let run = run(&device, 7);
        let late = lateness_us(&device, &run);
        let mut sizes: Vec<f64> = late.iter().map(|late| late.abs()).collect();
        sizes.sort_by(f64::total_cmp);
        let p99 = sizes[sizes.len() * 99 / 100];
        let mean = |part: &[f64]| part.iter().sum::<f64>() / part.len() as f64;
        let drift = mean(&late[late.len() - 60..]) - mean(&late[..60]);
        println!("{name}: {} sounds, latency {} us, p99 {p99:.0} us, drift {drift:.0} us", late.len(), run.latency.0);
        assert!(late.len() > 400 && p99 <= 10_000.0, "{name}: {p99}");
        assert!(drift.abs() < 1_000.0, "{name}: {drift}");
        for (onset, late) in run.onsets.iter().zip(late) {
            assert!((onset.late_us as f64 - late).abs() < 2_000.0, "{name}: told {}, was {late}", onset.late_us);
        }
    }
}

#[test]
fn a_device_that_stood_still_is_told_as_late_and_what_is_long_past_is_not_played() {
    let mut player = Player::new(RATE, Labels::new());
    let mut buffer = vec![0.0; 160];
    let mut pull = |player: &mut Player, at: u64| {
        let mut onsets = Vec::new();
        player.pull(Moment(at), Span(10_000), &mut buffer, 1, f32::from, |onset| onsets.push(onset));
        onsets
    };
    (0..20).for_each(|call| assert_eq!(pull(&mut player, call * 10_000), []));
    let cue = |due| Sounding { due: Moment(due), sound: Sound::Select, label: None, volume: 500 };
    let latency = player.latency().unwrap();
    assert_eq!(latency, Span(25_000), "what waits, one buffer, and 5 ms for the cue");
    player.take(cue(200_000));
    player.take(cue(700_000));
    let onsets: Vec<Onset> = (80..96).flat_map(|call| pull(&mut player, call * 10_000)).collect();
    assert_eq!(onsets.len(), 1, "the first one is given up");
    assert!(onsets[0].late_us > 50_000, "{onsets:?}");
}
