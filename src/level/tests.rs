//! Levels drawn by hand, through calibration and machine.

use super::*;
use crate::settings::{Id, Settings};
use crate::time::{Moment, Span};

const RANGE: Range = Range { least: -10_000, greatest: 10_000 };
const SOFT_SIP: Way = Way::ALL[0];
const SOFT_PUFF: Way = Way::ALL[2];
const HARD_PUFF: Way = Way::ALL[3];

fn calibration() -> Calibration {
    Calibration { rest: 0, noise: 20, above: vec![1_000; 3], below: vec![2_000; 3], range: RANGE }
}

/// Samples every 10 ms through these corners (ms, level), in straight lines.
fn drawn(corners: &[(u64, i32)]) -> Vec<(Moment, i32)> {
    let line = |pair: &[(u64, i32)]| {
        let [(from, start), (to, end)] = [pair[0], pair[1]];
        let at = move |ms: u64| {
            i64::from(start) + (i64::from(end) - i64::from(start)) * (ms - from) as i64 / (to - from).max(1) as i64
        };
        (from..to).step_by(10).map(move |ms| (Moment(ms * 1_000), at(ms) as i32)).collect::<Vec<_>>()
    };
    corners.windows(2).flat_map(line).collect()
}

fn told(ways: &[Way], samples: &[(Moment, i32)]) -> Vec<(u64, Told)> {
    let mut level = Level::new(&calibration(), ways, &Settings::default()).unwrap();
    let mut out = Vec::new();
    for (at, value) in samples {
        if level.matters(*at, *value) {
            level.level(*at, *value, &mut out);
        }
    }
    level.advance(samples.last().unwrap().0 + Span::from_ms(1_000), &mut out);
    out.into_iter().map(|(at, told)| (at.0 / 1_000, told)).collect()
}

/// The edges: when, which way, down or up.
fn edges(ways: &[Way], corners: &[(u64, i32)]) -> Vec<(u64, Way, bool)> {
    let edge = |(at, told)| if let Told::Edge { way, down } = told { Some((at, way, down)) } else { None };
    told(ways, &drawn(corners)).into_iter().filter_map(edge).collect()
}

fn troubles(ways: &[Way], corners: &[(u64, i32)]) -> Vec<(u64, Trouble)> {
    let trouble = |(at, told)| if let Told::Trouble(trouble) = told { Some((at, trouble)) } else { None };
    told(ways, &drawn(corners)).into_iter().filter_map(trouble).collect()
}

#[test]
fn a_hard_puff_is_not_first_taken_for_a_soft_one() {
    // Past the soft threshold (250) at 1,030 ms and past the hard one (650) at 1,070.
    let hard = [(0, 0), (1_000, 0), (1_100, 1_000), (1_400, 1_000), (1_500, 0), (2_000, 0)];
    let edges = edges(&Way::ALL, &hard);
    assert_eq!(edges.iter().map(|edge| (edge.1, edge.2)).collect::<Vec<_>>(), [(HARD_PUFF, true), (HARD_PUFF, false)]);
    // Known after the least duration; as long as the breath, from 1,030 to below 125 at 1,490 ms.
    assert_eq!((edges[0].0, edges[1].0), (1_110, 1_110 + 460));
}

#[test]
fn a_soft_puff_is_known_when_it_stops_rising_or_when_it_is_over() {
    let held = [(0, 0), (1_000, 0), (1_100, 450), (2_000, 450), (2_050, 0), (2_500, 0)];
    let edges_held = edges(&Way::ALL, &held);
    assert_eq!(edges_held[0], (1_250, SOFT_PUFF, true), "150 ms after it last grew");
    let short = [(0, 0), (1_000, 0), (1_050, 450), (1_100, 450), (1_150, 0), (2_000, 0)];
    let edges_short = edges(&Way::ALL, &short);
    assert_eq!(edges_short.len(), 2);
    assert_eq!((edges_short[0].1, edges_short[0].0), (SOFT_PUFF, 1_220), "known once it has been over for 80 ms");
}

#[test]
fn where_no_hard_press_is_asked_for_a_soft_one_is_known_at_once() {
    let hard = [(0, 0), (1_000, 0), (1_100, 1_000), (1_400, 1_000), (1_500, 0), (2_000, 0)];
    assert_eq!(edges(&[SOFT_PUFF], &hard)[0], (1_110, SOFT_PUFF, true));
    assert_eq!(edges(&[SOFT_SIP], &hard), [], "a side that is not used does nothing");
    assert_eq!(edges(&[SOFT_PUFF, SOFT_SIP], &[(0, 0), (500, 0), (600, -900), (900, 0), (2_000, 0)]).len(), 2);
}

#[test]
fn only_hard_ones_count_where_only_they_are_asked_for() {
    let slow = [(0, 0), (1_000, 0), (1_100, 450), (1_600, 450), (1_700, 1_000), (1_900, 0), (3_000, 0)];
    assert_eq!(edges(&[HARD_PUFF], &slow)[0].1, HARD_PUFF);
    let soft = [(0, 0), (1_000, 0), (1_100, 450), (1_600, 450), (1_700, 0), (3_000, 0)];
    assert_eq!(edges(&[HARD_PUFF], &soft), []);
}

#[test]
fn a_level_that_trembles_at_its_threshold_is_one_press() {
    let mut corners = vec![(0, 0), (1_000, 0)];
    corners.extend((0..40).map(|n| (1_020 + n * 20, if n % 2 == 0 { 270 } else { 230 })));
    corners.extend([(1_900, 0), (3_000, 0)]);
    assert_eq!(edges(&[SOFT_PUFF], &corners).len(), 2);
}

#[test]
fn a_level_that_comes_and_goes_too_shortly_presses_nothing_and_is_told() {
    let mut corners = vec![(0, 0), (1_000, 0)];
    corners.extend((0..40).flat_map(|n| [(1_000 + n * 200, 0), (1_030 + n * 200, 400), (1_060 + n * 200, 0)]));
    corners.push((10_000, 0));
    assert_eq!(edges(&Way::ALL, &corners), []);
    assert_eq!(troubles(&Way::ALL, &corners).first().map(|told| told.1), Some(Trouble::Trembles));
}

#[test]
fn a_lip_that_leaks_for_a_moment_does_not_end_a_press() {
    let leak = [
        (0, 0),
        (1_000, 0),
        (1_050, 500),
        (1_500, 500),
        (1_510, 0),
        (1_560, 0),
        (1_570, 500),
        (2_000, 500),
        (2_050, 0),
        (3_000, 0),
    ];
    assert_eq!(edges(&[SOFT_PUFF], &leak).len(), 2);
}

#[test]
fn rest_follows_slow_drift() {
    // 1 % of the effort in a second for 100 s: as far as a comfortable puff.
    let drift = [(0, 0), (100_000, 1_000), (100_100, 1_450), (100_500, 1_450), (100_600, 1_000), (102_000, 1_000)];
    let edges = edges(&Way::ALL, &drift);
    assert_eq!(edges.iter().map(|edge| edge.1).collect::<Vec<_>>(), [SOFT_PUFF, SOFT_PUFF]);
    assert!(edges[0].0 > 100_000);
}

#[test]
fn a_level_that_stands_is_let_go_told_and_its_rest_found_again() {
    let stands = [
        (0, 0),
        (1_000, 0),
        (1_010, 5_000),
        (40_000, 5_000),
        (40_100, 5_450),
        (40_400, 5_450),
        (40_500, 5_000),
        (42_000, 5_000),
    ];
    let edges = edges(&[SOFT_PUFF], &stands);
    assert_eq!(edges.len(), 4, "{edges:?}");
    assert_eq!(edges[1], (16_010, SOFT_PUFF, false), "15 s after it left rest");
    assert!(edges[2].0 > 40_000);
    let told: Vec<Trouble> = troubles(&[SOFT_PUFF], &stands).into_iter().map(|told| told.1).collect();
    assert_eq!(told, [Trouble::Stands, Trouble::Moved]);
}

#[test]
fn a_level_that_stands_at_full_from_the_start_presses_nothing() {
    assert_eq!(edges(&Way::ALL, &[(0, 10_000), (60_000, 10_000)]), []);
    assert_eq!(troubles(&Way::ALL, &[(0, 10_000), (60_000, 10_000)]), [(3_000, Trouble::Moved)]);
}

#[test]
fn a_device_that_is_gone_lets_go_and_has_to_be_seen_at_rest_again() {
    let mut level = Level::new(&calibration(), &[SOFT_PUFF], &Settings::default()).unwrap();
    let (mut out, ms) = (Vec::new(), |ms: u64| Moment(ms * 1_000));
    level.level(ms(0), 0, &mut out);
    level.level(ms(100), 800, &mut out);
    level.lose(ms(500), &mut out);
    level.level(ms(600), 800, &mut out);
    level.advance(ms(1_000), &mut out);
    let downs: Vec<bool> = out
        .iter()
        .filter_map(|(_, told)| if let Told::Edge { down, .. } = told { Some(*down) } else { None })
        .collect();
    assert_eq!(downs, [true, false]);
}

/// Whether a level that is heard first when its device is back presses.
fn presses_when_back(values: &[i32]) -> bool {
    let mut level = Level::new(&calibration(), &[SOFT_PUFF, SOFT_SIP], &Settings::default()).unwrap();
    let mut out = Vec::new();
    level.level(Moment(0), 0, &mut out);
    level.lose(Moment(500_000), &mut out);
    for (at, value) in (1_000_000..).step_by(10_000).map(Moment).zip(values) {
        if level.matters(at, *value) {
            level.level(at, *value, &mut out);
        }
    }
    level.advance(Moment(60_000_000), &mut out);
    out.iter().any(|(_, told)| matches!(told, Told::Edge { down: true, .. }))
}

#[test]
fn the_first_puff_of_a_device_that_is_back_counts_though_its_beginning_was_not_heard() {
    // Past the soft threshold (250) before anything was heard.
    assert!(presses_when_back(&[400, 500, 600, 700]), "a puff on its way");
    assert!(presses_when_back(&[-600, -800, -1_100]), "a sip");
    let noise: Vec<i32> = (0..500).map(|n| 9_000 + n % 7 * 6).collect();
    assert!(!presses_when_back(&noise), "it stands there");
    assert!(!presses_when_back(&[-10_000, -4_000, 0, 0]), "it starts up at its end and comes to rest");
}

#[test]
fn what_is_no_level_is_told_once() {
    let mut level = Level::new(&calibration(), &[SOFT_PUFF], &Settings::default()).unwrap();
    let mut out = Vec::new();
    (0..100).for_each(|n| level.unusable(Moment(n * 1_000), &mut out));
    assert_eq!(out, [(Moment(0), Told::Trouble(Trouble::Unusable))]);
}

#[test]
fn the_samples_that_matter_give_the_same_presses_as_all_of_them() {
    let corners = [
        (0, 0),
        (1_000, 0),
        (1_100, 1_000),
        (1_400, 990),
        (1_500, 0),
        (2_500, 8),
        (2_600, 460),
        (3_000, 455),
        (3_100, 0),
        (9_000, 3),
    ];
    let samples = drawn(&corners);
    let run = |thin: bool| {
        let mut level = Level::new(&calibration(), &Way::ALL, &Settings::default()).unwrap();
        let (mut out, mut kept) = (Vec::new(), 0);
        for (at, value) in &samples {
            if !thin || level.matters(*at, *value) {
                kept += 1;
                level.level(*at, *value, &mut out);
            }
        }
        let edge =
            |(_, told): &(Moment, Told)| if let Told::Edge { way, down } = told { Some((*way, *down)) } else { None };
        (out.iter().filter_map(edge).collect::<Vec<_>>(), kept)
    };
    let ((all, every), (thinned, kept)) = (run(false), run(true));
    assert_eq!(all, thinned);
    assert_eq!(all.len(), 4);
    assert!(kept * 5 < every, "{kept} of {every}");
}

#[test]
fn thresholds_inside_the_noise_are_refused_with_what_to_do() {
    let noisy = Calibration { noise: 200, ..calibration() };
    let refusal = noisy.thresholds(&Settings::default()).unwrap_err();
    assert_eq!(refusal, Refusal::InNoise { side: Side::Above, soft: 250, least: 401 });
    assert!(refusal.to_string().contains("do without this side"));
    let larger = Settings::default().with(Id::LevelSoft, 400);
    assert!(Calibration { noise: 190, ..calibration() }.thresholds(&larger).is_ok());
    let nobody = Calibration { above: Vec::new(), below: Vec::new(), ..calibration() };
    assert_eq!(nobody.thresholds(&Settings::default()), Err(Refusal::NoSide));
}

/// Works a calibration: what the level does when an effort to that side is asked for.
fn calibrated(sides: &[Side], rest: i32, effort: impl Fn(Side, u32) -> i32) -> Result<Calibration, Refusal> {
    let mut calibrator = Calibrator::new(Moment::START, sides, RANGE);
    (0..20_000_u64)
        .find_map(|n| {
            let value = match calibrator.asks() {
                Ask::Effort { side, number, .. } => effort(side, number),
                _ => rest + (n % 3) as i32 - 1,
            };
            calibrator.level(Moment(n * 10_000), value);
            calibrator.outcome().cloned()
        })
        .expect("it ends")
}

#[test]
fn a_calibration_takes_three_efforts_to_each_side_that_is_wanted() {
    let found = calibrated(&Side::ALL, 100, |side, number| {
        100 + if side == Side::Above { 800 + number as i32 } else { -1_500 }
    });
    let expected = Calibration { rest: 100, noise: 1, above: vec![801, 802, 803], below: vec![1_500; 3], range: RANGE };
    assert_eq!(found, Ok(expected));
    let one = calibrated(&[Side::Below], 0, |_, _| -700).unwrap();
    assert_eq!((one.effort(Side::Above), one.effort(Side::Below)), (None, Some(700)));
}

#[test]
fn a_calibration_that_cannot_be_used_says_why() {
    assert_eq!(calibrated(&[Side::Above], 0, |_, _| 1), Err(Refusal::NoEffort(Side::Above)));
    assert_eq!(calibrated(&[Side::Above], 9_500, |_, _| 10_000), Err(Refusal::AtItsEnd));
    assert_eq!(calibrated(&[], 0, |_, _| 500), Err(Refusal::NoSide));
    let mut silent = Calibrator::new(Moment::START, &[Side::Above], RANGE);
    silent.advance(Moment(60_000_000));
    assert_eq!(silent.outcome(), Some(&Err(Refusal::Silent)));
    // An effort that was missed once is asked for again.
    let missed = std::cell::Cell::new(0);
    let found = calibrated(&[Side::Above], 0, |_, number| {
        missed.set(missed.get() + 1);
        if number == 1 && missed.get() < 300 { 0 } else { 900 }
    });
    assert_eq!(found.map(|found| found.above), Ok(vec![900; 3]));
}

#[test]
fn efforts_are_ten_seconds_apart() {
    let mut calibrator = Calibrator::new(Moment::START, &[Side::Above], RANGE);
    let (mut began, mut asked) = (Vec::new(), 0);
    for n in 0..4_000_u64 {
        let in_effort = matches!(calibrator.asks(), Ask::Effort { .. });
        calibrator.level(Moment(n * 10_000), if in_effort { 900 } else { 0 });
        if let Ask::Effort { number, .. } = calibrator.asks()
            && number > asked
        {
            (asked, began) = (number, [began, vec![n * 10]].concat());
        }
    }
    assert_eq!(began, [8_000, 18_000, 28_000]);
}
