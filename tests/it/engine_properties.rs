//! What holds for the engine whatever the settings, the menu and the inputs.

use std::sync::Arc;

use pacewright::engine::Engine;
use pacewright::engine::effect::{Effect, Input, Switch};
use pacewright::engine::tree::ScanTree;
use pacewright::settings::Settings;
use pacewright::time::{Moment, Span};
use proptest::prelude::*;

use crate::engine_draws::{Act, Trace, act, any_act, any_engine, any_script, any_stamp, run};

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
}

/// A contact closes, is decided at most once, and opens, in this order.
fn one_switch_in_order(trace: &Trace, switch: Switch) -> Result<(), TestCaseError> {
    let mut down: Option<Moment> = None;
    let mut counted = Vec::new();
    for (at, effect) in trace {
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
                prop_assert_eq!(by.accepted, *at);
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
