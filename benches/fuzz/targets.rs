//! What is fed, and what has to hold for whatever comes out. Each gives whether the input was accepted.

use std::num::NonZero;
use std::sync::Arc;

use pacewright::engine::Engine;
use pacewright::engine::effect::{Effect, Input as EngineInput, Switch};
use pacewright::engine::pattern::Arrangement;
use pacewright::engine::tree::ScanTree;
use pacewright::log::header::Header;
use pacewright::log::reader::{LogFile, read_on};
use pacewright::log::replay::{Replayed, replay};
use pacewright::log::{Content, Line};
use pacewright::menu::{self, Menu, shipped};
use pacewright::rng::Stream;
use pacewright::session::input::{Input, Interruption, PauseReason, Prompt, Rating};
use pacewright::session::offer::Offer;
use pacewright::session::record::Record;
use pacewright::session::{Plan, Session, protocol_file, shipped as protocols};
use pacewright::settings::{self, Kind, REGISTRY, Settings};
use pacewright::sim::profile::{self, shipped as profiles};
use pacewright::time::{Moment, Span};
use serde_json::json;

use super::text::{Text, bend_bytes};

/// The texts to start from, read once.
pub struct Corpus {
    menus: Vec<Text>,
    protocols: Vec<Text>,
    profiles: Vec<Text>,
    settings: Text,
    header: Text,
    lines: Vec<Text>,
    trees: Vec<Arc<ScanTree>>,
    plans: Vec<Plan>,
}

const SMALL_MENU: &str = r#"{"format":"pacewright menu","version":1,"name":"One lamp","about":"An invented room.",
"home":[{"id":"lamp","label":"Lamp","kind":"lamp","level":0}],"entries":[{"id":"lights","label":"Lights","icon":"lamp",
"page":true,"entries":[{"id":"lamp-on","label":"Lamp","icon":"lamp","weight":5,"does":[{"thing":"lamp","to":100}],
"cue":"Turn the lamp on.","answer":"The lamp is on."},{"id":"off","label":"Off","icon":"lamp"}]}]}"#;

const SMALL_PROTOCOL: &str = r#"{"format":"pacewright protocol","version":1,"name":"Ten","menu":"six","settings":
{"scan_interval":1.5},"blocks":[{"kind":"timed-press","practice":2,"trials":10,"tiles":6},{"kind":"quiet-watch",
"minutes":1},{"kind":"menu-tasks","trials":2}]}"#;

impl Corpus {
    pub fn new() -> Corpus {
        let texts = |small: &str, shipped: &[(&str, &str)]| {
            [small].into_iter().chain(shipped.iter().map(|(_, text)| *text)).map(Text::new).collect()
        };
        let plans: Vec<Plan> = ["demonstration", "first-look"].iter().filter_map(|name| plan(name)).collect();
        Corpus {
            menus: texts(SMALL_MENU, shipped::MENUS),
            protocols: texts(SMALL_PROTOCOL, protocols::PROTOCOLS),
            profiles: profiles::CLIENTS.iter().map(|(_, text)| Text::new(text)).collect(),
            settings: Text::new(&json!(Settings::default().to_json()).to_string()),
            header: Text::new(&json!(Header::for_plan(&plans[0])).to_string()),
            lines: sample_lines(&plans[0]),
            trees: [shipped::find("six"), shipped::find("flat")].into_iter().flatten().map(tree).collect(),
            plans,
        }
    }
}

fn plan(name: &str) -> Option<Plan> {
    let (protocol, menu) = protocols::find(name)?;
    let settings = Settings::from_json(&protocol.settings).ok()?;
    Some(Plan { protocol, menu, settings, seed: 1 })
}

fn tree(menu: Menu) -> Arc<ScanTree> {
    Arrangement::new(&menu, &Settings::default()).tree
}

/// One line of each kind that a sitting makes, without its beginning and its checksum.
fn sample_lines(plan: &Plan) -> Vec<Text> {
    let mut session = Session::new(plan.clone());
    let mut client =
        pacewright::sim::client::Client::new(profiles::find("steady").expect("a shipped client").traits, 1);
    let mut kinds: Vec<(String, Text)> = Vec::new();
    let sat = pacewright::sim::sitting::sit(&mut session, &mut client, |records| {
        for record in records {
            let text = json!(record.what).to_string();
            let kind = text.split(',').next().unwrap_or_default().to_string();
            if kinds.iter().all(|(known, _)| *known != kind) {
                kinds.push((kind, Text::new(&text)));
            }
        }
    });
    assert!(sat.is_ok() && kinds.len() > 15, "a sitting makes {} kinds of record", kinds.len());
    kinds.push((String::new(), Text::new(r#"{"end":{"inputs":1,"effects":2,"events":0}}"#)));
    kinds.push((String::new(), Text::new(r#"{"in":"set","name":"scan_interval","value":1.5}"#)));
    kinds.push((String::new(), Text::new(r#"{"in":"note","text":"a \"quoted\" word"}"#)));
    kinds.into_iter().map(|(_, text)| text).collect()
}

fn pick<'t, T>(list: &'t [T], stream: &mut Stream) -> &'t T {
    // The first is small and quick; it is taken half of the time.
    let count = if stream.below(2) == 0 { 1 } else { list.len() as u64 };
    &list[stream.below(count) as usize]
}

pub fn menu(corpus: &Corpus, stream: &mut Stream) -> bool {
    let (menu, problems) = menu::file::read("m", pick(&corpus.menus, stream).bent(stream));
    assert!(menu.is_some() || !problems.is_empty(), "a refusal has a reason");
    if let Some(menu) = &menu {
        let (again, _) = Menu::from_json("m", &menu.to_json());
        assert!(again.as_ref() == Some(menu), "a menu that was read is written as it is");
    }
    menu.is_some()
}

pub fn protocol(corpus: &Corpus, stream: &mut Stream) -> bool {
    let read = protocol_file::read("p", pick(&corpus.protocols, stream).bent(stream), shipped::find);
    assert!(read.protocol.is_some() || !read.problems.is_empty(), "a refusal has a reason");
    if let Some((protocol, menu)) = &read.protocol {
        let settings = Settings::from_json(&protocol.settings).expect("a protocol that was read has valid settings");
        let _ = protocol.cost(menu, &settings).map(|cost| protocol.cost_warnings(&cost, "p"));
    }
    read.protocol.is_some()
}

pub fn profile(corpus: &Corpus, stream: &mut Stream) -> bool {
    let (read, problems) = profile::read("c", pick(&corpus.profiles, stream).bent(stream));
    assert!(read.is_some() || !problems.is_empty(), "a refusal has a reason");
    if let Some(read) = &read {
        let (again, _) = profile::read("c", json!(read).to_string());
        assert!(again.as_ref() == Some(read), "a profile that was read is written as it is");
    }
    read.is_some()
}

pub fn values(corpus: &Corpus, stream: &mut Stream) -> bool {
    if stream.below(2) == 0 {
        let setting = &REGISTRY[stream.below(REGISTRY.len() as u64) as usize];
        let mut text = settings::show_value(setting.id, setting.default).into_bytes();
        bend_bytes(&mut text, stream);
        return settings::parse_value(setting.id, &String::from_utf8_lossy(&text)).is_ok_and(|raw| setting.allows(raw));
    }
    let Ok(object) = serde_json::from_slice(&corpus.settings.bent(stream)) else { return false };
    let Ok(read) = Settings::from_json(&object) else { return false };
    assert!(Settings::from_json(&read.to_json()).is_ok_and(|again| again == read), "settings are written as they are");
    true
}

/// A few lines, most with their right place and checksum, seldom with a header.
pub fn log(corpus: &Corpus, stream: &mut Stream) -> bool {
    let mut bytes = Vec::new();
    let with_header = stream.below(8) == 0;
    if with_header {
        add_line(&mut bytes, 0, &corpus.header.bent(stream), None, stream);
    }
    for seq in 1..=1 + stream.below(5) {
        let text = corpus.lines[stream.below(corpus.lines.len() as u64) as usize].bent(stream);
        add_line(&mut bytes, seq, &text, Some(seq * 1_000), stream);
    }
    if stream.below(4) == 0 {
        bend_bytes(&mut bytes, stream);
    }
    let (log, problems) = read_on(NonZero::<usize>::MIN, &bytes[..], "l");
    assert!(log.records.windows(2).all(|pair| pair[0].seq < pair[1].seq), "records are in order");
    assert!(!problems.is_empty() || (log.header.is_some() && log.end.is_some()), "what is missing is told");
    if log.header.is_some() {
        let _ = replay(&log, "l");
    }
    !log.records.is_empty()
}

fn add_line(bytes: &mut Vec<u8>, seq: u64, payload: &[u8], at: Option<u64>, stream: &mut Stream) {
    let start = bytes.len();
    let at = at.map_or(String::new(), |at| format!(",\"at\":{at}"));
    bytes.extend(format!("{{\"seq\":{seq}{at},").into_bytes());
    bytes.extend(payload.strip_prefix(b"{").unwrap_or(payload).strip_suffix(b"}").unwrap_or(payload));
    let sum = crc32fast::hash(&bytes[start..]) ^ u32::from(stream.below(16) == 0);
    bytes.extend(format!(",\"crc\":\"{sum:08x}\"}}\n").into_bytes());
}

fn any_settings(stream: &mut Stream) -> Settings {
    let mut settings = Settings::default();
    for _ in 0..stream.below(12) {
        let setting = &REGISTRY[stream.below(REGISTRY.len() as u64) as usize];
        let raw = match setting.kind {
            Kind::Time { min, max, step }
            | Kind::Share { min, max, step }
            | Kind::Angle { min, max, step }
            | Kind::OptionalTime { min, max, step } => {
                min + step * stream.below(1 + ((max - min) / step) as u64) as i64
            }
            Kind::Count { min, .. } => min - 1 + stream.below(4) as i64,
            Kind::Choice(options) => stream.below(options.len() as u64) as i64,
        };
        let _ = settings.set_raw(setting.id, raw);
    }
    settings
}

fn gap(stream: &mut Stream) -> u64 {
    let most = [1, 200, 100_000, 1_500_000, 5_000_000][stream.below(5) as usize];
    stream.below(most)
}

pub fn engine(corpus: &Corpus, stream: &mut Stream) -> bool {
    let tree = |stream: &mut Stream| Arc::clone(&corpus.trees[stream.below(corpus.trees.len() as u64) as usize]);
    let mut engine = Engine::new(tree(stream), &any_settings(stream));
    engine.assume_shown(stream.below(2) == 0);
    let (mut out, mut at, mut newest) = (Vec::<(Moment, Effect)>::new(), Moment(1_000), 0);
    engine.input(at, EngineInput::Start, &mut out);
    for _ in 0..8 + stream.below(40) {
        at += Span(gap(stream));
        // Some stamps come late.
        let stamp = Moment(at.0.saturating_sub(if stream.below(6) == 0 { gap(stream) } else { 0 }));
        match stream.below(40) {
            0..18 => {
                let (switch, down) = (Switch(stream.below(3) as u8), stream.below(2) == 0);
                engine.input(stamp, EngineInput::Edge { switch, down }, &mut out);
            }
            18..30 => engine.input(stamp, EngineInput::Shown { number: newest }, &mut out),
            30 => engine.input(stamp, EngineInput::Shown { number: stream.bits() }, &mut out),
            31 | 32 => engine.input(stamp, EngineInput::Start, &mut out),
            33 => engine.input(stamp, EngineInput::Halt, &mut out),
            34 => engine.input(stamp, EngineInput::Stalled, &mut out),
            35 => engine.leave(at, &mut out),
            36 => engine.set(at, &any_settings(stream), &mut out),
            37 => engine.load(at, tree(stream), &mut out),
            _ => engine.advance(at, &mut out),
        }
        let numbers = out.iter().rev().filter_map(|(_, effect)| match effect {
            Effect::Highlight { number, .. } => Some(*number),
            _ => None,
        });
        newest = numbers.take(1).next().unwrap_or(newest);
    }
    assert!(out.windows(2).all(|pair| pair[0].0 <= pair[1].0), "effects never go back");
    !out.is_empty()
}

/// A session under random inputs; its log, replayed, has to come out the same.
pub fn session(corpus: &Corpus, stream: &mut Stream) -> bool {
    let mut plan = Plan { seed: stream.bits(), settings: any_settings(stream), ..pick(&corpus.plans, stream).clone() };
    plan.protocol.alone = plan.seed.is_multiple_of(2);
    let header = Header { client: "F1".into(), invented: true, ..Header::for_plan(&plan) };
    let (mut session, mut out, mut at) = (Session::new(plan), Vec::new(), Moment::START);
    for _ in 0..10 + stream.below(60) {
        at += Span(gap(stream));
        let stamp = Moment(at.0.saturating_sub(if stream.below(8) == 0 { gap(stream) } else { 0 }));
        if stream.below(4) == 0 {
            session.advance(at, &mut out);
        } else {
            let number = session.scene().number;
            session.input(stamp, any_input(number, stream), &mut out);
        }
        let scene = session.scene().number;
        if stream.below(3) > 0 {
            session.input(at, Input::Shown { number: scene }, &mut out);
        }
    }
    assert_replays(header, out)
}

fn assert_replays(header: Header, records: Vec<Record>) -> bool {
    let lines = records.into_iter().zip(2..).map(|(record, line): (_, u32)| Line {
        line,
        seq: u64::from(line) - 1,
        content: Content::Known(record),
    });
    let log = LogFile { header: Some(header), records: lines.collect(), end: None, first_gap: None };
    let replayed = replay(&log, "l");
    assert!(matches!(replayed, Ok(Replayed::Agrees { .. })), "replay: {replayed:?}");
    log.records.len() > 20
}

fn any_input(scene: u64, stream: &mut Stream) -> Input {
    match stream.below(40) {
        0..16 => Input::Edge { switch: Switch(stream.below(2) as u8), down: stream.below(2) == 0 },
        16..22 => Input::Shown { number: scene },
        22 => Input::Shown { number: stream.bits() },
        23 => Input::Stalled,
        24 => Input::MyPresses { on: stream.below(2) == 0 },
        25..29 => Input::Next,
        29 => Input::Pause { why: [PauseReason::Clinician, PauseReason::FocusLost][stream.below(2) as usize] },
        30 | 31 => Input::Resume,
        32 => Input::SkipBlock,
        33 if stream.below(4) == 0 => Input::End,
        34 => Input::Prompt { prompt: Prompt::Spoken },
        35 => Input::Interruption { interruption: Interruption::Cough },
        36 => Input::Exclude { reason: "x".into() },
        37 => Input::Rate { question: Rating::Effort, value: stream.below(256) as u8 },
        38 => {
            let setting = &REGISTRY[stream.below(REGISTRY.len() as u64) as usize];
            Input::Set { name: setting.name.into(), value: json!(stream.below(5)) }
        }
        39 if scene.is_multiple_of(4) => Input::Offer { offers: vec![Offer::Rest, Offer::Bell, Offer::Again] },
        _ => Input::Note { text: "a remark".into() },
    }
}
