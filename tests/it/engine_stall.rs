//! Late frames and late wakes. The limit is a quarter of the second that an item stays lit.

use crate::engine_rig::frames;

#[test]
fn a_frame_at_the_very_limit_is_late() {
    frames(
        "",
        "a b",
        "0 start     | 0 light a #1
         250 frame 1 | 250 stalled, 250 late
                     | 250 light a #2
         260 frame 2
         1270 frame 3 | 1260 light b #3",
    );
}

#[test]
fn nothing_pressed_before_a_stall_acts_however_long_it_is_held() {
    frames(
        "hold 1.2",
        "a b c",
        "0 start     | 0 light a #1
         10 frame 1
         600 down
         1300 frame 3 | 1000 light b #2
                      | 1250 stalled, 250 late
                      | 1250 light b #3
         1900 up      | 1800 ignored from 600: nothing lit",
    );
}

#[test]
fn a_late_wake_acts_on_nothing_of_its_batch() {
    frames(
        "",
        "a b c",
        "0 start           | 0 light a #1
         10 frame 1
         1600 stalled      | 1600 stalled, 600 late
                           | 1600 light a #2
         700@1600 down     | 1600 ignored from 700: nothing lit
         800@1600 up
         1620 frame 2
         1700 down         | 1700 take a, 80 after it was shown
                           | 1700 light a #3",
    );
}

#[test]
fn a_late_wake_moves_no_step_on() {
    frames(
        "technique step",
        "a b c",
        "0 start           | 0 light a #1
         10 frame 1
         1600 stalled      | 1600 stalled, 0 late
                           | 1600 light a #2
         700@1600 down     | 1600 ignored from 700: nothing lit",
    );
}

#[test]
fn a_lag_of_more_than_half_an_item_three_times_running_stops_the_scan() {
    frames(
        "",
        "a b c d",
        "0 start      | 0 light a #1
         10 frame 1
         1600 frame 4 | 1000 light b #2
                      | 1250 stalled, 250 late
                      | 1250 light b #3
                      | 1500 stalled, 500 late
                      | 1500 light b #4
         3200 frame 7 | 2600 light c #5
                      | 2850 stalled, 250 late
                      | 2850 light c #6
                      | 3100 stalled, 500 late
                      | 3100 light c #7
         4800 frame 10 | 4200 light d #8
                       | 4450 stalled, 250 late
                       | 4450 light d #9
                       | 4700 stalled, 500 late
                       | 4700 light d #10
                       | 4800 stop: lag
                       | 4800 dark #11",
    );
}

#[test]
fn a_frame_in_time_between_makes_good_for_lags() {
    let mut script = String::from("0 start | 0 light a #1\n 10 frame 1\n");
    let mut number = 1;
    for lag in 0..4 {
        let late = 1000 + lag * 2600;
        script += &format!(
            "{} frame {} | {late} light b{} #{}\n | {} stalled, 250 late\n | {} light b{} #{}\n | {} stalled, 500 late\n | {} light b{} #{}\n",
            late + 600,
            number + 3,
            pass(lag),
            number + 1,
            late + 250,
            late + 250,
            pass(lag),
            number + 2,
            late + 500,
            late + 500,
            pass(lag),
            number + 3,
        );
        script += &format!(
            "{} frame {} | {} light a{} #{}\n",
            late + 1600,
            number + 4,
            late + 1600,
            pass(lag + 1),
            number + 4
        );
        number += 4;
    }
    frames("", "a b", &script);
}

fn pass(before: u32) -> String {
    if before == 0 { String::new() } else { format!(" in pass {}", before + 1) }
}

#[test]
fn a_screen_that_shows_nothing_stops_the_scan() {
    frames(
        "",
        "a b",
        "0 start   | 0 light a #1
         9000 wait | 250 stalled, 250 late
                   | 250 light a #2
                   | 500 stalled, 500 late
                   | 500 light a #3
                   | 750 stalled, 750 late
                   | 750 light a #4
                   | 1000 stalled, 1000 late
                   | 1000 light a #5
                   | 1250 stalled, 1250 late
                   | 1250 stop: lag
                   | 1250 dark #6",
    );
}

#[test]
fn a_highlight_that_was_overtaken_does_not_stall() {
    frames(
        "technique step",
        "a b",
        "0 start    | 0 light a #1
         200 down   | 200 light b #2
         440 frame 2
         9000 wait",
    );
}

#[test]
fn the_limit_is_never_below_100_ms() {
    frames(
        "scan_interval 0.3",
        "a b",
        "0 start    | 0 light a #1
         99 frame 1
         399 wait   | 300 light b #2
         400 wait   | 400 stalled, 100 late
                    | 400 light b #3",
    );
}

#[test]
fn a_late_wake_in_the_dark_makes_the_pause_longer() {
    frames(
        "pause_after_selection 1",
        "a b",
        "0 start      | 0 light a #1
         10 frame 1
         500 down     | 500 take a, 490 after it was shown
                      | 500 dark #2
         2000 stalled
         2000 wait    | 2000 light a #3",
    );
}

#[test]
fn an_inverse_scan_let_go_before_a_stall_is_called_off() {
    frames(
        "technique inverse",
        "a b",
        "0 start
         100 down     | 100 light a #1
         110 frame 1
         900 stalled  | 900 stalled, 0 late
                      | 900 light a #2
         800@900 up   | 900 ignored from 800: nothing lit
                      | 900 stop: cancelled
                      | 900 dark #3
         5000 wait",
    );
}
