//! What is heard beside the session: the sound device, and the bell.

use std::io::Write as _;
use std::sync::Arc;
use std::time::Instant;

use super::{App, News, Stage};
use crate::app::sound::{Ready, SoundNews, Speaker};
use crate::app::x11_client::X11Client;
use crate::log::header::Measured;
use crate::sound::recording::Recordings;

/// A terminal sounds or flashes at it.
const TERMINAL_BELL: char = '\u{7}';

/// How it stands with the sound.
pub(super) struct Hearing {
    /// Recorded labels, until the device is opened.
    recordings: Option<Recordings>,
    speaker: Option<Arc<Speaker>>,
    device: Device,
}

enum Device {
    /// Nothing is to be heard.
    Off,
    /// It is being opened.
    Opening,
    /// It plays.
    Ready(Ready),
    /// There is none: why.
    None(String),
}

impl Hearing {
    /// Nothing is open yet; without recordings nothing will be.
    pub(super) fn new(recordings: Option<Recordings>) -> Hearing {
        let device = if recordings.is_some() { Device::Opening } else { Device::Off };
        Hearing { recordings, speaker: None, device }
    }

    /// A session waits for this, because its log says how good the device is.
    pub(super) fn is_known(&self) -> bool {
        !matches!(self.device, Device::Opening)
    }

    /// Where sounds go.
    pub(super) fn speaker(&self) -> Option<Arc<Speaker>> {
        self.speaker.clone()
    }

    /// The same rulers, with that of the sound.
    pub(super) fn measured(&self, measured: Measured) -> Measured {
        match &self.device {
            Device::Off | Device::Opening => measured,
            Device::Ready(Ready { device, start, latency }) => {
                Measured { sound: device.clone(), sound_start_us: start.0, sound_latency_us: latency.0, ..measured }
            }
            Device::None(why) => Measured { sound: format!("none: {why}"), ..measured },
        }
    }
}

impl App {
    /// Opens the sound device, where anything is to be heard.
    pub(super) fn open_speaker(&mut self) {
        let proxy = self.proxy.clone();
        let speaker = self.hearing.recordings.take().map(|recordings| {
            Speaker::open(recordings, move |news| {
                let _ = proxy.send_event(News::Sound(news));
            })
        });
        self.hearing.speaker = speaker.map(Arc::new);
    }

    pub(super) fn sound_is(&mut self, at: Instant, news: SoundNews) {
        match (news, &mut self.stage) {
            (SoundNews::Ready(ready), _) => self.hearing.device = Device::Ready(ready),
            (SoundNews::Heard(heard), Stage::Running(runner)) => runner.was_heard(at, heard),
            (SoundNews::Heard(_), _) => {}
            (SoundNews::None(why) | SoundNews::Lost(why), _) => self.no_sound(at, &why),
        }
    }

    /// It is told once, and the session goes on.
    fn no_sound(&mut self, at: Instant, why: &str) {
        if self.hearing.speaker.take().is_none() {
            return;
        }
        let words = format!("No sound from here on: {why}. All of it is seen as well.");
        aside!("warning: {words}");
        self.hearing.device = Device::None(why.to_string());
        match &mut self.stage {
            Stage::Running(runner) => runner.lose_sound(at, words),
            Stage::Learning(learn) => learn.warn(vec![words]),
            Stage::Calibrating(_) | Stage::Over => {}
        }
    }

    /// Rings as this computer can: it is no call system.
    pub(super) fn ring(&mut self) {
        if let (Stage::Running(runner), Some(open)) = (&mut self.stage, &self.open)
            && runner.take_ring()
        {
            open.client.iter().for_each(X11Client::ring);
            // Where nobody has a terminal the bell of the display is all there is.
            let _ = write!(std::io::stderr(), "{TERMINAL_BELL}");
        }
    }
}
