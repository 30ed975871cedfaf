//! What a press acts on when the screen lags behind the schedule, and what late frames lead to, one
//! script each. Times are milliseconds; an item stays lit for one second.

use crate::engine_rig::frames;

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
fn a_frame_in_time_ends_the_row_of_late_ones() {
    frames(
        "",
        "a b",
        "0 start     | 0 light a #1
                     | 250 stalled, 250 late
                     | 250 light a #2
                     | 500 stalled, 500 late
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
         5000 stalled | 5000 stalled, 4000 late
                      | 5000 light a #2
         900 down     | 5000 ignored from 900: nothing lit
         5020 frame 2
         6100 wait    | 6020 light b #3",
    );
}
