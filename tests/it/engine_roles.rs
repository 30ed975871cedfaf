//! Up to five switches, each with its role. Times are milliseconds; an item stays lit for one second.

use crate::engine_rig::scan;

#[test]
fn three_switches_step_on_step_back_and_take() {
    scan(
        "technique step",
        "a b c",
        "0 roles step select back |
         0 start     | 0 light a
         1000 down   | 1000 light b
         1100 up
         2000 down 3 | 2000 light a
         2100 up 3
         3000 down 3 | 3000 light c
         3100 up 3
         4000 down 2 | 4000 take c, 1000 after it was shown
                     | 4000 light a",
    );
}

#[test]
fn the_exit_switch_leaves_a_group_and_stops_at_the_top() {
    scan(
        "",
        "(a b) c",
        "0 roles select exit |
         0 start     | 0 light [a]
         300 down    | 300 enter [a], 300 after it was shown
                     | 300 light a
         400 up
         900 down 2  | 900 leave [a]: exit switch
                     | 900 light [a]
         950 up 2
         1400 down 2 | 1400 stop: exit switch
                     | 1400 dark
         1500 up 2
         2000 down 2 | 2000 ignored 2 from 2000: nothing lit",
    );
}

#[test]
fn a_call_acts_in_every_state_and_takes_nothing() {
    scan(
        "technique inverse",
        "a b",
        "0 roles select call |
         100 down 2
         200 up 2    | 200 called 2
         300 start   |
         1000 down   | 1000 light a
         1200 down 2
         1300 up 2   | 1300 called 2
         1600 up     | 1600 take a, 600 after it was shown
                     | 1600 dark",
    );
}

#[test]
fn a_schedule_is_not_moved_by_step_and_back() {
    scan(
        "",
        "a b c",
        "0 roles select step back |
         0 start     | 0 light a
         500 down 2  | 500 ignored 2 from 500: no role
         600 up 2
         700 down 3  | 700 ignored 3 from 700: no role
         1000 wait   | 1000 light b",
    );
}

#[test]
fn a_switch_without_a_role_does_nothing() {
    scan(
        "",
        "a b",
        "0 roles select |
         0 start    | 0 light a
         500 down 2 | 500 ignored 2 from 500: no role",
    );
}
