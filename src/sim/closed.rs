//! The exact solution that stands beside a simulated point, where there is one.
//!
//! It knows the client of [`super::exact`], whose presses last no time, before an automatic scan that
//! never stops: plain lists, and rows of equal length without exits.

use super::exact::{PerSelection, Reaction, RowColumn};
use super::latency::Latency;
use super::traits::{Contact, Course, Traits};
use crate::engine::pattern::Arrangement;
use crate::engine::tree::{Entry, ScanTree};
use crate::menu::Menu;
use crate::settings::{ActOn, AfterSelection, FirstItemOn, Settings, StartBy, Technique};

/// No latency is drawn shorter than 0.12 s; such ones have to be rarer than this.
const RARE: f64 = 1e-6;

/// The exact means of this client under these settings; `None` where no exact solution is known.
#[must_use]
pub fn exact(traits: &Traits, menu: &Menu, settings: &Settings, undo: bool) -> Option<PerSelection> {
    if undo || !is_plain_scan(settings) || !is_plain_client(traits) {
        return None;
    }
    let Latency::ExGaussian { mu_s, sigma_s, tau_s } = traits.latency else { return None };
    let arrangement = Arrangement::new(menu, settings);
    let weights: Vec<f64> = arrangement.items().iter().map(|item| item.weight).collect();
    let (rows, columns) = shape(&arrangement.tree)?;
    let model = RowColumn {
        rows,
        columns: columns.max(1),
        interval: settings.scan_interval().as_seconds(),
        first: settings.first_after_start().as_seconds(),
        reaction: Reaction { mu: mu_s, sigma: sigma_s, tau: tau_s },
        omission: traits.miss,
        accidents: traits.involuntary_per_s,
    };
    let means = if columns == 0 { model.solve_list(&weights)? } else { model.solve_for(&weights)? };
    Some(with_pauses(means, settings.pause_after_selection().as_seconds(), traits.involuntary_per_s))
}

/// After each item nothing is lit for a while; presses that fall then do nothing. The time after the
/// right one counts for the next selection no more than for this one.
fn with_pauses(means: PerSelection, pause: f64, accidents: f64) -> PerSelection {
    let hits = means.hits + accidents * pause * (1.0 + means.errors);
    PerSelection { seconds: means.seconds + pause * means.errors, hits, ..means }
}

fn is_plain_scan(settings: &Settings) -> bool {
    let first = settings.first_after_start();
    let evenly = first == settings.first_in_group();
    let first = evenly && (first.is_zero() || settings.first_item_on() == FirstItemOn::EveryPass);
    let runs = settings.start() == StartBy::Itself && settings.after_selection() == AfterSelection::Restart;
    let loops = settings.loops_top().is_none() && settings.loops_inside() == Some(1);
    let presses = settings.act_on() == ActOn::Press && settings.hold().is_zero() && settings.lockout().is_zero();
    settings.technique() == Technique::Automatic && first && runs && loops && presses
}

fn is_plain_client(traits: &Traits) -> bool {
    let steady = traits.course == Course::default() && traits.stops_after_s.is_none();
    let clean = traits.contact == Contact::default() && traits.tremor.share <= 0.0 && traits.spasm.per_s <= 0.0;
    let reacts = traits.aim.is_none() && traits.first_item_s == 0.0 && traits.gives_up_late == 0.0;
    steady && clean && reacts && traits.recovery.tries_again == 1.0 && traits.latency.within(0.12) < RARE
}

/// Rows and columns, no column for a plain list.
fn shape(tree: &ScanTree) -> Option<(usize, usize)> {
    let plain = |group: usize| tree.groups[group].entries.iter().all(|entry| matches!(entry, Entry::Item(_)));
    let rows = tree.groups[0].entries.len();
    if tree.groups.len() == 1 {
        return plain(0).then_some((rows, 0));
    }
    let columns = tree.groups[1].entries.len();
    let groups_only = tree.groups[0].entries.iter().all(|entry| matches!(entry, Entry::Group(_)));
    let even = (1..tree.groups.len()).all(|group| plain(group) && tree.groups[group].entries.len() == columns);
    (groups_only && even && tree.groups.len() == rows + 1).then_some((rows, columns))
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::AtomicBool;

    use super::super::blocks::Blocks;
    use super::super::study::Study;
    use super::super::sweep::{Axis, Point, points};
    use super::super::tally::{Measure, Tally};
    use super::super::traits::STEADY;
    use super::*;
    use crate::menu::file;

    /// A plain menu of items that are wanted 1, 2, 3 … times.
    fn menu(items: u32) -> Menu {
        let item = |n| format!(r#"{{"id": "i{n}", "label": "Thing {n}", "icon": "lamp", "weight": {n}}}"#);
        let entries: Vec<String> = (1..=items).map(item).collect();
        let text = format!(
            r#"{{"format": "pacewright menu", "version": 1, "name": "Things", "about": "Invented.", "home": [], "entries": [{}]}}"#,
            entries.join(",")
        );
        file::read("menu", text).0.unwrap()
    }

    fn point(pattern: &str) -> Point {
        let changes = [
            pattern,
            "scan_interval=0.9",
            "first_after_start=0.3",
            "first_in_group=0.3",
            "first_item_on=every-pass",
            "pause_after_selection=1.5",
            "loops_top=no limit",
            "loops_inside=1",
            "exit=none",
            "lockout=0",
        ];
        points(&changes.map(|text| Axis::parse(text).unwrap())).unwrap().remove(0)
    }

    fn plain() -> Traits {
        let latency = Latency::ExGaussian { mu_s: 0.45, sigma_s: 0.06, tau_s: 0.2 };
        Traits { latency, miss: 0.06, involuntary_per_s: 0.01, held_s: 0.05, held_scatter: 0.0, ..STEADY }
    }

    #[test]
    fn studies_agree_with_the_exact_solution_beside_them() {
        for (items, pattern) in [(7, "pattern=linear"), (12, "pattern=row-column"), (12, "pattern=column-row")] {
            let (menu, point) = (menu(items), point(pattern));
            let exact = exact(&plain(), &menu, &point.settings, false).unwrap();
            let study = Study { traits: plain(), menu, undo: false, seed: 3, blocks: Blocks::whole(20_000) };
            let tally = study.at(&point, 1, &AtomicBool::new(false));
            let near = |found: super::super::tally::Figure, exact: f64, what: &str| {
                let half = (found.interval.unwrap().high - found.value) / 1.96;
                let off = (found.value - exact) / half;
                assert!(off.abs() < 4.0, "{pattern}, {what}: {} is {off} standard errors off {exact}", found.value);
            };
            let figure = |tally: &Tally, measure| tally.figure(measure).unwrap();
            near(figure(&tally, Measure::Seconds), exact.seconds, "seconds");
            near(tally.error_rate().unwrap(), exact.error_rate(), "error rate");
            near(figure(&tally, Measure::Hits), exact.hits, "hits");
        }
    }

    #[test]
    fn nothing_stands_beside_what_the_solution_does_not_know() {
        let (menu, settings) = (menu(12), point("pattern=row-column").settings);
        assert!(exact(&plain(), &menu, &settings, true).is_none());
        assert!(exact(&Traits { first_item_s: 0.1, ..plain() }, &menu, &settings, false).is_none());
        assert!(exact(&plain(), &menu, &Settings::default(), false).is_none());
        assert!(exact(&plain(), &super::tests::menu(11), &settings, false).is_none());
    }
}
