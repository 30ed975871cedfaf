//! A room with a microphone in it, on a machine that has none: what is heard is written, as time goes by, into a pipe that
//! the system's sound library reads in place of a recording device (the `file` plugin of ALSA).

use std::f64::consts::TAU;
use std::fs::{File, OpenOptions};
use std::io::Write as _;
use std::os::unix::fs::OpenOptionsExt as _;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::time::{Duration, Instant};

use rand_core::RngCore;
use rand_xoshiro::Xoshiro256PlusPlus;
use rand_xoshiro::rand_core::SeedableRng;

const RATE: u32 = 16_000;
/// Peaks of the noise of the room and of a hum, of full scale.
const ROOM: f64 = 0.004;
const HUM: f64 = 0.1;
const HUM_HZ: f64 = 160.0;
/// What is written at a time.
const STEP: Duration = Duration::from_millis(10);
/// A write that finds the pipe full fails (Linux, `O_NONBLOCK`): nobody listens, so it is lost as in any room.
const NEVER_WAIT: i32 = 0o4_000;

/// The room; it falls silent with this value.
pub struct Room {
    pipe: PathBuf,
    config: PathBuf,
    hums: Arc<AtomicBool>,
    /// How often it was plugged in or pulled out: odd while it is out.
    plugs: Arc<AtomicU32>,
}

impl Room {
    /// A room whose microphone is plugged in; its files lie in `folder`.
    pub fn new(folder: &Path) -> Room {
        let (pipe, config) = (folder.join("microphone"), folder.join("asound.conf"));
        // A null device gives no silence but what stands in its file; the plug above it converts to what is asked for.
        let text = format!(
            "pcm.silent {{ type null }}\n\
             pcm.recorder {{ type file slave.pcm silent file /dev/null infile \"{}\" format raw }}\n\
             pcm.!default {{ type asym capture.pcm {{ type plug slave {{ pcm recorder format S16_LE channels 1 rate {RATE} }} }} }}\n",
            pipe.display()
        );
        std::fs::write(&config, text).expect("a file");
        let room = Room { pipe, config, hums: Arc::default(), plugs: Arc::default() };
        room.write();
        room
    }

    /// What a program that is to hear it has in its environment.
    pub fn environment(&self) -> (&'static str, &Path) {
        ("ALSA_CONFIG_PATH", &self.config)
    }

    fn write(&self) {
        let made = Command::new("mkfifo").arg(&self.pipe).status().expect("`mkfifo`, of the system's basic tools");
        assert!(made.success(), "a pipe");
        let pipe = OpenOptions::new().read(true).write(true).custom_flags(NEVER_WAIT).open(&self.pipe).expect("a pipe");
        let (hums, plugs) = (Arc::clone(&self.hums), Arc::clone(&self.plugs));
        let first = plugs.load(Ordering::Relaxed);
        std::thread::spawn(move || write(pipe, &hums, || plugs.load(Ordering::Relaxed) - first));
    }

    /// It is pulled out: nothing comes any more, and it cannot be opened.
    pub fn pull_out(&self) {
        self.plugs.fetch_add(1, Ordering::Relaxed);
        std::fs::remove_file(&self.pipe).expect("it is plugged in");
    }

    /// It is plugged in again.
    pub fn plug_in(&self) {
        self.plugs.fetch_add(1, Ordering::Relaxed);
        self.write();
    }

    /// Somebody hums for so long.
    pub fn hum(&self, long: Duration) {
        self.hums.store(true, Ordering::Relaxed);
        std::thread::sleep(long);
        self.hums.store(false, Ordering::Relaxed);
    }
}

impl Drop for Room {
    fn drop(&mut self) {
        self.plugs.fetch_add(2, Ordering::Relaxed);
    }
}

/// Writes what is heard as time goes by. One that is pulled out says nothing and keeps its end of the pipe, so that whoever
/// reads waits, as for a device that has died.
fn write(mut pipe: File, hums: &AtomicBool, plugs: impl Fn() -> u32) {
    let (mut rng, began, mut frame) = (Xoshiro256PlusPlus::seed_from_u64(3), Instant::now(), 0_u64);
    while plugs() < 2 {
        if plugs() == 1 {
            std::thread::sleep(STEP);
            continue;
        }
        let until = (began.elapsed().as_secs_f64() * f64::from(RATE)) as u64;
        let hum = if hums.load(Ordering::Relaxed) { HUM } else { 0.0 };
        let heard: Vec<u8> = (frame..until)
            .flat_map(|frame| {
                let noise = rng.next_u64() as f64 / u64::MAX as f64 * 2.0 - 1.0;
                let voice = hum * (TAU * HUM_HZ * frame as f64 / f64::from(RATE)).sin();
                (((noise * ROOM + voice) * 32_767.0) as i16).to_le_bytes()
            })
            .collect();
        frame = until;
        let _ = pipe.write_all(&heard);
        std::thread::sleep(STEP);
    }
}
