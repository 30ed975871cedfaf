//! Virtual clients of many kinds through whole sessions: what they do stands in the log, and no kind
//! can make a session hang.

use pacewright::analysis::evidence::{Evidence, Response};
use pacewright::analysis::{findings, gather};
use pacewright::engine::effect::Effect;
use pacewright::log::header::Header;
use pacewright::log::reader;
use pacewright::log::writer::Writer;
use pacewright::session::event::{BlockKind, Event};
use pacewright::session::input::Input;
use pacewright::session::protocol::{Block, Protocol, WatchKind};
use pacewright::session::record::{Record, What};
use pacewright::session::stop::StopRules;
use pacewright::session::trial::{Outcome, Trial};
use pacewright::session::{Plan, Session, shipped};
use pacewright::settings::{Id, Settings};
use pacewright::sim::client::Client;
use pacewright::sim::latency::Latency;
use pacewright::sim::sitting::sit;
use pacewright::sim::traits::{Aim, Contact, Course, Pointing, Recovery, STEADY, Spasm, Traits, Tremor};
use pacewright::stats::latency::{ExGaussian, Observations};
use pacewright::stats::{Level, Sample, poisson, proportion};
use proptest::prelude::*;

/// Presses only when asked, without lapses.
const SURE: Traits = Traits { miss: 0.0, involuntary_per_s: 0.0, rests: 0.0, ..STEADY };

/// A session of these blocks without stop rules.
fn plan(blocks: Vec<Block>, settings: Settings, seed: u64) -> Plan {
    let (shipped, menu) = shipped::find("longer-trial").unwrap();
    let stop = StopRules { omissions: 0, errors: 0, window: 1, slowing: 0.0, minutes: 0.0 };
    let protocol = Protocol { blocks, stop, rest_every: 0, settings: serde_json::Map::new(), ..shipped };
    Plan { protocol, menu, settings, seed }
}

fn timed(trials: u32) -> Vec<Block> {
    vec![Block { trials, ..Block::of(BlockKind::TimedPress) }]
}

fn slow(interval_us: i64) -> Settings {
    Settings::default().with(Id::ScanInterval, interval_us).with(Id::CueLead, 500_000)
}

fn sat(plan: &Plan, traits: &Traits) -> Vec<Record> {
    let mut records = Vec::new();
    let mut client = Client::new(traits.clone(), plan.seed);
    sit(&mut Session::new(plan.clone()), &mut client, |fresh| records.extend_from_slice(fresh)).unwrap();
    records
}

/// What the log of a sitting says, once it has been written and read again.
fn analysed(plan: &Plan, records: &[Record]) -> Evidence {
    let mut writer = Writer::begin(Vec::new(), &Header::for_plan(plan)).unwrap();
    records.iter().for_each(|record| writer.add(record).unwrap());
    writer.end(records.last().unwrap().at).unwrap();
    let (file, problems) = reader::read(writer.into_sink().as_slice(), "log");
    assert_eq!(problems, []);
    let records: Vec<Record> = file.known().cloned().collect();
    gather::evidence(&[(file.header.as_ref().unwrap(), &records)]).unwrap()
}

fn trials(records: &[Record]) -> impl Iterator<Item = &Trial> {
    records.iter().filter_map(|record| match &record.what {
        What::Event(Event::Trial(trial)) => Some(&**trial),
        _ => None,
    })
}

fn count(records: &[Record], is: impl Fn(&What) -> bool) -> usize {
    records.iter().filter(|record| is(&record.what)).count()
}

fn closings(records: &[Record]) -> usize {
    count(records, |what| matches!(what, What::Input(Input::Edge { down: true, .. })))
}

#[test]
fn the_pointer_protocol_gathers_stays_and_finds_the_pointer_that_the_client_has() {
    let (protocol, menu) = shipped::find("pointer").unwrap();
    let settings = Settings::from_json(&protocol.settings).unwrap();
    let plan = Plan { protocol, menu, settings, seed: 5 };
    let (move_s, per_bit) = (0.2, 0.4);
    let pointer = Pointing { tremor_deg: 0.1, move_s, move_s_per_bit: per_bit, searches: 0.0, looks_s: 0.0 };
    let records = sat(&plan, &Traits { pointer, ..SURE });
    let evidence = analysed(&plan, &records);
    assert!(evidence.wanted_stays_s.len() >= 24 && evidence.unwanted_stays_s.len() >= 10, "{evidence:?}");
    // Every wanted stay is seen whole: the dwell time is longer than any that is left.
    assert!(evidence.wanted_stays_s.iter().all(|stay| (stay - 1.5).abs() < 0.1), "{:?}", evidence.wanted_stays_s);
    let (found, _) = findings(&Header::for_plan(&plan), &records);
    let blocks: Vec<_> = found.blocks.iter().filter_map(|block| block.pointing.clone()).collect();
    assert_eq!(blocks.len(), 2, "{blocks:?}");
    for moved in blocks {
        assert!(moved.movements >= 8);
        // Ends tremble by 0.1 degrees: 4.133 times that, within what a dozen tell (chi-squared, 1 in 1000 each way).
        assert!((0.15..0.85).contains(&moved.effective_width_deg), "{moved:?}");
        // Fitts's law with tiles some 4 to 9 degrees wide: from half a bit to three bits of it.
        assert!((move_s + 0.1 * per_bit..move_s + 3.0 * per_bit).contains(&moved.movement_s), "{moved:?}");
    }
}

#[test]
fn what_is_simulated_and_logged_is_found_again() {
    // Twenty sessions, each with the 90 % intervals that the program gives: of the mean (through the
    // published ratio), of the law's parameters by their standard errors. The truth has to lie in
    // about 18; fewer than 14 come twice in 1,000 runs of right intervals (binomial, computed).
    let mut covered = [0; 4];
    for seed in 0..20 {
        let plan = plan(timed(100), slow(3_000_000), seed);
        let records = sat(&plan, &SURE);
        let evidence = analysed(&plan, &records);
        let latencies: Vec<f64> = evidence.opportunities.iter().filter_map(|one| one.latency_s()).collect();
        assert_eq!(latencies.len(), 100, "a scan this slow misses none");
        let suggestion = findings(&Header::for_plan(&plan), &records).0.suggestion.unwrap();
        let ratio = (0.55 + 0.16) / 0.65;
        covered[0] += usize::from((suggestion.low_s.unwrap()..suggestion.high_s.unwrap()).contains(&ratio));
        let fit = ExGaussian::fit(&Observations { seen: &latencies, ..Observations::default() }).unwrap();
        let found = [fit.model.mu, fit.model.sigma, fit.model.tau];
        let errors = fit.standard_errors.unwrap();
        for (place, truth) in [0.55, 0.07, 0.16].into_iter().enumerate() {
            covered[place + 1] += usize::from((found[place] - truth).abs() < 1.645 * errors[place]);
        }
    }
    assert!(covered.iter().all(|count| *count >= 14), "{covered:?}");
}

#[test]
fn lapses_and_involuntary_presses_are_found_again() {
    // The 95 % intervals of twenty sessions have to hold the truth; fewer than 15 times come thrice in 10,000 runs
    // of right intervals (binomial, computed).
    let watch = Block { seconds: 600.0, watch: WatchKind::AtRest, ..Block::of(BlockKind::QuietWatch) };
    let blocks = [vec![watch], timed(100)].concat();
    let traits = Traits { miss: 0.1, involuntary_per_s: 0.02, rests: 0.0, ..STEADY };
    let mut covered = [0; 2];
    for seed in 100..120 {
        let plan = plan(blocks.clone(), slow(3_000_000).with(Id::Lockout, 0), seed);
        let evidence = analysed(&plan, &sat(&plan, &traits));
        let omitted = evidence.opportunities.iter().filter(|one| matches!(one.response, Response::Omitted { .. }));
        let lapses =
            proportion::wilson(omitted.count() as u64, evidence.opportunities.len() as u64, Level::NINETY_FIVE);
        let presses = poisson::interval(evidence.involuntary.into(), Level::NINETY_FIVE).times(1.0 / evidence.quiet_s);
        for (covered, (found, truth)) in covered.iter_mut().zip([(lapses.unwrap(), 0.1), (presses, 0.02)]) {
            *covered += usize::from((found.low..=found.high).contains(&truth));
        }
    }
    assert!(covered.iter().all(|count| *count >= 15), "{covered:?}");
}

#[test]
fn every_law_comes_back_with_its_mean_through_the_log() {
    let laws = [
        Latency::Lognormal { shift_s: 0.25, median_s: 0.4, log_sd: 0.35 },
        Latency::Wald { shift_s: 0.25, mean_s: 0.45, shape_s: 3.5 },
        Latency::Gamma { shift_s: 0.25, shape: 5.0, scale_s: 0.09 },
        Latency::Quantiles { seconds: vec![0.4, 0.55, 0.65, 0.8, 1.4] },
    ];
    for law in laws {
        let plan = plan(timed(150), slow(3_000_000), 4);
        let traits = Traits { latency: law.clone(), ..SURE };
        let evidence = analysed(&plan, &sat(&plan, &traits));
        let latencies = evidence.opportunities.iter().filter_map(|one| one.latency_s()).collect();
        let sample = Sample::new(latencies).unwrap();
        let error = sample.sd().unwrap() / (sample.len() as f64).sqrt();
        assert!((sample.mean() - law.mean()).abs() < 3.5 * error, "{law:?}: {}", sample.mean());
    }
}

#[test]
fn lapses_come_back_as_omissions() {
    let plan = plan(timed(200), slow(2_000_000), 2);
    let evidence = analysed(&plan, &sat(&plan, &Traits { miss: 0.2, ..SURE }));
    let omitted = evidence.opportunities.iter().filter(|one| matches!(one.response, Response::Omitted { .. })).count();
    // 40 of 200, SD 5.7 (binomial).
    assert!((20..=60).contains(&omitted), "{omitted}");
}

#[test]
fn a_timer_follows_the_interval_and_a_reactor_does_not() {
    let aim = Aim { share: 0.4, offset_s: 0.0, sd_s: 0.05, sd_share: 0.0 };
    let mean = |traits: &Traits, interval_us: i64| {
        let plan = plan(timed(60), slow(interval_us), 3);
        let evidence = analysed(&plan, &sat(&plan, traits));
        let foreseen = evidence.opportunities.iter().filter(|one| one.position > 0);
        Sample::new(foreseen.filter_map(|one| one.latency_s()).collect()).unwrap().mean()
    };
    let timer = Traits { aim: Some(aim), ..SURE };
    assert!((mean(&timer, 1_000_000) - 0.4).abs() < 0.04);
    assert!((mean(&timer, 2_000_000) - 0.8).abs() < 0.04);
    assert!((mean(&SURE, 2_000_000) - mean(&SURE, 3_000_000)).abs() < 0.1);
}

#[test]
fn trains_bounces_and_drop_outs_are_all_in_the_log() {
    let trials = 40;
    let plan = plan(timed(trials), slow(2_000_000), 1);
    let voluntary = closings(&sat(&plan, &SURE));
    let train = Traits { tremor: Tremor { share: 1.0, hertz: 4.0, presses: 3 }, ..SURE };
    assert_eq!(closings(&sat(&plan, &train)), 3 * voluntary);
    let contact = Contact { bounces: 2, bounce_s: 0.005, ..Contact::default() };
    let bouncing = sat(&plan, &Traits { contact, ..SURE });
    assert_eq!(closings(&bouncing), 5 * voluntary);
    // Debounce makes one press of each.
    assert_eq!(count(&bouncing, |what| matches!(what, What::Effect(Effect::Activated(_)))), voluntary);
    let contact = Contact { drop_outs_per_s: 8.0, drop_out_s: 0.05, ..Contact::default() };
    assert!(closings(&sat(&plan, &Traits { contact, ..SURE })) > voluntary + 20);
}

#[test]
fn spasms_are_counted_in_a_quiet_watch() {
    let watch = Block { seconds: 600.0, watch: WatchKind::AtRest, ..Block::of(BlockKind::QuietWatch) };
    let spasm = Spasm { per_s: 0.05, presses: 4, gap_s: 0.8 };
    let plan = plan(vec![watch], Settings::default().with(Id::Lockout, 0), 6);
    let evidence = analysed(&plan, &sat(&plan, &Traits { spasm, ..SURE }));
    // 30 bursts of 4, SD of the bursts 5.5 (Poisson), less those that fall into another or into debounce.
    assert!((60..=160).contains(&evidence.involuntary), "{}", evidence.involuntary);
}

#[test]
fn one_who_tires_slows_down_and_one_who_learns_speeds_up() {
    // Of five sessions of 80 presses the ratio of the halves has a standard deviation of 0.025.
    let halves = |course: Course| {
        let (mut first, mut last) = (0.0, 0.0);
        for seed in 8..13 {
            let plan = plan(timed(80), slow(3_000_000), seed);
            let evidence = analysed(&plan, &sat(&plan, &Traits { course, ..SURE }));
            let latencies: Vec<f64> = evidence.opportunities.iter().filter_map(|one| one.latency_s()).collect();
            let (early, late) = latencies.split_at(latencies.len() / 2);
            first += early.iter().sum::<f64>();
            last += late.iter().sum::<f64>();
        }
        last / first
    };
    assert!(halves(Course { slower_per_min: 0.05, ..Course::default() }) > 1.1);
    assert!(halves(Course { unpractised: 0.8, practice_presses: 20.0, ..Course::default() }) < 0.85);
}

#[test]
fn each_technique_reaches_its_targets() {
    let tasks = Block { trials: 24, ..Block::of(BlockKind::MenuTasks) };
    for technique in ["automatic", "step", "step-auto-accept", "inverse"] {
        for pattern in [0, 2] {
            let settings = Settings::for_technique(technique)
                .with(Id::ScanInterval, 2_000_000)
                .with(Id::Pattern, pattern)
                .with(Id::CueLead, 500_000);
            let sharp = Latency::ExGaussian { mu_s: 0.5, sigma_s: 0.05, tau_s: 0.05 };
            let records = sat(&plan(vec![tasks.clone()], settings, 5), &Traits { latency: sharp, ..SURE });
            let reached = trials(&records).filter(|trial| trial.outcome == Outcome::Hit).count();
            assert_eq!((reached, trials(&records).count()), (24, 24), "{technique}, pattern {pattern}");
        }
    }
}

#[test]
fn a_client_who_stops_is_let_be_and_the_log_is_whole() {
    let (protocol, menu) = shipped::find("first-look").unwrap();
    for stops in [0.0, 30.0, 100.0] {
        let plan = Plan { protocol: protocol.clone(), menu: menu.clone(), settings: Settings::default(), seed: 1 };
        let records = sat(&plan, &Traits { stops_after_s: Some(stops), ..SURE });
        let last = records.iter().rev().find_map(|record| match record.what {
            What::Event(Event::Finished { complete }) => Some(complete),
            _ => None,
        });
        assert_eq!(last, Some(false), "{stops}");
        assert!(records.iter().all(|record| record.at.0 < 30 * 60_000_000), "{stops}");
    }
}

fn any_law() -> impl Strategy<Value = Latency> {
    prop_oneof![
        (0.0..2.0, 0.0..0.5, 0.0..2.0).prop_map(|(mu_s, sigma_s, tau_s)| Latency::ExGaussian { mu_s, sigma_s, tau_s }),
        (0.0..1.0, 0.1..3.0, 0.05..1.5).prop_map(|(shift_s, median_s, log_sd)| Latency::Lognormal {
            shift_s,
            median_s,
            log_sd
        }),
        (0.0..1.0, 0.1..3.0, 0.1..20.0).prop_map(|(shift_s, mean_s, shape_s)| Latency::Wald {
            shift_s,
            mean_s,
            shape_s
        }),
        (0.0..1.0, 0.3..9.0, 0.02..0.5).prop_map(|(shift_s, shape, scale_s)| Latency::Gamma {
            shift_s,
            shape,
            scale_s
        }),
    ]
}

fn any_aim() -> impl Strategy<Value = Option<Aim>> {
    prop::option::of((0.0..1.0, -0.5..0.5, 0.0..0.3, 0.0..0.2).prop_map(|(share, offset_s, sd_s, sd_share)| Aim {
        share,
        offset_s,
        sd_s,
        sd_share,
    }))
}

fn any_contact() -> impl Strategy<Value = Contact> {
    (0_u8..8, 0.0..0.05, 0.0..20.0, 0.0..0.2).prop_map(|(bounces, bounce_s, drop_outs_per_s, drop_out_s)| Contact {
        bounces,
        bounce_s,
        drop_outs_per_s,
        drop_out_s,
    })
}

prop_compose! {
    fn any_traits()(
        latency in any_law(),
        aim in any_aim(),
        contact in any_contact(),
        (miss, gives_up_late, rests) in (0.0..=1.0, 0.0..=1.0, 0.0..=1.0),
        (held_s, held_scatter, first_item_s) in (0.01..4.0, 0.0..1.0, 0.0..1.0),
        (involuntary_per_s, bursts_per_s, burst, gap_s) in (0.0..2.0, 0.0..0.5, 0_u8..6, 0.0..1.0),
        (share, hertz, presses) in (0.0..=1.0, 1.0..12.0, 0_u8..8),
        (slower_per_min, lapses_per_min, unpractised) in (-0.1..0.3, 0.0..0.2, 0.0..1.0),
        (takes_exit, tries_again) in (0.0..=1.0, 0.0..=1.0),
        (tremor_deg, move_s, move_s_per_bit) in (0.0..4.0, 0.0..1.0, 0.0..1.0),
        stops_after_s in prop::option::of(0.0..600.0),
    ) -> Traits {
        Traits {
            latency, aim, first_item_s, miss, gives_up_late, involuntary_per_s, held_s, held_scatter, contact, rests,
            spasm: Spasm { per_s: bursts_per_s, presses: burst, gap_s },
            tremor: Tremor { share, hertz, presses },
            course: Course { slower_per_min, lapses_per_min, rest_undoes: 0.5, unpractised, practice_presses: 10.0 },
            recovery: Recovery { takes_exit, tries_again },
            pointer: Pointing { tremor_deg, move_s, move_s_per_bit, ..Pointing::default() },
            stops_after_s,
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]
    #[test]
    fn no_client_of_any_kind_makes_a_session_hang(
        traits in any_traits(),
        technique in prop::sample::select(vec!["automatic", "step", "step-auto-accept", "inverse", "dwell"]),
        (pattern, hold, lockout, restarts) in (0_i64..5, 0_i64..3, 0_i64..4, 0_i64..2),
        (protocol, seed) in (prop::sample::select(vec!["first-look", "longer-trial", "demonstration"]), any::<u64>()),
    ) {
        let (protocol, menu) = shipped::find(protocol).unwrap();
        let settings = Settings::for_technique(technique)
            .overlaid(&protocol.settings).unwrap()
            .with(Id::Pattern, pattern)
            .with(Id::Hold, 200_000 * hold)
            .with(Id::Lockout, 500_000 * lockout)
            .with(Id::LockoutRestarts, restarts);
        let plan = Plan { protocol, menu, settings, seed };
        let mut session = Session::new(plan.clone());
        let mut client = Client::new(traits, seed);
        let mut kept: Vec<Record> = Vec::new();
        // The records of a long sitting would fill the memory of the test: only what it needs is kept.
        let ended = sit(&mut session, &mut client, |fresh| kept.extend(fresh.iter().filter(|record| {
            matches!(record.what, What::Event(Event::Finished { .. }))
        }).cloned()));
        prop_assert!(ended.is_ok() && session.finished());
        prop_assert_eq!(kept.len(), 1);
    }
}
