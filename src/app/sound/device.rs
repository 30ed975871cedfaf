//! The sound device of this system.

use std::time::Instant;

use cpal::traits::{DeviceTrait, HostTrait, StreamTrait};
use cpal::{BufferSize, Device, ErrorKind, FromSample, OutputCallbackInfo, SampleFormat, SizedSample, Stream};
use cpal::{StreamConfig, SupportedBufferSize, SupportedStreamConfig};

use super::{Pulling, SoundNews};

/// Pulls a second that are asked for: short enough for a small latency, long enough for any machine.
const PULLS_A_SECOND: u32 = 100;

/// A device that plays for as long as this value lives.
pub(super) struct Playing {
    /// Its name.
    pub name: String,
    _stream: Stream,
}

const NO_DEVICE: &str = "this computer has no sound device that plays";

/// Why it cannot be.
fn words(what: &str, error: &cpal::Error) -> String {
    match error.kind() {
        ErrorKind::DeviceNotAvailable | ErrorKind::HostUnavailable if !what.ends_with("gone") => NO_DEVICE.to_string(),
        _ => format!("{what}: {}", error.to_string().trim_end_matches('.')),
    }
}

/// The library under the device writes its troubles to the terminal; on this thread it does not, for as long as the
/// value lives. They are told in words of our own.
#[cfg(target_os = "linux")]
pub(super) fn quiet() -> impl Sized {
    alsa::Output::local_error_handler().ok()
}
#[cfg(not(target_os = "linux"))]
pub(super) fn quiet() -> impl Sized {}

/// Opens the default device and lets it pull.
pub(super) fn open<T>(pulling: impl FnOnce(u32) -> Pulling, tell: T) -> Result<Playing, String>
where
    T: Fn(SoundNews) + Clone + Send + 'static,
{
    let device = cpal::default_host().default_output_device().ok_or(NO_DEVICE)?;
    let config = device.default_output_config().map_err(|error| words("cannot open the sound device", &error))?;
    let pulling = pulling(config.sample_rate());
    let stream = match config.sample_format() {
        SampleFormat::F32 => stream::<f32, T>(&device, &config, pulling, tell),
        SampleFormat::I16 => stream::<i16, T>(&device, &config, pulling, tell),
        SampleFormat::I32 => stream::<i32, T>(&device, &config, pulling, tell),
        SampleFormat::U8 => stream::<u8, T>(&device, &config, pulling, tell),
        other => return Err(format!("cannot play on the sound device: its samples are {other}")),
    };
    let stream = stream.map_err(|error| words("cannot open the sound device", &error))?;
    stream.play().map_err(|error| words("cannot play on the sound device", &error))?;
    Ok(Playing { name: device.to_string(), _stream: stream })
}

fn stream<S, T>(
    device: &Device,
    config: &SupportedStreamConfig,
    mut pulling: Pulling,
    tell: T,
) -> Result<Stream, cpal::Error>
where
    S: SizedSample + FromSample<f32>,
    T: Fn(SoundNews) + Clone + Send + 'static,
{
    let channels = usize::from(config.channels());
    let (mut mixed, lost) = (Vec::new(), tell.clone());
    device.build_output_stream(
        buffered(config),
        move |out: &mut [S], info: &OutputCallbackInfo| {
            let at = Instant::now();
            let stamp = info.timestamp();
            let delay = stamp.playback.duration_since(stamp.callback);
            mixed.resize(out.len(), 0.0);
            let onsets = pulling.pull(at, delay, &mut mixed, channels);
            out.iter_mut().zip(&mixed).for_each(|(out, sample)| *out = S::from_sample(*sample));
            onsets.into_iter().for_each(|onset| tell(SoundNews::Heard(onset)));
        },
        move |error| {
            if fatal(error.kind()) {
                lost(SoundNews::Lost(words("the sound device is gone", &error)));
            }
        },
        None,
    )
}

/// The device's own settings, with a short buffer where it takes one.
fn buffered(config: &SupportedStreamConfig) -> StreamConfig {
    let wanted = config.sample_rate() / PULLS_A_SECOND;
    let buffer_size = match config.buffer_size() {
        SupportedBufferSize::Range { min, max } => BufferSize::Fixed(wanted.clamp(*min, *max)),
        SupportedBufferSize::Unknown => BufferSize::Default,
    };
    StreamConfig { buffer_size, ..config.config() }
}

/// Whether the device is lost; a gap in the sound tells itself by the lateness of what comes next.
fn fatal(kind: ErrorKind) -> bool {
    !matches!(kind, ErrorKind::Xrun | ErrorKind::DeviceChanged | ErrorKind::RealtimeDenied)
}
