//! Things that change by themselves while a task is under way.

use super::*;

fn tasks(distractions: bool) -> Block {
    Block { trials: 12, distractions, ..Block::of(BlockKind::MenuTasks) }
}

fn distracted(clinic: &Clinic) -> Vec<(Moment, &str)> {
    let things = clinic.records.iter().filter_map(|record| match &record.what {
        What::Event(Event::Distracted { thing }) => Some((record.at, thing.as_str())),
        _ => None,
    });
    things.collect()
}

fn missed(distractions: bool) -> Clinic {
    let mut clinic = Clinic::of(vec![tasks(distractions)]).begin();
    clinic.until(|clinic| !clinic.trials().is_empty());
    clinic
}

#[test]
fn each_trial_has_one_change_that_is_neither_wanted_nor_an_alarm() {
    let clinic = missed(true);
    let (changes, trials) = (distracted(&clinic), clinic.trials());
    assert_eq!(changes.len(), 1);
    for ((at, thing), trial) in changes.into_iter().zip(trials) {
        assert!(trial.began < at && at < trial.ended, "while the scan runs");
        assert!(["lamp", "television", "curtains"].contains(&thing) && !trial.target.starts_with(thing), "{thing}");
    }
}

#[test]
fn the_scan_is_the_same_with_and_without_them() {
    let steps = |clinic: &Clinic| {
        let lit = clinic.records.iter().filter_map(|record| match &record.what {
            What::Effect(Effect::Highlight { due, lit, .. }) => Some((*due, *lit)),
            _ => None,
        });
        lit.collect::<Vec<_>>()
    };
    assert_eq!(steps(&missed(true)), steps(&missed(false)));
    assert!(distracted(&missed(false)).is_empty());
}

#[test]
fn what_changed_is_seen_in_the_home_and_a_judged_trial_is_left_alone() {
    let mut clinic = Clinic::of(vec![tasks(true)]).begin();
    clinic.until(|clinic| !distracted(clinic).is_empty());
    let changed = |clinic: &Clinic| clinic.session.scene().home.iter().filter(|thing| thing.changed).count();
    assert_eq!(changed(&clinic), 1);
    let mut quick = Clinic::of(vec![Block { distractions: true, ..menu_tasks(&["alarm-call"]) }]).begin();
    quick.press_wanted(0.1);
    quick.until(|clinic| clinic.session.finished());
    let trials = quick.trials();
    assert!(distracted(&quick).iter().all(|(at, _)| *at < trials[0].ended));
}
