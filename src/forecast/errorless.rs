//! What a task takes when no press misses: exact, without simulation.
//!
//! At each level on the way to an item the wanted entry lights at its place in the schedule, and the
//! press follows one latency later (timed: where it is aimed at). Between two choices lies the pause.
//! It is exact for an automatic scan in which a press acts at once, the way back is the top, and the
//! repeat lockout is over before the next press is wanted.

use crate::engine::tree::{EntryIx, GroupIx, ItemIx, ScanTree};
use crate::settings::{ActOn, AfterSelection, Settings, StartBy, Technique};
use crate::sim::at_home::Home;
use crate::sim::traits::Traits;

/// Mean seconds from the first highlight to the last choice; `None` where there is no closed form.
#[must_use]
pub fn seconds(home: &Home, items: &[ItemIx], traits: &Traits) -> Option<f64> {
    let settings = home.settings();
    let plain = settings.technique() == Technique::Automatic
        && settings.act_on() == ActOn::Press
        && settings.hold().is_zero()
        && settings.start() != StartBy::Press
        && settings.after_selection() == AfterSelection::Restart;
    let pauses = settings.pause_after_selection().as_seconds() * items.len().saturating_sub(1) as f64;
    let paths = items.iter().map(|item| home.arrangement().tree.path(*item)).collect::<Option<Vec<_>>>()?;
    plain.then(|| pauses + paths.iter().flatten().map(|step| level(settings, *step, traits)).sum::<f64>())
}

/// Presses that the task takes when none misses: one a level.
#[must_use]
pub fn presses(home: &Home, items: &[ItemIx]) -> usize {
    items.iter().filter_map(|item| home.arrangement().tree.path(*item)).map(|path| path.len()).sum()
}

fn level(settings: &Settings, (group, entry): (GroupIx, EntryIx), traits: &Traits) -> f64 {
    let interval = settings.scan_interval().as_seconds();
    if entry == EntryIx(0) {
        return traits.latency.mean() + traits.first_item_s;
    }
    let extra = if group == ScanTree::TOP { settings.first_after_start() } else { settings.first_in_group() };
    let onset = extra.as_seconds() + f64::from(entry.0) * interval;
    onset + traits.aim.map_or_else(|| traits.latency.mean(), |aim| aim.share * interval + aim.offset_s)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::menu::shipped;
    use crate::settings::Id;
    use crate::sim::latency::Latency;
    use crate::sim::traits::{Aim, STEADY};
    use crate::stats::Sample;

    /// Never misses at these timings.
    fn sure() -> Traits {
        let latency = Latency::Gamma { shift_s: 0.3, shape: 4.0, scale_s: 0.05 };
        Traits { latency, first_item_s: 0.1, miss: 0.0, involuntary_per_s: 0.0, ..STEADY }
    }

    #[test]
    fn a_task_adds_up_by_hand() {
        // Six things, 2 s an item, 1 s more for the first: the lamp lights at 3 s, the alarm call at once.
        let home = Home::new(&shipped::find("six").unwrap(), &Settings::default());
        let items = ["lamp-on", "alarm-call"].map(|id| home.arrangement().find(id).unwrap());
        let found = seconds(&home, &items, &sure()).unwrap();
        assert!((found - (3.0 + 0.5 + 1.0 + 0.5 + 0.1)).abs() < 1e-12, "{found}");
        assert_eq!(presses(&home, &items), 2);
    }

    #[test]
    fn simulation_agrees_where_no_press_misses() {
        // Entering a group and taking its first item follow faster than the usual lockout allows.
        let quick = Settings::default().with(Id::Lockout, 0);
        let timer = Traits { aim: Some(Aim { share: 0.4, offset_s: 0.0, sd_s: 0.05, sd_share: 0.0 }), ..sure() };
        for (menu, pattern) in [("six", 0), ("six", 2), ("flat", 0)] {
            let home = Home::new(&shipped::find(menu).unwrap(), &quick.clone().with(Id::Pattern, pattern));
            let items = ["lamp-on", "curtains-open"].map(|id| home.arrangement().find(id).unwrap());
            for traits in [sure(), timer.clone()] {
                let wanted = seconds(&home, &items, &traits).unwrap();
                let runs = (0..1_000).map(|seed| home.does(&items, &traits, seed));
                let runs: Vec<_> = runs.inspect(|doing| assert!(doing.done && doing.wrong == 0)).collect();
                let times = Sample::new(runs.iter().map(|doing| doing.seconds).collect()).unwrap();
                let error = times.sd().unwrap() / libm::sqrt(1_000.0);
                assert!((times.mean() - wanted).abs() < 4.0 * error, "{menu} {pattern}: {} {wanted}", times.mean());
                assert!(runs.iter().all(|doing| doing.hits as usize == presses(&home, &items)));
            }
        }
    }

    #[test]
    fn what_has_no_closed_form_has_none() {
        let menu = shipped::find("six").unwrap();
        for (id, raw) in [(Id::Technique, 1), (Id::ActOn, 1), (Id::Hold, 200_000), (Id::AfterSelection, 1)] {
            let home = Home::new(&menu, &Settings::default().with(id, raw));
            assert_eq!(seconds(&home, &[ItemIx(0)], &sure()), None, "{id:?}");
        }
    }
}
