//! Settings, menus and inputs drawn without mercy: several switches, frames that never were sent,
//! stamps from the past, starts and halts at any time.

use pacewright::engine::effect::{Effect, Input, Role, Switch};
use pacewright::engine::tree::{EntryIx, GroupIx};
use pacewright::engine::{Engine, Watch};
use pacewright::settings::{Kind, REGISTRY, Settings};
use pacewright::time::{Moment, Span};
use proptest::prelude::*;

use crate::engine_rig::Menu;

pub type Trace = Vec<(Moment, Effect)>;

pub const MENUS: [&str; 5] = [
    "a b c d",
    "(a b c) (d e f) (g h i)",
    "(a b back) c (d (e f back) back)",
    "(back a b) (back c) d",
    "(((a b) (c d)) e) f back",
];

/// Any value of every setting. Half of the counts and times lie at their default or at an end.
pub fn any_settings() -> impl Strategy<Value = Settings> {
    let raws: Vec<BoxedStrategy<i64>> = REGISTRY
        .iter()
        .map(|setting| {
            let spread = |min: i64, max: i64, step: i64| {
                let steps = (max - min) / step;
                prop_oneof![Just(min), Just(setting.default), (0..=steps.min(20)).prop_map(move |n| min + n * step)]
            };
            match setting.kind {
                Kind::Time { min, max, step } | Kind::Share { min, max, step } | Kind::Angle { min, max, step } => {
                    spread(min, max, step).boxed()
                }
                Kind::OptionalTime { min, max, step } => prop_oneof![Just(0), spread(min, max, step)].boxed(),
                Kind::Count { min, .. } => (min - 1..=min + 2).boxed(),
                Kind::Choice(options) => (0..options.len() as i64).boxed(),
            }
        })
        .collect();
    raws.prop_map(|raws| {
        let changes = REGISTRY.iter().zip(raws).filter(|(setting, raw)| setting.allows(*raw));
        changes.fold(Settings::default(), |settings, (setting, raw)| settings.with(setting.id, raw))
    })
}

pub fn any_engine() -> impl Strategy<Value = Engine> {
    (any_settings(), 0..MENUS.len(), any::<bool>()).prop_map(|(settings, menu, at_once)| {
        let mut engine = Engine::new(Menu::new(MENUS[menu]).tree, &settings);
        engine.assume_shown(at_once);
        engine
    })
}

/// What may be handed in. Frames are named by how far back their highlight lies.
#[derive(Clone, Debug)]
pub enum Act {
    Edge(u8, bool),
    FrameBack(u64),
    Frame(u64),
    Start,
    Halt,
    Stalled,
    Leave,
    Set(Box<Settings>),
    Load(usize),
    Roles(Option<Vec<Role>>),
}

pub fn any_act() -> impl Strategy<Value = Act> {
    let switch = prop_oneof![4 => Just(0_u8), 2 => Just(1), 1 => Just(2)];
    prop_oneof![
        30 => (switch, any::<bool>()).prop_map(|(switch, down)| Act::Edge(switch, down)),
        20 => (0..4_u64).prop_map(Act::FrameBack),
        2 => any::<u64>().prop_map(Act::Frame),
        4 => Just(Act::Start),
        1 => Just(Act::Halt),
        1 => Just(Act::Stalled),
        1 => Just(Act::Leave),
        1 => any_settings().prop_map(|settings| Act::Set(Box::new(settings))),
        1 => (0..MENUS.len()).prop_map(Act::Load),
        1 => proptest::option::of(Just(Role::ALL.to_vec()).prop_shuffle()).prop_map(Act::Roles),
    ]
}

/// Acts with the time since the one before, in microseconds.
pub fn any_script() -> impl Strategy<Value = Vec<(u64, Act)>> {
    let gap = prop_oneof![
        2 => Just(0_u64),
        4 => (0..40_u64).prop_map(|ms| ms * 5_000),
        4 => 0..100_000_u64,
        3 => 0..1_500_000_u64,
        1 => 0..12_000_000_u64,
    ];
    proptest::collection::vec((gap, any_act()), 0..60).prop_map(|mut script| {
        script.insert(0, (1_000, Act::Start));
        script
    })
}

pub fn act(engine: &mut Engine, at: Moment, act: &Act, trace: &mut Trace) {
    match act {
        Act::Edge(switch, down) => {
            engine.input(at, Input::Edge { switch: Switch(*switch), down: *down }, trace);
        }
        Act::FrameBack(back) => {
            // The number has to be that of the same highlight however the engine is polled.
            engine.advance(at, trace);
            let sent = trace.iter().rev().filter_map(|(_, effect)| match effect {
                Effect::Highlight { number, .. } => Some(*number),
                _ => None,
            });
            let number = sent.take(1 + *back as usize).min().unwrap_or(0);
            engine.input(at, Input::Shown { number }, trace);
        }
        Act::Frame(number) => engine.input(at, Input::Shown { number: *number }, trace),
        Act::Start => engine.input(at, Input::Start, trace),
        Act::Halt => engine.input(at, Input::Halt, trace),
        Act::Stalled => {
            // Where the shell stood when it slept is not the engine's business.
            engine.advance(at, trace);
            engine.input(at, Input::Stalled, trace);
        }
        Act::Leave => engine.leave(at, trace),
        Act::Set(settings) => engine.set(at, settings, trace),
        Act::Roles(roles) => engine.set_roles(at, roles.clone(), trace),
        Act::Load(menu) => engine.load(at, Menu::new(MENUS[*menu]).tree, trace),
    }
}

/// Runs a script, polled every `grain` besides, and on for 40 s after its end.
pub fn run(mut engine: Engine, script: &[(u64, Act)], grain: Option<Span>) -> (Engine, Trace) {
    let mut trace = Trace::new();
    let mut at = Moment::START;
    for (gap, action) in script {
        let next = at + Span(*gap);
        poll(&mut engine, at, next, grain, &mut trace);
        act(&mut engine, next, action, &mut trace);
        at = next;
    }
    let end = at + Span::from_ms(40_000);
    poll(&mut engine, at, end, grain, &mut trace);
    engine.advance(end, &mut trace);
    (engine, trace)
}

pub fn poll(engine: &mut Engine, from: Moment, to: Moment, grain: Option<Span>, trace: &mut Trace) {
    let Some(grain) = grain else { return };
    let mut at = from + grain;
    while at < to {
        engine.advance(at, trace);
        at += grain;
    }
}

/// Stamps that jump back and forth, with the ends of time among them.
pub fn any_stamp() -> impl Strategy<Value = Moment> {
    let stamp = prop_oneof![20 => 0..60_000_000_u64, 1 => Just(0), 1 => 0..u64::from(u32::MAX)];
    stamp.prop_map(Moment)
}

pub fn any_watch() -> impl Strategy<Value = Watch> {
    proptest::option::of((0..3_u16, 0..4_u16))
        .prop_map(|entry| Watch { entry: entry.map(|(group, entry)| (GroupIx(group), EntryIx(entry))) })
}
