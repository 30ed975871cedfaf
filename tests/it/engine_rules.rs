//! The rules of the automatic scan, one script each. Times are milliseconds; an item stays lit for one
//! second where the script does not say otherwise.

use crate::engine_rig::scan;

#[test]
fn the_first_item_waits_longer_after_a_start_and_inside_a_group() {
    scan(
        "first_after_start 0.5, first_in_group 0.25",
        "(a b) (c d)",
        "0 start   | 0 light [a]
                   | 1500 light [c]
         2000 down | 2000 enter [c], 500 after it was shown
                   | 2000 light c
         2100 up
         4500 wait | 3250 light d
                   | 4250 light c in pass 2",
    );
}

#[test]
fn the_first_item_can_wait_longer_on_every_pass() {
    scan(
        "first_after_start 0.5, first_item_on every-pass",
        "a b",
        "0 start   | 0 light a
                   | 1500 light b
                   | 2500 light a in pass 2
                   | 4000 light b in pass 2
         4500 wait",
    );
}

#[test]
fn the_top_stops_when_its_loops_are_used_up_and_a_press_starts_it_again() {
    scan(
        "loops_top 2",
        "a b",
        "0 start    | 0 light a
                    | 1000 light b
                    | 2000 light a in pass 2
                    | 3000 light b in pass 2
                    | 4000 stop: loops
                    | 4000 dark
         9000 down  | 9000 light a
         9500 halt  | 9500 dark",
    );
}

#[test]
fn a_group_left_by_its_loops_begins_the_pass_above_in_the_same_instant() {
    scan(
        "loops_inside 1, first_after_start 0.5",
        "a (b c)",
        "0 start    | 0 light a
                    | 1500 light [b]
         1600 down  | 1600 enter [b], 100 after it was shown
                    | 1600 light b
                    | 2600 light c
                    | 3600 leave [b]: loops
                    | 3600 light a
         5500 wait  | 5100 light [b]",
    );
}

#[test]
fn an_exit_leads_back_one_level() {
    scan(
        "",
        "(a (b back)) c",
        "0 start    | 0 light [a]
         100 down   | 100 enter [a], 100 after it was shown
                    | 100 light a
                    | 1100 light [b]
         1200 up
         1300 down  | 1300 enter [b], 200 after it was shown
                    | 1300 light b
         1400 up    | 2300 light back
         2400 down  | 2400 leave [b]: exit
                    | 2400 light a",
    );
}

#[test]
fn the_session_can_ask_to_go_back() {
    scan(
        "",
        "(a b)",
        "0 start    | 0 light [a]
         100 down   | 100 enter [a], 100 after it was shown
                    | 100 light a
         200 leave  | 200 leave [a]: asked
                    | 200 light [a]
         300 leave  | 300 stop: asked
                    | 300 dark
         400 up
         500 down   | 500 ignored from 500: nothing lit",
    );
}

#[test]
fn a_window_is_closed_on_the_left_and_open_on_the_right() {
    scan(
        "",
        "a b c",
        "0 start       | 0 light a
         999.999 down  | 999.999 take a, 999.999 after it was shown
                       | 999.999 light a
         1001 up       | 1999.999 light b
         1999.999 down | 1999.999 take b, 0 after it was shown
                       | 1999.999 light a",
    );
}

#[test]
fn a_press_in_the_pause_after_a_selection_takes_nothing() {
    scan(
        "pause_after_selection 1",
        "a b",
        "0 start   | 0 light a
         500 down  | 500 take a, 500 after it was shown
                   | 500 dark
         600 up
         700 down  | 700 ignored from 700: nothing lit
         800 up
         1600 wait | 1500 light a",
    );
}

#[test]
fn a_held_press_takes_the_item_lit_at_acceptance_or_at_the_press() {
    scan(
        "hold 0.5",
        "a b c",
        "0 start   | 0 light a
         800 down  | 1000 light b
         1300 wait | 1300 take b, -200 after it was shown
                   | 1300 light a",
    );
    scan(
        "hold 0.5, item_taken press",
        "a b c",
        "0 start   | 0 light a
         800 down  | 1000 light b
         1300 wait | 1300 take a, 800 after it was shown
                   | 1300 light a",
    );
}

#[test]
fn the_scan_waits_while_a_press_has_to_be_held() {
    scan(
        "hold 0.5, scan_while_held waits",
        "a b c",
        "0 start   | 0 light a
         800 down
         1200 up   | 1200 ignored from 800: too short
                   | 1400 light b
         1500 down
         2100 up   | 2000 take b, 100 after it was shown
                   | 2000 light a
         3100 wait | 3000 light b",
    );
}

#[test]
fn a_press_starts_the_scan_where_a_press_has_to() {
    scan(
        "start by-press, loops_top 1",
        "a b",
        "0 start     |
         5000 down   | 5000 light a
         5100 up     | 6000 light b
                     | 7000 stop: loops
                     | 7000 dark
         8000 down   | 8000 light a
         8100 up",
    );
}

#[test]
fn after_a_selection_the_scan_carries_on_in_its_group_or_stops() {
    scan(
        "after_selection carry-on, pause_after_selection 0.5",
        "(a b)",
        "0 start    | 0 light [a]
         100 down   | 100 enter [a], 100 after it was shown
                    | 100 light a
         200 up
         600 down   | 600 take a, 500 after it was shown
                    | 600 dark
         700 up     | 1100 light b
         1200 down  | 1200 take b, 100 after it was shown
                    | 1200 dark
         1800 wait  | 1700 light a",
    );
    scan(
        "after_selection stop",
        "a b",
        "0 start    | 0 light a
         100 down   | 100 take a, 100 after it was shown
                    | 100 dark
         200 up
         300 down   | 300 ignored from 300: nothing lit
         9000 wait",
    );
}

#[test]
fn a_switch_held_past_the_limit_stops_the_scan_and_nothing_starts_it_but_the_session() {
    scan(
        "stuck_limit 3, start by-press",
        "a b",
        "0 start    |
         1000 down  | 1000 light a
                    | 2000 light b
                    | 3000 light a in pass 2
                    | 4000 stuck
                    | 4000 stop: stuck
                    | 4000 dark
         9000 up    | 9000 free again
         9500 down  | 9500 ignored from 9500: nothing lit",
    );
}

#[test]
fn a_long_press_leads_back_one_level() {
    scan(
        "long_press 2, act_on release",
        "(a b) c",
        "0 start    | 0 light [a]
         100 down
         200 up     | 200 enter [a], 200 after it was shown
                    | 200 light a
         700 down   | 1200 light b
                    | 2200 light a in pass 2
                    | 2700 long press
                    | 2700 leave [a]: long press
                    | 2700 light [a]
         3000 up
         3100 wait",
    );
}

#[test]
fn other_settings_hold_from_the_next_item_on() {
    scan(
        "",
        "a b c",
        "0 start                  | 0 light a
         500 set scan_interval 2  | 1000 light b
         3500 wait                | 3000 light c",
    );
}

#[test]
fn a_start_while_scanning_begins_again_at_the_top() {
    scan(
        "",
        "a b c",
        "0 start     | 0 light a
                     | 1000 light b
         1500 start  | 1500 light a
         2600 wait   | 2500 light b",
    );
}
