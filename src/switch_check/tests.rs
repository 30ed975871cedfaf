//! Switches of every sort, worked through the real filter.

use std::sync::Arc;

use super::*;
use crate::engine::Engine;
use crate::engine::tree::ScanTree;

/// A bench with one switch on it.
struct Bench {
    engine: Engine,
    check: Check,
    now: Moment,
}

impl Bench {
    fn new(settings: &Settings) -> Bench {
        let engine = Engine::new(Arc::new(ScanTree::linear(1)), settings);
        Bench { engine, check: Check::new(Moment::START, settings), now: Moment::START }
    }

    fn edge(&mut self, after_ms: u64, down: bool) {
        self.now += Span::from_ms(after_ms);
        let mut effects = Vec::new();
        self.engine.advance(self.now, &mut effects);
        self.check.edge(self.now, Switch(0), down);
        self.engine.edge(self.now, Switch(0), down, &mut effects);
        effects.iter().for_each(|(at, effect)| self.check.effect(*at, effect));
    }

    fn press(&mut self, gap_ms: u64, held_ms: u64) {
        self.edge(gap_ms, true);
        self.edge(held_ms, false);
    }

    fn wait(&mut self, ms: u64) {
        self.now += Span::from_ms(ms);
        let mut effects = Vec::new();
        self.engine.advance(self.now, &mut effects);
        effects.iter().for_each(|(at, effect)| self.check.effect(*at, effect));
    }

    fn finding(&mut self) -> Finding {
        self.wait(1_000);
        self.check.findings(self.now).remove(0)
    }
}

/// Lengths and gaps of a hand, in milliseconds; invented.
const HAND: [(u64, u64); 10] = [
    (900, 110),
    (700, 420),
    (1_300, 95),
    (650, 240),
    (820, 700),
    (1_100, 130),
    (760, 88),
    (930, 310),
    (690, 160),
    (1_050, 520),
];

fn bench() -> Bench {
    Bench::new(&Settings::default())
}

#[test]
fn a_switch_that_follows_the_hand_is_clean_and_its_times_are_counted() {
    let mut bench = bench();
    HAND.iter().for_each(|(gap, held)| bench.press(*gap, *held));
    let finding = bench.finding();
    assert_eq!(finding.verdicts, [Verdict::Clean]);
    assert_eq!((finding.presses, finding.counted, finding.edges, finding.bounces), (10, 10, 20, 0));
    let held = finding.held.unwrap();
    assert_eq!(
        (held.least_us, held.median_us, held.greatest_us),
        (Span::from_ms(88), Span::from_ms(160), Span::from_ms(700))
    );
    assert_eq!(finding.gaps.unwrap().count, 9);
}

#[test]
fn few_presses_are_no_proof() {
    let mut bench = bench();
    HAND[..3].iter().for_each(|(gap, held)| bench.press(*gap, *held));
    assert_eq!(bench.finding().verdicts, [Verdict::TooFew { presses: 3, wanted: 8 }]);
}

#[test]
fn pulses_are_told_with_their_length_and_what_they_hide() {
    let mut bench = bench();
    for (place, (gap, _)) in HAND.iter().enumerate() {
        bench.press(*gap, 96 + 8 * (place as u64 % 2));
    }
    let verdicts = bench.finding().verdicts;
    assert_eq!(verdicts, [Verdict::Pulse { length_us: Span::from_ms(96) }]);
    assert!(verdicts[0].hides_durations() && verdicts[0].remedy().contains("inverse scanning cannot be measured"));
}

#[test]
fn an_interface_that_repeats_by_itself_is_told_with_its_step() {
    let mut bench = bench();
    bench.press(500, 90);
    (0..9).for_each(|_| bench.press(210, 90));
    assert_eq!(bench.finding().verdicts, [Verdict::Repeats { step_us: Span::from_ms(300) }]);
}

#[test]
fn bounce_is_counted_and_called_too_long_only_beyond_the_debounce() {
    let mut bench = bench();
    for (gap, held) in HAND {
        bench.edge(gap, true);
        bench.edge(3, false);
        bench.edge(2, true);
        bench.edge(held, false);
    }
    let finding = bench.finding();
    assert_eq!((finding.presses, finding.bounces, finding.longest_bounce_us), (10, 20, Span::from_ms(5)));
    assert_eq!(finding.verdicts, [Verdict::Clean]);
    bench.edge(500, true);
    (0..8).for_each(|turn| bench.edge(6, turn % 2 == 1));
    bench.edge(300, false);
    let expected = Verdict::Bounce { longest_us: Span::from_ms(48), debounce_us: Span::from_ms(30) };
    assert_eq!(bench.finding().verdicts, [expected]);
}

#[test]
fn a_thousand_edges_a_second_chatter_and_memory_does_not_grow() {
    let mut bench = bench();
    (0..20_000).for_each(|edge| bench.edge(1, edge % 2 == 0));
    let finding = bench.finding();
    assert!(finding.verdicts.contains(&Verdict::Chatter { per_second: 1_000 }), "{:?}", finding.verdicts);
    assert_eq!(finding.edges, 20_000);
    assert!(bench.check.switches[0].recent.len() <= KEPT);
}

#[test]
fn a_switch_held_past_the_limit_is_stuck() {
    let mut bench = bench();
    bench.edge(100, true);
    bench.wait(12_000);
    assert_eq!(bench.finding().verdicts, [Verdict::Stuck { held_us: Span::from_ms(10_000) }]);
}

#[test]
fn the_strip_shows_press_hold_lockout_and_the_instant_that_counts() {
    let settings = Settings::default().with(crate::settings::Id::Hold, 500_000);
    let mut bench = Bench::new(&settings);
    bench.edge(1_000, true);
    bench.edge(1_000, false);
    bench.wait(1_000);
    let lanes = bench.check.strip(bench.now).lanes;
    let bars = |name: &str| lanes.iter().find(|lane| lane.name == name).unwrap().bars.clone();
    let bar = |from, to| vec![Bar { from, to }];
    assert_eq!(bars("Raw contact"), bar(800, 900));
    assert_eq!(bars("Press"), bar(800, 900));
    assert_eq!(bars("Hold"), bar(800, 850));
    assert_eq!(bars("Counts"), bar(850, 850));
    assert_eq!(bars("Lockout"), bar(900, 950));
    assert_eq!(bars("Bounce"), []);
}
