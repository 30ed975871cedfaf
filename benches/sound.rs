//! How far from their scheduled time sounds begin, through the system's sound library and a device that a clock empties,
//! and whether that drifts.
//!
//! Steps are due at irregular gaps of 0.6 to 0.8 s for five minutes. The program's own way to the device is taken, and the
//! sounds are looked for in what came out of it (`tests/it/loudspeaker.rs`); the pipe behind the library holds a constant
//! time of its own, which the driver does not tell. `SOUND_SECONDS` changes the five minutes. Linux with ALSA only.

#[path = "../tests/it/loudspeaker.rs"]
mod loudspeaker;

use std::path::Path;
use std::process::Command;
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

use loudspeaker::{Loudspeaker, Sounded};
use pacewright::app::sound::{Ready, SoundNews, Speaker};
use pacewright::rng::Stream;
use pacewright::session::input::Sound;
use pacewright::sound::cue::Cue;
use pacewright::sound::recording::Recordings;
use pacewright::time::Moment;

const FOLDER: &str = "PACEWRIGHT_BENCH_FOLDER";
const PATIENCE: Duration = Duration::from_secs(5);

/// The library reads its settings once in a process, so another one plays.
fn main() {
    match std::env::var_os(FOLDER) {
        Some(folder) => play(Path::new(&folder)),
        None => {
            let folder = tempfile::tempdir().expect("a folder");
            let (name, value) = Loudspeaker::environment(folder.path());
            let child = Command::new(std::env::current_exe().expect("a bench has a path"))
                .env(FOLDER, folder.path())
                .env(name, value)
                .status();
            assert!(child.expect("a bench can start itself").success(), "the other process failed");
        }
    }
}

fn play(folder: &Path) {
    let seconds: u64 = std::env::var("SOUND_SECONDS").ok().and_then(|text| text.parse().ok()).unwrap_or(300);
    let loudspeaker = Loudspeaker::new(folder);
    let (tell, news) = channel();
    let speaker = Speaker::open(Recordings::default(), move |news| drop(tell.send(news)));
    let ready = match news.recv_timeout(PATIENCE) {
        Ok(SoundNews::Ready(ready)) => ready,
        other => panic!("no sound: {other:?}"),
    };
    let due = steps(&speaker, Duration::from_secs(seconds));
    std::thread::sleep(Duration::from_secs(1));
    let (sounds, gaps) = loudspeaker.heard();
    let (heard, sounds): (Vec<Instant>, Vec<Sounded>) = sounds.into_iter().unzip();
    println!("pitch: {:.0} Hz, the median", median(sounds.iter().map(Sounded::hz).collect()));
    report(&ready, &due, &heard, gaps, &news);
    drop(speaker);
    std::thread::sleep(PATIENCE / 10);
}

/// Sends steps when they are due, as the window thread does.
fn steps(speaker: &Speaker, long: Duration) -> Vec<Instant> {
    let (mut gaps, start) = (Stream::named(1, "gaps"), Instant::now());
    let (mut next, mut all) = (start + Duration::from_secs(1), Vec::new());
    while next < start + long {
        std::thread::sleep(next.saturating_duration_since(Instant::now()));
        speaker.send(next, Cue { due: Moment::NEVER, sound: Sound::Step, label: None, volume: 1_000 });
        all.push(next);
        next += Duration::from_micros(600_000 + gaps.below(200_000));
    }
    all
}

fn report(ready: &Ready, due: &[Instant], heard: &[Instant], gaps: u64, news: &Receiver<SoundNews>) {
    println!("{} sounds were due, {} were heard; {gaps} frames were missing", due.len(), heard.len());
    println!("latency as the program told it: {:.1} ms", ready.latency.as_seconds() * 1e3);
    if due.len() != heard.len() || due.is_empty() {
        return;
    }
    let ms = |(due, heard): (&Instant, &Instant)| heard.duration_since(*due).as_secs_f64() * 1e3;
    let after: Vec<f64> = due.iter().zip(heard).map(ms).collect();
    let constant = median(after.clone());
    let mut off: Vec<f64> = after.iter().map(|after| (after - constant).abs()).collect();
    off.sort_by(f64::total_cmp);
    let at = |share: f64| off[((off.len() as f64 * share).ceil() as usize).clamp(1, off.len()) - 1];
    println!("from due to heard: {constant:.1} ms, the pipe's own share included");
    println!("off that: median {:.2} ms, p99 {:.2} ms, max {:.2} ms", at(0.5), at(0.99), at(1.0));
    let fifth = (after.len() / 5).max(1);
    let drift = median(after[after.len() - fifth..].to_vec()) - median(after[..fifth].to_vec());
    println!("drift: {drift:.2} ms, medians of the last fifth and the first");
    let late = |news| if let SoundNews::Heard(heard) = news { Some(heard.late_us) } else { None };
    let told: Vec<i64> = news.try_iter().filter_map(late).collect();
    println!("lateness as the program told it: {} sounds, at most {} us", told.len(), told.iter().max().unwrap_or(&0));
}

/// No number where there are no values.
fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(f64::NAN)
}
