//! Sessions worked by breath.

use super::*;
use crate::level::{Side, Strength, Trouble, Way};
use crate::log::follow::Follower;
use crate::session::input::Rating;
use crate::session::levels::{LevelKind, LevelSource, Works};
use crate::sim::breather::{Breather, Conditions};

const PUFF: Way = Way { side: Side::Above, strength: Strength::Soft };
const HARD: Way = Way { side: Side::Above, strength: Strength::Hard };

/// A client at the session, who breathes.
struct Bed {
    clinic: Clinic,
    breather: Breather,
    /// The breather's clock began so much earlier.
    before: Span,
    /// The level at rest, and in a comfortable puff, as it was calibrated.
    rest: i32,
    puff: i32,
}

impl Bed {
    fn new(blocks: Vec<Block>, settings: Settings) -> Bed {
        Bed::at(Clinic::with(blocks, settings))
    }

    fn at(mut clinic: Clinic) -> Bed {
        let mut breather = Breather::new(7, Conditions::default());
        let calibration = breather.calibrate(&[Side::Above]).unwrap();
        let (rest, effort) = (calibration.rest, calibration.effort(Side::Above).unwrap() as i32);
        let works = [PUFF, HARD].into_iter().zip(0..).map(|(way, switch)| Works { way, switch: Switch(switch) });
        let source = LevelSource {
            source: 0,
            kind: LevelKind::Breath,
            device: "pad 1 axis LeftStickY".into(),
            unit: "Pa".into(),
            emulated: false,
            calibration,
            works: works.collect(),
        };
        clinic.input(Input::Calibrated(Box::new(source)));
        let before = breather.now().since(Moment::START);
        Bed { clinic: clinic.begin(), breather, before, rest, puff: rest + effort }
    }

    /// Time passes, with all its samples.
    fn wait(&mut self, seconds: f64) {
        let until = self.clinic.now + Span::from_seconds(seconds).unwrap();
        while self.clinic.now < until {
            let (at, value) = self.breather.sample();
            self.clinic.wait((at.since(self.clinic.now + self.before)).as_seconds());
            self.clinic.input(Input::Level { source: 0, value });
        }
    }

    fn breathe(&mut self, way: Way) {
        self.breather.breathe(self.breather.now(), way);
        self.wait(2.0);
    }

    /// Puffs on this offer.
    fn choose(&mut self, label: &str) {
        let is_lit = |clinic: &Clinic| {
            let Body::Tiles(tiles) = &clinic.session.scene().body else { return false };
            tiles.tiles.iter().any(|tile| tile.lit && tile.label == label)
        };
        while !is_lit(&self.clinic) {
            self.wait(0.02);
        }
        self.wait(0.4);
        self.breathe(PUFF);
    }

    /// Puffs `after` seconds after what is asked for has been lit.
    fn puff_wanted(&mut self, after: f64) {
        while !(matches!(self.clinic.session.asked(), Asked::Entry(..)) && self.clinic.on_wanted()) {
            self.wait(0.02);
        }
        self.wait(after);
        self.breathe(PUFF);
    }
}

/// How often the log follows itself: each record comes out again.
fn follows(bed: &Bed) -> usize {
    let mut follower = Follower::new(bed.clinic.session.plan().clone());
    for (number, record) in bed.clinic.records.iter().enumerate() {
        assert_eq!(follower.next(record).as_ref(), Some(record), "record {number}");
    }
    bed.clinic.records.len()
}

#[test]
fn soft_puffs_take_what_is_lit_and_the_log_leads_to_the_same() {
    let mut bed = Bed::new(vec![block(BlockKind::TimedPress, 2)], Settings::default());
    bed.puff_wanted(0.4);
    bed.puff_wanted(0.4);
    bed.wait(3.0);
    assert_eq!(bed.clinic.outcomes(), [Outcome::Hit; 2]);
    let began = bed.clinic.events().filter(|event| matches!(event, Event::LevelPress { way, .. } if *way == PUFF));
    assert_eq!(began.count(), 2);
    assert!(follows(&bed) > 50);
    let samples = |record: &&Record| matches!(record.what, What::Input(Input::Level { .. }));
    let kept = bed.clinic.records.iter().filter(samples).count();
    let all = bed.clinic.now.since(Moment::START).as_seconds() * 100.0;
    assert!((kept as f64) < 0.35 * all, "{kept} of {all}");
}

#[test]
fn a_hard_puff_is_the_second_switch_and_takes_nothing_by_the_way() {
    let settings = Settings::for_technique("step");
    let mut bed = Bed::new(vec![block(BlockKind::TimedPress, 1)], settings);
    bed.wait(1.0);
    bed.breathe(HARD);
    let downs: Vec<(Switch, bool)> = bed.clinic.records.iter().filter_map(|record| record.what.edge()).collect();
    assert_eq!(downs, [(Switch(1), true), (Switch(1), false)]);
}

#[test]
fn twenty_breaths_in_a_row_lead_to_rest_and_to_the_question_of_dizziness() {
    let mut bed = Bed::new(vec![Block::of(BlockKind::FirstContact)], Settings::default());
    bed.wait(1.0);
    for breath in 0..20 {
        assert_eq!(bed.clinic.cue(), "Puff when you like.", "{breath}");
        bed.breathe(PUFF);
    }
    assert!(bed.clinic.has(&Event::Rest { why: RestReason::InARow }));
    assert_eq!(bed.clinic.title(), "Resting. Puff when you are ready.");
    assert_eq!(bed.clinic.session.rating_asked(), Some(Rating::Dizziness));
    assert!(bed.clinic.session.scene().note.as_ref().is_some_and(|note| note.text.contains("dizzy")));
    bed.clinic.input(Input::Rate { question: Rating::Dizziness, value: 3 });
    assert_eq!(bed.clinic.session.rating_asked(), None);
    follows(&bed);
}

#[test]
fn alone_a_breath_has_its_own_words_and_many_in_a_row_tell_the_client_what_to_mind() {
    let mut bed = Bed::at(Clinic::with(vec![Block::of(BlockKind::FirstContact)], Settings::default()).alone());
    // The step before ended without a rest.
    bed.clinic.input(Input::InARow { presses: 17 });
    bed.choose("Start");
    for breath in 0..2 {
        assert!(!bed.clinic.has(&Event::Rest { why: RestReason::InARow }), "{breath}");
        bed.breathe(PUFF);
    }
    assert!(bed.clinic.has(&Event::Rest { why: RestReason::InARow }));
    assert_eq!(bed.clinic.title(), "Breathe as usual. Puff when you feel well.");
    // Nobody is there to type an answer.
    assert_eq!((bed.clinic.session.rating_asked(), &bed.clinic.session.scene().note), (None, &None));
    bed.breathe(PUFF);
    bed.choose("Carry on");
    assert_eq!((bed.clinic.cue().as_str(), bed.clinic.session.in_a_row()), ("Puff when you like.", 2));
    follows(&bed);
}

#[test]
fn a_breath_fills_the_tile_that_is_held_and_lets_it_go() {
    let block = Block { hold: 0.5, wait: [1.0, 1.0], ..block(BlockKind::Reaction, 2) };
    let mut bed = Bed::new(vec![block], Settings::default());
    bed.wait(1.0);
    for (length, outcome) in [(1.2, Outcome::Hit), (0.4, Outcome::Early)] {
        bed.clinic
            .until(|clinic| matches!(clinic.session.asked(), Asked::Hold(..)) && clinic.session.lit != Lit::Nothing);
        bed.clinic.wait(0.3);
        assert_eq!(bed.clinic.cue(), "Puff when it lights, and hold.");
        bed.clinic.input(Input::Level { source: 0, value: bed.puff });
        bed.clinic.wait(length);
        bed.clinic.input(Input::Level { source: 0, value: bed.rest });
        bed.clinic.wait(1.0);
        bed.clinic.until(|clinic| !matches!(clinic.session.asked(), Asked::Hold(..)));
        bed.clinic.wait(2.0);
        assert_eq!(bed.clinic.outcomes().last(), Some(&outcome));
    }
    follows(&bed);
}

#[test]
fn a_row_of_trials_ends_before_it_is_too_long() {
    let settings = Settings::default().with(Id::RunLimit, 3);
    let mut clinic = Clinic::with(vec![block(BlockKind::TimedPress, 9)], settings).begin();
    (0..3).for_each(|_| clinic.press_wanted(0.5));
    clinic.until(|clinic| clinic.title() == words::REST);
    assert_eq!(clinic.outcomes(), [Outcome::Hit; 3]);
    assert!(clinic.has(&Event::Rest { why: RestReason::InARow }));
    clinic.press();
    clinic.carry_on();
    clinic.press_wanted(0.5);
    clinic.until(|clinic| clinic.outcomes().len() == 4);
}

#[test]
fn a_level_that_stands_is_told_paused_as_stuck_and_let_go() {
    let mut bed = Bed::new(vec![block(BlockKind::TimedPress, 9)], Settings::default());
    bed.wait(1.0);
    bed.clinic.input(Input::Level { source: 0, value: 20_000 });
    bed.clinic.wait(30.0);
    assert!(bed.clinic.has(&Event::Paused { why: PauseReason::Stuck }));
    assert!(bed.clinic.has(&Event::LevelTrouble { source: 0, trouble: Trouble::Stands }));
    assert!(bed.clinic.has(&Event::LevelTrouble { source: 0, trouble: Trouble::Moved }));
    assert!(bed.clinic.has(&Event::Rest { why: RestReason::Released }));
    let told = bed.clinic.records.iter().filter(|record| !matches!(record.what, What::Input(_)));
    assert!(
        told.map(|record| record.at).is_sorted(),
        "it has stood for three seconds from then on, not from the start"
    );
    follows(&bed);
}

#[test]
fn what_is_no_level_is_told_once_and_a_device_that_is_gone_lets_go() {
    let mut bed = Bed::new(vec![block(BlockKind::TimedPress, 9)], Settings::default());
    bed.wait(1.0);
    (0..50).for_each(|_| bed.clinic.input(Input::LevelUnusable { source: 0 }));
    let told = Event::LevelTrouble { source: 0, trouble: Trouble::Unusable };
    assert_eq!(bed.clinic.events().filter(|event| **event == told).count(), 1);
    bed.clinic.input(Input::Level { source: 0, value: 4_000 });
    bed.clinic.wait(0.5);
    bed.clinic.input(Input::LevelLost { source: 0 });
    let last = bed.clinic.records.iter().filter_map(|record| record.what.edge()).next_back();
    assert_eq!(last.map(|(_, down)| down), Some(false));
    // A level of a source that nobody calibrated is nobody's.
    let before = bed.clinic.records.len();
    bed.clinic.input(Input::Level { source: 9, value: 4_000 });
    assert_eq!(bed.clinic.records.len(), before);
    follows(&bed);
}

#[test]
fn a_calibration_inside_its_noise_is_refused_on_the_screen_and_presses_nothing() {
    let mut bed = Bed::new(vec![block(BlockKind::TimedPress, 9)], Settings::default());
    let calibrated = |record: &Record| {
        if let What::Input(Input::Calibrated(source)) = &record.what { Some(source.clone()) } else { None }
    };
    let mut source = bed.clinic.records.iter().find_map(calibrated).unwrap();
    (source.source, source.calibration.noise) = (1, 1_000_000);
    bed.clinic.input(Input::Calibrated(source));
    assert!(bed.clinic.session.scene().note.as_ref().is_some_and(|note| note.text.contains("inside the noise")));
    let before = bed.clinic.records.len();
    bed.clinic.input(Input::Level { source: 1, value: 4_000 });
    assert_eq!(bed.clinic.records.len(), before);
}
