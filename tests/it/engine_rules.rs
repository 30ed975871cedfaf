//! The rules of the scan, one script each. Times are milliseconds; an item stays lit for one second
//! where the script does not say otherwise.

use crate::engine_rig::{frames, scan};

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
fn a_press_acts_on_the_last_highlight_shown_though_the_schedule_has_moved_on() {
    frames(
        "",
        "a b c",
        "0 start      | 0 light a #1
         30 frame 1
         1010 down    | 1000 light b #2
                      | 1010 take a, 980 after it was shown
                      | 1010 light a #3
         1030 frame 2
         1040 frame 3",
    );
}

#[test]
fn a_late_stamp_keeps_its_value() {
    frames(
        "",
        "a b c",
        "0 start        | 0 light a #1
         20 frame 1     | 1000 light b #2
         1020 frame 2
         1015@1050 down | 1050 take a, 995 after it was shown
                        | 1050 light a #3",
    );
}

#[test]
fn the_second_press_of_a_double_press_finds_nothing_before_the_new_group_is_seen() {
    frames(
        "",
        "(a b) (c d)",
        "0 start     | 0 light [a] #1
         20 frame 1
         500 down    | 500 enter [a], 480 after it was shown
                     | 500 light a #2
         510 up
         515 down    | 515 ignored from 515: nothing lit
         520 frame 2
         560 up
         700 down    | 700 take a, 180 after it was shown
                     | 700 light [a] #3",
    );
}

#[test]
fn a_frame_in_the_same_microsecond_comes_before_the_press() {
    frames(
        "",
        "a b",
        "0 start     | 0 light a #1
         20 frame 1
         20 down     | 20 take a, 0 after it was shown
                     | 20 light a #2",
    );
}

#[test]
fn a_highlight_that_was_never_shown_is_no_opportunity() {
    frames(
        "",
        "a b c",
        "0 start         | 0 light a #1
         20 frame 1      | 1000 light b #2
         1010 down       | 1010 take a, 990 after it was shown
                         | 1010 light a #3
         1020 up
         1040 frame 3
         1035@1050 down  | 1050 ignored from 1035: nothing lit
         1060 up
         1060 frame 2
         1070 down       | 1070 take a, 30 after it was shown
                         | 1070 light a #4",
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
fn a_frame_overdue_lights_the_item_again_and_the_schedule_starts_from_that_frame() {
    frames(
        "",
        "a b",
        "0 start     | 0 light a #1
         240 down    | 240 ignored from 240: nothing lit
         260 wait    | 250 stalled, 250 late
                     | 250 light a #2
         280 frame 2
         1300 wait   | 1280 light b #3
         1300 frame 3",
    );
}

#[test]
fn a_frame_of_before_the_stall_takes_nothing() {
    frames(
        "",
        "a b",
        "0 start     | 0 light a #1
                     | 250 stalled, 250 late
                     | 250 light a #2
         260 frame 1
         270 down    | 270 ignored from 270: nothing lit
         280 frame 2
         290 up
         300 down    | 300 take a, 20 after it was shown
                     | 300 light a #3",
    );
}

#[test]
fn three_late_frames_running_stop_the_scan() {
    frames(
        "",
        "a b",
        "0 start     | 0 light a #1
                     | 250 stalled, 250 late
                     | 250 light a #2
                     | 500 stalled, 250 late
                     | 500 light a #3
                     | 750 stalled, 250 late
                     | 750 stop: lag
                     | 750 dark #4
         9000 down   | 9000 ignored from 9000: nothing lit",
    );
}

#[test]
fn a_frame_in_time_ends_the_row_of_late_ones() {
    frames(
        "",
        "a b",
        "0 start     | 0 light a #1
                     | 250 stalled, 250 late
                     | 250 light a #2
                     | 500 stalled, 250 late
                     | 500 light a #3
         520 frame 3
         1530 frame 4 | 1520 light b #4
                     | 2520 light a in pass 2 #5
                     | 2770 stalled, 250 late
                     | 2770 light a in pass 2 #6
         2780 frame 6",
    );
}

#[test]
fn a_shell_that_slept_acts_on_nothing_of_that_time() {
    frames(
        "",
        "a b",
        "0 start      | 0 light a #1
         20 frame 1
         5000 stalled | 5000 stalled, 5000 late
                      | 5000 light a #2
         900 down     | 5000 ignored from 900: nothing lit
         5020 frame 2
         6100 wait    | 6020 light b #3",
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
