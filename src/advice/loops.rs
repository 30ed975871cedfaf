//! Passes inside a group: enough that lapses alone hardly ever lead out of it.

use super::recommendation::{Advice, Named, Recommendation, Remark, Sure};
use crate::analysis::effects;
use crate::analysis::evidence::Evidence;
use crate::analysis::words::percent;
use crate::settings::Id;
use crate::stats::{Level, proportion};

/// Where the rule comes from.
const SOURCE: &str = "lapses alone lead out of a group at most once in 100 times; common practice, no source";
/// How often all passes may go by without a press (common practice, no source).
const ALL_MISSED: f64 = 0.01;
/// Fewer passes say too little of lapses.
const FEWEST: u32 = 12;
/// With a single pass one lapse loses the way (common practice, no source).
const LEAST: u32 = 2;
/// More passes wear the client out before the scan rests.
const MOST: u32 = 5;

/// Advises the passes inside a group.
#[must_use]
pub fn advise(evidence: &Evidence) -> Recommendation {
    let moving: Vec<_> = evidence.opportunities.iter().filter(|one| one.moving()).copied().collect();
    let found = effects::omissions(&moving).map(|omissions| omissions.passes).filter(|passes| passes.of >= FEWEST);
    let Some(passes) = found else { return few(moving.len()) };
    let share = f64::from(passes.count) / f64::from(passes.of);
    let interval = proportion::wilson(passes.count.into(), passes.of.into(), Level::NINETY);
    let [low, high] = interval.map_or([share, share], |interval| [interval.low, interval.high]);
    let loops = needed(high).clamp(LEAST, MOST);
    Recommendation {
        advice: Advice::Set {
            setting: Id::LoopsInside,
            value: f64::from(loops),
            unit: "",
            interval: Some([needed(low), needed(high)].map(|loops| f64::from(loops.max(LEAST)))),
            beside: vec![Named {
                name: "passes without a press",
                value: share,
                unit: "share",
                interval: Some([low, high]),
            }],
        },
        why: format!(
            "Up to {} of passes may go by without a press; with {loops} passes {} visits to a group end for that reason \
             alone.",
            percent(high),
            visits(libm::pow(high, f64::from(loops)))
        ),
        sure: if passes.of >= 40 { Sure::Fair } else { Sure::Guess },
        cautions: many_missed(high),
        ..blank(passes.of as usize)
    }
}

fn visits(share: f64) -> String {
    if share < 0.005 { "fewer than 1 in 200".into() } else { format!("at most {} of", percent(share)) }
}

/// Passes until the chance that all go by is small enough.
fn needed(share: f64) -> u32 {
    let mut loops = 1;
    while loops < 20 && libm::pow(share, f64::from(loops)) > ALL_MISSED {
        loops += 1;
    }
    loops
}

fn many_missed(high: f64) -> Vec<Remark> {
    let remark = || Remark {
        text: format!("So many passes may be missed ({}) that loops do not mend it.", percent(high)),
        remedy: "Look at fatigue, position and the cue before adding passes.".into(),
    };
    (needed(high) > MOST).then(remark).into_iter().collect()
}

fn few(passes: usize) -> Recommendation {
    Recommendation {
        advice: Advice::more(FEWEST as usize, passes, "timed presses"),
        why: format!("Passes over a wanted item that were watched: {passes}; {FEWEST} are wanted."),
        ..blank(passes)
    }
}

fn blank(passes: usize) -> Recommendation {
    Recommendation::keep("loops inside a group", 1, SOURCE, passes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn passes_follow_from_the_share_that_goes_by() {
        // 0.099 squared is 0.0098; 0.25 to the fourth is 0.0039, to the third 0.0156: by hand.
        assert_eq!([0.0, 0.01, 0.099, 0.11, 0.25].map(needed), [1, 1, 2, 3, 4]);
        assert_eq!(needed(1.0), 20);
    }

    #[test]
    fn a_client_who_misses_half_is_not_helped_by_loops() {
        assert!(many_missed(0.2).is_empty());
        assert_eq!(many_missed(0.5).len(), 1);
    }

    #[test]
    fn few_passes_bear_no_value() {
        assert!(matches!(few(5).advice, Advice::NotEnough { more: 7, .. }));
    }
}
