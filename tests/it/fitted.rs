//! Virtual clients that are fitted to the logs of other virtual clients: what was put in comes back,
//! within its intervals, and what logs cannot tell is said.

use pacewright::analysis::gather::Unfit;
use pacewright::forecast::fit::{fit, text};
use pacewright::log::header::Header;
use pacewright::menu;
use pacewright::session::event::BlockKind;
use pacewright::session::protocol::{Block, Protocol, WatchKind};
use pacewright::session::record::Record;
use pacewright::session::stop::StopRules;
use pacewright::session::{Plan, Session, shipped};
use pacewright::settings::{Id, Settings};
use pacewright::sim::client::Client;
use pacewright::sim::latency::Latency;
use pacewright::sim::profile::fitted::Fitted;
use pacewright::sim::profile::{self, Profile, shipped as clients};
use pacewright::sim::sitting::sit;
use pacewright::sim::traits::{Aim, Traits};

/// A minute of quiet and so many timed presses and menu tasks, without stop rules.
fn plan(timed: u32, settings: Settings, seed: u64) -> Plan {
    let (shipped, menu) = shipped::find("longer-trial").unwrap();
    let stop = StopRules { omissions: 0, errors: 0, window: 1, slowing: 0.0, minutes: 0.0 };
    let quiet = Block { seconds: 60.0, watch: WatchKind::AtRest, ..Block::of(BlockKind::QuietWatch) };
    let timed = Block { trials: timed, ..Block::of(BlockKind::TimedPress) };
    let protocol =
        Protocol { blocks: vec![quiet, timed], stop, rest_every: 0, settings: serde_json::Map::new(), ..shipped };
    Plan { protocol, menu, settings, seed }
}

fn slow(interval_us: i64) -> Settings {
    Settings::default().with(Id::ScanInterval, interval_us).with(Id::CueLead, 500_000)
}

fn sat(plan: &Plan, traits: &Traits) -> (Header, Vec<Record>) {
    let mut records = Vec::new();
    let mut client = Client::new(traits.clone(), plan.seed);
    sit(&mut Session::new(plan.clone()), &mut client, |fresh| records.extend_from_slice(fresh)).unwrap();
    (Header { client: "A1".into(), invented: true, ..Header::for_plan(plan) }, records)
}

fn of(sessions: &[(Header, Vec<Record>)]) -> Result<Profile, Unfit> {
    fit(&sessions.iter().map(|(header, records)| (header, &records[..])).collect::<Vec<_>>())
}

fn fitted_to(traits: &Traits, timed: u32, interval_us: i64, seed: u64) -> Profile {
    of(&[sat(&plan(timed, slow(interval_us), seed), traits)]).unwrap_or_else(|unfit| panic!("seed {seed}: {unfit:?}"))
}

fn rests_on(profile: &Profile) -> &Fitted {
    profile.fitted.as_ref().unwrap()
}

fn interval(profile: &Profile, name: &str) -> [f64; 2] {
    let found = rests_on(profile).measured.iter().find(|one| one.name == name);
    found.map(|one| [one.low, one.high]).unwrap_or_else(|| panic!("{name} of {:?}", rests_on(profile).measured))
}

fn assumed(profile: &Profile, name: &str) -> bool {
    rests_on(profile).assumed.iter().any(|one| one.name == name)
}

fn shipped_client(name: &str) -> Traits {
    clients::find(name).unwrap().traits
}

/// In how many of twenty sessions each truth lies within its interval.
fn covered<const N: usize>(traits: &Traits, interval_us: i64, truths: [(&str, f64); N]) -> [u32; N] {
    let mut covered = [0; N];
    for seed in 0..20 {
        let profile = fitted_to(traits, 60, interval_us, seed);
        for (count, (name, truth)) in covered.iter_mut().zip(truths) {
            let [low, high] = interval(&profile, name);
            *count += u32::from((low..=high).contains(&truth));
        }
    }
    covered
}

#[test]
fn the_steady_client_comes_back_within_its_intervals() {
    // 90 % intervals: about 18 of 20; fewer than 14 come twice in 1,000 runs of right intervals (binomial).
    let truths = [
        ("latency, mean", 0.71),
        ("latency, mu", 0.55),
        ("latency, tau", 0.16),
        ("lapses", 0.03),
        ("involuntary presses", 0.24),
        ("held, median", 0.22),
        ("held, SD of ln", 0.25),
    ];
    let found = covered(&shipped_client("steady"), 2_000_000, truths);
    assert!(found.iter().all(|count| *count >= 14), "{found:?} of {truths:?}");
}

#[test]
fn lapses_and_the_first_item_of_one_far_away_come_back() {
    let truths = [("lapses", 0.2), ("first-item effect", 0.3), ("latency, mean", 0.9)];
    let found = covered(&shipped_client("lapsing"), 2_500_000, truths);
    assert!(found.iter().all(|count| *count >= 14), "{found:?} of {truths:?}");
}

#[test]
fn laws_of_another_shape_come_back_with_their_mean() {
    for name in ["lognormal", "wald", "gamma"] {
        let traits = Traits { rests: 0.0, ..shipped_client(name) };
        let [count] = covered(&traits, 3_000_000, [("latency, mean", traits.latency.mean())]);
        assert!(count >= 14, "{name}: {count}");
    }
}

#[test]
fn tiring_and_tremor_are_seen() {
    // Nine in ten intervals hold the truth: fewer than six of ten would come about once in six hundred times.
    let holds = |seed: u64| {
        let tiring = fitted_to(&shipped_client("tiring"), 90, 3_000_000, seed);
        assert!(tiring.traits.course.slower_per_min > 0.0, "{seed}");
        let [low, high] = interval(&tiring, "growth of ln latency with work");
        (low..=high).contains(&0.04)
    };
    let held = (1..=10).filter(|seed| holds(*seed)).count();
    assert!(held >= 6, "{held} of 10");
    let tremor = fitted_to(&shipped_client("tremor"), 60, 2_000_000, 3).traits.tremor;
    assert!((tremor.share - 0.5).abs() < 0.2 && (tremor.hertz - 4.0).abs() < 0.1 && tremor.presses == 4, "{tremor:?}");
    let steady = fitted_to(&shipped_client("steady"), 60, 2_000_000, 3);
    assert!(steady.traits.tremor.share < 0.05 && steady.traits.course.slower_per_min == 0.0);
}

#[test]
fn one_who_times_the_presses_needs_two_scan_rates() {
    let timer = shipped_client("timer");
    let one = sat(&plan(40, slow(1_200_000), 1), &timer);
    // At one scan rate it passes for one who reacts, and that is said.
    assert!(assumed(&of(std::slice::from_ref(&one)).unwrap(), "rhythm"));
    // From one day to the next presses change by themselves: a second rate on another day leaves it open.
    let another_day = sat(&plan(40, slow(2_000_000), 2), &timer);
    assert!(assumed(&of(&[one.clone(), another_day]).unwrap(), "rhythm"));
    let mut both = plan(40, slow(1_200_000), 2);
    let block = |slower: f64| Block { trials: 40, slower, ..Block::of(BlockKind::TimedPress) };
    both.protocol.blocks.extend([block(1.6), block(1.0)]);
    let profile = of(&[one, sat(&both, &timer)]).unwrap();
    let aim = profile.traits.aim.unwrap();
    assert!((aim.share - 0.33).abs() < 0.1 && aim.offset_s.abs() < 0.12, "{aim:?}");
    // Nobody reacts so soon.
    let sooner = Traits { aim: Some(Aim { share: 0.02, offset_s: 0.0, sd_s: 0.06, sd_share: 0.0 }), ..timer };
    let refused = of(&[sat(&plan(40, slow(1_200_000), 1), &sooner)]).unwrap_err();
    assert!(refused.remedy.contains("10 % slower or faster"), "{refused:?}");
}

#[test]
fn two_humps_are_drawn_from_what_was_seen() {
    let profile = fitted_to(&shipped_client("quantiles"), 120, 3_000_000, 2);
    assert!(matches!(profile.traits.latency, Latency::Quantiles { .. } | Latency::ExGaussian { .. }));
    let humps = Latency::Quantiles { seconds: vec![0.4, 0.45, 0.5, 1.4, 1.45, 1.5] };
    let profile = fitted_to(&Traits { latency: humps, ..shipped_client("steady") }, 60, 3_000_000, 2);
    let Latency::Quantiles { seconds } = &profile.traits.latency else { panic!("{:?}", profile.traits.latency) };
    assert_eq!(seconds.len(), 21);
    assert!(assumed(&profile, "shape of the law of latencies"));
}

#[test]
fn what_logs_cannot_tell_is_said() {
    let profile = fitted_to(&shipped_client("steady"), 60, 2_000_000, 1);
    for name in ["late presses", "contact", "recovery", "bursts of involuntary presses", "questions answered with rest"]
    {
        assert!(assumed(&profile, name), "{name}");
    }
    let lines = text::lines(rests_on(&profile)).join("\n");
    assert!(lines.contains("- latency, mean: 0.") && lines.contains("Assumed, for these logs cannot tell:"), "{lines}");
    assert!(!lines.contains("NaN") && !lines.contains("inf"), "{lines}");
}

#[test]
fn a_fitted_profile_is_a_valid_file_and_sits_through_a_session() {
    let profile = fitted_to(&shipped_client("steady"), 30, 2_000_000, 7);
    let json = serde_json::to_string_pretty(&profile).unwrap();
    assert_eq!(profile::read("fitted.json", &json), (Some(profile.clone()), vec![]));
    assert_eq!(profile.guesses().len(), 100);
    for traits in [&profile.traits, &profile.guesses()[7]] {
        let (_, records) = sat(&plan(30, slow(2_000_000), 1), traits);
        assert!(records.len() > 100);
    }
}

#[test]
fn a_long_description_of_the_set_up_still_makes_a_valid_file() {
    let (mut header, records) = sat(&plan(30, slow(2_000_000), 1), &shipped_client("steady"));
    header.setup.mounting = "a long arm ".repeat(80);
    let profile = of(&[(header, records)]).unwrap();
    let json = serde_json::to_string(&profile).unwrap();
    assert_eq!(profile::read("p.json", json), (Some(profile), vec![]));
}

#[test]
fn sessions_that_bear_no_client_are_refused_with_a_remedy() {
    let steady = shipped_client("steady");
    let good = sat(&plan(30, slow(2_000_000), 1), &steady);
    let with = |change: fn(&mut Header)| {
        let mut other = good.clone();
        change(&mut other.0);
        of(&[good.clone(), other]).unwrap_err()
    };
    assert!(with(|header| header.client = "B2".into()).what.contains("client differs"));
    assert!(with(|header| header.setup.site = "hand".into()).what.contains("site differs"));
    assert!(with(|header| header.invented = false).what.contains("invented"));
    let nine = with(|header| header.menu = menu::shipped::find("nine").unwrap().to_json());
    assert!(nine.what.contains("menu differs"), "{nine:?}");
    let few = of(&[sat(&plan(6, slow(2_000_000), 1), &steady)]).unwrap_err();
    assert!(few.what.contains("12 are needed") && few.remedy.contains("timed presses"), "{few:?}");
    let absent = of(&[sat(&plan(30, slow(2_000_000), 1), &shipped_client("absent"))]).unwrap_err();
    assert!(absent.what.contains("only 0 right or late presses"), "{absent:?}");
    assert!(of(&[]).is_err());
}

#[test]
fn a_profile_with_impossible_guesses_has_a_line_and_a_remedy() {
    let profile = fitted_to(&shipped_client("steady"), 30, 2_000_000, 7);
    let mut value = serde_json::to_value(&profile).unwrap();
    value["fitted"]["draws"][0]["latency"]["tau_s"] = serde_json::json!(-1.0);
    let (read, problems) = profile::read("p.json", value.to_string());
    assert!(read.is_none());
    assert_eq!(problems[0].to_string(), "`p.json`, line 1: `tau_s` is `-1.0`; give a number from 0 to 10");
}
