//! A household task done by a client of any kind, at the engine: a few choices one after the other,
//! and what goes wrong put right until all are made.
//!
//! Every highlight is seen at its due time. A wrong item that changes something is undone by taking it
//! once more; where the loops are over and the scan waits, the client starts it again. Nothing is
//! logged.

use std::sync::Arc;

use super::client::Client;
use super::plan::Plan;
use super::selecting::Selecting;
use super::traits::Traits;
use crate::engine::pattern::Arrangement;
use crate::engine::tree::ItemIx;
use crate::menu::Menu;
use crate::settings::Settings;
use crate::time::Span;

/// Whoever needs longer calls somebody (common practice, no source).
pub const PATIENCE: Span = Span::from_ms(10 * 60_000);

/// A menu with its timings.
#[derive(Clone, Debug)]
pub struct Home {
    arrangement: Arrangement,
    plan: Plan,
}

/// How a task went.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Doing {
    /// From the start of the scan, or from when it waits for the press that starts it, to the last choice,
    /// in seconds; [`PATIENCE`] where it was given up.
    pub seconds: f64,
    /// Presses of the switch, debounced.
    pub hits: u32,
    /// Wrong items taken.
    pub wrong: u32,
    /// All choices were made.
    pub done: bool,
}

impl Home {
    /// The menu under these settings.
    ///
    /// # Panics
    /// Never: each item of an arrangement stands on its menu.
    #[must_use]
    pub fn new(menu: &Menu, settings: &Settings) -> Home {
        let arrangement = Arrangement::new(menu, settings);
        let items = arrangement.items();
        let plan =
            Plan::new(Arc::clone(&arrangement.tree), settings.clone(), &vec![1.0; items.len()], false, true, PATIENCE)
                .expect("each item of an arrangement stands on its menu")
                // A wrong item that changes something has to be undone.
                .undoing(items.iter().map(|item| !item.effects.is_empty()).collect());
        Home { arrangement, plan }
    }

    /// The menu as it is scanned.
    #[must_use]
    pub fn arrangement(&self) -> &Arrangement {
        &self.arrangement
    }

    /// Its timings.
    #[must_use]
    pub fn settings(&self) -> &Settings {
        &self.plan.settings
    }

    /// A client takes `items` in this order; the same seed gives the same presses.
    #[must_use]
    pub fn does(&self, items: &[ItemIx], traits: &Traits, seed: u64) -> Doing {
        let mut selecting = Selecting::new(&self.plan, Client::new(traits.clone(), seed));
        let took = selecting.take_all(items);
        let counts = selecting.counts();
        Doing {
            seconds: took.unwrap_or(PATIENCE).as_seconds(),
            hits: counts.hits as u32,
            wrong: counts.wrong_items as u32,
            done: took.is_some(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::latency::Latency;
    use super::super::traits::STEADY;
    use super::*;
    use crate::menu::shipped;
    use crate::settings::Id;

    /// Presses half a second after the highlight, never otherwise.
    fn sharp() -> Traits {
        let latency = Latency::ExGaussian { mu_s: 0.5, sigma_s: 0.0, tau_s: 0.0 };
        Traits { latency, miss: 0.0, involuntary_per_s: 0.0, rests: 0.0, ..STEADY }
    }

    fn done(menu: &str, settings: &Settings, items: &[&str], traits: &Traits) -> Doing {
        let home = Home::new(&shipped::find(menu).unwrap(), settings);
        let items: Vec<ItemIx> = items.iter().map(|id| home.arrangement().find(id).unwrap()).collect();
        home.does(&items, traits, 1)
    }

    #[test]
    fn a_choice_takes_the_time_to_its_entry_and_the_latency() {
        // Two seconds an item, one more for the first: the second lights at 3 s, the sixth at 11 s.
        let lamp = done("six", &Settings::default(), &["lamp-on"], &sharp());
        assert_eq!(lamp, Doing { seconds: 3.5, hits: 1, wrong: 0, done: true });
        let curtains = done("six", &Settings::default(), &["curtains-open"], &sharp());
        assert_eq!(curtains.seconds, 11.5);
        // One after the other, with a pause of 1 s.
        assert_eq!(done("six", &Settings::default(), &["lamp-on", "curtains-open"], &sharp()).seconds, 16.0);
    }

    #[test]
    fn a_question_is_one_more_press() {
        // The fifth at 9 s; then yes is the second of two: one more interval and the first-item time.
        let door = done("six", &Settings::default(), &["door-open"], &sharp());
        assert_eq!(door, Doing { seconds: 9.0 + 0.5 + 3.0 + 0.5, hits: 2, wrong: 0, done: true });
    }

    #[test]
    fn every_technique_and_start_leads_to_the_end() {
        for technique in ["automatic", "step", "step-auto-accept", "inverse"] {
            for (start, after) in [(0, 0), (1, 0), (1, 2), (0, 2), (0, 1)] {
                let settings =
                    Settings::for_technique(technique).with(Id::Start, start).with(Id::AfterSelection, after);
                for menu in ["six", "flat"] {
                    let doing = done(menu, &settings, &["lamp-on", "alarm-call"], &sharp());
                    assert!(doing.done && doing.wrong == 0, "{technique} {start} {after} {menu}: {doing:?}");
                }
            }
        }
    }

    #[test]
    fn a_late_press_takes_a_wrong_item_which_is_undone() {
        // Two of three presses come an item late: undone and begun again until it is right.
        let latency = Latency::Quantiles { seconds: vec![1.2, 1.5, 2.4, 3.6] };
        let doing = done("six", &Settings::default(), &["lamp-on"], &Traits { latency, ..sharp() });
        assert!(doing.done && doing.wrong > 0 && doing.hits > 2 * doing.wrong, "{doing:?}");
    }

    #[test]
    fn a_scan_that_has_stopped_is_started_again_and_one_who_does_nothing_is_given_up() {
        let far_away = Traits { miss: 0.9, ..sharp() };
        let doing = done("six", &Settings::default().with(Id::LoopsTop, 1), &["lamp-on"], &far_away);
        assert!(doing.done && doing.hits > 1, "{doing:?}");
        for loops in [0, 3] {
            let absent = Traits { stops_after_s: Some(0.0), ..sharp() };
            let doing = done("six", &Settings::default().with(Id::LoopsTop, loops), &["lamp-on"], &absent);
            assert_eq!(doing, Doing { seconds: 600.0, ..Doing::default() });
        }
    }
}
