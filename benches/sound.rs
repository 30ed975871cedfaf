//! How far from their scheduled time sounds begin, through the system's sound library and a device that a clock empties,
//! and whether that drifts.
//!
//! Steps are due at irregular gaps of 0.6 to 0.8 s for five minutes. The program's own way to the device is taken, and the
//! sounds are looked for in what came out of it (`tests/it/loudspeaker.rs`); the pipe behind the library holds a constant
//! time of its own, which the driver does not tell. On a busy machine the pipe is emptied late, and what is found is the
//! machine's: look at how late the steps were sent. `SOUND_SECONDS` changes the five minutes. Linux with ALSA only.

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
    let (due, sent_late) = steps(&speaker, Duration::from_secs(seconds));
    std::thread::sleep(Duration::from_secs(1));
    let (sounds, gaps) = loudspeaker.heard();
    let (heard, sounds): (Vec<Instant>, Vec<Sounded>) = sounds.into_iter().unzip();
    println!("sent at most {:.1} ms after it was due", sent_late.as_secs_f64() * 1e3);
    println!("pitch: {:.0} Hz, the median", median(sounds.iter().map(Sounded::hz).collect()));
    report(&ready, &due, &heard, gaps, &news);
    drop(speaker);
    std::thread::sleep(PATIENCE / 10);
}

/// Sends steps when they are due, as the window thread does; how late the latest was sent says how busy the machine was.
fn steps(speaker: &Speaker, long: Duration) -> (Vec<Instant>, Duration) {
    let (mut gaps, start, mut late) = (Stream::named(1, "gaps"), Instant::now(), Duration::ZERO);
    let (mut next, mut all) = (start + Duration::from_secs(1), Vec::new());
    while next < start + long {
        std::thread::sleep(next.saturating_duration_since(Instant::now()));
        speaker.send(next, Cue { due: Moment::NEVER, sound: Sound::Step, label: None, volume: 1_000 });
        late = late.max(next.elapsed());
        all.push(next);
        next += Duration::from_micros(600_000 + gaps.below(200_000));
    }
    (all, late)
}

fn report(ready: &Ready, due: &[Instant], heard: &[Instant], gaps: u64, news: &Receiver<SoundNews>) {
    println!("{} sounds were due, {} were heard; {gaps} frames were missing", due.len(), heard.len());
    println!("latency as the program told it: {:.1} ms", ready.latency.as_seconds() * 1e3);
    let late = |news| if let SoundNews::Heard(heard) = news { Some(heard.late_us) } else { None };
    let told: Vec<i64> = news.try_iter().filter_map(late).collect();
    println!("lateness as the program told it: {} sounds, at most {} us", told.len(), told.iter().max().unwrap_or(&0));
    let ms = |from: Instant, to: Instant| {
        to.saturating_duration_since(from).as_secs_f64() * 1e3 - from.saturating_duration_since(to).as_secs_f64() * 1e3
    };
    let before = |heard: &Instant| Some(ms(*due.iter().rev().find(|due| *due <= heard)?, *heard));
    let constant = median(heard.iter().filter_map(before).collect());
    // One that is lost shifts no other: each belongs to what was due next to it.
    let nearest = |heard: &Instant| {
        let off = due.iter().map(|due| ms(*due, *heard) - constant);
        off.min_by(|one, other| one.abs().total_cmp(&other.abs()))
    };
    let off: Vec<f64> = heard.iter().filter_map(nearest).collect();
    let mut sizes: Vec<f64> = off.iter().map(|off| off.abs()).collect();
    sizes.sort_by(f64::total_cmp);
    let at = |share: f64| {
        sizes.get(((sizes.len() as f64 * share).ceil() as usize).saturating_sub(1)).copied().unwrap_or(f64::NAN)
    };
    println!("from due to heard: {constant:.1} ms, the pipe's own share included");
    println!("off that: median {:.2} ms, p99 {:.2} ms, max {:.2} ms", at(0.5), at(0.99), at(1.0));
    let fifth = off.len() / 5;
    let drift = median(off[off.len() - fifth..].to_vec()) - median(off[..fifth].to_vec());
    println!("drift: {drift:.2} ms, medians of the last fifth and the first");
}

/// No number where there are no values.
fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(f64::NAN)
}
