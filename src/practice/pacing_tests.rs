//! The rules of the pacing, one by one.

use super::*;
use crate::rng::Stream;
use crate::stats::latency::ExGaussian;

const LAW: ExGaussian = ExGaussian { mu: 0.5, sigma: 0.06, tau: 0.2 };

fn pacing(interval_s: f64, limits: Limits) -> Pacing {
    Pacing::new(&Start::from_advice(interval_s, 7), 0.9, limits)
}

fn press(latency_s: f64, pacing: &mut Pacing) -> Option<Change> {
    let hit = latency_s < pacing.interval().as_seconds();
    let outcome = if hit { Outcome::Hit } else { Outcome::Late };
    pacing.attempted(Attempt { outcome, latency_s: Some(latency_s), missed: false, pointed: None })
}

fn calibrated(interval_s: f64) -> Pacing {
    let mut pacing = pacing(interval_s, Limits::default());
    (0..CALIBRATION).for_each(|_| _ = press(0.7, &mut pacing));
    pacing.block_ended();
    pacing
}

#[test]
fn the_first_presses_calibrate_in_one_step() {
    let mut pacing = pacing(3.0, Limits::default());
    (0..5).for_each(|_| _ = press(0.7, &mut pacing));
    assert_eq!(pacing.block_ended().why, Reason::Calibrating);
    (0..5).for_each(|_| _ = press(0.7, &mut pacing));
    let change = pacing.block_ended();
    assert_eq!((change.why, pacing.interval()), (Reason::Calibrated, change.to));
    assert!((0.7..1.5).contains(&change.to.as_seconds()), "{change}");
}

#[test]
fn two_errors_in_five_slow_down_at_once_and_by_half_at_most() {
    let mut pacing = calibrated(1.2);
    let before = pacing.interval();
    assert_eq!(press(1.5, &mut pacing), None);
    let change = press(1.5, &mut pacing).unwrap();
    assert_eq!((change.from, change.why), (before, Reason::TwoErrors));
    assert!(change.to > before && change.to.0 <= before.0 * 3 / 2, "{change}");
    // The count begins anew.
    assert_eq!(press(1.5, &mut pacing), None);
}

#[test]
fn errors_without_a_latency_slow_down_too() {
    let mut pacing = calibrated(1.2);
    let omitted = Attempt { outcome: Outcome::Omission, latency_s: None, missed: true, pointed: None };
    assert_eq!(pacing.attempted(omitted), None);
    let change = pacing.attempted(omitted).unwrap();
    assert!(change.to.0 * 100 >= change.from.0 * 109, "{change}");
}

/// A choice of a row, and then of no thing in it, whatever its passes.
fn half_done() -> Trial {
    let press = crate::session::trial::Press {
        pressed: crate::time::Moment(5_600_000),
        accepted: crate::time::Moment(5_600_000),
        outcome: Outcome::Hit,
        level: 0,
        position: Some(1),
        wanted: 1,
        count: 3,
        latency_us: Some(600_000),
    };
    let text = r#"{"block":0,"kind":"menu-tasks","trial":1,"scored":true,"outcome":"omission","reached":false,
        "target":"lamp-on","attempt":1,"cued":1,"began":2,"ended":9000000,"wait_us":null,"position":2,"count":3,
        "interval_us":1200000,"settings":0,"passes_missed":4,"presses":[],"previous":null,"prompt":"none",
        "interruption":null,"excluded":null}"#;
    Trial { presses: vec![press], ..serde_json::from_str(text).unwrap() }
}

#[test]
fn only_a_trial_that_was_missed_as_a_whole_is_an_omission() {
    let half = Attempt::of(&half_done()).unwrap();
    assert_eq!((half.outcome, half.missed, half.latency_s), (Outcome::Omission, false, Some(0.6)));
    let whole = Attempt::of(&Trial { presses: Vec::new(), ..half_done() }).unwrap();
    assert!(whole.missed && whole.latency_s.is_none());
    let after = |attempt: Attempt| {
        let mut pacing = calibrated(1.2);
        pacing.interval = Span::from_ms(3_000);
        (0..60).for_each(|n| _ = press([0.7, 0.5, 0.6][n % 3], &mut pacing));
        for _ in 0..2 {
            pacing.failed.clear();
            pacing.attempted(attempt);
        }
        pacing.block_ended().why
    };
    assert_eq!(after(whole), Reason::Omissions);
    assert_ne!(after(half), Reason::Omissions);
    // It is an error all the same, and no latency says by how much.
    let mut pacing = calibrated(1.2);
    pacing.attempted(half);
    let change = pacing.attempted(half).unwrap();
    assert!(change.to.0 * 100 >= change.from.0 * 109, "{change}");
}

#[test]
fn it_gets_faster_by_a_tenth_at_most() {
    let mut pacing = calibrated(1.2);
    for _ in 0..20 {
        (0..5).for_each(|_| _ = press(0.3, &mut pacing));
        let change = pacing.block_ended();
        assert!(change.to.0 * 10 >= change.from.0 * 9, "{change}");
    }
    assert!(pacing.interval().as_seconds() < 0.8);
}

#[test]
fn rising_latencies_and_omissions_keep_it() {
    let mut tiring = calibrated(1.2);
    tiring.interval = Span::from_ms(3_000);
    (0..12).for_each(|n| _ = press(0.7 + 0.01 * f64::from(n), &mut tiring));
    assert_eq!(tiring.block_ended().why, Reason::Tiring);
    let mut omitting = calibrated(1.2);
    omitting.interval = Span::from_ms(3_000);
    (0..6).for_each(|n| _ = press(0.7 - 0.01 * f64::from(n), &mut omitting));
    for _ in 0..2 {
        omitting.failed.clear();
        omitting.attempted(Attempt { outcome: Outcome::Omission, latency_s: None, missed: true, pointed: None });
    }
    assert_eq!(omitting.block_ended().why, Reason::Omissions);
}

#[test]
fn limits_and_lock_hold_for_everything() {
    let limits = Limits { shortest: Span::from_ms(900), longest: Span::from_ms(1_300), locked: false };
    let mut bounded = pacing(3.0, limits);
    assert_eq!(bounded.interval(), limits.longest);
    for latency in [0.2, 0.2, 0.2, 0.2, 0.2, 9.0, 9.0, 9.0, 9.0, 0.2, 0.2, 0.2] {
        press(latency, &mut bounded);
        bounded.block_ended();
        assert!((limits.shortest..=limits.longest).contains(&bounded.interval()));
    }
    let mut locked = pacing(1.2, Limits { locked: true, ..limits });
    (0..10).for_each(|_| _ = press(5.0, &mut locked));
    assert_eq!(locked.block_ended().why, Reason::Locked);
    assert_eq!(locked.interval(), Span::from_ms(1_200));
}

#[test]
fn presses_to_a_rhythm_never_speed_it_up() {
    let mut pacing = pacing(1.2, Limits::default());
    for n in 0..60 {
        press(if n % 2 == 0 { -0.05 } else { 0.2 }, &mut pacing);
        if n % 5 == 4 {
            let change = pacing.block_ended();
            assert!(change.to >= change.from, "{change}");
        }
    }
}

#[test]
fn the_interval_comes_near_what_the_client_needs() {
    // 90 % quantile of ex-Gaussian (500, 60, 200) ms: 969.5 ms, by scipy.
    let mut stream = Stream::named(4, "pacing");
    let mut pacing = pacing(2.5, Limits::default());
    for _ in 0..20 {
        (0..5).for_each(|_| _ = press(LAW.draw(&mut stream), &mut pacing));
        pacing.block_ended();
    }
    assert!((0.85..1.2).contains(&pacing.interval().as_seconds()), "{:?}", pacing.interval());
}

#[test]
fn the_plans_steps_are_taken_one_by_one_and_only_while_presses_come_in_time() {
    // 1100 to 700 ms in five steps (MacKenzie and Felzer 2010); the third and fourth are more than a tenth.
    let mut stepped = Pacing::stepped(0.9, Limits::default());
    let mut seen = vec![stepped.interval().0 / 1_000];
    for block in 0..30 {
        (0..5).for_each(|n| _ = press([0.5, 0.55, 0.45, 0.52, 0.48][(block + n) % 5], &mut stepped));
        let change = stepped.block_ended();
        assert!(change.to.0 * 10 >= change.from.0 * 9, "{change}");
        if change.is_change() {
            assert_eq!(change.why, Reason::Stepped);
            seen.push(change.to.0 / 1_000);
        }
    }
    assert_eq!(seen, [1_100, 1_000, 900, 810, 800, 720, 700]);
    let mut missing = Pacing::stepped(0.9, Limits::default());
    for _ in 0..30 {
        (0..5).for_each(|_| _ = press(0.5, &mut missing));
        missing.failed = vec![true, true, false];
        assert!(!missing.block_ended().is_change());
    }
}
