//! Presses that the repeat lockout swallows: on the first entry of a group, soon after the press that
//! entered it.
//!
//! Where the lockout counts from the release, a press is lost that follows the one before by less than
//! the time held and the lockout; where it counts from the press, by less than the lockout. The entry
//! lights with the press before, so the chance is that of so short a latency. Exact for an automatic
//! scan whose presses act at once, but that all are held for the median time.

use crate::engine::tree::{EntryIx, ItemIx};
use crate::settings::{ActOn, LockoutFrom, Settings, Technique};
use crate::sim::at_home::Home;
use crate::sim::traits::Traits;

/// Chance that a press on the first entry of a group that was just entered is swallowed; `None` where
/// no closed form holds.
#[must_use]
pub fn chance(settings: &Settings, traits: &Traits) -> Option<f64> {
    let plain =
        settings.technique() == Technique::Automatic && settings.act_on() == ActOn::Press && settings.hold().is_zero();
    let held = if settings.lockout_from() == LockoutFrom::Release { traits.held_s } else { 0.0 };
    let lockout = settings.lockout().as_seconds();
    let within = || traits.latency.within(held + lockout - traits.first_item_s);
    plain.then(|| if lockout > 0.0 { within() } else { 0.0 })
}

/// Whether the way to one of the items leads through the first entry of a group below the top.
#[must_use]
pub fn concerned(home: &Home, items: &[ItemIx]) -> bool {
    let ways = items.iter().filter_map(|item| home.arrangement().tree.path(*item));
    ways.flat_map(|way| way.into_iter().skip(1)).any(|(_, entry)| entry == EntryIx(0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::menu::shipped;
    use crate::settings::Id;
    use crate::sim::latency::Latency;
    use crate::sim::traits::STEADY;

    fn traits() -> Traits {
        let latency = Latency::Gamma { shift_s: 0.3, shape: 4.0, scale_s: 0.1 };
        Traits { latency, miss: 0.0, involuntary_per_s: 0.0, held_s: 0.2, held_scatter: 0.0, ..STEADY }
    }

    #[test]
    fn as_many_presses_are_swallowed_as_the_law_says() {
        // The lamp is the first of its group. A swallowed press is made again in the next pass.
        for (id, raw) in [(Id::Lockout, 500_000), (Id::LockoutFrom, 1), (Id::Lockout, 300_000)] {
            let home = Home::new(&shipped::find("flat").unwrap(), &Settings::default().with(id, raw));
            let lamp = [home.arrangement().find("lamp-on").unwrap()];
            assert!(concerned(&home, &lamp));
            let again = (0..2_000).filter(|seed| home.does(&lamp, &traits(), *seed).hits > 2).count();
            let wanted = chance(home.settings(), &traits()).unwrap();
            let error = libm::sqrt(wanted * (1.0 - wanted) / 2_000.0);
            assert!((again as f64 / 2_000.0 - wanted).abs() < 4.0 * error + 1e-9, "{id:?}: {again} {wanted}");
        }
    }

    #[test]
    fn nothing_is_swallowed_without_a_lockout_or_on_a_single_level() {
        let settings = Settings::default();
        assert_eq!(chance(&settings.clone().with(Id::Lockout, 0), &traits()), Some(0.0));
        assert_eq!(chance(&settings.clone().with(Id::Technique, 1), &traits()), None);
        let home = Home::new(&shipped::find("six").unwrap(), &settings);
        assert!(!concerned(&home, &[home.arrangement().find("alarm-call").unwrap()]));
    }
}
