//! Step and inverse scanning, one script each. Times are milliseconds; an item stays lit for one second
//! where the script does not say otherwise.

use crate::engine_rig::{frames, scan};

#[test]
fn two_switches_step_and_take() {
    scan(
        "technique step",
        "a b c",
        "0 start      | 0 light a
         60000 down   | 60000 light b
         60100 up
         61000 down 2 | 61000 take b, 1000 after it was shown
                      | 61000 light a",
    );
}

#[test]
fn stepping_past_the_end_goes_on_and_leaves_a_group_by_its_loops() {
    scan(
        "technique step, loops_inside 1",
        "(a b)",
        "0 start     | 0 light [a]
         100 down 2  | 100 enter [a], 100 after it was shown
                     | 100 light a
         200 down    | 200 light b
         300 up
         400 down    | 400 leave [a]: loops
                     | 400 light [a]
         500 up
         600 down    | 600 light [a] in pass 2",
    );
}

#[test]
fn with_one_switch_nothing_is_lit_until_the_first_step_and_a_pause_takes() {
    scan(
        "technique step-auto-accept, auto_accept 2",
        "a (b c)",
        "0 start    | 
         60000 down | 60000 light a
         60100 up
         61000 down | 61000 light [b]
         61100 up   | 63000 enter [b], 2000 after it was shown
                    | 63000 dark
         90000 down | 90000 light b
         90100 up   | 92000 take b, 2000 after it was shown
                    | 92000 dark
         99000 wait",
    );
}

#[test]
fn inverse_scans_while_held_and_takes_on_release() {
    scan(
        "technique inverse",
        "a (b c)",
        "0 start     |
         1000 down   | 1000 light a
                     | 2000 light [b]
         2500 up     | 2500 enter [b], 500 after it was shown
                     | 2500 dark
         9000 down   | 9000 light b
         9400 up     | 9400 take b, 400 after it was shown
                     | 9400 dark
         9900 wait",
    );
}

#[test]
fn inverse_takes_the_item_of_the_release_though_a_drop_out_is_waited_for() {
    scan(
        "technique inverse, drop_out 0.1",
        "a b c",
        "0 start     |
         1000 down   | 1000 light a
                     | 2000 light b
         2950 up     | 3000 light c
         3100 wait   | 3050 take b, 950 after it was shown
                     | 3050 dark",
    );
}

#[test]
fn inverse_released_before_anything_was_seen_is_called_off() {
    frames(
        "technique inverse",
        "a b c",
        "0 start     |
         1000 down   | 1000 light a #1
         1010 up     | 1010 ignored from 1010: nothing lit
                     | 1010 stop: cancelled
                     | 1010 dark #2
         1020 frame 2
         2000 down   | 2000 light a #3
         2020 frame 3
         2500 up     | 2500 take a, 480 after it was shown
                     | 2500 dark #4",
    );
}

#[test]
fn a_switch_without_a_part_is_told_so() {
    scan(
        "technique inverse",
        "a b",
        "0 start     |
         100 down 2
         200 up 2    | 200 ignored 2 from 200: no role",
    );
    scan(
        "technique step",
        "a b",
        "0 start     | 0 light a
         100 down 3  | 100 ignored 3 from 100: no role",
    );
}

#[test]
fn inverse_can_be_started_by_its_press_and_again_after_its_loops() {
    scan(
        "technique inverse, start by-press, loops_top 1",
        "a b",
        "0 start     |
         1000 down   | 1000 light a
                     | 2000 light b
                     | 3000 stop: loops
                     | 3000 dark
         3500 up     | 3500 ignored from 3500: nothing lit
         4000 down   | 4000 light a
         4200 up     | 4200 take a, 200 after it was shown
                     | 4200 dark",
    );
}

#[test]
fn with_one_switch_the_press_that_starts_is_the_first_step() {
    scan(
        "technique step-auto-accept, start by-press, auto_accept 2",
        "a b",
        "0 start     |
         1000 down   | 1000 light a
         1100 up
         2000 down   | 2000 light b
         2100 up     | 4000 take b, 2000 after it was shown
                     | 4000 dark
         5000 wait",
    );
}

#[test]
fn an_item_that_nobody_saw_is_never_taken_by_a_pause() {
    frames(
        "technique step-auto-accept, auto_accept 0.5",
        "a b",
        "0 start                 |
         1000 down               | 1000 light a #1
         1050 set technique step-auto-accept, auto_accept 20
         1600 wait               | 1500 stalled, 500 late
                                 | 1500 light a #2",
    );
}
