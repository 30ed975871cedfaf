//! One record of every kind, and a small header.

use pacewright::engine::effect::{Activation, Effect, Ignored, Lit, Role, Spot, Switch, Why};
use pacewright::engine::tree::{EntryIx, GroupIx, ItemIx};
use pacewright::level::{Calibration, Range, Trouble, Way};
use pacewright::log::header::Header;
use pacewright::log::writer::Writer;
use pacewright::menu::shipped;
use pacewright::session::Plan;
use pacewright::session::event::{BlockEnd, BlockKind, Event, RestReason, TaskEnd};
use pacewright::session::input::{Input, Interruption, PauseReason, Prompt, Rating, Sound};
use pacewright::session::levels::{LevelKind, LevelSource, Works};
use pacewright::session::offer::Offer;
use pacewright::session::protocol::Protocol;
use pacewright::session::record::{Record, What};
use pacewright::session::trial::{Outcome, Press, Trial};
use pacewright::settings::Settings;
use pacewright::switch_check::{Finding, Spread, Verdict};
use pacewright::time::{Moment, Span};
use serde_json::json;

/// A list of samples of one type, with a pattern for each. A new variant does not compile until it
/// has its sample, for the match has no wildcard.
macro_rules! every {
    ($name:ident: $type:ident { $($pattern:pat => $sample:expr),* $(,)? }) => {
        pub fn $name() -> Vec<$type> {
            let all = vec![$({
                let sample = $sample;
                assert!(matches!(sample, $pattern));
                sample
            }),*];
            for one in &all {
                match one { $($pattern => {}),* }
            }
            all
        }
    };
}

const SWITCH: Switch = Switch(1);

every!(inputs: Input {
    Input::Edge { .. } => Input::Edge { switch: SWITCH, down: true },
    Input::Shown { .. } => Input::Shown { number: u64::MAX },
    Input::Stalled => Input::Stalled,
    Input::MyPresses { .. } => Input::MyPresses { on: false },
    Input::Next => Input::Next,
    Input::Pause { .. } => Input::Pause { why: PauseReason::FocusLost },
    Input::Resume => Input::Resume,
    Input::SkipBlock => Input::SkipBlock,
    Input::End => Input::End,
    Input::Prompt { .. } => Input::Prompt { prompt: Prompt::Spoken },
    Input::Interruption { .. } => Input::Interruption { interruption: Interruption::Cough },
    Input::Exclude { .. } => Input::Exclude { reason: "door opened".into() },
    Input::Rate { .. } => Input::Rate { question: Rating::Effort, value: 10 },
    Input::Set { .. } => Input::Set { name: "scan_interval".into(), value: json!(0.1 + 0.2) },
    Input::Switches { .. } => Input::Switches { roles: Role::ALL.to_vec(), devices: vec!["key Space".into()] },
    Input::Tiles { .. } => Input::Tiles { spots: vec![Spot { x: -1, y: 0, width: 4_000, height: 2_000 }] },
    Input::Pointer { .. } => Input::Pointer { x: -12, y: 3_400 },
    Input::PointerLeft => Input::PointerLeft,
    Input::Driver { .. } => Input::Driver { switch: SWITCH, before_us: -3 },
    Input::Sound { .. } => Input::Sound { sound: Sound::Place { position: 2, of: 6 }, label: Some("lamp".into()), late_us: -40 },
    Input::Offer { .. } => Input::Offer { offers: vec![Offer::Rest, Offer::NextStep, Offer::End] },
    Input::Calibrated(..) => Input::Calibrated(Box::new(LevelSource {
        source: 0,
        kind: LevelKind::Breath,
        device: "pad 1 axis LeftStickY".into(),
        unit: "10⁻⁴ of the travel".into(),
        emulated: true,
        calibration: Calibration {
            rest: -12,
            noise: 30,
            above: vec![5_000, 5_200, 4_900],
            below: Vec::new(),
            range: Range { least: -10_000, greatest: 10_000 },
        },
        works: vec![Works { way: Way::ALL[3], switch: SWITCH }],
    })),
    Input::Level { .. } => Input::Level { source: 0, value: i32::MIN },
    Input::LevelUnusable { .. } => Input::LevelUnusable { source: 255 },
    Input::LevelLost { .. } => Input::LevelLost { source: 0 },
    Input::InARow { .. } => Input::InARow { presses: u32::MAX },
    Input::Note { .. } => Input::Note { text: "two\nlines, \"quoted\", \u{0}, µ, 🙂, ,\"crc\":\"00000000\"}".into() },
});

every!(effects: Effect {
    Effect::Highlight { .. } => Effect::Highlight { number: 1, due: Moment(2), lit: lit() },
    Effect::Pressed { .. } => Effect::Pressed { switch: SWITCH, edge: Moment(3) },
    Effect::Released { .. } => Effect::Released { switch: SWITCH, pressed: Moment(3), edge: Moment(4) },
    Effect::Activated(_) => Effect::Activated(by()),
    Effect::NotCounted { .. } => Effect::NotCounted { switch: SWITCH, pressed: Moment(3), why: Ignored::TooShort },
    Effect::Taken { .. } => Effect::Taken {
        number: 1, group: GroupIx(0), entry: EntryIx(2), item: ItemIx(9), latency_us: i64::MIN, shown: Moment(1), by: by(),
    },
    Effect::Entered { .. } => Effect::Entered {
        number: 1, into: GroupIx(4), group: GroupIx(0), entry: EntryIx(2), latency_us: -1, shown: Moment(1), by: by(),
    },
    Effect::Left { .. } => Effect::Left { group: GroupIx(4), why: Why::Exit, by: Some((by(), Moment(7))) },
    Effect::Stopped { .. } => Effect::Stopped { why: Why::Loops },
    Effect::Stalled { .. } => Effect::Stalled { late: Span(123_456) },
    Effect::Stuck { .. } => Effect::Stuck { switch: SWITCH },
    Effect::Unstuck { .. } => Effect::Unstuck { switch: SWITCH },
    Effect::LongPress { .. } => Effect::LongPress { switch: SWITCH },
    Effect::Filled { .. } => Effect::Filled { eighths: 7 },
    Effect::Rested { .. } => Effect::Rested {
        group: GroupIx(0), entry: EntryIx(2), since: Moment(3), until: Moment(5), taken: true,
    },
    Effect::Called { .. } => Effect::Called { by: by() },
    Effect::ShutOut { .. } => Effect::ShutOut { switch: SWITCH },
});

every!(events: Event {
    Event::Scene { .. } => Event::Scene { number: 5, text: "Rest. Nothing to press.".into() },
    Event::BlockBegan { .. } => Event::BlockBegan { block: 0, kind: BlockKind::QuietWatch },
    Event::BlockEnded { .. } => Event::BlockEnded { block: 0, why: BlockEnd::StopRule },
    Event::Settings { .. } => Event::Settings {
        revision: 2,
        scan_interval_us: Span(2_000_000),
        values: Box::new(pacewright::settings::Settings::default()),
    },
    Event::TrialBegan { .. } => Event::TrialBegan { block: 0, trial: 1, target: "lamp".into() },
    Event::Trial(_) => Event::Trial(Box::new(trial())),
    Event::TaskEnded { .. } => Event::TaskEnded { block: 0, choices: 3, end: TaskEnd::Mended },
    Event::Excluded { .. } => Event::Excluded { block: 0, trial: 1, reason: String::new() },
    Event::Unwanted { .. } => Event::Unwanted { block: u16::MAX },
    Event::Stay { .. } => Event::Stay { block: 1, wanted: false, stay_us: Span(300_000), taken: false },
    Event::SwitchChecked(_) => Event::SwitchChecked(Box::new(finding())),
    Event::Answered { .. } => Event::Answered { item: "lamp".into(), text: "The lamp is on.".into() },
    Event::Rest { .. } => Event::Rest { why: RestReason::SetDone },
    Event::Clock => Event::Clock,
    Event::Question => Event::Question,
    Event::CarriedOn => Event::CarriedOn,
    Event::Chosen { .. } => Event::Chosen { offer: Offer::Again },
    Event::Paused { .. } => Event::Paused { why: PauseReason::Stuck },
    Event::Resumed => Event::Resumed,
    Event::Finished { .. } => Event::Finished { complete: true },
    Event::LevelEdge { .. } => Event::LevelEdge { switch: SWITCH, down: false },
    Event::LevelPress { .. } => Event::LevelPress { source: 0, way: Way::ALL[0], began: Moment(7), peak: u32::MAX },
    Event::LevelTrouble { .. } => Event::LevelTrouble { source: 0, trouble: Trouble::Trembles },
    Event::Distracted { .. } => Event::Distracted { thing: "lamp".into() },
    Event::Damage { .. } => Event::Damage { lost: "2 records".into() },
});

fn lit() -> Lit {
    Lit::Entry { group: GroupIx(0), entry: EntryIx(2), pass: 1 }
}

fn finding() -> Finding {
    let held = Spread { count: 9, least_us: Span(80_000), median_us: Span(120_000), greatest_us: Span(400_000) };
    Finding {
        switch: SWITCH,
        watched_us: Span(12_000_000),
        edges: 22,
        most_per_second: 6,
        presses: 10,
        counted: 9,
        ignored: 1,
        bounces: 2,
        longest_bounce_us: Span(4_000),
        held: Some(held),
        gaps: None,
        verdicts: vec![Verdict::Pulse { length_us: Span(100_000) }, Verdict::Clean],
    }
}

fn by() -> Activation {
    Activation { switch: SWITCH, pressed: Moment(3), accepted: Moment(5) }
}

pub fn trial() -> Trial {
    let press = Press {
        pressed: Moment(3),
        accepted: Moment(5),
        outcome: Outcome::Early,
        level: 1,
        position: None,
        wanted: 2,
        count: 6,
        latency_us: Some(-40_000),
    };
    Trial {
        block: 0,
        kind: BlockKind::TimedPress,
        trial: 1,
        scored: true,
        outcome: Outcome::Hit,
        reached: true,
        target: "lamp".into(),
        attempt: 2,
        cued: Moment(1),
        began: Moment(2),
        ended: Moment(9),
        wait_us: Some(Span(2_500_000)),
        position: 2,
        count: 6,
        interval_us: Span(800_000),
        settings: 3,
        passes_missed: 1,
        presses: vec![press],
        previous: Some(Outcome::Omission),
        prompt: Prompt::Touched,
        interruption: Some(Interruption::Talk),
        excluded: Some("spasm".into()),
    }
}

/// One record of every kind that a session makes, one a microsecond.
pub fn records() -> Vec<Record> {
    let inputs = inputs().into_iter().map(What::Input);
    let effects = effects().into_iter().map(What::Effect);
    let events = events().into_iter().filter(|event| !matches!(event, Event::Damage { .. })).map(What::Event);
    inputs.chain(effects).chain(events).zip(1..).map(|(what, at)| Record { at: Moment(at), what }).collect()
}

/// A short session over a shipped menu.
pub fn plan() -> Plan {
    let protocol = json!({
        "format": Protocol::FORMAT, "version": Protocol::VERSION, "name": "short", "menu": "six",
        "blocks": [{"kind": "reaction", "trials": 3}],
    });
    Plan {
        protocol: serde_json::from_value(protocol).expect("a valid protocol"),
        menu: shipped::find("six").expect("a shipped menu"),
        settings: Settings::default(),
        seed: 1,
    }
}

pub fn header() -> Header {
    let began = "2026-01-02T03:04:05+01:00".into();
    Header { client: "A1".into(), invented: true, began, ..Header::for_plan(&plan()) }
}

/// A finished log of these records.
pub fn logged(header: &Header, records: &[Record]) -> Vec<u8> {
    let mut writer = Writer::begin(Vec::new(), header).expect("memory takes all");
    records.iter().for_each(|record| writer.add(record).expect("memory takes all"));
    writer.end(Moment(1_000)).expect("memory takes all");
    writer.into_sink()
}
