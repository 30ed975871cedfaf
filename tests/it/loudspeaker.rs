//! A loudspeaker on a machine that has none: the system's sound library writes what is played into a pipe (the `file`
//! plugin of ALSA), which is emptied frame by frame as time goes by, as a sound card does it. Where nothing is in it, there
//! is silence.

use std::fs::{File, OpenOptions};
use std::io::{ErrorKind, Read};
use std::os::unix::fs::OpenOptionsExt as _;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

const RATE: u32 = 48_000;
/// Many wide channels: the library waits while the pipe is full, and so the pipe holds little more than its step.
const CHANNELS: usize = 8;
const FRAME: usize = CHANNELS * size_of::<i32>();
const STEP: Duration = Duration::from_millis(2);
/// Whoever plays gets so long to fill the pipe again where this end was late to empty it, as a machine that is busy has it.
const GRACE: Duration = Duration::from_secs(1);
/// A read that finds nothing fails (Linux, `O_NONBLOCK`).
const NEVER_WAIT: i32 = 0o4_000;
/// Two sounds have at least so many silent frames between them.
const SILENCE: u64 = RATE as u64 / 50;

/// One sound that was heard.
#[derive(Clone, Copy, Debug)]
pub struct Sounded {
    /// Its first frame, from the first of all.
    frame: u64,
    /// How long it was, in frames.
    frames: u64,
    /// How often it went up through zero.
    turns: u32,
}

impl Sounded {
    /// How long it was, in seconds.
    pub fn seconds(&self) -> f64 {
        self.frames as f64 / f64::from(RATE)
    }

    /// Its pitch, in hertz.
    pub fn hz(&self) -> f64 {
        f64::from(self.turns) / self.seconds()
    }
}

/// The loudspeaker. Whoever plays has to end before this value does: a pipe that nobody reads breaks.
pub struct Loudspeaker {
    over: Arc<AtomicBool>,
    heard: Arc<Mutex<Heard>>,
    /// When its first frame was heard.
    began: Instant,
}

#[derive(Default)]
struct Heard {
    sounds: Vec<Sounded>,
    /// Frames so far, and of them those for which nothing was there once something had been.
    frames: u64,
    gaps: u64,
    begun: bool,
    last: i32,
}

impl Loudspeaker {
    /// What a program that is to be heard through the one in `folder` has in its environment.
    pub fn environment(folder: &Path) -> (&'static str, PathBuf) {
        ("ALSA_CONFIG_PATH", folder.join("asound.conf"))
    }

    /// A loudspeaker whose files lie in `folder`.
    pub fn new(folder: &Path) -> Loudspeaker {
        let (pipe, (_, config)) = (folder.join("loudspeaker"), Loudspeaker::environment(folder));
        // A null device takes all at once; the file under it waits while the pipe is full.
        let text = format!(
            "pcm.nothing {{ type null }}\n\
             pcm.speaker {{ type file slave.pcm nothing file \"{}\" format raw }}\n\
             pcm.!default {{ type asym playback.pcm {{ type plug \
             slave {{ pcm speaker format S32_LE channels {CHANNELS} rate {RATE} }} }} }}\n",
            pipe.display()
        );
        std::fs::write(&config, text).expect("a file");
        let made = Command::new("mkfifo").arg(&pipe).status().expect("`mkfifo`, of the system's basic tools");
        assert!(made.success(), "a pipe");
        let pipe = OpenOptions::new().read(true).write(true).custom_flags(NEVER_WAIT).open(&pipe).expect("a pipe");
        let (over, heard, began) = (Arc::<AtomicBool>::default(), Arc::<Mutex<Heard>>::default(), Instant::now());
        let (stops, hears) = (Arc::clone(&over), Arc::clone(&heard));
        std::thread::spawn(move || listen(pipe, began, &stops, &hears));
        Loudspeaker { over, heard, began }
    }

    /// All that was heard so far and when, and for how many frames there was nothing although something had been.
    pub fn heard(&self) -> (Vec<(Instant, Sounded)>, u64) {
        let heard = self.heard.lock().expect("nobody panicked");
        let at = |frame: u64| self.began + Duration::from_secs_f64(frame as f64 / f64::from(RATE));
        (heard.sounds.iter().map(|sound| (at(sound.frame), *sound)).collect(), heard.gaps)
    }
}

impl Drop for Loudspeaker {
    fn drop(&mut self) {
        self.over.store(true, Ordering::Relaxed);
    }
}

fn listen(mut pipe: File, began: Instant, over: &AtomicBool, heard: &Mutex<Heard>) {
    let (mut bytes, mut kept) = (Vec::new(), 0);
    while !over.load(Ordering::Relaxed) {
        let mut heard = heard.lock().expect("nobody panicked");
        let due = (began.elapsed().as_secs_f64() * f64::from(RATE)) as u64;
        let wanted = (due - heard.frames) as usize;
        bytes.resize(wanted * FRAME, 0);
        let mut patience = Instant::now() + if heard.begun { GRACE } else { Duration::ZERO };
        while kept < bytes.len() {
            match pipe.read(&mut bytes[kept..]) {
                Ok(read) => (kept, patience) = (kept + read, Instant::now() + GRACE),
                Err(error) if error.kind() != ErrorKind::WouldBlock => panic!("the pipe cannot be read: {error}"),
                Err(_) if Instant::now() < patience => std::thread::sleep(STEP / 4),
                Err(_) => break,
            }
        }
        let whole = kept / FRAME;
        for frame in bytes[..whole * FRAME].chunks_exact(FRAME) {
            heard.frame(Some(i32::from_le_bytes([frame[0], frame[1], frame[2], frame[3]])));
        }
        (whole..wanted).for_each(|_| heard.frame(None));
        bytes.drain(..whole * FRAME);
        kept -= whole * FRAME;
        drop(heard);
        std::thread::sleep(STEP);
    }
}

impl Heard {
    /// The next frame; `None` where there is nothing.
    fn frame(&mut self, sample: Option<i32>) {
        self.begun |= sample.is_some();
        self.gaps += u64::from(self.begun && sample.is_none());
        let (frame, sample) = (self.frames, sample.unwrap_or(0));
        let (up, since) = (self.last <= 0 && sample > 0, |sound: &Sounded| frame - (sound.frame + sound.frames));
        match self.sounds.last_mut() {
            Some(sound) if sample != 0 && since(sound) < SILENCE => {
                sound.frames = frame + 1 - sound.frame;
                sound.turns += u32::from(up);
            }
            _ if sample != 0 => self.sounds.push(Sounded { frame, frames: 1, turns: u32::from(up) }),
            _ => {}
        }
        self.last = sample;
        self.frames += 1;
    }
}
