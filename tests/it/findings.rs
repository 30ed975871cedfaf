//! Findings of sessions whose answer is known.

use pacewright::analysis::findings::{Caution, Findings, Measures};
use pacewright::analysis::{findings, json, text};
use pacewright::log::header::Header;
use pacewright::session::event::{BlockEnd, BlockKind, Event, RestReason};
use pacewright::session::input::{Input, Interruption, PauseReason, Prompt, Rating};
use pacewright::session::protocol::{Block, WatchKind};
use pacewright::session::trial::{Outcome, Trial};
use pacewright::session::{Plan, Session, shipped};
use pacewright::settings::{Id, Settings};
use pacewright::sim::client::{Client, STEADY};
use pacewright::sim::sitting::sit;
use pacewright::time::Span;
use proptest::prelude::*;

use crate::made::{Made, press};
use crate::samples;

fn timed() -> Made {
    Made::new().begin(Block::of(BlockKind::TimedPress))
}

fn found(made: &Made) -> (Findings, Vec<Caution>) {
    findings(&made.header(), &made.records)
}

fn count(measures: &Measures, outcome: Outcome) -> u32 {
    measures.outcomes.iter().find(|share| share.outcome == outcome.word()).map_or(0, |share| share.count)
}

fn near(found: f64, wanted: f64) -> bool {
    (found - wanted).abs() < 1e-9
}

/// Latencies 0.6, 0.7 and 0.8 s in turn: mean 0.7 s.
fn even(made: Made, trials: i64) -> Made {
    (0..trials).fold(made, |made, index| made.pressed(Outcome::Hit, 600 + 100 * (index % 3)))
}

#[test]
fn a_session_of_hits_has_its_mean_and_its_suggestion() {
    let made = even(timed(), 12).end(BlockEnd::Done).event(Event::Finished { complete: true });
    let (found, cautions) = found(&made);
    let latency = found.total.latency.unwrap();
    assert_eq!((latency.count, latency.negative), (12, 0));
    assert!(near(latency.mean_s, 0.7) && near(latency.median_s, 0.7) && near(latency.max_s, 0.8));
    let suggestion = found.suggestion.unwrap();
    // Mean over 0.65 (Simpson, Koester and LoPresti 2006): 1.0769, up to the next step of 0.05 s.
    assert!((suggestion.exact_s - 1.076923).abs() < 1e-6);
    assert_eq!((suggestion.scan_interval_s, suggestion.count, suggestion.late), (1.1, 12, 0));
    assert!(suggestion.low_s.unwrap() < suggestion.exact_s && suggestion.exact_s < suggestion.high_s.unwrap());
    assert_eq!(cautions, [Caution::Invented]);
}

#[test]
fn eighteen_of_twenty_have_the_published_interval() {
    // 18/20: Wilson 95 % interval 0.69897 to 0.97213 (statsmodels 0.15.0).
    let made = even(timed(), 18).pressed(Outcome::Late, 2_100).pressed(Outcome::Early, -200);
    let (found, _) = found(&made);
    let hit = &found.total.outcomes[0];
    assert_eq!((hit.outcome.as_str(), hit.count), ("hit", 18));
    assert!((hit.low - 0.69897).abs() < 6e-6 && (hit.high - 0.97213).abs() < 6e-6);
}

#[test]
fn what_does_not_count_is_counted_apart() {
    let made = timed()
        .trial(|trial| trial.scored = false)
        .trial(|trial| trial.prompt = Prompt::Spoken)
        .trial(|trial| trial.outcome = Outcome::Aborted)
        .trial(|trial| trial.excluded = Some("door opened".into()))
        .pressed(Outcome::Hit, 5_000)
        .event(Event::Excluded { block: 0, trial: 5, reason: "talk".into() })
        .pressed(Outcome::Hit, 700);
    let (found, _) = found(&made);
    let left_out = found.total.left_out;
    assert_eq!((left_out.practice, left_out.prompted, left_out.aborted, left_out.excluded), (1, 1, 1, 2));
    assert_eq!((found.total.trials, count(&found.total, Outcome::Hit)), (1, 1));
    assert!(near(found.total.latency.unwrap().mean_s, 0.7));
}

#[test]
fn late_presses_slow_the_suggestion_and_early_ones_do_not_hasten_it() {
    let hits = even(timed(), 12);
    let (before, _) = found(&hits);
    let (after, _) = found(&hits.pressed(Outcome::Late, 2_100).pressed(Outcome::Early, -900));
    assert_eq!(after.total.latency.as_ref().unwrap().mean_s, before.total.latency.as_ref().unwrap().mean_s);
    let suggestion = after.suggestion.unwrap();
    assert_eq!((suggestion.count, suggestion.late), (13, 1));
    assert!(near(suggestion.mean_s, (12.0 * 0.7 + 2.1) / 13.0));
}

#[test]
fn negative_latencies_stay_and_are_told() {
    let made = even(timed(), 12).pressed(Outcome::Hit, -50).pressed(Outcome::Hit, 60);
    let (found, cautions) = found(&made);
    let latency = found.total.latency.unwrap();
    assert_eq!((latency.count, latency.negative), (14, 1));
    assert!(near(latency.mean_s, (12.0 * 0.7 - 0.05 + 0.06) / 14.0));
    assert!(cautions.contains(&Caution::Anticipations { count: 2 }));
}

#[test]
fn wide_scatter_and_few_presses_are_told() {
    let (_, few) = found(&even(timed(), 11));
    assert!(few.contains(&Caution::FewLatencies { count: 11, wanted: 12 }));
    let wild = (0..12).fold(timed(), |made, index| made.pressed(Outcome::Hit, 400 + 800 * (index % 2)));
    let (found, cautions) = found(&wild);
    assert!(found.suggestion.unwrap().cv.unwrap() > 0.26923);
    assert!(cautions.iter().any(|caution| matches!(caution, Caution::WideScatter { .. })));
}

#[test]
fn a_suggestion_under_a_third_of_a_second_is_told() {
    // WCAG 2.3.1: three highlights a second.
    let fast = (0..12).fold(timed(), |made, _| made.pressed(Outcome::Hit, 190));
    let (found, cautions) = found(&fast);
    assert_eq!(found.suggestion.unwrap().scan_interval_s, 0.3);
    assert!(cautions.contains(&Caution::Photosensitivity));
}

#[test]
fn a_hold_time_is_part_of_the_suggestion_where_it_delays_the_choice() {
    let held = (0..12).fold(timed(), |made, _| {
        made.trial(|trial| {
            let mut one = press(Outcome::Hit, trial.began, 650);
            one.accepted = one.pressed + Span::from_ms(300);
            trial.presses = vec![one];
        })
    });
    let mean = |settings: Settings| findings(&held.header_with(settings), &held.records).0.suggestion.unwrap();
    let hold = Settings::default().with(Id::Hold, 300_000);
    assert!(near(mean(hold.clone()).mean_s, 0.95) && near(mean(hold.clone()).held_s, 0.3));
    assert!(near(mean(hold.clone().with(Id::ItemTaken, 1)).mean_s, 0.65));
    assert!(near(mean(hold.with(Id::ScanWhileHeld, 1)).mean_s, 0.65));
}

#[test]
fn a_setting_changed_on_the_way_counts_from_its_change() {
    let values = Settings::for_technique("step").with(Id::ScanInterval, 1_500_000);
    let change = Event::Settings { revision: 1, scan_interval_us: values.scan_interval(), values: Box::new(values) };
    let made = timed().event(change).wait(5_000);
    assert_eq!(found(&made).0.blocks[0].scan_interval_s, 1.5);
    assert_eq!(found(&even(made, 12)).0.suggestion, None);
}

#[test]
fn step_scanning_has_no_scan_rate() {
    let made = even(timed(), 12);
    let header = made.header_with(Settings::for_technique("step"));
    assert_eq!(findings(&header, &made.records).0.suggestion, None);
}

#[test]
fn pairs_of_presses_have_no_latency() {
    let made = even(Made::new().begin(Block::of(BlockKind::Repeat)), 12);
    let (found, _) = found(&made);
    assert_eq!((found.total.trials, found.total.latency, found.suggestion), (12, None, None));
}

#[test]
fn timed_presses_are_trusted_before_tasks_and_reactions() {
    let made = even(Made::new().begin(Block::of(BlockKind::Reaction)), 20).end(BlockEnd::Done);
    let made = even(made.begin(Block::of(BlockKind::TimedPress)), 12).end(BlockEnd::Done);
    assert_eq!(found(&made).0.suggestion.unwrap().kind, BlockKind::TimedPress);
    let made = even(Made::new().begin(Block::of(BlockKind::Reaction)), 9).end(BlockEnd::Done);
    let made = even(made.begin(Block::of(BlockKind::TimedPress)), 5);
    assert_eq!(found(&made).0.suggestion.unwrap().kind, BlockKind::Reaction);
}

fn watched(watch: WatchKind) -> Made {
    Made::new().wait(10_000).begin(Block { watch, ..Block::of(BlockKind::QuietWatch) })
}

#[test]
fn a_quiet_minute_is_at_most_three_a_minute() {
    // Rule of three: −ln 0.05 = 2.9957 per minute watched.
    let made = watched(WatchKind::AtRest).wait(60_000).end(BlockEnd::Done);
    let (found, cautions) = found(&made);
    let involuntary = found.blocks[0].involuntary.unwrap();
    assert_eq!((involuntary.count, involuntary.seconds, involuntary.low_per_minute), (0, 60.0, 0.0));
    assert!((involuntary.high_per_minute - 2.995732).abs() < 1e-6);
    assert!(text::text(&made.header(), &found, &cautions).contains("No press at rest in 1 min: at most 3 a minute"));
}

#[test]
fn presses_of_a_quiet_watch_have_the_exact_interval() {
    // Three events: 0.6187 to 8.7673 (Garwood 1936, scipy 1.17.1), here in two minutes.
    let unwanted = |made: Made| made.wait(30_000).event(Event::Unwanted { block: 0 });
    let made = unwanted(unwanted(unwanted(watched(WatchKind::Moving)))).wait(30_000).end(BlockEnd::Done);
    let (found, cautions) = found(&made);
    let involuntary = found.blocks[0].involuntary.unwrap();
    assert_eq!((involuntary.count, involuntary.watch, involuntary.per_minute), (3, WatchKind::Moving, 1.5));
    assert!((involuntary.low_per_minute - 0.6186721 / 2.0).abs() < 1e-6);
    assert!((involuntary.high_per_minute - 8.7672731 / 2.0).abs() < 1e-6);
    assert!(cautions.iter().any(|caution| matches!(caution, Caution::Involuntary { .. })));
}

#[test]
fn nobody_watches_in_a_pause_or_while_the_assessor_presses() {
    let made = watched(WatchKind::AtRest)
        .wait(20_000)
        .event(Event::Paused { why: PauseReason::Clinician })
        .wait(100_000)
        .event(Event::Resumed)
        .input(Input::MyPresses { on: true })
        .wait(50_000)
        .event(Event::Unwanted { block: 0 })
        .input(Input::MyPresses { on: false })
        .wait(40_000)
        .end(BlockEnd::Done);
    let (found, _) = found(&made);
    let involuntary = found.blocks[0].involuntary.unwrap();
    assert_eq!((involuntary.count, involuntary.seconds), (0, 60.0));
    assert_eq!(found.blocks[0].seconds, 210.0);
    assert_eq!(found.pauses, [("clinician".to_string(), 1)]);
}

#[test]
fn costs_of_a_choice_include_the_failures() {
    let wrong = |trial: &mut Trial| {
        trial.outcome = Outcome::Wrong;
        trial.reached = false;
        trial.presses = vec![press(Outcome::Wrong, trial.began, 500); 2];
    };
    let made = Made::new().begin(Block::of(BlockKind::MenuTasks)).pressed(Outcome::Hit, 700).trial(wrong);
    let (found, _) = found(&made);
    // Two trials of 3 s each and three presses for one target reached.
    assert_eq!((found.total.seconds_per_correct, found.total.presses_per_correct), (Some(6.0), Some(3.0)));
}

#[test]
fn errors_that_were_put_right_say_what_that_took() {
    // Trials last 3 s. A late press 0.5 s after the start, put right in the trial: 2.5 s. A wrong item, and a second
    // try: 3 s; another that was never tried again. Two passes of six entries of 2 s that went by: 24 s. By hand.
    let late = |trial: &mut Trial| {
        trial.outcome = Outcome::Late;
        trial.presses = vec![press(Outcome::Late, trial.began, 500), press(Outcome::Hit, trial.began, 2_900)];
    };
    let missed = |trial: &mut Trial| (trial.outcome, trial.passes_missed) = (Outcome::Omission, 2);
    let again = |trial: &mut Trial| trial.attempt = 2;
    let made = Made::new().begin(Block::of(BlockKind::MenuTasks)).trial(late).pressed(Outcome::Wrong, 900);
    let made = made.trial(again).pressed(Outcome::Wrong, 900).trial(missed);
    let (found, _) = found(&made);
    let told: Vec<_> = found.total.recovered.iter().map(|one| (one.error.as_str(), one.count, one.mean_s)).collect();
    assert_eq!(told, [("late", 1, 2.5), ("omission", 1, 24.0), ("wrong", 1, 3.0)]);
    let line = "Putting errors right took: late 2.50 s (one), omission 24.00 s (one), wrong 3.00 s (one)";
    let told = text::text(&made.header(), &found, &[]);
    assert!(told.contains(line), "{told}");
}

#[test]
fn rests_are_no_errors_and_ratings_go_to_the_block_before() {
    let made = even(timed(), 12)
        .event(Event::Rest { why: RestReason::Asked })
        .end(BlockEnd::Precise)
        .input(Input::Rate { question: Rating::Effort, value: 3 })
        .input(Input::Rate { question: Rating::Effort, value: 4 })
        .event(Event::Rest { why: RestReason::Asked });
    let (found, _) = found(&made);
    assert_eq!(found.rests, [("asked".to_string(), 2)]);
    assert_eq!(found.blocks[0].ratings, [("effort".to_string(), 4)]);
    assert_eq!(count(&found.total, Outcome::Hit), found.total.trials);
}

#[test]
fn interruptions_omissions_and_slowing_are_told() {
    let made = (0..8).fold(timed(), |made, _| made.pressed(Outcome::Hit, 500));
    let made = (0..8).fold(made, |made, _| made.pressed(Outcome::Hit, 700));
    let made = made.trial(|trial| {
        (trial.outcome, trial.reached, trial.interruption) = (Outcome::Omission, false, Some(Interruption::Cough));
    });
    let (found, cautions) = found(&made);
    assert_eq!(found.total.interrupted, 1);
    assert!(cautions.contains(&Caution::Omissions { count: 1 }));
    assert!(cautions.contains(&Caution::Interruptions { count: 1 }));
    assert!(cautions.iter().any(|c| matches!(c, Caution::Slowing { block: 0, ratio } if near(*ratio, 1.4))));
}

#[test]
fn any_records_at_all_have_findings() {
    let header = samples::header();
    let (found, cautions) = findings(&header, &samples::records());
    assert_eq!(found.total.trials, 0);
    assert!(cautions.contains(&Caution::NothingMeasured));
    let (empty, _) = findings(&header, &[]);
    assert_eq!((empty.blocks.len(), empty.seconds), (0, 0.0));
}

#[test]
fn texts_hold_no_control_characters() {
    let made = timed();
    let mut header = made.header();
    header.client = "A\u{1b}[2J".into();
    let (found, cautions) = findings(&header, &made.records);
    assert!(!text::text(&header, &found, &cautions).contains('\u{1b}'));
}

#[test]
fn the_text_of_a_session_reads_like_this() {
    let made =
        even(watched(WatchKind::AtRest).wait(60_000).end(BlockEnd::Done).begin(Block::of(BlockKind::TimedPress)), 12)
            .end(BlockEnd::Done)
            .input(Input::Rate { question: Rating::Effort, value: 3 })
            .event(Event::Rest { why: RestReason::Asked })
            .event(Event::Finished { complete: true });
    let (found, cautions) = found(&made);
    let text = text::text(&made.header(), &found, &cautions);
    let wanted = "\
Client A1, made, 1 min 58 s
Began 2026-01-02T03:04:05+01:00, pacewright 0.1.0, seed 1

1. Quiet watch: 1 min, done
   No press at rest in 1 min: at most 3 a minute

2. Timed press: 48 s, done
   12 trials counted: 12 hit
   Latency of 12 right presses: median 0.70 s (quartiles 0.60 to 0.80 s), mean 0.70 s, SD 12 % of it, 95 % within 0.80 s
   Each correct choice took 3.00 s and 1.0 presses
   Client: effort 3 of 10

All blocks: 12 trials counted: 12 hit
Right: 100 % (95 %: 76 % to 100 %)
For comparison, the published ratio gives 1.10 s per item (90 %: 1.01 to 1.14 s): mean latency 0.70 s, over 0.65, from 12 presses (timed press).
Rests: 1 asked for by the client

Cautions
- Invented data: a virtual client pressed. Use it to learn the program, never for a client.

Not certified as a medical device: it measures and informs, a licensed clinician decides.
";
    assert_eq!(text, wanted);
}

#[test]
fn json_has_its_documented_shape() {
    let made = even(timed(), 12);
    let (found, cautions) = found(&made);
    let value = json::json(&made.header(), &found, &cautions);
    let keys: Vec<&str> = value.as_object().unwrap().keys().map(String::as_str).collect();
    let wanted =
        ["format", "version", "program", "client", "began", "seed", "invented", "protocol", "findings", "cautions"];
    assert_eq!(keys, wanted);
    assert_eq!(value["findings"]["suggestion"]["scan_interval_s"], 1.1);
    assert_eq!(value["cautions"][0]["caution"], "invented");
    assert_eq!(value["cautions"][0]["remedy"], "Use it to learn the program, never for a client.");
}

#[test]
fn the_mean_of_a_virtual_client_comes_back() {
    // Latencies of this client are ex-Gaussian: mean mu + tau, variance sigma² + tau².
    let (protocol, menu) = shipped::find("longer-trial").unwrap();
    let mut settings = Settings::default();
    settings.set_raw(Id::ScanInterval, 2_500_000).unwrap();
    let plan = Plan { protocol, menu, settings, seed: 5 };
    let header = Header::for_plan(&plan);
    let mut records = Vec::new();
    let mut client = Client::new(STEADY, plan.seed);
    sit(&mut Session::new(plan), &mut client, |fresh| records.extend_from_slice(fresh)).unwrap();
    let suggestion = findings(&header, &records).0.suggestion.unwrap();
    let mean = STEADY.latency.mean();
    let sd = 0.07_f64.hypot(0.16);
    let error = sd / f64::from(suggestion.count).sqrt();
    assert!(suggestion.count >= 12 && (suggestion.mean_s - mean).abs() < 4.0 * error, "{suggestion:?}");
}

fn any_trial() -> impl Strategy<Value = (usize, bool, bool, bool, i64)> {
    (0..Outcome::ALL.len(), any::<bool>(), any::<bool>(), any::<bool>(), -3_000_i64..30_000)
}

proptest! {
    #[test]
    fn sums_close_whatever_the_trials(trials in prop::collection::vec((0_usize..5, any_trial()), 0..60)) {
        let kinds = [BlockKind::Reaction, BlockKind::TimedPress, BlockKind::Repeat, BlockKind::MenuTasks, BlockKind::Confirm];
        let made = trials.iter().fold(Made::new(), |made, (kind, (outcome, scored, helped, excluded, latency))| {
            made.begin(Block::of(kinds[*kind])).trial(|trial| {
                trial.outcome = Outcome::ALL[*outcome];
                trial.scored = *scored;
                trial.prompt = if *helped { Prompt::Touched } else { Prompt::None };
                trial.excluded = excluded.then(|| "why".into());
                trial.presses = vec![press(trial.outcome, trial.began, *latency)];
            })
        });
        let (found, _) = found(&made);
        let left_out = |m: &Measures| m.left_out.practice + m.left_out.prompted + m.left_out.aborted + m.left_out.excluded;
        prop_assert_eq!((found.total.trials + left_out(&found.total)) as usize, trials.len());
        for measures in found.blocks.iter().filter_map(|b| b.measures.as_ref()).chain([&found.total]) {
            prop_assert_eq!(measures.outcomes.iter().map(|share| share.count).sum::<u32>(), measures.trials);
            prop_assert_eq!(measures.series.len() as u32, measures.latency.as_ref().map_or(0, |latency| latency.count));
        }
        let of_blocks = |f: &dyn Fn(&Measures) -> u32| found.blocks.iter().filter_map(|b| b.measures.as_ref()).map(f).sum::<u32>();
        prop_assert_eq!(of_blocks(&|m| m.trials), found.total.trials);
        prop_assert_eq!(of_blocks(&|m| m.series.len() as u32), found.total.series.len() as u32);
    }
}
