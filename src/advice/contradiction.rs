//! Settings that cannot work together, or not for this client: nothing is tried with them.
//!
//! The rules of [`super::consistency`] advise on a sheet. Here stands what makes one value pointless by
//! another, whoever presses.

use super::consistency::Judged;
use super::hold::durations;
use super::recommendation::Remark;
use crate::analysis::evidence::{Aim, Evidence};
use crate::analysis::words::seconds;
use crate::settings::{ActOn, Id, ItemTaken, LockoutFrom, ScanWhileHeld, Settings, Technique, rounding};
use crate::sim::traits::Traits;

/// Of fewer presses nothing is said about how long they last (common practice, no source).
const FEW: usize = 10;
/// A client of whose presses fewer than this share last for the hold time cannot use it (common practice, no source).
const HARDLY_ANY: f64 = 0.001;

/// What contradicts itself in these settings, where `lasts` gives the share of presses that last so many seconds.
#[must_use]
pub fn contradictions(settings: &Settings, lasts: impl Fn(f64) -> f64) -> Vec<Remark> {
    let alone = Judged::alone(settings).broken();
    let others =
        [hold_outlasts_presses(settings, lasts), hold_fits_the_interval(settings), lockout_outlasts_hold(settings)];
    alone.into_iter().chain(others.into_iter().flatten()).collect()
}

/// The same for a virtual client.
#[must_use]
pub fn of_client(settings: &Settings, traits: &Traits) -> Vec<Remark> {
    contradictions(settings, |seconds| traits.lasts(seconds))
}

/// The same for the presses of a session.
#[must_use]
pub fn of_session(settings: &Settings, evidence: &Evidence) -> Vec<Remark> {
    let presses = durations(evidence, Aim::Wanted);
    contradictions(settings, |seconds| {
        let lasting = presses.iter().filter(|duration| **duration >= seconds).count();
        if presses.len() < FEW { 1.0 } else { lasting as f64 / presses.len() as f64 }
    })
}

/// The hold time in force, in seconds; none in inverse scanning, or where nothing has to be held.
fn hold(settings: &Settings) -> Option<f64> {
    let hold = settings.hold().as_seconds();
    (hold > 0.0 && settings.technique() != Technique::Inverse).then_some(hold)
}

fn hold_outlasts_presses(settings: &Settings, lasts: impl Fn(f64) -> f64) -> Option<Remark> {
    let hold = hold(settings).filter(|hold| lasts(*hold) < HARDLY_ANY)?;
    Some(Remark {
        text: format!("The hold time ({}) is longer than this client's presses: none would count.", seconds(hold)),
        remedy: "Set a shorter hold time, or off.".into(),
    })
}

/// The item lit when the hold time is over is taken: by then another one is lit.
fn hold_fits_the_interval(settings: &Settings) -> Option<Remark> {
    let (hold, interval) = (hold(settings)?, settings.scan_interval().as_seconds());
    let moves_on = settings.technique() == Technique::Automatic
        && settings.act_on() == ActOn::Press
        && settings.item_taken() == ItemTaken::Acceptance
        && settings.scan_while_held() != ScanWhileHeld::Waits;
    (moves_on && interval <= hold).then(|| Remark {
        text: format!(
            "The scan rate ({}) is not longer than the hold time ({}): when a press counts the highlight has moved on.",
            seconds(interval),
            seconds(hold)
        ),
        remedy: format!(
            "Set the scan rate above {}, or take the item lit at the press.",
            seconds(rounding::up(Id::ScanInterval, hold))
        ),
    })
}

fn lockout_outlasts_hold(settings: &Settings) -> Option<Remark> {
    let (hold, lockout) = (hold(settings)?, settings.lockout().as_seconds());
    (settings.lockout_from() == LockoutFrom::Press && lockout > 0.0 && lockout <= hold).then(|| Remark {
        text: format!(
            "The repeat lockout ({} from the press) is over before the hold time ({}) is: it keeps nothing out.",
            seconds(lockout),
            seconds(hold)
        ),
        remedy: "Count the repeat lockout from the release, or set it longer than the hold time.".into(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sim::traits::STEADY;

    const MS: i64 = 1_000;

    fn found(changes: &[(Id, i64)]) -> Vec<String> {
        let settings = changes.iter().fold(Settings::default(), |settings, (id, raw)| settings.with(*id, *raw));
        of_client(&settings, &STEADY).into_iter().map(|remark| remark.text).collect()
    }

    #[test]
    fn the_defaults_and_a_hold_time_that_fits_do_not_contradict_themselves() {
        assert!(found(&[]).is_empty() && found(&[(Id::Hold, 150 * MS)]).is_empty());
    }

    #[test]
    fn what_shuts_a_client_out_is_said() {
        let only = |changes: &[(Id, i64)], says: &str| {
            let found = found(changes);
            assert!(found.len() == 1 && found[0].contains(says), "{found:?}");
        };
        only(&[(Id::Hold, 1_000 * MS)], "longer than this client's presses");
        only(&[(Id::Hold, 300 * MS), (Id::ScanInterval, 300 * MS)], "the highlight has moved on");
        only(&[(Id::Hold, 100 * MS), (Id::Debounce, 150 * MS)], "shorter than the debounce");
        only(&[(Id::Hold, 200 * MS), (Id::Lockout, 200 * MS), (Id::LockoutFrom, 1)], "keeps nothing out");
        only(&[(Id::Labels, 1), (Id::Volume, 0)], "nothing is heard");
        // Taken at the press, or while the scan waits, it does not matter how long a press has to be held.
        for change in [(Id::ItemTaken, 1), (Id::ScanWhileHeld, 1)] {
            assert!(found(&[(Id::Hold, 300 * MS), (Id::ScanInterval, 300 * MS), change]).is_empty());
        }
    }

    #[test]
    fn presses_last_as_the_law_of_the_client_says() {
        // Log-normal, median 0.22 s: half of them last as long, and by scipy.stats.lognorm(0.25, scale=0.22).sf(0.3)
        // the share 0.107373 (scipy 1.17.1).
        assert!((STEADY.lasts(0.22) - 0.5).abs() < 1e-12);
        assert!((STEADY.lasts(0.3) - 0.107_373_133).abs() < 1e-8);
        assert_eq!(Traits { held_scatter: 0.0, ..STEADY }.lasts(0.23), 0.0);
        assert_eq!(Traits { held_scatter: 0.0, ..STEADY }.lasts(0.22), 1.0);
    }
}
