//! `devices --sound`: the sounds tried at the bed, with the ventilator running; the answer stands in the next logs.

use std::io::{BufRead as _, stdin};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

use super::args::DevicesArgs;
use super::{Done, Trouble, plan};
use crate::app::sound::{Ready, SoundNews, Speaker};
use crate::code::ClientCode;
use crate::session::input::Sound;
use crate::settings::{Id, Settings, show_value};
use crate::sound::cue::{Cue, audible};
use crate::sound::recording::Recordings;
use crate::store::{Store, wall_clock};
use crate::time::Moment;

/// When the first sound is due, and from one to the next.
const FIRST: Duration = Duration::from_millis(300);
const APART: Duration = Duration::from_millis(1_500);
/// A device says within this time whether it plays; a sound is heard within it.
const PATIENCE: Duration = Duration::from_secs(4);
/// So much louder or softer at a time, in thousandths.
const STEP: i64 = 100;

const ASK: &str = "A low tone, then one twice as high. Could the client hear both and tell them apart, with the \
    ventilator running? y yes, n no, Enter again, + louder, - softer, q leave:";

pub(super) fn run(args: &DevicesArgs, client: &ClientCode) -> Done {
    let mut settings = plan::changed(Settings::default(), &args.set)?;
    if !audible(&settings) {
        return Err(Trouble::Failed("the volume is 0, so nothing can be heard: give --set volume=30".to_string()));
    }
    let (tell, news) = channel();
    let speaker = Speaker::open(Recordings::default(), move |news| {
        let _ = tell.send(news);
    });
    let device = match news.recv_timeout(PATIENCE) {
        Ok(SoundNews::Ready(ready)) => ready,
        Ok(SoundNews::None(why) | SoundNews::Lost(why)) => return Err(without_sound(&why)),
        Ok(SoundNews::Heard(_)) | Err(_) => return Err(without_sound("it does not answer")),
    };
    say!("\nSound: {}, heard {:.0} ms after it is due", device.device, device.latency.as_seconds() * 1e3);
    loop {
        play(&speaker, &news, settings.raw(Id::Volume))?;
        say!("Volume {}. {ASK}", show_value(Id::Volume, settings.raw(Id::Volume)));
        match answer().as_deref() {
            Some("y") => return keep(args, client, &device, &settings, "both tones heard"),
            Some("n") => return keep(args, client, &device, &settings, "not heard"),
            Some("+") => louder(&mut settings, STEP),
            Some("-") => louder(&mut settings, -STEP),
            Some("q") | None => return Ok(()),
            Some(_) => {}
        }
    }
}

fn without_sound(why: &str) -> Trouble {
    Trouble::Failed(format!("no sound: {why}; sessions go on without it, for all of it is seen as well"))
}

fn play(speaker: &Speaker, news: &Receiver<SoundNews>, volume: i64) -> Done {
    let first = Instant::now() + FIRST;
    for (due, sound) in [(first, Sound::Step), (first + APART, Sound::Select)] {
        speaker.send(due, Cue { due: Moment::START, sound, label: None, volume: volume as u16 });
    }
    for _ in 0..2 {
        match news.recv_timeout(PATIENCE) {
            Ok(SoundNews::Heard(heard)) => say!("{:?}: {} µs off", heard.sound, heard.late_us),
            Ok(SoundNews::None(why) | SoundNews::Lost(why)) => return Err(without_sound(&why)),
            Ok(SoundNews::Ready(_)) => {}
            Err(_) => return Err(without_sound("the device plays nothing")),
        }
    }
    Ok(())
}

/// What was typed, without spaces; `None` at the end of the input.
fn answer() -> Option<String> {
    let mut line = String::new();
    let read = stdin().lock().read_line(&mut line).ok()?;
    (read > 0).then(|| line.trim().to_lowercase())
}

fn louder(settings: &mut Settings, by: i64) {
    let volume = (settings.raw(Id::Volume) + by).clamp(STEP, 1_000);
    // Within the range by its bounds.
    let _ = settings.set_raw(Id::Volume, volume);
}

fn keep(args: &DevicesArgs, client: &ClientCode, device: &Ready, settings: &Settings, heard: &str) -> Done {
    let volume = show_value(Id::Volume, settings.raw(Id::Volume));
    let words = format!("{heard} at {volume} through {} on {}", device.device, wall_clock()?.date());
    say!("{words}. For sessions: --set volume={}", volume.trim_end_matches(" %"));
    match &args.data {
        Some(data) => Ok(Store::open(data)?.keep_sound(client, &words)?),
        None => {
            say!("With --data DIR and --client CODE the answer stands in the logs of that client.");
            Ok(())
        }
    }
}
