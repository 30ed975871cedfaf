//! What a press acts on, and what a press may start. Times are milliseconds, computed.

use crate::engine_rig::{frames, scan};

#[test]
fn a_frame_that_comes_after_a_newer_one_revives_nothing() {
    frames(
        "technique step",
        "a b c",
        "0 start     | 0 light a #1
         10 down     | 10 light b #2
         20 frame 2
         30 frame 1
         40 down 2   | 40 take b, 20 after it was shown
                     | 40 light a #3",
    );
}

#[test]
fn one_frame_stands_for_all_highlights_up_to_its_number() {
    frames(
        "technique step",
        "a b c",
        "0 start     | 0 light a #1
         10 down     | 10 light b #2
         20 frame 7
         40 down 2   | 40 take b, 20 after it was shown
                     | 40 light a #3",
    );
}

#[test]
fn the_last_item_can_be_taken_until_the_client_sees_that_the_scan_has_stopped() {
    frames(
        "loops_top 1",
        "a",
        "0 start     | 0 light a #1
         10 frame 1
         1010 down   | 1000 stop: loops
                     | 1000 dark #2
                     | 1010 take a, 1000 after it was shown
                     | 1010 light a #3",
    );
    frames(
        "loops_top 1",
        "a",
        "0 start     | 0 light a #1
         10 frame 1
         1010 frame 2 | 1000 stop: loops
                      | 1000 dark #2
         1020 down    | 1020 light a #3",
    );
}

#[test]
fn a_start_by_press_waits_until_the_dark_has_been_seen() {
    frames(
        "start by-press, after_selection stop",
        "a",
        "0 start
         10 down      | 10 light a #1
         20 up
         30 frame 1
         500 down     | 500 take a, 470 after it was shown
                      | 500 dark #2
         510 up
         515 down     | 515 ignored from 515: nothing lit
         520 frame 2
         525 up
         530 down     | 530 light a #3",
    );
}

#[test]
fn nothing_starts_after_a_halt() {
    scan(
        "start by-press",
        "a",
        "0 start
         10 down | 10 light a
         20 halt | 20 dark
         25 up
         30 down | 30 ignored from 30: nothing lit",
    );
}

#[test]
fn a_hold_that_ends_with_the_window_takes_the_item_before() {
    // The filter's deadline comes before the scan's.
    scan(
        "hold 0.3",
        "a b c",
        "0 start   | 0 light a
         700 down
         1000 wait | 1000 take a, 700 after it was shown
                   | 1000 light a",
    );
}

#[test]
fn acting_on_release_takes_what_was_seen_at_the_release() {
    scan(
        "act_on release, drop_out 0.1",
        "a b c",
        "0 start   | 0 light a
         900 down
         1050 up
         1200 wait | 1000 light b
                   | 1150 take b, 50 after it was shown
                   | 1150 light a",
    );
}

#[test]
fn a_long_press_leaves_a_group_and_rests_at_the_top() {
    scan(
        "long_press 2, act_on release",
        "(a b) c",
        "0 start    | 0 light [a]
         300 down
         350 up     | 350 enter [a], 350 after it was shown
                    | 350 light a
         400 down
         2500 up    | 1350 light b
                    | 2350 light a in pass 2
                    | 2400 long press
                    | 2400 leave [a]: long press
                    | 2400 light [a]
         2600 down
         5000 up    | 3400 light c
                    | 4400 light [a] in pass 2
                    | 4600 long press
                    | 4600 stop: long press
                    | 4600 dark",
    );
}

#[test]
fn another_technique_begins_the_group_anew() {
    scan(
        "technique inverse",
        "a b",
        "0 start
         500 set technique automatic | 500 light a
         1600 wait                   | 1500 light b",
    );
}
#[test]
fn inverse_takes_what_was_lit_at_the_release_once_it_has_lasted() {
    scan(
        "technique inverse, drop_out 0.1",
        "a b c",
        "0 start
         500 down  | 500 light a
         1700 up
         1750 down | 1500 light b
         2590 up
         2700 wait | 2500 light c
                   | 2690 take c, 90 after it was shown
                   | 2690 dark",
    );
}

#[test]
fn inverse_has_a_stuck_limit_of_all_loops_and_5_s() {
    // Two loops of (0.5 s + 2 × 1 s), and 5 s.
    scan(
        "technique inverse, loops_top 2, first_after_start 0.5, stuck_limit 3, lockout 0",
        "a b",
        "0 start
         1000 down  | 1000 light a
         20000 wait | 2500 light b
                    | 3500 light a in pass 2
                    | 4500 light b in pass 2
                    | 5500 stop: loops
                    | 5500 dark
                    | 11000 stuck",
    );
}

#[test]
fn hold_time_has_no_part_in_inverse_scanning() {
    scan(
        "technique inverse, hold 1",
        "a",
        "0 start
         500 down | 500 light a
         600 up   | 600 take a, 100 after it was shown
                  | 600 dark",
    );
}

#[test]
fn inverse_let_go_before_the_dark_is_seen_takes_the_last_item() {
    frames(
        "technique inverse, loops_inside 1",
        "(a) b",
        "0 start
         100 down     | 100 light [a] #1
         110 frame 1
         200 up       | 200 enter [a], 90 after it was shown
                      | 200 dark #2
         210 frame 2
         300 down     | 300 light a #3
         310 frame 3
         1300.5 up    | 1300 leave [a]: loops
                      | 1300 dark #4
                      | 1300.5 take a, 990.5 after it was shown",
    );
}
