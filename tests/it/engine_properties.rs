//! What holds for the engine whatever the settings, the menu and the inputs.
//!
//! Inputs are drawn without mercy: several switches, frames that never were sent, stamps from the
//! past, starts and halts at any time.

use std::sync::Arc;

use pacewright::engine::effect::{Effect, Input, Switch};
use pacewright::engine::tree::{EntryIx, GroupIx, ScanTree};
use pacewright::engine::{Engine, Watch};
use pacewright::settings::{Kind, REGISTRY, Settings};
use pacewright::time::{Moment, Span};
use proptest::prelude::*;

use crate::engine_rig::{Menu, with};

type Trace = Vec<(Moment, Effect)>;

const MENUS: [&str; 5] = [
    "a b c d",
    "(a b c) (d e f) (g h i)",
    "(a b back) c (d (e f back) back)",
    "(back a b) (back c) d",
    "(((a b) (c d)) e) f back",
];

/// Any value of every setting. Half of the counts and times lie at their default or at an end.
fn any_settings() -> impl Strategy<Value = Settings> {
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

fn any_engine() -> impl Strategy<Value = Engine> {
    (any_settings(), 0..MENUS.len(), any::<bool>()).prop_map(|(settings, menu, at_once)| {
        let mut engine = Engine::new(Menu::new(MENUS[menu]).tree, &settings);
        engine.assume_shown(at_once);
        engine
    })
}

/// What may be handed in. Frames are named by how far back their highlight lies.
#[derive(Clone, Debug)]
enum Act {
    Edge(u8, bool),
    FrameBack(u64),
    Frame(u64),
    Start,
    Halt,
    Stalled,
    Leave,
    Set(Box<Settings>),
    Load(usize),
}

fn any_act() -> impl Strategy<Value = Act> {
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
    ]
}

/// Acts with the time since the one before, in microseconds.
fn any_script() -> impl Strategy<Value = Vec<(u64, Act)>> {
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

fn act(engine: &mut Engine, at: Moment, act: &Act, trace: &mut Trace) {
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
            let number = sent.clone().nth(*back as usize).or(sent.last()).unwrap_or(0);
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
        Act::Load(menu) => engine.load(at, Menu::new(MENUS[*menu]).tree, trace),
    }
}

/// Runs a script, polled every `grain` besides, and on for 40 s after its end.
fn run(mut engine: Engine, script: &[(u64, Act)], grain: Option<Span>) -> (Engine, Trace) {
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

fn poll(engine: &mut Engine, from: Moment, to: Moment, grain: Option<Span>, trace: &mut Trace) {
    let Some(grain) = grain else { return };
    let mut at = from + grain;
    while at < to {
        engine.advance(at, trace);
        at += grain;
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 100, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_trace_does_not_depend_on_how_often_the_engine_is_polled(
        engine in any_engine(), script in any_script(), grain in 1_000..300_000_u64,
    ) {
        let (left, trace) = run(engine.clone(), &script, None);
        let (polled_left, polled) = run(engine, &script, Some(Span(grain)));
        prop_assert_eq!(trace, polled);
        prop_assert_eq!(left, polled_left);
    }

    #[test]
    fn waking_at_each_deadline_gives_the_same_trace(engine in any_engine(), script in any_script()) {
        let (_, trace) = run(engine.clone(), &script, None);
        let (mut engine, mut woken, mut at) = (engine, Trace::new(), Moment::START);
        for (gap, action) in script {
            at += Span(gap);
            while let Some(due) = engine.deadline().filter(|due| *due <= at) {
                engine.advance(due, &mut woken);
                prop_assert!(engine.deadline().is_none_or(|next| next > due), "the deadline has to move on");
            }
            act(&mut engine, at, &action, &mut woken);
        }
        engine.advance(at + Span::from_ms(40_000), &mut woken);
        prop_assert_eq!(trace, woken);
    }

    #[test]
    fn a_beginning_of_the_inputs_gives_a_beginning_of_the_effects(
        engine in any_engine(), script in any_script(), share in 0.0..1.0,
    ) {
        let cut = (script.len() as f64 * share) as usize;
        let (mut whole, mut trace, mut at) = (engine.clone(), Trace::new(), Moment::START);
        let mut told = Vec::new();
        for (gap, action) in &script {
            at += Span(*gap);
            act(&mut whole, at, action, &mut trace);
            told.push(trace.len());
        }
        let (mut part, mut beginning, mut at) = (engine, Trace::new(), Moment::START);
        for (gap, action) in &script[..cut] {
            at += Span(*gap);
            act(&mut part, at, action, &mut beginning);
        }
        let wanted = cut.checked_sub(1).map_or(0, |last| told[last]);
        prop_assert_eq!(&beginning[..], &trace[..wanted]);
    }

    #[test]
    fn effects_never_go_back_in_time_and_numbers_only_rise(engine in any_engine(), script in any_script()) {
        let (_, trace) = run(engine, &script, None);
        prop_assert!(trace.windows(2).all(|pair| pair[0].0 <= pair[1].0));
        let numbers: Vec<u64> = trace.iter().filter_map(|(_, effect)| match effect {
            Effect::Highlight { number, .. } => Some(*number),
            _ => None,
        }).collect();
        prop_assert!(numbers.windows(2).all(|pair| pair[0] < pair[1]));
    }

    #[test]
    fn presses_come_in_pairs_and_are_decided_once(engine in any_engine(), script in any_script()) {
        let (_, trace) = run(engine, &script, None);
        for switch in 0..3 {
            one_switch_in_order(&trace, Switch(switch))?;
        }
    }

    #[test]
    fn a_highlight_is_taken_at_most_once_and_only_after_it_was_sent(engine in any_engine(), script in any_script()) {
        let (_, trace) = run(engine, &script, None);
        let mut newest = 0;
        let mut used = 0;
        for (_, effect) in &trace {
            match effect {
                Effect::Highlight { number, .. } => newest = *number,
                Effect::Taken { number, .. } | Effect::Entered { number, .. } => {
                    prop_assert!(*number > used && *number <= newest, "{} of {}, used {}", number, newest, used);
                    used = *number;
                }
                _ => {}
            }
        }
    }

    #[test]
    fn nothing_handed_in_makes_it_panic(
        engine in any_engine(),
        script in proptest::collection::vec((any_stamp(), any_act(), any::<u8>()), 0..80),
    ) {
        let mut engine = engine;
        let mut trace = Trace::new();
        for (at, action, switch) in script {
            let action = if let Act::Edge(_, down) = action { Act::Edge(switch, down) } else { action };
            act(&mut engine, at, &action, &mut trace);
        }
    }

    #[test]
    fn run_until_equals_stepping(
        settings in any_settings(), menu in 0..MENUS.len(), script in any_script(), watched in any_watch(),
    ) {
        let mut engine = Engine::new(Menu::new(MENUS[menu]).tree, &settings);
        engine.assume_shown(true);
        let (mut stepped, mut jumped) = (engine.clone(), engine);
        let mut at = Moment::START;
        for (gap, action) in script.iter().chain([(40_000_000, Act::Halt)].iter()) {
            let next = at + Span(*gap);
            let seen = until(&mut stepped, next, watched);
            let (mut trace, found) = (Trace::new(), jumped.run_until(next, watched, &mut Vec::new()));
            prop_assert_eq!(found, seen);
            let from = found.unwrap_or(next);
            prop_assert_eq!(stepped.now(), jumped.now());
            prop_assert_eq!(stepped.lit(), jumped.lit());
            prop_assert_eq!(stepped.deadline(), jumped.deadline());
            let mut other = Trace::new();
            act(&mut stepped, from, action, &mut trace);
            act(&mut jumped, from, action, &mut other);
            prop_assert_eq!(trace, other);
            at = from;
        }
    }

    #[test]
    fn run_until_tells_all_of_the_instant_at_which_it_stops(
        settings in any_settings(), menu in 0..MENUS.len(), script in any_script(), watched in any_watch(),
    ) {
        let mut engine = Engine::new(Menu::new(MENUS[menu]).tree, &settings);
        engine.assume_shown(true);
        let (mut stepped, mut whole) = run(engine.clone(), &script, None);
        stepped.advance(stepped.now() + Span(37_777_777), &mut whole);
        let (mut trace, mut at, mut known) = (Trace::new(), Moment::START, Trace::new());
        // The last wait reaches as far as that of the steps.
        for (gap, action) in script.iter().chain([(77_777_777, Act::Frame(0))].iter()) {
            at += Span(*gap);
            while let Some(stopped) = engine.run_until(at, watched, &mut trace) {
                prop_assert!(trace.iter().all(|(when, _)| *when == stopped));
                known.append(&mut trace);
            }
            act(&mut engine, at, action, &mut known);
        }
        let seen = |trace: &Trace| -> Trace {
            trace.iter().filter(|(_, effect)| watched.sees(effect)).cloned().collect()
        };
        prop_assert_eq!(seen(&whole), seen(&known));
    }
}

/// Stamps that jump back and forth, with the ends of time among them.
fn any_stamp() -> impl Strategy<Value = Moment> {
    let stamp = prop_oneof![20 => 0..60_000_000_u64, 1 => Just(0), 1 => 0..u64::from(u32::MAX)];
    stamp.prop_map(Moment)
}

fn any_watch() -> impl Strategy<Value = Watch> {
    proptest::option::of((0..3_u16, 0..4_u16))
        .prop_map(|entry| Watch { entry: entry.map(|(group, entry)| (GroupIx(group), EntryIx(entry))) })
}

/// What `run_until` says it does, done one deadline at a time.
fn until(engine: &mut Engine, limit: Moment, watch: Watch) -> Option<Moment> {
    while let Some(due) = engine.deadline().filter(|due| *due <= limit) {
        let mut trace = Trace::new();
        engine.advance(due, &mut trace);
        if trace.iter().any(|(_, effect)| watch.sees(effect)) {
            return Some(due);
        }
    }
    engine.advance(limit, &mut Trace::new());
    None
}

/// A contact closes, is decided at most once, and opens, in this order.
fn one_switch_in_order(trace: &Trace, switch: Switch) -> Result<(), TestCaseError> {
    let mut down: Option<Moment> = None;
    let mut counted = Vec::new();
    for (_, effect) in trace {
        match effect {
            Effect::Pressed { switch: by, edge } if *by == switch => {
                prop_assert_eq!(down, None);
                down = Some(*edge);
            }
            Effect::Released { switch: by, pressed, edge } if *by == switch => {
                prop_assert_eq!(down, Some(*pressed));
                prop_assert!(edge >= pressed);
                down = None;
            }
            Effect::Activated(by) if by.switch == switch => {
                prop_assert!(by.accepted >= by.pressed);
                counted.push((by.pressed, by.accepted));
            }
            _ => {}
        }
    }
    let twice = counted.windows(2).any(|pair| pair[0] == pair[1] && pair[0].0 != pair[0].1);
    prop_assert!(!twice, "a press counted twice");
    Ok(())
}

#[test]
fn a_switch_with_the_highest_number_works() {
    let mut engine = Engine::new(Arc::new(ScanTree::linear(3)), &Settings::default());
    let mut trace = Trace::new();
    engine.input(Moment(5), Input::Edge { switch: Switch(255), down: true }, &mut trace);
    assert!(matches!(trace[0].1, Effect::Pressed { switch: Switch(255), .. }));
}

#[test]
fn run_until_tells_the_effects_of_many_switches_at_once() {
    let settings = with("stuck_limit 3, technique step");
    let mut engine = Engine::new(Arc::new(ScanTree::linear(3)), &settings);
    engine.assume_shown(true);
    for switch in 0..20 {
        engine.input(Moment(5), Input::Edge { switch: Switch(switch), down: true }, &mut Trace::new());
    }
    let mut trace = Trace::new();
    let stopped = engine.run_until(Moment(9_000_000), Watch { entry: None }, &mut trace);
    assert_eq!(stopped, Some(Moment(3_000_005)));
    assert_eq!(
        trace,
        (0..20).map(|switch| (Moment(3_000_005), Effect::Stuck { switch: Switch(switch) })).collect::<Trace>()
    );
}

#[test]
fn run_until_lets_the_filter_speak_before_a_step_in_the_same_instant() {
    let mut engine = Engine::new(Menu::new("(a b c d)").tree, &with("long_press 2, lockout 3"));
    engine.assume_shown(true);
    let mut trace = Trace::new();
    engine.input(Moment(0), Input::Start, &mut trace);
    let press = Input::Edge { switch: Switch(0), down: true };
    engine.input(Moment(0), press, &mut trace);
    trace.clear();
    let mut stepped = engine.clone();
    let watch = Watch { entry: None };
    assert_eq!(engine.run_until(Moment(9_000_000), watch, &mut trace), Some(Moment(2_000_000)));
    let mut wanted = Trace::new();
    stepped.advance(Moment(1_999_999), &mut Trace::new());
    stepped.advance(Moment(2_000_000), &mut wanted);
    assert_eq!(trace, wanted);
}
