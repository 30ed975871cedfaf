//! The sound devices of this system: what plays, and what listens.

use std::time::Instant;

use cpal::traits::{DeviceTrait, HostTrait, StreamTrait};
use cpal::{BufferSize, Device, ErrorKind, FromSample, SampleFormat, SizedSample, Stream};
use cpal::{InputCallbackInfo, OutputCallbackInfo};
use cpal::{StreamConfig, SupportedBufferSize, SupportedStreamConfig};

use super::SoundNews;
use super::microphone::{Listening, MicrophoneNews};
use super::pulling::Pulling;

/// Pulls a second that are asked for: short enough for a small latency, long enough for any machine.
const PULLS_A_SECOND: u32 = 100;

/// A device that plays or listens for as long as this value lives.
pub(super) struct Open {
    /// Its name.
    pub name: String,
    _stream: Stream,
}

const NO_DEVICE: &str = "this computer has no sound device that plays";
const NO_MICROPHONE: &str = "this computer has no microphone";
const OPENING: &str = "cannot open the sound device";

/// Why it cannot be.
fn words(what: &str, error: &cpal::Error) -> String {
    match error.kind() {
        ErrorKind::DeviceNotAvailable | ErrorKind::HostUnavailable if what == OPENING => NO_DEVICE.to_string(),
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
pub(super) fn open<T>(pulling: impl FnOnce(u32) -> Pulling, tell: T) -> Result<Open, String>
where
    T: Fn(SoundNews) + Clone + Send + 'static,
{
    let device = cpal::default_host().default_output_device().ok_or(NO_DEVICE)?;
    let config = device.default_output_config().map_err(|error| words(OPENING, &error))?;
    let pulling = pulling(config.sample_rate());
    let stream = match config.sample_format() {
        SampleFormat::F32 => stream::<f32, T>(&device, &config, pulling, tell),
        SampleFormat::I16 => stream::<i16, T>(&device, &config, pulling, tell),
        SampleFormat::I32 => stream::<i32, T>(&device, &config, pulling, tell),
        SampleFormat::U8 => stream::<u8, T>(&device, &config, pulling, tell),
        other => return Err(format!("cannot play on the sound device: its samples are {other}")),
    };
    let stream = stream.map_err(|error| words(OPENING, &error))?;
    stream.play().map_err(|error| words("cannot play on the sound device", &error))?;
    Ok(Open { name: device.to_string(), _stream: stream })
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
    device.build_output_stream(
        buffered(config),
        move |out: &mut [S], info: &OutputCallbackInfo| {
            let at = Instant::now();
            let stamp = info.timestamp();
            let delay = stamp.playback.duration_since(stamp.callback);
            pulling.pull(at, delay, out, channels, S::from_sample);
        },
        move |error| {
            if fatal(error.kind()) {
                tell(SoundNews::Lost(words("the sound device is gone", &error)));
            }
        },
        None,
    )
}

/// Opens the default microphone and lets it listen.
pub(super) fn listen<T>(listening: impl FnOnce(u32) -> Listening, tell: T) -> Result<Open, String>
where
    T: Fn(MicrophoneNews) + Clone + Send + 'static,
{
    let device = cpal::default_host().default_input_device().ok_or(NO_MICROPHONE)?;
    let config = device.default_input_config().map_err(|_| NO_MICROPHONE)?;
    let listening = listening(config.sample_rate());
    let stream = match config.sample_format() {
        SampleFormat::F32 => heard::<f32, T>(&device, &config, listening, tell),
        SampleFormat::I16 => heard::<i16, T>(&device, &config, listening, tell),
        SampleFormat::I32 => heard::<i32, T>(&device, &config, listening, tell),
        SampleFormat::U8 => heard::<u8, T>(&device, &config, listening, tell),
        other => return Err(format!("cannot listen to the microphone: its samples are {other}")),
    };
    let stream = stream.map_err(|error| words("cannot open the microphone", &error))?;
    stream.play().map_err(|error| words("cannot listen to the microphone", &error))?;
    Ok(Open { name: device.to_string(), _stream: stream })
}

fn heard<S, T>(
    device: &Device,
    config: &SupportedStreamConfig,
    mut listening: Listening,
    tell: T,
) -> Result<Stream, cpal::Error>
where
    S: SizedSample,
    f32: FromSample<S>,
    T: Fn(MicrophoneNews) + Clone + Send + 'static,
{
    let channels = usize::from(config.channels());
    let (mut samples, lost) = (Vec::new(), tell.clone());
    device.build_input_stream(
        buffered(config),
        move |input: &[S], info: &InputCallbackInfo| {
            let at = Instant::now();
            let stamp = info.timestamp();
            let before = stamp.callback.duration_since(stamp.capture);
            samples.clear();
            samples.extend(input.iter().map(|sample| f32::from_sample_(*sample)));
            tell(MicrophoneNews::Levels(listening.hear(at, before, &samples, channels)));
        },
        move |error| {
            if fatal(error.kind()) {
                lost(MicrophoneNews::None(words("the microphone is gone", &error)));
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
