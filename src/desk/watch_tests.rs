//! A watch beside a virtual client's session sees what the session shows.

use super::*;
use crate::session::input::Input;
use crate::session::{Plan, shipped};
use crate::settings::Settings;
use crate::sim::client::{Client, STEADY};
use crate::sim::sitting::sit;
use crate::time::Moment;

fn plan(protocol: &str) -> Plan {
    let (protocol, menu) = shipped::find(protocol).unwrap();
    let settings = Settings::from_json(&protocol.settings).unwrap();
    Plan { protocol, menu, settings, seed: 5 }
}

/// All records of a session of the steady client.
fn sat(protocol: &str) -> (Header, Vec<Record>) {
    let plan = plan(protocol);
    let header = Header::for_plan(&plan);
    let mut records = Vec::new();
    let mut session = Session::new(plan);
    sit(&mut session, &mut Client::new(STEADY, 5), |fresh| records.extend_from_slice(fresh)).unwrap();
    (header, records)
}

fn watch(header: Header) -> Watch {
    Watch::new(header).unwrap()
}

#[test]
fn it_sees_every_screen_and_counts_every_trial() {
    let (header, records) = sat("longer-trial");
    let mut watch = watch(header);
    let (mut cued, mut lit, mut most) = (0, 0, (0, 0));
    for (number, record) in (1..).zip(&records) {
        watch.take(number, record);
        cued += usize::from(watch.cue().is_some());
        lit += usize::from(!watch.lit().is_empty());
        most = watch.trial().map_or(most, |trial| most.max(trial));
        assert!(watch.trial().is_none_or(|(number, of)| number <= of));
    }
    assert!(watch.finished() && watch.session().is_some_and(Session::finished), "it agreed to the end");
    assert!(cued > 100 && lit > 100, "{cued} {lit}");
    let trials = |record: &&Record| matches!(&record.what, What::Event(Event::Trial(trial)) if trial.counts());
    let counted = records.iter().filter(trials).count();
    assert_eq!(watch.tally().values().sum::<u32>() as usize, counted);
    assert_eq!(watch.dots().len(), IN_VIEW);
    assert!(watch.dots().iter().all(|dot| dot.seconds.is_finite()) && watch.on_task() > Span::ZERO);
}

#[test]
fn after_a_gap_the_screen_is_unknown_and_the_counts_go_on() {
    let (header, records) = sat("longer-trial");
    let mut watch = watch(header);
    let gone = 40..60;
    for (number, record) in (1..).zip(&records).filter(|(number, _)| !gone.contains(number)) {
        watch.take(number, record);
    }
    assert!(watch.session().is_none() && watch.lit().is_empty() && watch.trial().is_none());
    assert!(watch.finished() && watch.tally()[&Outcome::Hit] > 10);
}

/// A session that is driven by hand, and the watch beside it.
struct Beside {
    session: Session,
    watch: Watch,
    number: u64,
}

impl Beside {
    fn new(protocol: &str) -> Beside {
        let plan = plan(protocol);
        let watch = watch(Header::for_plan(&plan));
        Beside { session: Session::new(plan), watch, number: 1 }
    }

    fn input(&mut self, at_ms: u64, input: Input) {
        let mut out = Vec::new();
        self.session.input(Moment(at_ms * 1_000), input, &mut out);
        for record in out {
            self.watch.take(self.number, &record);
            self.number += 1;
        }
    }
}

#[test]
fn a_changed_scan_interval_is_told_beside_the_one_in_force_until_the_next_trial() {
    let mut beside = Beside::new("confirm");
    beside.input(0, Input::Next);
    let (now, next) = beside.watch.interval().unwrap();
    assert_eq!(now, next);
    beside.input(100, Input::Set { name: "scan_interval".into(), value: 3.5.into() });
    let (still, changed) = beside.watch.interval().unwrap();
    assert_eq!((still, changed), (now, Span::from_ms(3_500)));
    beside.input(200, Input::Pause { why: crate::session::input::PauseReason::Clinician });
    beside.input(300, Input::Next);
    assert_eq!(beside.watch.interval().unwrap(), (changed, changed));
}

#[test]
fn the_rest_that_is_due_comes_nearer_trial_by_trial() {
    let (header, records) = sat("longer-trial");
    let mut watch = watch(header);
    let mut due = Vec::new();
    for (number, record) in (1..).zip(&records) {
        watch.take(number, record);
        if matches!(record.what, What::Event(Event::TrialBegan { .. })) {
            due.push(watch.rest_due().unwrap().trials);
        }
    }
    // Eight trials, then the question: the shipped protocols say nothing else.
    assert!(due.contains(&8) && due.contains(&1) && due.iter().all(|left| (1..=8).contains(left)), "{due:?}");
}

#[test]
fn a_switch_check_is_told_while_it_runs_and_when_it_is_over() {
    let mut beside = Beside::new("switch-check");
    beside.input(0, Input::Next);
    for press in 0..3_u64 {
        for (down, after) in [(true, 0), (false, 150)] {
            let switch = crate::engine::effect::Switch(0);
            beside.input(1_000 + press * 700 + after, Input::Edge { switch, down });
        }
    }
    assert_eq!(beside.watch.findings()[0].presses, 3);
    beside.input(9_000, Input::Next);
    let found = beside.watch.findings();
    assert_eq!((found.len(), found[0].presses), (1, 3));
}

#[test]
fn a_trial_left_out_is_no_longer_counted() {
    let (header, records) = sat("longer-trial");
    let mut watch = watch(header);
    (1..).zip(&records).for_each(|(number, record)| watch.take(number, record));
    let before: u32 = watch.tally().values().sum();
    let counted = watch.trials.iter().find(|trial| trial.counts()).unwrap();
    let event = Event::Excluded { block: counted.block, trial: counted.trial, reason: "cough".into() };
    watch.event(&event);
    assert_eq!(watch.tally().values().sum::<u32>(), before - 1);
}
