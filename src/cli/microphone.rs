//! `devices --microphone`: the loudness of a voice, a hum or a click of the tongue, measured as a switch.
//!
//! The room with the ventilator first, then three comfortable sounds; a threshold inside the noise is refused. Only
//! levels are looked at: nothing of the sound is kept.

use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

use super::{Done, Trouble};
use crate::app::clock::Clock;
use crate::app::sound::microphone::{Microphone, MicrophoneNews};
use crate::level::{Ask, Calibration, Calibrator, Side};
use crate::settings::Settings;
use crate::sound::loudness::{RANGE, dbfs};
use crate::time::Moment;

/// A microphone that has said nothing for this long is gone.
const PATIENCE: Duration = Duration::from_secs(3);

pub(super) fn run(settings: &Settings) -> Done {
    let (tell, news) = channel();
    let (_microphone, clock) = (
        Microphone::keep(move |news| {
            let _ = tell.send(news);
        }),
        Clock::start().0,
    );
    let name = loop {
        match news.recv_timeout(PATIENCE) {
            Ok(MicrophoneNews::Ready(name)) => break name,
            Ok(MicrophoneNews::Levels(_)) => {}
            Ok(MicrophoneNews::None(why)) => return Err(unheard(&why)),
            Err(_) => return Err(unheard("the microphone does not answer")),
        }
    };
    say!("\nMicrophone: {name}. Only its level is looked at, no sound is kept.");
    let mut calibrator = Calibrator::new(clock.moment(Instant::now()), &[Side::Above], RANGE);
    let mut asked = Ask::Over;
    while calibrator.asks() != Ask::Over {
        if std::mem::discriminant(&asked) != std::mem::discriminant(&calibrator.asks()) {
            asked = calibrator.asks();
            say!("{}", words(asked, clock.moment(Instant::now())));
        }
        listen(&news, &clock, &mut calibrator)?;
    }
    match calibrator.outcome() {
        Some(Ok(found)) => tell_found(found, settings),
        Some(Err(refusal)) => Err(unheard(&refusal.to_string())),
        None => Ok(()),
    }
}

fn listen(news: &Receiver<MicrophoneNews>, clock: &Clock, calibrator: &mut Calibrator) -> Done {
    match news.recv_timeout(PATIENCE) {
        Ok(MicrophoneNews::Levels(levels)) => {
            levels.into_iter().for_each(|(at, level)| calibrator.level(clock.moment(at), level));
            Ok(())
        }
        Ok(MicrophoneNews::Ready(_)) => Ok(()),
        Ok(MicrophoneNews::None(why)) => Err(unheard(&why)),
        Err(_) => Err(unheard("the microphone has gone silent")),
    }
}

fn unheard(why: &str) -> Trouble {
    Trouble::Failed(format!("no sound switch: {why}"))
}

fn words(ask: Ask, now: Moment) -> String {
    let seconds = |until: Moment| until.since(now).0.div_ceil(1_000_000);
    match ask {
        Ask::Rest { until } => format!("Be silent, with the ventilator running: {} s.", seconds(until)),
        Ask::Wait { until } => format!("Thank you. Be silent: {} s.", seconds(until)),
        Ask::Effort { number, of, .. } => format!("Now a comfortable sound, not the loudest ({number} of {of})."),
        Ask::Over => "That was all.".to_string(),
    }
}

fn tell_found(found: &Calibration, settings: &Settings) -> Done {
    let full_scale = |above: f64| format!("{:.1} dBFS", dbfs(f64::from(found.rest) + above));
    let efforts: Vec<String> = found.above.iter().map(|far| full_scale(f64::from(*far))).collect();
    say!("The room: {}, with what comes and goes up to {}.", full_scale(0.0), full_scale(f64::from(found.noise)));
    say!("Sounds: {}.", efforts.join(", "));
    let thresholds = found.thresholds(settings).map_err(|refusal| unheard(&refusal.to_string()))?;
    if let Some(limits) = thresholds.above {
        say!("A press begins at {} and ends below {}.", full_scale(limits.soft_on), full_scale(limits.soft_off));
    }
    say!("It works a session with `pacewright trial --sound-switch`, which measures it again in front of the client.");
    Ok(())
}
