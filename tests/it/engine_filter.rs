//! The switch filter, edge by edge. Times are milliseconds; no scan is on.

use pacewright::engine::Engine;
use pacewright::engine::effect::{Activation, Effect, Input, Switch};
use pacewright::engine::tree::ScanTree;
use pacewright::time::Moment;

use crate::engine_rig::{filter, with};

#[test]
fn a_tap_of_1_ms_never_sticks() {
    filter(
        "debounce 0.03",
        "100 down | 100 pressed at 100
                  | 100 counts from 100
                  | 100 ignored from 100: nothing lit
         101 up
         200 wait | 130 released at 101 after 1",
    );
}

#[test]
fn bounce_at_both_ends_is_one_press() {
    filter(
        "debounce 0.03",
        "100 down | 100 pressed at 100
                  | 100 counts from 100
                  | 100 ignored from 100: nothing lit
         101 up
         103 down
         104 up
         107 down
         400 up   | 400 released at 400 after 300
         402 down
         403 up
         409 down
         410 up
         500 wait",
    );
}

#[test]
fn the_level_is_looked_at_again_when_the_debounce_ends() {
    filter(
        "debounce 0.03",
        "100 down | 100 pressed at 100
                  | 100 counts from 100
                  | 100 ignored from 100: nothing lit
         120 up   | 130 released at 120 after 20
         145 down | 160 pressed at 145
                  | 160 counts from 145
                  | 160 ignored from 145: nothing lit
         200 wait",
    );
}

#[test]
fn a_change_at_the_end_of_the_debounce_is_no_bounce() {
    filter(
        "debounce 0.03",
        "100 down | 100 pressed at 100
                  | 100 counts from 100
                  | 100 ignored from 100: nothing lit
         130 up   | 130 released at 130 after 30",
    );
}

#[test]
fn a_drop_out_shorter_than_the_tolerance_does_not_end_a_press() {
    filter(
        "drop_out 0.1",
        "100 down | 100 pressed at 100
                  | 100 counts from 100
                  | 100 ignored from 100: nothing lit
         300 up
         399 down
         500 up
         700 wait | 600 released at 500 after 400",
    );
}

#[test]
fn a_contact_back_at_the_end_of_the_tolerance_is_a_new_press() {
    filter(
        "drop_out 0.1",
        "100 down | 100 pressed at 100
                  | 100 counts from 100
                  | 100 ignored from 100: nothing lit
         300 up   | 400 released at 300 after 200
         400 down | 400 pressed at 400
                  | 400 counts from 400
                  | 400 ignored from 400: nothing lit",
    );
}

#[test]
fn a_press_held_too_short_says_so_and_locks_nothing_out() {
    filter(
        "hold 0.3, lockout 0.5",
        "100 down | 100 pressed at 100
         399 up   | 399 released at 399 after 299
                  | 399 ignored from 100: too short
         450 down | 450 pressed at 450
         760 up   | 750 counts from 450
                  | 750 ignored from 450: nothing lit
                  | 760 released at 760 after 310",
    );
}

#[test]
fn a_press_let_go_as_the_hold_time_ends_counts() {
    // In one microsecond the filter's deadlines come before edges.
    filter(
        "hold 0.3",
        "100 down | 100 pressed at 100
         400 up   | 400 counts from 100
                  | 400 ignored from 100: nothing lit
                  | 400 released at 400 after 300",
    );
}

#[test]
fn hold_time_waits_for_a_contact_that_drops_out() {
    filter(
        "hold 0.3, drop_out 0.1",
        "100 down | 100 pressed at 100
         380 up
         430 down
         430 wait | 430 counts from 100
                  | 430 ignored from 100: nothing lit",
    );
}

#[test]
fn acting_on_release_counts_from_the_release() {
    filter(
        "act_on release, hold 0.2",
        "100 down | 100 pressed at 100
         350 up   | 350 released at 350 after 250
                  | 350 counts from 350
                  | 350 ignored from 350: nothing lit
         400 down | 400 pressed at 400
         500 up   | 500 released at 500 after 100
                  | 500 ignored from 400: too short",
    );
}

#[test]
fn acting_on_release_keeps_both_stamps_of_a_drop_out() {
    filter(
        "act_on release, drop_out 0.1",
        "100 down | 100 pressed at 100
         300 up
         500 wait | 400 released at 300 after 200
                  | 400 counts from 300
                  | 400 ignored from 300: nothing lit",
    );
}

#[test]
fn lockout_from_release_is_open_at_its_end() {
    filter(
        "lockout 0.5",
        "100 down | 100 pressed at 100
                  | 100 counts from 100
                  | 100 ignored from 100: nothing lit
         200 up   | 200 released at 200 after 100
         699 down | 699 pressed at 699
                  | 699 ignored from 699: lockout
         699.5 up | 699.5 released at 699.5 after 0.5
         700 down | 700 pressed at 700
                  | 700 counts from 700
                  | 700 ignored from 700: nothing lit",
    );
}

#[test]
fn a_press_that_began_in_the_lockout_never_counts() {
    filter(
        "lockout 0.5, lockout_from press, hold 0.2",
        "100 down | 100 pressed at 100
         400 up   | 300 counts from 100
                  | 300 ignored from 100: nothing lit
                  | 400 released at 400 after 300
         599 down | 599 pressed at 599
                  | 599 ignored from 599: lockout
        2000 up   | 2000 released at 2000 after 1401",
    );
}

#[test]
fn a_restarting_lockout_reports_a_client_shut_out_for_5_s() {
    let mut script = String::from(
        "0 down | 0 pressed at 0
                | 0 counts from 0
                | 0 ignored from 0: nothing lit
         80 up  | 80 released at 80 after 80\n",
    );
    for press in 1..30 {
        let at = press * 200;
        if at == 5_000 {
            script += "| 5000 shut out\n";
        }
        script += &format!("{at} down | {at} pressed at {at}\n | {at} ignored from {at}: lockout\n");
        script += &format!("{} up | {} released at {} after 80\n", at + 80, at + 80, at + 80);
    }
    script += "20000 wait";
    filter("lockout 0.35, lockout_from press, lockout_restarts yes", &script);
}

#[test]
fn a_switch_held_too_long_is_stuck_until_it_is_let_go() {
    filter(
        "stuck_limit 3",
        "100 down  | 100 pressed at 100
                   | 100 counts from 100
                   | 100 ignored from 100: nothing lit
         5000 up   | 3100 stuck
                   | 5000 released at 5000 after 4900
                   | 5000 free again",
    );
}

#[test]
fn a_long_press_that_had_not_counted_never_will() {
    filter(
        "act_on release, long_press 2",
        "100 down  | 100 pressed at 100
         2500 up   | 2100 long press
                   | 2500 released at 2500 after 2400
         2600 down | 2600 pressed at 2600
         2700 up   | 2700 released at 2700 after 100
                   | 2700 counts from 2700
                   | 2700 ignored from 2700: nothing lit",
    );
}

#[test]
fn each_switch_has_a_lockout_of_its_own() {
    filter(
        "lockout 0.5, technique step",
        "100 down   | 100 pressed at 100
                    | 100 counts from 100
                    | 100 ignored from 100: nothing lit
         150 down 2 | 150 pressed 2 at 150
                    | 150 counts 2 from 150
                    | 150 ignored 2 from 150: nothing lit",
    );
}

#[test]
fn other_settings_take_effect_with_the_next_press() {
    filter(
        "hold 0.3",
        "100 down      | 100 pressed at 100
         200 set hold 1
         450 up        | 400 counts from 100
                       | 400 ignored from 100: nothing lit
                       | 450 released at 450 after 350
         500 down      | 500 pressed at 500
         1400 up       | 1400 released at 1400 after 900
                       | 1400 ignored from 500: too short",
    );
}

#[test]
fn settings_that_come_while_the_contact_bounces_hold_from_the_next_press_too() {
    filter(
        "debounce 0.03",
        "100 down      | 100 pressed at 100
                       | 100 counts from 100
                       | 100 ignored from 100: nothing lit
         200 up        | 200 released at 200 after 100
         205 down
         206 set hold 1
         207 up
         500 down      | 500 pressed at 500
         900 up        | 900 released at 900 after 400
                       | 900 ignored from 500: too short",
    );
}

#[test]
fn a_press_is_never_accepted_before_the_engine_could_know() {
    // The drop-out tolerance is over while the contact bounces; only the last bounce settles it.
    let mut engine = Engine::new(ScanTree::linear(1).into(), &with("act_on release, drop_out 0.01, debounce 0.03"));
    let mut trace = Vec::new();
    for (at, down) in [(100_000, true), (300_000, false), (305_000, true), (325_000, false)] {
        engine.input(Moment(at), Input::Edge { switch: Switch(0), down }, &mut trace);
    }
    engine.advance(Moment(400_000), &mut trace);
    let by = Activation { switch: Switch(0), pressed: Moment(300_000), accepted: Moment(325_000) };
    assert!(trace.contains(&(Moment(325_000), Effect::Activated(by))), "{trace:?}");
}

/// A tremor of 5 Hz for 6 s: 30 presses of 80 ms each, one every 200 ms. Gives how many count.
fn counted_in_a_tremor(settings: &str) -> usize {
    let mut engine = Engine::new(ScanTree::linear(1).into(), &with(settings));
    let mut trace = Vec::new();
    for press in 0..30 {
        for (at, down) in [(press * 200_000, true), (press * 200_000 + 80_000, false)] {
            engine.input(Moment(at), Input::Edge { switch: Switch(0), down }, &mut trace);
        }
    }
    engine.advance(Moment(10_000_000), &mut trace);
    trace.iter().filter(|(_, effect)| matches!(effect, Effect::Activated(_))).count()
}

#[test]
fn only_a_restarting_lockout_stops_a_tremor_whose_period_is_near_it() {
    // Counts computed. From the press, 0.35 s lets every second press through; from the release
    // (0.08 + 0.35 s) every third. EN 301 549 v3.2.1 clause 5.8 asks that the control against
    // repeated strikes reaches at least 0.5 s: then every third press counts, and every third.
    let debounced = |lockout: &str| counted_in_a_tremor(&format!("debounce 0.03, {lockout}"));
    assert_eq!(debounced("lockout 0"), 30);
    assert_eq!(debounced("lockout 0.35, lockout_from press"), 15);
    assert_eq!(debounced("lockout 0.35, lockout_from release"), 10);
    assert_eq!(debounced("lockout 0.35, lockout_from press, lockout_restarts yes"), 1);
    assert_eq!(debounced("lockout 0.35, lockout_from release, lockout_restarts yes"), 1);
    assert_eq!(debounced("lockout 0.5, lockout_from press"), 10);
    assert_eq!(debounced("lockout 0.5, lockout_from release"), 10);
}
