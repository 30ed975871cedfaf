//! What was measured in one session, as data. Texts, JSON and the report are made from it; nothing
//! downstream computes a statistic.

use serde::Serialize;

use crate::session::event::{BlockEnd, BlockKind};
use crate::session::protocol::WatchKind;
use crate::switch_check;

/// The findings of one session. Times in seconds, shares from 0 to 1.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Findings {
    /// Each block, in order.
    pub blocks: Vec<BlockFindings>,
    /// All scored trials of all blocks together.
    pub total: Measures,
    /// Length of the session.
    pub seconds: f64,
    /// The first suggestion of a scan rate, where latencies allow one.
    pub suggestion: Option<Suggestion>,
    /// Rests by reason (its name in the log), in order of first appearance.
    pub rests: Vec<(String, u32)>,
    /// Pauses by reason.
    pub pauses: Vec<(String, u32)>,
    /// All blocks were done.
    pub complete: bool,
}

/// One block.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BlockFindings {
    /// Its place in the protocol, from 0.
    pub block: u16,
    /// Its kind.
    pub kind: BlockKind,
    /// Its length in seconds.
    pub seconds: f64,
    /// Why it ended; `None` when the log broke off.
    pub ended: Option<BlockEnd>,
    /// Its scan interval in seconds.
    pub scan_interval_s: f64,
    /// What its trials came to; `None` in first contact, quiet watch and switch check.
    pub measures: Option<Measures>,
    /// Involuntary activations, in a quiet watch.
    pub involuntary: Option<Involuntary>,
    /// How a pointer was moved, in timed presses that a pointer worked.
    pub pointing: Option<Pointing>,
    /// What a switch check found out, switch by switch.
    pub switches: Vec<switch_check::Finding>,
    /// What the client said: name of the question and value.
    pub ratings: Vec<(String, u8)>,
}

/// How a pointer was moved to the tiles of a block (ISO 9241-411). The tiles do not all lie equally far, so it compares
/// blocks of one kind, not laboratories.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Pointing {
    /// Movements to tiles that were taken at the first try.
    pub movements: u32,
    /// Their mean length, in degrees of visual angle.
    pub distance_deg: f64,
    /// 4.133 standard deviations of their ends along the movement, in degrees.
    pub effective_width_deg: f64,
    /// Effective index of difficulty.
    pub difficulty_bits: f64,
    /// Mean seconds of a movement, without reaction and dwell time.
    pub movement_s: f64,
    /// Throughput.
    pub bits_per_s: f64,
}

/// What a set of trials came to.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Measures {
    /// Trials that count.
    pub trials: u32,
    /// Trials left out, and why: practice, helped, broken off, excluded.
    pub left_out: LeftOut,
    /// Trials that count although something came between (a cough, a spasm, care).
    pub interrupted: u32,
    /// Outcomes in the order of `Outcome::ALL`, without `aborted`.
    pub outcomes: Vec<OutcomeShare>,
    /// Latency of right presses; `None` without one, and in pairs of presses, which aim at nothing.
    pub latency: Option<Latency>,
    /// Latencies in seconds, in order of the session, with their moment.
    pub series: Vec<Point>,
    /// Time from the start of the scan to the choice: all scan time over the number of trials that
    /// reached the target, in timed presses, menu tasks and confirm. `None` when none was reached.
    pub seconds_per_correct: Option<f64>,
    /// Presses for each target reached, in the same trials; presses inside the lockout are among them.
    pub presses_per_correct: Option<f64>,
    /// What it took to put errors right, by kind; only kinds that were.
    pub recovered: Vec<Recovered>,
}

/// Errors of one kind that were put right.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Recovered {
    /// Word of the outcome.
    pub error: String,
    /// How many.
    pub count: u32,
    /// Mean seconds from the error to the right choice, or of the second try after a wrong item.
    pub mean_s: f64,
}

/// Trials that do not count.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct LeftOut {
    /// Practice.
    pub practice: u32,
    /// Helped by words or touch.
    pub prompted: u32,
    /// Broken off.
    pub aborted: u32,
    /// Left out by the clinician.
    pub excluded: u32,
}

/// One outcome among the trials that count.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OutcomeShare {
    /// Its word.
    pub outcome: String,
    /// How many.
    pub count: u32,
    /// Share of the trials.
    pub share: f64,
    /// 95 % Wilson interval of the share.
    pub low: f64,
    /// Its upper end.
    pub high: f64,
}

/// One right press.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Point {
    /// When, in seconds since the session began.
    pub at_s: f64,
    /// Press minus shown, in seconds.
    pub latency_s: f64,
    /// Its block.
    pub block: u16,
    /// Something came between in its trial.
    pub interrupted: bool,
}

/// Latencies of right presses, in seconds.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Latency {
    /// How many.
    pub count: u32,
    /// Quartiles by the usual linear interpolation (type 7).
    pub lower_quartile_s: f64,
    /// Median.
    pub median_s: f64,
    /// Upper quartile.
    pub upper_quartile_s: f64,
    /// Mean.
    pub mean_s: f64,
    /// Standard deviation (n − 1); `None` for a single press.
    pub sd_s: Option<f64>,
    /// Coefficient of variation, SD over mean.
    pub cv: Option<f64>,
    /// 90th percentile, as the other tails from a histogram of three significant digits.
    pub p90_s: f64,
    /// 95th percentile.
    pub p95_s: f64,
    /// 99th percentile.
    pub p99_s: f64,
    /// Greatest.
    pub max_s: f64,
    /// How many are negative: the press came before the highlight was seen. They are kept as they are.
    pub negative: u32,
}

/// Activations while nothing was asked.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Involuntary {
    /// What the client did meanwhile.
    pub watch: WatchKind,
    /// How many.
    pub count: u32,
    /// Seconds watched.
    pub seconds: f64,
    /// Per minute.
    pub per_minute: f64,
    /// 95 % interval of the rate per minute (exact Poisson; with none seen, from 0 to the one-sided bound).
    pub low_per_minute: f64,
    /// Its upper end.
    pub high_per_minute: f64,
}

/// A first suggestion: mean latency over 0.65, from right and late presses.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Suggestion {
    /// Suggested scan interval in seconds, rounded up to the setting's step.
    pub scan_interval_s: f64,
    /// Before rounding.
    pub exact_s: f64,
    /// 90 % interval of it, from the t interval of the mean.
    pub low_s: Option<f64>,
    /// Its upper end.
    pub high_s: Option<f64>,
    /// Latencies that it rests on.
    pub count: u32,
    /// How many of them were late: leaving these out would make the suggestion too fast.
    pub late: u32,
    /// Kind of the blocks that they come from.
    pub kind: BlockKind,
    /// Their mean, in seconds, with the time in `held_s`.
    pub mean_s: f64,
    /// Mean time from press to acceptance that is part of `mean_s`, in seconds; 0 where the item lit
    /// at the press is taken, where the scan waits, and without a hold time.
    pub held_s: f64,
    /// Their coefficient of variation.
    pub cv: Option<f64>,
}

/// Something that the reader of the findings has to know, with what to do about it.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "caution", rename_all = "kebab-case")]
pub enum Caution {
    /// Too few latencies for a suggestion that holds.
    FewLatencies {
        /// How many there are.
        count: u32,
        /// How many are wanted.
        wanted: u32,
    },
    /// Latencies scatter more than the published ratio allows for.
    WideScatter {
        /// Coefficient of variation.
        cv: f64,
    },
    /// The suggestion changes the highlight more than three times a second.
    Photosensitivity,
    /// What the switch check says against a switch.
    Switch {
        /// Which one, from 1.
        switch: u8,
        /// What it says.
        verdict: switch_check::Verdict,
    },
    /// Many presses came by themselves.
    Involuntary {
        /// Per minute, upper end of the interval.
        high_per_minute: f64,
    },
    /// Omissions have no latency: the true mean is longer than the measured one.
    Omissions {
        /// How many there are.
        count: u32,
    },
    /// Right presses that came sooner than a reaction can: the client presses to the rhythm.
    Anticipations {
        /// How many there are.
        count: u32,
    },
    /// Something came between in trials that count.
    Interruptions {
        /// In how many.
        count: u32,
    },
    /// Sounds came more than 10 ms off their due time and the device's latency.
    LateSounds {
        /// How many there are.
        count: u32,
    },
    /// A setting stands at a value that calls for a warning.
    Setting {
        /// Its name.
        name: String,
        /// The warning of the registry.
        warning: String,
    },
    /// Something of the log is missing or cannot be trusted.
    Damaged {
        /// The first line at or before which that is so.
        line: u32,
    },
    /// Not all blocks were done.
    Incomplete,
    /// Nothing could be measured: no trial counts.
    NothingMeasured,
    /// The rulers were not measured.
    Unmeasured,
    /// One of the rulers was out of tolerance when the session began.
    Ruler {
        /// What was measured.
        name: String,
        /// What it came to, in microseconds.
        value_us: u64,
        /// What it may come to.
        limit_us: u64,
    },
    /// Latencies grew in the course of a block.
    Slowing {
        /// The block.
        block: u16,
        /// Median of the last eight over that of the first eight.
        ratio: f64,
    },
    /// The data are invented.
    Invented,
    /// Breaths were made with keys.
    Emulated,
}
