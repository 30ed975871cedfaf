//! Whether a new arrangement is worth relearning.
//!
//! It has to save a tenth of the time of a selection, 2 s with each further press, and, where the
//! selections of a day are known, a minute a day. Of several that do, the one that changes less is
//! proposed unless the next again saves as much against it. All of this is common practice, no source.

use super::judge::Judge;
use super::order::Found;
use super::search::Bests;
use crate::advice::contest::{Entrant, Gain, SAVED_S, WORTH};
use crate::advice::expected_time::{Presses, Takes};
use crate::analysis::words::{decimals, duration, percent};

/// Seconds a day that are worth learning another menu for (common practice, no source).
pub const WORTH_A_DAY_S: f64 = 60.0;

/// Which of the arrangements that were compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Which {
    /// Grouping and pattern of today in another order.
    Reordered,
    /// One by one.
    List,
    /// Equal rows.
    Grid,
    /// The best where each switch hit counts as much time as it has to save.
    Eased,
    /// The fastest of all.
    Fastest,
}

impl Which {
    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Which::Reordered => "groups and pattern of today, best order",
            Which::List => "one by one, best order",
            Which::Grid => "equal rows, best order",
            Which::Eased => "the best with few switch hits",
            Which::Fastest => "the fastest found",
        }
    }
}

/// What a new arrangement would bring.
#[derive(Clone, Debug, PartialEq)]
pub struct Saving {
    /// Less time and more presses.
    pub gain: Gain,
    /// Seconds a day, where the selections of a day are known.
    pub a_day_s: Option<f64>,
}

impl Saving {
    /// From one arrangement to another, with so many selections a day.
    #[must_use]
    pub fn of(from: &Takes, to: &Takes, uses_a_day: Option<f64>) -> Option<Saving> {
        let entrant = |takes: &Takes| Entrant { interval: 0.0, seconds: vec![takes.seconds], hits: takes.hits };
        let gain = Gain::of(&entrant(from), &entrant(to))?;
        Some(Saving { gain, a_day_s: uses_a_day.map(|uses| uses * (from.seconds - to.seconds)) })
    }

    /// It is worth learning the menu anew.
    #[must_use]
    pub fn is_worth_it(&self) -> bool {
        self.gain.worth_it() && self.a_day_s.is_none_or(|seconds| seconds >= WORTH_A_DAY_S)
    }

    /// In words: "12 % less time a selection, 4 min 10 s a day".
    #[must_use]
    pub fn words(&self) -> String {
        let (share, word) = (self.gain.share.abs(), if self.gain.share < 0.0 { "more" } else { "less" });
        let day = match self.a_day_s {
            Some(seconds) if seconds > 0.0 => format!(", {} a day", duration(seconds)),
            _ => String::new(),
        };
        let pressing = match self.gain.saved_by_a_press {
            saved if saved.is_finite() && saved > 0.0 => {
                format!("; each further press saves {} s", decimals(saved, 1))
            }
            _ => String::new(),
        };
        format!("{} {word} time a selection{day}{pressing}", percent(share))
    }
}

/// What a gain has to come to, in words.
#[must_use]
pub fn criterion() -> String {
    format!(
        "A new arrangement has to be learnt: it is proposed where it saves {} of the time, {} s with each further \
         press, and, where the selections of a day are known, {} s a day (common practice, no source).",
        percent(WORTH),
        decimals(SAVED_S, 0),
        decimals(WORTH_A_DAY_S, 0)
    )
}

/// The arrangement to propose, with what it saves against today; `None` where none is worth it.
pub fn choose<'f>(today: &Takes, bests: &'f Bests, uses_a_day: Option<f64>) -> Option<(Which, &'f Found, Saving)> {
    let mut chosen: Option<(Which, &Found)> = None;
    for (which, found) in compared(bests) {
        let from = chosen.map_or(today, |(_, found)| &found.judged.takes);
        let against = |from: &Takes| Saving::of(from, &found.judged.takes, uses_a_day);
        let better = against(from).is_some_and(|saving| saving.is_worth_it());
        if better && against(today).is_some_and(|saving| saving.is_worth_it()) {
            chosen = Some((which, found));
        }
    }
    let (which, found) = chosen?;
    Some((which, found, Saving::of(today, &found.judged.takes, uses_a_day)?))
}

/// What was compared, from what changes least on.
pub fn compared(bests: &Bests) -> impl Iterator<Item = (Which, &Found)> {
    let all = [
        (Which::Reordered, &bests.reordered),
        (Which::List, &bests.list),
        (Which::Grid, &bests.grid),
        (Which::Eased, &bests.eased),
        (Which::Fastest, &bests.fastest),
    ];
    all.into_iter().filter_map(|(which, found)| Some((which, found.as_ref()?)))
}

impl<P: Presses> Judge<'_, P> {
    /// What a task takes on an arrangement: its items one after the other.
    pub fn task(&self, each: &[Takes], task: &crate::menu::Task) -> Takes {
        let number = |id: &String| self.stock.items.iter().position(|item| item.id == *id);
        task.items.iter().filter_map(number).fold(Takes::default(), |sum, item| sum.plus(1.0, each[item]))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn takes(seconds: f64, hits: f64) -> Takes {
        Takes { seconds, hits, wrong_items: 0.0 }
    }

    #[test]
    fn a_tenth_two_seconds_a_press_and_a_minute_a_day_are_wanted() {
        let worth = |from, to, uses| Saving::of(&from, &to, uses).unwrap().is_worth_it();
        assert!(worth(takes(10.0, 1.0), takes(8.9, 1.0), None) && !worth(takes(10.0, 1.0), takes(9.1, 1.0), None));
        assert!(worth(takes(10.0, 1.0), takes(8.0, 2.0), None) && !worth(takes(10.0, 1.0), takes(8.1, 2.0), None));
        assert!(worth(takes(10.0, 1.0), takes(8.9, 1.0), Some(55.0)));
        assert!(!worth(takes(10.0, 1.0), takes(8.9, 1.0), Some(54.0)));
    }

    #[test]
    fn savings_are_told_with_their_day_and_their_presses() {
        let saving = Saving::of(&takes(10.0, 1.0), &takes(7.0, 2.0), Some(100.0)).unwrap();
        assert_eq!(saving.words(), "30 % less time a selection, 5 min a day; each further press saves 3.0 s");
    }
}
