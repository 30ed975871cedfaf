//! Tasks of several choices, and tiles that the highlight passes over twice.

use super::super::event::TaskEnd;
use super::super::input::Prompt;
use super::super::stop::StopRules;
use super::*;

fn task(ids: &[&str]) -> Clinic {
    let tasks = vec![ids.iter().map(|id| (*id).to_string()).collect()];
    Clinic::of(vec![Block { tasks, ..Block::of(BlockKind::MenuTasks) }]).begin()
}

fn ends(clinic: &mut Clinic) -> Vec<(u16, TaskEnd)> {
    clinic.until(|clinic| clinic.session.finished());
    let ends = clinic.events().filter_map(|event| match event {
        Event::TaskEnded { choices, end, .. } => Some((*choices, *end)),
        _ => None,
    });
    ends.collect()
}

/// Takes the tile before the wanted one, then the wanted one.
fn err_and_mend(clinic: &mut Clinic) {
    clinic.until(|clinic| clinic.session.lit != Lit::Nothing && !clinic.on_wanted());
    clinic.wait(0.5);
    clinic.press();
    let before = clinic.trials().len();
    clinic.until(|clinic| clinic.trials().len() > before);
    clinic.press_wanted(0.5);
}

#[test]
fn a_task_is_right_when_each_choice_was_right_at_the_first_try() {
    let mut clinic = task(&["lamp-on", "curtains-open"]);
    clinic.press_wanted(0.4);
    clinic.wait(2.0);
    clinic.press_wanted(0.4);
    assert_eq!(ends(&mut clinic), [(2, TaskEnd::Right)]);
}

#[test]
fn a_choice_that_was_right_at_the_second_try_mends_its_task() {
    let mut clinic = task(&["curtains-open", "television-on"]);
    err_and_mend(&mut clinic);
    clinic.wait(2.0);
    clinic.press_wanted(0.4);
    assert_eq!(ends(&mut clinic), [(2, TaskEnd::Mended)]);
}

#[test]
fn what_was_let_go_by_is_not_done_and_help_says_nothing() {
    let mut missed = task(&["lamp-on", "curtains-open"]);
    missed.press_wanted(0.4);
    assert_eq!(ends(&mut missed), [(2, TaskEnd::NotDone)]);
    let mut helped = task(&["lamp-on", "curtains-open"]);
    helped.wait(0.5);
    helped.input(Input::Prompt { prompt: Prompt::Spoken });
    helped.press_wanted(0.4);
    helped.wait(2.0);
    helped.press_wanted(0.4);
    assert_eq!(ends(&mut helped), [(2, TaskEnd::Helped)]);
}

#[test]
fn a_task_of_one_choice_is_its_trial_and_nothing_more() {
    let mut clinic = Clinic::of(vec![menu_tasks(&["lamp-on"])]).begin();
    clinic.press_wanted(0.4);
    assert_eq!(ends(&mut clinic), []);
}

#[test]
fn in_two_passes_the_last_tile_is_asked_for_too_and_a_late_press_finds_the_first() {
    let stop = Some(StopRules { errors: 0, ..StopRules::default() });
    let tiles = Block { tiles: 2, passes: 2, stop, ..block(BlockKind::TimedPress, 6) };
    let mut clinic = Clinic::of(vec![tiles]).begin();
    for _ in 0..6 {
        clinic.until(Clinic::on_wanted);
        clinic.until(|clinic| !clinic.on_wanted());
        clinic.wait(FRAME.as_seconds() + 0.2);
        clinic.press();
        clinic.wait(1.0);
    }
    clinic.until(|clinic| clinic.session.finished());
    let trials = clinic.trials();
    let asked = |position: u16| trials.iter().filter(|trial| trial.position == position).count();
    assert_eq!((asked(0), asked(1)), (3, 3));
    for trial in trials {
        assert_eq!(trial.outcome, Outcome::Late);
        let longer = if trial.position == 0 { Settings::default().first_after_start() } else { Span::ZERO };
        let lit = trial.interval_us + longer;
        assert_eq!(trial.presses[0].latency_us, Some(lit.0 as i64 + 200_000), "{}", trial.target);
    }
}
