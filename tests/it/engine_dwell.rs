//! A pointer over tiles of 1° with 1° between: dwell 1 s, leave tolerance 0.2 s and 0.3°. Times are
//! milliseconds, places thousandths of a degree.

use crate::engine_rig::scan;

const DWELL: &str = "technique dwell, dwell 0.8, leave_time 0.2, leave_angle 0.3";

/// The eighths of a dwell of 0.8 s that begins at `since`, up to `last`.
fn filling(since: u32, last: u32) -> String {
    (1..=last).map(|eighth| format!("| {} filled {eighth}/8\n", since + 100 * eighth)).collect()
}

#[test]
fn resting_takes_after_the_dwell_time_and_the_edge_fills_meanwhile() {
    let script = format!(
        "0 start    |
         0 tiles 3  |
         500 point 1500 |
         1000 point 2100 | 1000 light b
         2000 wait
         {} | 1800 stayed on b for 800
            | 1800 take b, 800 after it was shown
            | 1800 dark",
        filling(1_000, 7)
    );
    // A pointer is on the tile when the tile lights: the press began then.
    scan(DWELL, "a b c", &script.replace("take b, 800 after", "take b, 0 after"));
}

#[test]
fn a_short_or_a_near_absence_does_not_end_the_stay_and_a_long_one_does() {
    let script = "0 start     |
         0 tiles 3   |
         1000 point 2100 | 1000 light b
         1150 point 3299 | 1100 filled 1/8
         1250 point 3500 | 1200 filled 2/8
         1440 point 2500 |
         1540 point 1400 | 1440 filled 3/8
                         | 1440 filled 4/8
                         | 1500 filled 5/8
         2000 wait       | 1740 stayed on b for 540
                         | 1740 dark";
    scan(DWELL, "a b c", script);
}

#[test]
fn what_was_taken_is_taken_again_only_after_the_pointer_has_left_it() {
    let script = format!(
        "0 start      |
         0 tiles 2    |
         1000 point 100 | 1000 light a
         1900 point 200
         {} | 1800 stayed on a for 800
            | 1800 take a, 0 after it was shown
            | 1800 dark
         5000 tiles 2   |
         9000 point 900 |
         9500 point 1200 |
         9600 point 1400 |
         9700 point 500 | 9700 light a",
        filling(1_000, 7)
    );
    scan(DWELL, "a b", &script);
}

#[test]
fn from_one_tile_straight_to_another_the_second_stay_begins_when_the_first_has_ended() {
    scan(
        DWELL,
        "a b",
        "0 start        |
         0 tiles 2      |
         1000 point 500 | 1000 light a
         1050 point 2500 |
         1260 wait      | 1250 stayed on a for 50
                        | 1250 dark
                        | 1250 light b",
    );
}

#[test]
fn off_the_screen_and_between_the_tiles_nothing_is_ever_taken() {
    scan(
        DWELL,
        "a b",
        "0 start         |
         0 tiles 2       |
         1000 point 1500 |
         60000 gone      |
         90000 wait      |",
    );
}

#[test]
fn a_page_that_was_entered_has_to_be_laid_out_before_anything_on_it_is_taken() {
    let script = format!(
        "0 start        |
         0 tiles 2      |
         1000 point 500 | 1000 light [a]
         9000 point 600
         {} | 1800 stayed on [a] for 800
            | 1800 enter [a], 0 after it was shown
            | 1800 dark
         9100 tiles 2    |
         9200 point 1500 |
         9300 point 600  | 9300 light a",
        filling(1_000, 7)
    );
    scan(DWELL, "(a b) c", &script);
}
