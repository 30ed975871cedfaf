//! One practice: steps one after the other as the client chooses, within one agreed length.
//!
//! Each step is a [`Sitting`] with a log of its own. Help is confirmed once, before the first.

use super::plan::Plan;
use super::sitting::Sitting;
use super::steps::{self, Step};
use crate::menu::Menu;
use crate::session::offer::Offer;
use crate::settings::SettingError;
use crate::time::Span;

/// With less time left no further step begins.
const SHORTEST: Span = Span::from_ms(60_000);

/// A practice under way.
#[derive(Clone, Debug)]
pub struct Visit {
    plan: Plan,
    menu: Option<Menu>,
    days: u32,
    seed: u64,
    /// Place of the step among those of the plan.
    place: usize,
}

impl Visit {
    /// Practice that begins with `step`, one of the plan's. `menu` is the client's own, `days` how old the
    /// plan's advice is.
    #[must_use]
    pub fn new(plan: Plan, step: &Step, menu: Option<Menu>, days: u32, seed: u64) -> Visit {
        let place = plan.steps.iter().position(|known| known == step.id).unwrap_or_default();
        Visit { plan, menu, days, seed, place }
    }

    /// The step that is practised.
    ///
    /// # Panics
    /// Never for a plan that was read: its steps are known.
    #[must_use]
    pub fn step(&self) -> &'static Step {
        steps::find(&self.plan.steps[self.place]).expect("the steps of a plan are known")
    }

    /// The sitting of this step, from its beginning.
    ///
    /// # Errors
    /// When the step's protocol holds a setting that is none.
    pub fn sitting(&self) -> Result<Sitting, SettingError> {
        let sitting = Sitting::new(&self.plan, self.step(), self.menu.clone(), self.days, self.seed)?;
        Ok(sitting.among_steps(self.place > 0, self.place + 1 < self.plan.steps.len()))
    }

    /// The sitting that the client has chosen at the end of `over`, which begins with [`Sitting::go_on`]. `None` when
    /// practice is over.
    ///
    /// # Errors
    /// When the step's protocol holds a setting that is none.
    pub fn next(&mut self, over: &Sitting) -> Result<Option<Sitting>, SettingError> {
        let place = match over.chosen() {
            Some(Offer::NextStep) => self.place + 1,
            Some(Offer::Easier) => self.place.saturating_sub(1),
            Some(Offer::Again) => self.place,
            _ => return Ok(None),
        };
        let left = over.left();
        if left < SHORTEST || place >= self.plan.steps.len() {
            return Ok(None);
        }
        self.place = place;
        self.seed = self.seed.wrapping_add(1);
        self.carry_over(over);
        Ok(Some(self.sitting()?.behind(left, over.session().in_a_row())))
    }

    /// The next step begins with the interval that the last one ended with, where the data bear one and the plan
    /// lets practice move it.
    fn carry_over(&mut self, over: &Sitting) {
        let Some(interval) = over.summary().and_then(|summary| summary.interval) else { return };
        let on = self.plan.advised.as_ref().map_or_else(String::new, |advised| advised.on.clone());
        if self.plan.go_on_from(interval, &on) {
            self.days = 0;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::practice::plan;
    use crate::practice::summary::Ending;
    use crate::session::input::Input;
    use crate::sim::client::Client;
    use crate::sim::sitting::sit;
    use crate::sim::traits::STEADY;
    use crate::time::Moment;

    const PLAN: &str = r#"{ "format": "pacewright practice plan", "version": 1, "name": "test",
        "steps": ["when-lit", "three-items"], "minutes": 10, "goal": "improve",
        "help": { "by": "person-in-room", "how": "the night nurse" } }"#;

    fn visit() -> Visit {
        let plan = plan::read("plan.json", PLAN).0.unwrap();
        Visit::new(plan, steps::find("when-lit").unwrap(), None, 0, 1)
    }

    fn sat(sitting: &mut Sitting) {
        sit(sitting, &mut Client::new(STEADY, 1), |_| ()).unwrap();
    }

    #[test]
    fn a_mastered_step_leads_on_to_the_next_within_the_time_that_is_left_and_help_is_confirmed_once() {
        let mut visit = visit();
        let mut first = visit.sitting().unwrap();
        sat(&mut first);
        assert_eq!((first.summary().unwrap().ending, first.chosen()), (Ending::Mastered, Some(Offer::NextStep)));
        let mut out = Vec::new();
        let mut second = visit.next(&first).unwrap().unwrap();
        second.go_on(&mut out);
        let in_a_row = first.session().in_a_row();
        assert!(in_a_row > 0 && second.session().in_a_row() == in_a_row, "no rest lies between");
        assert_eq!(visit.step().id, "three-items");
        assert_eq!(second.to_confirm(), None);
        assert!(first.left() < Span::from_ms(10 * 60_000));
        let ends = Moment::START + first.left();
        second.advance(ends, &mut out);
        assert!(second.finished());
    }

    /// The interval at which the second step of a practice begins, after a first one that slowed it down.
    fn second_begins_at(goal: &str) -> f64 {
        let text = PLAN
            .replace("\"improve\"", goal)
            .replace("when-lit", "two-items")
            .replace("\"minutes\"", "\"advised\": { \"scan_interval\": 0.5, \"on\": \"2026-11-20\" }, \"minutes\"");
        let plan = plan::read("plan.json", &text).0.unwrap();
        let mut visit = Visit::new(plan, steps::find("two-items").unwrap(), None, 0, 1);
        let mut first = visit.sitting().unwrap();
        sat(&mut first);
        assert!(first.summary().unwrap().interval.unwrap() > Span::from_ms(600), "0.5 s is too fast for this client");
        visit.carry_over(&first);
        visit.sitting().unwrap().session_plan().settings.scan_interval().as_seconds()
    }

    #[test]
    fn the_next_step_goes_on_at_the_new_interval_unless_the_plan_is_to_keep_the_old_one() {
        assert!(second_begins_at("\"improve\"") > 0.6);
        assert_eq!(second_begins_at("\"keep\""), 0.5);
    }

    #[test]
    fn practice_that_was_ended_does_not_go_on() {
        let mut visit = visit();
        let mut first = visit.sitting().unwrap();
        let mut out = Vec::new();
        first.input(Moment(1), Input::Shown { number: 0 }, &mut out);
        first.input(Moment(2_000_000), Input::Next, &mut out);
        first.input(Moment(3_000_000), Input::End, &mut out);
        assert_eq!(first.summary().unwrap().ending, Ending::Asked);
        assert!(visit.next(&first).unwrap().is_none());
    }
}
