//! A voice as a switch, through a device that reads a WAV file: a room with a ventilator, and a hum now and then.

use std::f64::consts::TAU;
use std::path::Path;

use pacewright::engine::effect::{Effect, Switch};
use pacewright::level::{Ask, Calibration, Calibrator, Level, Refusal, Side, Strength, Told, Way};
use pacewright::log::header::Header;
use pacewright::log::reader;
use pacewright::log::replay::{Replayed, replay};
use pacewright::log::writer::Writer;
use pacewright::session::input::{Input, PauseReason};
use pacewright::session::levels::{LevelKind, LevelSource, Works};
use pacewright::session::record::{Record, What};
use pacewright::session::{Plan, Session, shipped};
use pacewright::settings::Settings;
use pacewright::sound::loudness::{Loudness, RANGE, UNIT};
use pacewright::time::Moment;
use rand_core::RngCore;
use rand_xoshiro::Xoshiro256PlusPlus;
use rand_xoshiro::rand_core::SeedableRng;

const RATE: u32 = 16_000;
/// Peaks: the noise of the room, what a breath of the ventilator adds, a hum.
const ROOM: f64 = 0.002;
const VENTILATOR: f64 = 0.006;
/// Fifteen breaths a minute, a third of each is heard.
const BREATH_S: f64 = 4.0;

/// Writes a room of so many seconds in which there is a hum of `peak` from each of these instants on, 0.6 s long.
fn write(path: &Path, seconds: f64, hums: &[f64], peak: f64) {
    let spec =
        hound::WavSpec { channels: 1, sample_rate: RATE, bits_per_sample: 16, sample_format: hound::SampleFormat::Int };
    let mut rng = Xoshiro256PlusPlus::seed_from_u64(3);
    let mut file = hound::WavWriter::create(path, spec).unwrap();
    for frame in 0..(seconds * f64::from(RATE)) as u64 {
        let at = frame as f64 / f64::from(RATE);
        let noise = rng.next_u64() as f64 / u64::MAX as f64 * 2.0 - 1.0;
        let breath = if at % BREATH_S < BREATH_S / 3.0 { VENTILATOR } else { 0.0 };
        let hum = hums.iter().any(|began| (*began..*began + 0.6).contains(&at));
        let voice = if hum { peak * (TAU * 160.0 * at).sin() } else { 0.0 };
        file.write_sample(((noise * (ROOM + breath) + voice) * 32_767.0) as i16).unwrap();
    }
    file.finalize().unwrap();
}

/// The levels of a file, pulled in buffers of 20 ms, with the instants at which they end.
fn levels(path: &Path) -> Vec<(Moment, i32)> {
    let samples: Vec<f32> = hound::WavReader::open(path)
        .unwrap()
        .samples::<i16>()
        .map(|sample| f32::from(sample.unwrap()) / 32_768.0)
        .collect();
    let mut loudness = Loudness::new(RATE);
    let mut all = Vec::new();
    for (buffer, heard) in samples.chunks(RATE as usize / 50).enumerate() {
        let began = buffer * RATE as usize / 50;
        let at = |frame: usize| Moment((began + frame) as u64 * 1_000_000 / u64::from(RATE));
        all.extend(loudness.hear(heard, 1).into_iter().map(|(frame, level)| (at(frame), level)));
    }
    all
}

/// The calibration by what this file holds: the hum comes whenever it is asked for.
fn calibrate(folder: &Path, peak: f64) -> Result<Calibration, Refusal> {
    // Eight seconds of rest, then every ten seconds four for an effort.
    let path = folder.join("calibration.wav");
    write(&path, 60.0, &[9.0, 19.0, 29.0, 39.0, 49.0], peak);
    let mut calibrator = Calibrator::new(Moment::START, &[Side::Above], RANGE);
    for (at, level) in levels(&path) {
        if calibrator.asks() != Ask::Over {
            calibrator.level(at, level);
        }
    }
    calibrator.outcome().expect("it is over").clone()
}

const HUM: Way = Way { side: Side::Above, strength: Strength::Soft };

fn presses(folder: &Path, calibration: &Calibration, hums: &[f64]) -> Vec<(bool, f64)> {
    let path = folder.join("session.wav");
    write(&path, 40.0, hums, 0.1);
    let mut level = Level::new(calibration, &[HUM], &Settings::default()).unwrap();
    let mut told = Vec::new();
    levels(&path).into_iter().for_each(|(at, value)| level.level(at, value, &mut told));
    let edge = |(at, told): (Moment, Told)| match told {
        Told::Edge { down, .. } => Some((down, at.0 as f64 / 1e6)),
        _ => None,
    };
    told.into_iter().filter_map(edge).collect()
}

#[test]
fn a_hum_over_the_ventilator_is_one_press_each_and_the_ventilator_none() {
    let folder = tempfile::tempdir().unwrap();
    let calibration = calibrate(folder.path(), 0.1).unwrap();
    let hums = [3.1, 9.4, 14.0, 22.5, 31.2];
    let edges = presses(folder.path(), &calibration, &hums);
    assert_eq!(edges.len(), 2 * hums.len(), "{edges:?}");
    for (pair, began) in edges.chunks(2).zip(hums) {
        assert!(pair[0].0 && !pair[1].0);
        assert!((0.0..0.3).contains(&(pair[0].1 - began)), "closes soon after {began}: {pair:?}");
        assert!((0.4..0.9).contains(&(pair[1].1 - pair[0].1)), "lasts as long as the hum: {pair:?}");
    }
    assert_eq!(presses(folder.path(), &calibration, &[]), []);
}

#[test]
fn a_hum_that_drowns_in_the_ventilator_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let refusal = calibrate(folder.path(), 0.004)
        .and_then(|calibration| calibration.thresholds(&Settings::default()).map(|_| calibration))
        .unwrap_err();
    let noisy = matches!(refusal, Refusal::NoEffort(Side::Above) | Refusal::InNoise { side: Side::Above, .. });
    assert!(noisy, "{refusal}");
}

/// A session in its first contact, where each press is answered, worked by this hum.
fn session(calibration: Calibration, out: &mut Vec<Record>) -> Session {
    let (protocol, menu) = shipped::find("first-look").unwrap();
    let mut session = Session::new(Plan { protocol, menu, settings: Settings::default(), seed: 1 });
    let source = LevelSource {
        source: 1,
        kind: LevelKind::Sound,
        device: "microphone".to_string(),
        unit: UNIT.to_string(),
        emulated: false,
        calibration,
        works: vec![Works { way: HUM, switch: Switch(0) }],
    };
    session.input(Moment::START, Input::Calibrated(Box::new(source)), out);
    session.input(Moment::START, Input::MyPresses { on: false }, out);
    session.input(Moment::START, Input::Next, out);
    session
}

fn pressed(records: &[Record]) -> Vec<f64> {
    let press = |record: &Record| matches!(record.what, What::Effect(Effect::Activated(_))).then_some(record.at);
    records.iter().filter_map(press).map(|at| at.0 as f64 / 1e6).collect()
}

/// The log of these records leads to them again.
fn agrees(session: &Session, records: &[Record]) -> bool {
    let mut writer = Writer::begin(Vec::new(), &Header::for_plan(session.plan())).unwrap();
    records.iter().for_each(|record| writer.add(record).unwrap());
    writer.end(records.last().unwrap().at).unwrap();
    let (log, problems) = reader::read(writer.into_sink().as_slice(), "log");
    problems.is_empty() && matches!(replay(&log, "log"), Ok(Replayed::Agrees { .. }))
}

#[test]
fn a_hum_works_a_session_which_waits_while_the_microphone_is_gone() {
    let folder = tempfile::tempdir().unwrap();
    let calibration = calibrate(folder.path(), 0.1).unwrap();
    let path = folder.path().join("session.wav");
    // The third hum is cut off, the fourth comes while the session waits.
    write(&path, 40.0, &[4.0, 9.0, 14.0, 18.0, 30.0], 0.1);
    let mut records = Vec::new();
    let mut session = session(calibration, &mut records);
    let (lost, back) = (Moment(14_300_000), Moment(25_000_000));
    for (at, value) in levels(&path) {
        if at == lost {
            session.input(at, Input::Pause { why: PauseReason::Unplugged }, &mut records);
            session.input(at, Input::LevelLost { source: 1 }, &mut records);
            assert!(session.is_paused(), "it waits, with the reason");
        }
        if at == back {
            session.input(at, Input::Resume, &mut records);
        }
        if !(lost..back).contains(&at) {
            session.input(at, Input::Level { source: 1, value }, &mut records);
        } else {
            session.advance(at, &mut records);
        }
    }
    let found = pressed(&records);
    let wanted = [4.0, 9.0, 14.0, 30.0];
    assert!(found.len() == 4 && found.iter().zip(wanted).all(|(at, began)| (at - began).abs() < 0.3), "{found:?}");
    let mut edges = records.iter().filter_map(|record| record.what.edge());
    assert_eq!(edges.next_back().map(|(_, down)| down), Some(false), "nothing stays pressed");
    assert!(agrees(&session, &records));
    let logged = records.iter().filter(|record| matches!(record.what, What::Input(Input::Level { .. }))).count();
    assert!(logged < levels(&path).len() / 4, "what changes nothing is left out: {logged}");
}
