//! Virtual clients sit through every shipped protocol: it ends, it repeats, and replay agrees.

use pacewright::log::header::Header;
use pacewright::log::reader;
use pacewright::log::replay::{Replayed, replay};
use pacewright::log::writer::Writer;
use pacewright::session::event::Event;
use pacewright::session::input::Input;
use pacewright::session::record::{Record, What};
use pacewright::session::trial::{Outcome, Trial};
use pacewright::session::words::TEXT_VERSION;
use pacewright::session::{Plan, Session, shipped};
use pacewright::settings::Settings;
use pacewright::sim::client::{Client, STEADY, Traits};
use pacewright::sim::latency::Latency;
use pacewright::sim::sitting::sit;
use pacewright::time::Moment;

fn plan(protocol: &str, technique: &str, seed: u64) -> Plan {
    let (protocol, menu) = shipped::find(protocol).unwrap();
    let settings = Settings::for_technique(technique).overlaid(&protocol.settings).unwrap();
    Plan { protocol, menu, settings, seed }
}

fn sat(plan: &Plan, traits: Traits) -> (Vec<Record>, Moment) {
    let mut records = Vec::new();
    let mut session = Session::new(plan.clone());
    let mut client = Client::new(traits, plan.seed);
    let end = sit(&mut session, &mut client, |fresh| records.extend_from_slice(fresh)).unwrap();
    (records, end)
}

fn logged(plan: &Plan, records: &[Record], end: Moment) -> Vec<u8> {
    let mut writer = Writer::begin(Vec::new(), &Header::for_plan(plan)).unwrap();
    records.iter().for_each(|record| writer.add(record).unwrap());
    writer.end(end).unwrap();
    writer.into_sink()
}

fn trials(records: &[Record]) -> impl Iterator<Item = &Trial> {
    records.iter().filter_map(|record| match &record.what {
        What::Event(Event::Trial(trial)) => Some(&**trial),
        _ => None,
    })
}

fn names() -> impl Iterator<Item = &'static str> {
    shipped::PROTOCOLS.iter().map(|(name, _)| *name)
}

#[test]
fn every_shipped_protocol_runs_to_its_end_and_replays() {
    for name in names() {
        let plan = plan(name, "automatic", 3);
        let (records, end) = sat(&plan, STEADY);
        let complete = Record { at: records.last().unwrap().at, what: What::Event(Event::Finished { complete: true }) };
        assert!(records.iter().any(|record| record.what == complete.what), "{name}");
        let log = logged(&plan, &records, end);
        let (file, problems) = reader::read(log.as_slice(), name);
        assert_eq!(problems, [], "{name}");
        let replayed = replay(&file, name).unwrap();
        // A check asks for a few presses only.
        let least = if name == "switch-check" { 20 } else { 100 };
        assert!(
            matches!(replayed, Replayed::Agrees { compared, until_gap: None } if compared > least),
            "{name}: {replayed:?}"
        );
    }
}

#[test]
fn the_same_seed_gives_the_same_log_and_another_seed_another() {
    let log = |seed| {
        let plan = plan("first-look", "automatic", seed);
        let (records, end) = sat(&plan, STEADY);
        logged(&plan, &records, end)
    };
    assert!(log(1) == log(1));
    assert!(log(1) != log(2));
}

#[test]
fn replay_finds_the_first_effect_that_was_changed() {
    let plan = plan("demonstration", "automatic", 1);
    let (mut records, end) = sat(&plan, STEADY);
    let taken = records
        .iter()
        .position(|record| matches!(record.what, What::Effect(pacewright::engine::effect::Effect::Taken { .. })));
    let taken = taken.unwrap();
    if let What::Effect(pacewright::engine::effect::Effect::Taken { latency_us, .. }) = &mut records[taken].what {
        *latency_us += 1;
    }
    let log = logged(&plan, &records, end);
    let (file, _) = reader::read(log.as_slice(), "changed");
    // The header stands on line 1.
    let line = Some(taken as u32 + 2);
    assert!(matches!(replay(&file, "changed").unwrap(), Replayed::Differs { line: found, .. } if found == line));
}

#[test]
fn words_of_an_older_version_stand_in_the_way_of_no_replay() {
    let plan = plan("demonstration", "automatic", 1);
    let (mut records, end) = sat(&plan, STEADY);
    let reworded = |record: &mut Record| {
        if let What::Event(Event::Scene { text, .. }) = &mut record.what {
            *text = format!("Please: {text}");
        }
    };
    records.iter_mut().for_each(reworded);
    let with = |text_version: u32| {
        let mut header = Header::for_plan(&plan);
        header.setup.text_version = text_version;
        let mut writer = Writer::begin(Vec::new(), &header).unwrap();
        records.iter().for_each(|record| writer.add(record).unwrap());
        writer.end(end).unwrap();
        let (file, _) = reader::read(writer.into_sink().as_slice(), "reworded");
        replay(&file, "reworded").unwrap()
    };
    assert!(matches!(with(TEXT_VERSION - 1), Replayed::Agrees { until_gap: None, .. }));
    assert!(matches!(with(TEXT_VERSION), Replayed::Differs { .. }));
}

#[test]
fn a_perfect_client_hits_every_target_of_every_protocol() {
    let latency = Latency::ExGaussian { mu_s: 0.4, sigma_s: 0.0, tau_s: 0.0 };
    let perfect = Traits { latency, miss: 0.0, involuntary_per_s: 0.0, held_s: 0.15, rests: 0.0, ..STEADY };
    for name in names() {
        let (records, _) = sat(&plan(name, "automatic", 5), perfect.clone());
        let wrong = trials(&records).find(|trial| trial.outcome != Outcome::Hit);
        assert_eq!(wrong, None, "{name}");
    }
}

#[test]
fn a_client_who_never_presses_comes_to_rest_in_every_protocol_and_makes_no_error() {
    let absent = Traits { stops_after_s: Some(0.0), involuntary_per_s: 0.0, ..STEADY };
    for name in names() {
        let plan = plan(name, "automatic", 7);
        let mut session = Session::new(plan.clone());
        let mut records = Vec::new();
        let mut client = Client::new(absent.clone(), 7);
        // Presses of its own accord get it out of rest, so only the first minutes are looked at.
        let _ = sit(&mut session, &mut client, |fresh| records.extend_from_slice(fresh));
        let errors = trials(&records).filter(|trial| !matches!(trial.outcome, Outcome::Omission)).count();
        assert_eq!(errors, 0, "{name}");
    }
}

/// A checksum of every raw edge of a sitting: its stamp, its switch and its direction.
fn edges(records: &[Record]) -> u32 {
    let mut sum = crc32fast::Hasher::new();
    for record in records {
        if let What::Input(Input::Edge { switch, down }) = record.what {
            sum.update(&record.at.0.to_le_bytes());
            sum.update(&[switch.0, u8::from(down)]);
        }
    }
    sum.finalize()
}

#[test]
fn the_steady_client_presses_as_ever() {
    // New traits draw from streams of their own: demonstrations that have been shown before stay as they were.
    let sums: Vec<u32> = names().map(|name| edges(&sat(&plan(name, "automatic", 3), STEADY).0)).collect();
    // A pointer works no switch: 0.
    assert_eq!(sums, [2_837_209_684, 2_842_969_813, 687_983_430, 3_834_240_947, 0, 1_881_048_393, 288_744_432]);
}
