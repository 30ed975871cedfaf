//! Rules that the values of a settings sheet have to meet together, whoever chose them.
//!
//! Each is right by itself; together they can shut a client out. A broken rule says what and what
//! to change; nothing is changed behind the clinician's back.

use super::gaps;
use super::hold::durations;
use super::hold_feedback;
use super::recommendation::{BEAR_A_TAIL, Remark};
use crate::analysis::evidence::{Aim, Evidence};
use crate::analysis::words::{decimals, seconds};
use crate::settings::{Id, Labels, LockoutFrom, Settings, rounding};
use crate::stats::Sample;

/// The values of a sheet and what they are judged by.
#[derive(Clone, Debug)]
pub struct Judged<'a> {
    /// The values.
    pub settings: &'a Settings,
    /// The scan interval that the presses speak for, at the hold time they were measured with.
    pub interval_s: f64,
    /// The hold time that the presses were measured with.
    pub measured_hold_s: f64,
    /// Durations of wanted presses; `None` when too few.
    pub durations: Option<Sample>,
    /// From one wanted press to the next; `None` when too few.
    pub periods: Option<Sample>,
    /// The longest spoken label, in seconds; `None` where the menu gives no length.
    pub longest_label_s: Option<f64>,
}

/// What the ear needs after a spoken label before the next one, in seconds (common practice, no source).
const AFTER_LABEL_S: f64 = 0.3;

/// A rule: what is broken and what to change, or `None`.
type Rule = fn(&Judged) -> Option<Remark>;

/// All rules.
const RULES: &[Rule] = &[
    hold_outlasts_bounce,
    hold_keeps_wanted_presses,
    lockout_ends_before_the_next_press,
    long_press_is_longer_than_presses,
    stuck_limit_is_longer_than_a_long_press,
    interval_allows_for_hold,
    interval_outlasts_spoken_labels,
    labels_are_heard,
];

impl<'a> Judged<'a> {
    /// Judges `settings` by what was measured; `interval_s` is the scan interval that the presses
    /// speak for.
    #[must_use]
    pub fn new(settings: &'a Settings, interval_s: f64, evidence: &Evidence) -> Judged<'a> {
        let meant = gaps::pairs(evidence).filter(|pair| [pair.first.aim, pair.second.aim] == [Aim::Wanted; 2]);
        Judged {
            settings,
            interval_s,
            measured_hold_s: evidence.settings.hold().as_seconds(),
            durations: enough(durations(evidence, Aim::Wanted)),
            periods: enough(meant.map(|pair| pair.period_s()).collect()),
            longest_label_s: evidence.menu.longest_spoken_s(),
        }
    }

    /// Judges `settings` by themselves, where nothing was measured.
    #[must_use]
    pub fn alone(settings: &'a Settings) -> Judged<'a> {
        Judged {
            settings,
            interval_s: settings.scan_interval().as_seconds(),
            measured_hold_s: settings.hold().as_seconds(),
            durations: None,
            periods: None,
            longest_label_s: None,
        }
    }

    /// The rules that these values break.
    #[must_use]
    pub fn broken(&self) -> Vec<Remark> {
        RULES.iter().filter_map(|rule| rule(self)).collect()
    }
}

fn enough(values: Vec<f64>) -> Option<Sample> {
    Sample::new(values).ok().filter(|sample| sample.len() >= BEAR_A_TAIL)
}

fn hold_outlasts_bounce(judged: &Judged) -> Option<Remark> {
    let (hold, debounce) = (judged.settings.hold().as_seconds(), judged.settings.debounce().as_seconds());
    (hold > 0.0 && hold < debounce).then(|| Remark {
        text: format!("The hold time ({}) is shorter than the debounce ({}).", seconds(hold), seconds(debounce)),
        remedy: format!("Set the hold time to {} or more, or to off.", seconds(rounding::up(Id::Hold, debounce))),
    })
}

fn hold_keeps_wanted_presses(judged: &Judged) -> Option<Remark> {
    let (hold, shortest) = (judged.settings.hold().as_seconds(), judged.durations.as_ref()?.quantile(0.05));
    (hold > shortest).then(|| Remark {
        text: format!(
            "The hold time ({}) loses more than 5 % of wanted presses, which begin at {}.",
            seconds(hold),
            seconds(shortest)
        ),
        remedy: format!("Set the hold time to {} or less.", seconds(rounding::down(Id::Hold, shortest))),
    })
}

fn lockout_ends_before_the_next_press(judged: &Judged) -> Option<Remark> {
    let held = match judged.settings.lockout_from() {
        LockoutFrom::Release => judged.durations.as_ref()?.quantile(0.95),
        LockoutFrom::Press => 0.0,
    };
    let (lockout, next) = (judged.settings.lockout().as_seconds(), judged.periods.as_ref()?.quantile(0.05));
    (lockout > 0.0 && held + lockout > next).then(|| Remark {
        text: format!(
            "The repeat lockout ends {} after a press, but the next wanted press can come after {}.",
            seconds(held + lockout),
            seconds(next)
        ),
        remedy: format!(
            "Set the repeat lockout to {} or less.",
            seconds(rounding::down(Id::Lockout, (next - held).max(0.0)))
        ),
    })
}

fn long_press_is_longer_than_presses(judged: &Judged) -> Option<Remark> {
    let (long, longest) = (judged.settings.long_press().as_seconds(), judged.durations.as_ref()?.quantile(0.95));
    (long > 0.0 && long <= 2.0 * longest).then(|| Remark {
        text: format!(
            "The long press ({} s) is not twice as long as ordinary presses, which last up to {}.",
            decimals(long, 1),
            seconds(longest)
        ),
        remedy: longer_than(Id::LongPress, 2.0 * longest),
    })
}

fn stuck_limit_is_longer_than_a_long_press(judged: &Judged) -> Option<Remark> {
    let (stuck, long) = (judged.settings.stuck_limit().as_seconds(), judged.settings.long_press().as_seconds());
    (stuck <= long).then(|| Remark {
        text: format!("The stuck limit ({}) ends a long press ({}) before it counts.", seconds(stuck), seconds(long)),
        remedy: longer_than(Id::StuckLimit, long),
    })
}

/// A remedy that stays within the setting's range: where none is long enough, off or shorter.
fn longer_than(id: Id, seconds_at_least: f64) -> String {
    let (label, value) = (id.setting().label.to_lowercase(), rounding::up(id, seconds_at_least + 1e-3));
    match value > seconds_at_least {
        true => format!("Set the {label} to {} or more.", seconds(value)),
        false => format!("Switch the {label} off: none is long enough."),
    }
}

/// The item is taken when the hold time is over, so the highlight must stay as much longer.
fn interval_allows_for_hold(judged: &Judged) -> Option<Remark> {
    let settings = judged.settings;
    let added = hold_feedback::added_s(settings, judged.measured_hold_s);
    let (interval, needed) = (settings.scan_interval().as_seconds(), judged.interval_s + added);
    (added > 0.0 && interval < needed - 1e-9).then(|| Remark {
        text: format!(
            "A press now counts {} later than it was measured, but the scan rate ({}) does not allow for that.",
            seconds(added),
            seconds(interval)
        ),
        remedy: format!(
            "Set the scan rate to {}, or take the item lit at the press.",
            seconds(rounding::up(Id::ScanInterval, needed))
        ),
    })
}

/// A label has to be heard out before the next entry lights.
fn interval_outlasts_spoken_labels(judged: &Judged) -> Option<Remark> {
    label_outlasts(judged.settings.scan_interval().as_seconds(), judged.longest_label_s?)
}

/// What is to be said where the longest label does not end in time before the highlight moves on; all in seconds.
#[must_use]
pub fn label_outlasts(interval: f64, longest_label: f64) -> Option<Remark> {
    let needed = longest_label + AFTER_LABEL_S;
    (interval < needed - 1e-9).then(|| Remark {
        text: format!(
            "The scan rate ({}) cuts spoken labels short: the longest one and a pause take {}.",
            seconds(interval),
            seconds(needed)
        ),
        remedy: format!(
            "Set the scan rate to {}, or shorten the spoken label.",
            seconds(rounding::up(Id::ScanInterval, needed))
        ),
    })
}

/// A client who scans by ear has nothing else to go by.
fn labels_are_heard(judged: &Judged) -> Option<Remark> {
    let (labels, volume) = (judged.settings.labels(), judged.settings.raw(Id::Volume));
    (labels != Labels::Off && volume == 0).then(|| Remark {
        text: "Auditory scanning is on, but at volume 0 nothing is heard.".into(),
        remedy: "Set the volume above 0 %, or auditory scanning to off.".into(),
    })
}

#[cfg(test)]
mod tests {
    use super::super::sample::{evidence, press};
    use super::*;

    const MS: i64 = 1_000;

    /// Presses of 0.3 s, one every second, measured at a scan interval of 2 s without a hold time.
    fn broken(changes: &[(Id, i64)]) -> Vec<Remark> {
        let mut evidence = evidence();
        (0..30).for_each(|_| press(&mut evidence, Aim::Wanted, 0.7, 0.3));
        let settings = changes.iter().fold(Settings::default(), |settings, (id, raw)| settings.with(*id, *raw));
        Judged::new(&settings, 2.0, &evidence).broken()
    }

    fn one(changes: &[(Id, i64)]) -> Remark {
        let found = broken(changes);
        let [remark] = &found[..] else { panic!("{found:?}") };
        remark.clone()
    }

    #[test]
    fn the_defaults_break_no_rule() {
        assert_eq!(broken(&[]), []);
    }

    #[test]
    fn a_hold_time_outlasts_bounce() {
        let changes = [(Id::Debounce, 200 * MS), (Id::Hold, 150 * MS), (Id::ScanInterval, 3_000 * MS)];
        assert!(one(&changes).remedy.contains("0.20 s or more"));
    }

    #[test]
    fn a_hold_time_keeps_wanted_presses() {
        assert_eq!(broken(&[(Id::Hold, 300 * MS), (Id::ScanInterval, 3_000 * MS)]), []);
        assert!(one(&[(Id::Hold, 350 * MS), (Id::ScanInterval, 3_000 * MS)]).remedy.contains("0.30 s or less"));
    }

    #[test]
    fn a_lockout_ends_before_the_next_wanted_press() {
        assert!(one(&[(Id::Lockout, 750 * MS)]).remedy.contains("0.70 s or less"));
        assert_eq!(broken(&[(Id::Lockout, 750 * MS), (Id::LockoutFrom, 1)]), []);
    }

    #[test]
    fn a_long_press_is_longer_than_ordinary_ones() {
        let mut evidence = evidence();
        (0..30).for_each(|_| press(&mut evidence, Aim::Wanted, 4.0, 1.2));
        let judge = |long| {
            let settings = Settings::default().with(Id::LongPress, long);
            Judged::new(&settings, 2.0, &evidence).broken()
        };
        assert!(judge(2_400 * MS)[0].remedy.contains("2.50 s or more"));
        assert_eq!(judge(2_500 * MS), []);
    }

    #[test]
    fn where_no_long_press_is_long_enough_it_goes_off() {
        assert!(longer_than(Id::LongPress, 8.0).contains("off"));
    }

    #[test]
    fn a_stuck_limit_is_longer_than_a_long_press() {
        assert!(one(&[(Id::LongPress, 4_000 * MS), (Id::StuckLimit, 4_000 * MS)]).remedy.contains("4.50 s or more"));
        assert_eq!(broken(&[(Id::LongPress, 4_000 * MS), (Id::StuckLimit, 4_500 * MS)]), []);
    }

    #[test]
    fn a_hold_time_is_fed_back_into_the_interval() {
        assert!(one(&[(Id::Hold, 200 * MS)]).remedy.contains("2.20 s"));
        assert_eq!(broken(&[(Id::Hold, 200 * MS), (Id::ScanInterval, 2_200 * MS)]), []);
        assert_eq!(broken(&[(Id::Hold, 200 * MS), (Id::ItemTaken, 1)]), []);
        assert_eq!(broken(&[(Id::Hold, 200 * MS), (Id::ScanWhileHeld, 1)]), []);
    }

    #[test]
    fn a_spoken_label_is_heard_out() {
        let judge = |label| {
            let mut evidence = evidence();
            let crate::menu::Node::Item(item) = &mut evidence.menu.top.entries[0] else { panic!("an item") };
            item.spoken_s = label;
            Judged::new(&Settings::default(), 2.0, &evidence).broken()
        };
        assert!(judge(Some(1.72))[0].remedy.contains("2.05 s"));
        assert_eq!((judge(Some(1.7)), judge(None)), (vec![], vec![]));
    }

    #[test]
    fn labels_that_are_called_aloud_are_heard() {
        for labels in [1, 2] {
            assert!(one(&[(Id::Labels, labels), (Id::Volume, 0)]).remedy.contains("above 0 %"));
            assert_eq!(broken(&[(Id::Labels, labels)]), []);
        }
        assert_eq!(broken(&[(Id::Volume, 0)]), [], "silence by itself is no contradiction");
    }

    #[test]
    fn what_was_not_measured_is_not_judged() {
        let settings = Settings::default().with(Id::Lockout, 3_000 * MS).with(Id::LongPress, 2_000 * MS);
        assert_eq!(Judged::new(&settings, 2.0, &evidence()).broken(), []);
    }
}
