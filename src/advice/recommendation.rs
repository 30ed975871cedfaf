//! One recommendation: what to set, why, and how sure that is.

use serde::Serialize;

use crate::settings::Id;
use crate::stats::{Interval, Level, Sample, proportion};

/// What a rule recommends.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Recommendation {
    /// Name of the rule, for example "scan rate"; unique in the list.
    pub rule: &'static str,
    /// Version of the rule; raised when the same evidence would lead to another value.
    pub version: u32,
    /// Where the rule comes from: a publication, or "common practice, no source".
    pub source: &'static str,
    /// What it advises.
    pub advice: Advice,
    /// The reason in plain words, one or two sentences.
    pub why: String,
    /// What the reason rests on where nothing is set; a value has its figures beside it.
    pub figures: Vec<Named>,
    /// Opportunities or presses behind it.
    pub trials: u32,
    /// How sure it is.
    pub sure: Sure,
    /// What its reader has to know, each with the remedy.
    pub cautions: Vec<Remark>,
    /// What to try next.
    pub next: String,
}

/// The value, or that there is none.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "advice", rename_all = "kebab-case")]
pub enum Advice {
    /// Set this setting to this value.
    Set {
        /// The setting.
        #[serde(serialize_with = "name")]
        setting: Id,
        /// The value that the sheet takes, rounded to the setting's step; seconds for times.
        value: f64,
        /// Its unit: "s", or "" for counts.
        unit: &'static str,
        /// 90 % interval of what the value is rounded from, where one can be given; it takes in the value.
        interval: Option<[f64; 2]>,
        /// Other values worth seeing, by name, for example "fastest safe".
        beside: Vec<Named>,
    },
    /// Choose this, for what is no number: a pattern, a technique.
    Choose {
        /// The setting.
        #[serde(serialize_with = "name")]
        setting: Id,
        /// The choice, by its name in files.
        choice: String,
        /// Figures that it rests on, by name.
        beside: Vec<Named>,
    },
    /// Leave it as it is.
    Keep,
    /// Nothing to set: the reason itself is what to know.
    Note,
    /// The data do not bear a recommendation.
    NotEnough {
        /// How many more trials of this kind are wanted.
        more: u32,
        /// Which, for example "timed presses".
        of: &'static str,
    },
}

/// A named number with its interval.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Named {
    /// What it is.
    pub name: &'static str,
    /// The number.
    pub value: f64,
    /// Its unit.
    pub unit: &'static str,
    /// 90 % interval, where one can be given.
    pub interval: Option<[f64; 2]>,
}

/// Fewer values do not bear their own 5 % or 95 % quantile (common practice, no source).
pub const BEAR_A_TAIL: usize = 20;

/// How sure a recommendation is, tied to a criterion.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Sure {
    /// A first guess: the interval is wider than 30 % of the value, or there are fewer than 20 presses.
    Guess,
    /// Fair: the interval is within 30 % of the value.
    Fair,
    /// Good: the interval is within 15 % of the value, and at least 40 presses stand behind it.
    Good,
}

/// A caution with its remedy.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Remark {
    /// What it is.
    pub text: String,
    /// What to do about it.
    pub remedy: String,
}

impl Recommendation {
    /// What `rule` says of `trials` opportunities or presses before it has judged them: leave it as it is.
    #[must_use]
    pub fn keep(rule: &'static str, version: u32, source: &'static str, trials: usize) -> Recommendation {
        Recommendation {
            rule,
            version,
            source,
            advice: Advice::Keep,
            why: String::new(),
            figures: Vec::new(),
            trials: trials as u32,
            sure: Sure::Guess,
            cautions: Vec::new(),
            next: String::new(),
        }
    }

    /// Widens the interval to the value: rounding, and what holds a value back, may lead out of it.
    pub(super) fn take_in_value(&mut self) {
        if let Advice::Set { value, interval: Some(ends), .. } = &mut self.advice {
            *ends = around(*ends, *value);
        }
    }

    /// The time that it sets `setting` to, in seconds.
    #[must_use]
    pub fn value_of(&self, setting: Id) -> Option<f64> {
        match self.advice {
            Advice::Set { setting: set, value, .. } if set == setting => Some(value),
            _ => None,
        }
    }
}

impl Named {
    /// The share of `sample` that lies below `limit`, with its 90 % interval (Wilson).
    #[must_use]
    pub fn share_below(name: &'static str, sample: &Sample, limit: f64) -> Named {
        let count = sample.sorted().partition_point(|value| *value < limit);
        let interval = proportion::wilson(count as u64, sample.len() as u64, Level::NINETY).map(Interval::ends);
        Named { name, value: count as f64 / sample.len() as f64, unit: "share", interval }
    }
}

impl Advice {
    /// As many more of these as `wanted` asks for beyond the `seen`, and one at least.
    #[must_use]
    pub fn more(wanted: usize, seen: usize, of: &'static str) -> Advice {
        Advice::NotEnough { more: wanted.saturating_sub(seen).max(1) as u32, of }
    }
}

impl Sure {
    /// The word that the criterion gives: the width of `interval` relative to `value`, and the
    /// number of presses.
    #[must_use]
    pub fn of(value: f64, interval: [f64; 2], presses: usize) -> Sure {
        let width = (interval[1] - interval[0]) / value;
        match (width, presses) {
            (width, 40..) if width <= 0.15 => Sure::Good,
            (width, 20..) if width <= 0.30 => Sure::Fair,
            _ => Sure::Guess,
        }
    }
}

/// `ends`, and `value` in any case.
pub(super) fn around([low, high]: [f64; 2], value: f64) -> [f64; 2] {
    [low.min(value), high.max(value)]
}

fn name<S: serde::Serializer>(id: &Id, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(id.setting().name)
}
