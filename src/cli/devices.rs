//! `devices`: what is connected, what cannot be told apart, how good the clock is; and the switch check.

use std::sync::mpsc::channel;
use std::time::{Duration, Instant};

use super::args::{DevicesArgs, TrialArgs};
use super::{Done, bedside, files, microphone, plan, window};
use crate::app::devices::connected::{self, Found};
use crate::app::devices::pad_thread::{self, PadChange};
use crate::app::devices::{KINDS, Kind};
use crate::app::sound::{Ready, SoundNews, Speaker};
use crate::app::{self, clock};
use crate::settings::Settings;
use crate::sound::recording::Recordings;

/// How long a sound device has to play.
const SOUND_PATIENCE: Duration = Duration::from_secs(4);
/// How long pads that are there have to name themselves.
const PATIENCE: Duration = Duration::from_millis(500);

pub(super) fn run(args: DevicesArgs) -> Done {
    tell_devices();
    tell_rulers();
    match args.data.clone() {
        Some(data) if args.check => check(args, data),
        _ if args.microphone => microphone::run(&plan::changed(Settings::default(), &args.set)?),
        _ if args.sound => bedside::run(&args, &files::client(&args.client)?),
        _ => {
            tell_sound();
            say!(
                "\nTo check a switch: pacewright devices --check --data DIR; to try the sounds: pacewright devices --sound"
            );
            Ok(())
        }
    }
}

fn check(args: DevicesArgs, data: std::path::PathBuf) -> Done {
    let DevicesArgs { client, set, windowed, screen, setup, .. } = args;
    let protocol = "switch-check".to_string();
    let (menu, seed) = (None, None);
    window::trial(&TrialArgs {
        protocol,
        client,
        data,
        menu,
        set,
        seed,
        go_on: false,
        check: false,
        windowed,
        watched: None,
        screen,
        setup,
    })
}

fn tell_devices() {
    match connected::found() {
        Some(found) => {
            say!("Connected:");
            found.iter().for_each(tell_found);
            if found.is_empty() {
                say!("  nothing that this system lists");
            }
            connected::twins(&found).iter().for_each(|words| say!("  Note: {words}"));
        }
        None => say!("This system keeps no list of keyboards and mice that can be read; they work all the same."),
    }
    match pads() {
        Ok(pads) if pads.is_empty() => say!("Pads: none"),
        Ok(pads) => pads.iter().for_each(|(pad, name)| say!("Pad {pad}: {name}")),
        Err(why) => say!("Pads: {why}"),
    }
    say!("\nWhat can be a switch:");
    KINDS.iter().for_each(tell_kind);
}

fn tell_found(found: &Found) {
    say!("  {} (acts as a {})", found.name, found.kind.word());
}

fn tell_kind(kind: &Kind) {
    say!("  {}, as `{}`\n    {}", kind.name, kind.example, kind.remark);
}

fn pads() -> Result<Vec<(u8, String)>, String> {
    let mut source = pad_thread::system()?;
    let mut pads = Vec::new();
    let until = Instant::now() + PATIENCE;
    while let Some(left) = until.checked_duration_since(Instant::now()) {
        let Some(event) = source.next(left) else { break };
        if let PadChange::Plugged(name) = event.what {
            pads.push((event.pad, name));
        }
    }
    pads.sort();
    Ok(pads)
}

/// Opens the device for a moment: only one that plays can be measured.
fn tell_sound() {
    let (tell, news) = channel();
    let _speaker = Speaker::open(Recordings::default(), move |news| {
        let _ = tell.send(news);
    });
    match news.recv_timeout(SOUND_PATIENCE) {
        Ok(SoundNews::Ready(Ready { device, start, latency })) => say!(
            "Sound: {device}, begins {:.0} ms after it is opened; a sound is heard {:.0} ms after it is due",
            start.as_seconds() * 1e3,
            latency.as_seconds() * 1e3
        ),
        Ok(SoundNews::None(why) | SoundNews::Lost(why)) => say!("Sound: {why}; sessions go on without it"),
        Ok(SoundNews::Heard(_)) | Err(_) => say!("Sound: the device does not answer; sessions go on without it"),
    }
}

fn tell_rulers() {
    let quality = clock::quality();
    say!("\nClock: steps of {} ns, {} ns a reading", quality.step_ns, quality.read_ns);
    match app::display_available() {
        Ok(()) => say!(
            "Screen: there is one; frame interval, hand-over and the lag of the input pump are measured at the start of \
             every session and of a switch check, and stand in the log"
        ),
        Err(why) => say!("Screen: {why}"),
    }
}
