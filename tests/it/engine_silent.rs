//! The silent path equals stepping, whatever the settings, the menu and the inputs.

use std::sync::Arc;

use pacewright::engine::effect::{Effect, Input, Lit, Switch};
use pacewright::engine::tree::ScanTree;
use pacewright::engine::{Engine, Watch};
use pacewright::settings::Id;
use pacewright::time::{Moment, Span};
use proptest::prelude::*;

use crate::engine_draws::{Act, MENUS, Trace, act, any_script, any_settings, any_watch, run};
use crate::engine_rig::{Menu, with};

proptest! {
    #![proptest_config(ProptestConfig { cases: 100, failure_persistence: None, ..ProptestConfig::default() })]

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
    fn run_until_tells_all_that_is_watched_and_stops_at_each_instant_of_it(
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
                let mut watched_at = trace.iter().filter(|(_, effect)| watched.sees(effect)).map(|(at, _)| *at);
                prop_assert!(watched_at.clone().count() > 0 && watched_at.all(|at| at == stopped));
                known.append(&mut trace);
            }
            prop_assert!(!trace.iter().any(|(_, effect)| watched.sees(effect)));
            trace.clear();
            act(&mut engine, at, action, &mut known);
        }
        let seen = |trace: &Trace| -> Trace {
            trace.iter().filter(|(_, effect)| watched.sees(effect)).cloned().collect()
        };
        prop_assert_eq!(seen(&whole), seen(&known));
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_tap_equals_two_edges(
        settings in any_settings(), plain in any::<bool>(), at_once in any::<bool>(), menu in 0..MENUS.len(),
        script in any_script(),
    ) {
        let changes = [(Id::Debounce, 0), (Id::DropOut, 0), (Id::Hold, 0), (Id::ActOn, 0)];
        let settings = changes.into_iter().filter(|_| plain).fold(settings, |settings, (id, raw)| settings.with(id, raw));
        let mut engine = Engine::new(Menu::new(MENUS[menu]).tree, &settings);
        engine.assume_shown(at_once);
        let (mut tapped, mut pressed) = (engine.clone(), engine);
        let (mut found, mut wanted, mut at) = (Trace::new(), Trace::new(), Moment::START);
        for (gap, action) in &script {
            at += Span(*gap);
            if let Act::Edge(switch, true) = action {
                tapped.tap(at, Switch(*switch), &mut found);
                act(&mut pressed, at, action, &mut wanted);
                act(&mut pressed, at, &Act::Edge(*switch, false), &mut wanted);
            } else {
                act(&mut tapped, at, action, &mut found);
                act(&mut pressed, at, action, &mut wanted);
            }
            prop_assert_eq!(&tapped, &pressed);
        }
        prop_assert_eq!(found, wanted);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_rest_of_a_pass_equals_stepping(
        settings in any_settings(), plain in any::<bool>(), menu in 0..MENUS.len(), script in any_script(),
    ) {
        let changes = [(Id::Technique, 0), (Id::Debounce, 0), (Id::DropOut, 0), (Id::Hold, 0), (Id::ActOn, 0)];
        let settings = changes.into_iter().filter(|_| plain).fold(settings, |settings, (id, raw)| settings.with(id, raw));
        let mut engine = Engine::new(Menu::new(MENUS[menu]).tree, &settings);
        engine.assume_shown(true);
        let (mut stepped, mut skipped) = (engine.clone(), engine);
        let (mut wanted, mut found, mut at) = (Trace::new(), Trace::new(), Moment::START);
        for (gap, action) in &script {
            at += Span(*gap);
            if let Some(rest) = skipped.rest().filter(|rest| at < rest.ends()) {
                let mut ahead = Trace::new();
                stepped.clone().advance(Moment(rest.ends().0 - 1), &mut ahead);
                for (due, effect) in ahead {
                    let Effect::Highlight { lit: lit @ Lit::Entry { group, entry, .. }, .. } = effect else {
                        return Err(TestCaseError::fail(format!("{effect:?} in the rest of a pass")));
                    };
                    prop_assert_eq!(rest.lights(group, entry, false), Some((due, lit)));
                }
                stepped.advance(at, &mut Trace::new());
                if let Act::Edge(switch, true) = action {
                    skipped.skip_and_tap(at, &rest, Switch(*switch), &mut found);
                    stepped.tap(at, Switch(*switch), &mut wanted);
                } else {
                    skipped.skip_to(at, &rest);
                }
            }
            if !matches!(action, Act::Edge(_, true)) {
                act(&mut stepped, at, action, &mut wanted);
                act(&mut skipped, at, action, &mut found);
            }
            prop_assert_eq!(stepped.lit(), skipped.lit());
            prop_assert_eq!((stepped.now(), stepped.deadline()), (skipped.now(), skipped.deadline()));
        }
        prop_assert_eq!(found, wanted);
    }
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
    trace.retain(|(_, effect)| watch.sees(effect));
    wanted.retain(|(_, effect)| watch.sees(effect));
    assert_eq!(trace, wanted);
}
