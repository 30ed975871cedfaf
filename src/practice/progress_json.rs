//! Progress in practice as JSON; `docs/json.md` names every field.

use serde_json::{Value, json};

use super::mastery::Next;
use super::practised::Practised;
use super::progress::Progress;
use crate::settings::Id;
use crate::stats::sequential::Verdict;

/// One object a step.
#[must_use]
pub fn json(all: &[Progress]) -> Value {
    all.iter().map(step).collect::<Vec<_>>().into()
}

fn step(one: &Progress) -> Value {
    json!({
        "step": one.step.id,
        "sessions": one.sessions.iter().map(session).collect::<Vec<_>>(),
        "medians_s": one.medians,
        "learning": one.learning.map(|learning| json!({
            "level_s": learning.curve.level,
            "gain_s": learning.curve.gain,
            "rate_per_median": learning.curve.rate,
            "scatter_s": learning.scatter_s,
            "half_life_presses": learning.half_life,
        })),
        "retention": one.retention.map(|kept| json!({
            "ratio": kept.ratio,
            "interval": kept.interval.ends(),
            "presses": kept.presses,
        })),
        "movement": one.movement.map(|movement| json!({ "faster": movement.faster, "surer": movement.surer })),
        "keeping": one.keeping.map(|keeping| json!({
            "advised_s": keeping.advised_s,
            "more_needed": keeping.more_needed,
            "fails": keeping.fails,
        })),
        "next_step": next(one.next),
    })
}

fn session(one: &Practised) -> Value {
    json!({
        "began": one.began,
        "goal": one.practice.goal,
        "attempts": one.tally.hits + one.tally.misses,
        "hits": one.tally.hits,
        "presses": one.tally.presses,
        "verdict": verdict(one.verdict),
        "scan_interval_s": ends_at(one, Id::ScanInterval),
        "dwell_s": ends_at(one, Id::Dwell),
    })
}

/// The value at the end of what was paced.
fn ends_at(one: &Practised, paced: Id) -> Option<f64> {
    one.interval.filter(|_| one.paces == Some(paced)).map(|interval| interval.as_seconds())
}

const fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Good => "mastered",
        Verdict::Poor => "too-hard",
        Verdict::GoOn => "open",
    }
}

const fn next(next: Next) -> &'static str {
    match next {
        Next::Up => "up",
        Next::Again => "again",
        Next::Down => "down",
        Next::AskTherapist => "ask-therapist",
    }
}
