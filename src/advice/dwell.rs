//! The dwell time: longer than nearly all stays on items that were only looked at or passed over.
//!
//! It rests on stays of the pointer in trials that a pointer works; without any it says nothing. It is the shortest
//! step at which at most 5 % of the unwanted stays select, and at least 0.3 s. A stay that was ended by a selection is
//! known only up to the dwell in force then, so wanted stays are to be measured with a long one.

use super::recommendation::{Advice, BEAR_A_TAIL, Named, Recommendation, Remark, Sure};
use crate::analysis::evidence::Evidence;
use crate::analysis::words::{percent, seconds};
use crate::rng::Stream;
use crate::settings::{Id, Kind};
use crate::stats::bootstrap::bca;
use crate::stats::{Level, Sample};

/// Where the rule comes from.
const SOURCE: &str = "95 % quantile of unwanted stays, at least 0.3 s; common practice, no source. Fixations of 0.15 to \
                      0.5 s: Rayner 1998";
/// Share of unwanted stays that may select (common practice, no source).
const SELECTED: f64 = 0.05;
/// Where fewer wanted stays last so long, the client has to be asked to stay (common practice, no source).
const REACHED: f64 = 0.9;
/// Below this a glance selects: fixations last up to 0.5 s (Rayner 1998).
const GLANCE_S: f64 = 0.6;
/// Samples drawn again for the interval.
const REPEATS: usize = 1000;

/// Stays of the pointer on items, in seconds.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Stays {
    /// On the item that was asked for, until it was left or taken.
    pub wanted: Vec<f64>,
    /// On any other item.
    pub unwanted: Vec<f64>,
}

impl Stays {
    /// All that the sessions hold.
    #[must_use]
    pub fn of(evidence: &Evidence) -> Stays {
        Stays { wanted: evidence.wanted_stays_s.clone(), unwanted: evidence.unwanted_stays_s.clone() }
    }
}

/// What a dwell time does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trade {
    /// The dwell time, in seconds.
    pub dwell_s: f64,
    /// Share of wanted stays that reach it.
    pub reached: f64,
    /// Share of unwanted stays that select.
    pub selected: f64,
}

/// Advises a dwell time; `None` where nothing was measured with a pointer.
#[must_use]
pub fn advise(stays: &Stays) -> Option<Recommendation> {
    let measured = stays.wanted.len() + stays.unwanted.len();
    let blank = Recommendation::keep("dwell", 1, SOURCE, measured);
    match (Sample::new(stays.wanted.clone()), Sample::new(stays.unwanted.clone())) {
        _ if measured == 0 => None,
        (Ok(wanted), Ok(unwanted)) if wanted.len().min(unwanted.len()) >= BEAR_A_TAIL => {
            Some(placed(blank, &wanted, &unwanted))
        }
        _ => Some(few(blank, stays)),
    }
}

/// What each dwell time of the setting does, the shortest first.
#[must_use]
pub fn trades(wanted: &Sample, unwanted: &Sample) -> Vec<Trade> {
    let Kind::Time { min, max, step } = Id::Dwell.setting().kind else { unreachable!("the dwell is a time") };
    let share = |sample: &Sample, dwell_s: f64| {
        let shorter = sample.sorted().partition_point(|stay| *stay < dwell_s);
        (sample.len() - shorter) as f64 / sample.len() as f64
    };
    let steps = (min..=max).step_by(step as usize).map(|raw| raw as f64 / 1e6);
    steps
        .map(|dwell_s| Trade { dwell_s, reached: share(wanted, dwell_s), selected: share(unwanted, dwell_s) })
        .collect()
}

fn placed(blank: Recommendation, wanted: &Sample, unwanted: &Sample) -> Recommendation {
    let trades = trades(wanted, unwanted);
    let Some(chosen) = trades.iter().find(|trade| trade.selected <= SELECTED) else {
        return Recommendation {
            why: "Unwanted stays last longer than any dwell time: none tells wanted from unwanted.".into(),
            next: "Try a switch, or a pointer on another part of the body.".into(),
            ..blank
        };
    };
    let interval = interval(unwanted);
    let sure = interval.map_or(Sure::Guess, |range| Sure::of(chosen.dwell_s, range, wanted.len().min(unwanted.len())));
    Recommendation {
        why: format!(
            "At {}, {} of wanted stays reach it and {} of unwanted ones select.",
            seconds(chosen.dwell_s),
            percent(chosen.reached),
            percent(chosen.selected)
        ),
        advice: Advice::Set {
            setting: Id::Dwell,
            value: chosen.dwell_s,
            unit: "s",
            interval,
            beside: vec![
                Named::share_below("unwanted stays that do not select", unwanted, chosen.dwell_s),
                Named::share_below("wanted stays that are too short", wanted, chosen.dwell_s),
            ],
        },
        sure,
        cautions: [glance(chosen), leaves(chosen)].into_iter().flatten().collect(),
        next: "Run the pointer trials again with it.".into(),
        ..blank
    }
}

/// 90 % interval of the 95 % quantile of unwanted stays; none where all are alike.
fn interval(unwanted: &Sample) -> Option<[f64; 2]> {
    let quantile = |stays: &mut [f64]| Sample::new(stays.to_vec()).map_or(f64::NAN, |sample| sample.quantile(0.95));
    let mut stream = Stream::named(0, "dwell");
    bca(unwanted, quantile, Level::NINETY, REPEATS, &mut stream).map(|found| found.interval.ends())
}

fn glance(chosen: &Trade) -> Option<Remark> {
    (chosen.dwell_s < GLANCE_S).then(|| Remark {
        text: format!("At less than {} a glance can select.", seconds(GLANCE_S)),
        remedy:
            "With eye pointing begin at 0.6 to 1 s and go down by steps; ask for a second choice before risky items."
                .into(),
    })
}

fn leaves(chosen: &Trade) -> Option<Remark> {
    (chosen.reached < REACHED).then(|| Remark {
        text: format!("{} of wanted stays were too short for it.", percent(1.0 - chosen.reached)),
        remedy: "Try a longer leave tolerance or larger items; ask the client to stay until it is taken.".into(),
    })
}

fn few(blank: Recommendation, stays: &Stays) -> Recommendation {
    let (seen, of) = match (stays.wanted.len(), stays.unwanted.len()) {
        (wanted, _) if wanted < BEAR_A_TAIL => (wanted, "stays on wanted items"),
        (_, unwanted) => (unwanted, "stays on other items"),
    };
    Recommendation {
        advice: Advice::more(BEAR_A_TAIL, seen, of),
        why: format!("Measured {of}: {seen}; {BEAR_A_TAIL} are wanted."),
        ..blank
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::lognormal;
    use super::*;

    fn stays(wanted: u32, unwanted: u32) -> Stays {
        Stays { wanted: lognormal(1.6, 0.2, wanted).collect(), unwanted: lognormal(0.4, 0.4, unwanted).collect() }
    }

    fn value(found: &Recommendation) -> f64 {
        let Advice::Set { value, .. } = found.advice else { panic!("{found:?}") };
        value
    }

    #[test]
    fn it_is_the_step_above_nearly_all_unwanted_stays() {
        // Lognormal, median 0.4 s, SD of the logarithm 0.4: 95 % at 0.4·exp(0.4·1.644854) = 0.772316 s.
        // Of wanted stays (1.6 s, 0.2) 0.9998 reach 0.8 s. By the same formula.
        let found = advise(&stays(400, 400)).unwrap();
        let Advice::Set { value, interval: Some([low, high]), ref beside, .. } = found.advice else {
            panic!("{found:?}")
        };
        assert!(value == 0.8 && low < 0.772316 && 0.772316 < high, "{found:?}");
        assert!(beside[1].value < 0.01 && found.cautions.is_empty(), "{found:?}");
    }

    #[test]
    fn it_is_never_below_three_tenths_and_a_short_one_is_cautioned() {
        let short = Stays { unwanted: vec![0.1; 20], ..stays(20, 0) };
        let found = advise(&short).unwrap();
        assert_eq!((value(&found), found.cautions.len()), (0.3, 1));
        assert!(found.cautions[0].text.contains("0.60 s"));
    }

    #[test]
    fn more_of_one_kind_of_error_is_less_of_the_other() {
        let Stays { wanted, unwanted } = stays(50, 50);
        let trades = trades(&Sample::new(wanted).unwrap(), &Sample::new(unwanted).unwrap());
        assert!(trades.windows(2).all(|two| two[1].reached <= two[0].reached && two[1].selected <= two[0].selected));
        assert_eq!((trades[0].dwell_s, trades[0].reached), (0.3, 1.0));
    }

    #[test]
    fn stays_that_are_alike_ask_for_longer_ones() {
        let alike = Stays { wanted: vec![0.9; 30], unwanted: vec![0.9; 30] };
        let found = advise(&alike).unwrap();
        assert_eq!(value(&found), 0.95);
        assert!(found.cautions[0].text.starts_with("100 % of wanted stays"), "{found:?}");
    }

    #[test]
    fn stays_beyond_every_dwell_have_none() {
        let endless = Stays { unwanted: vec![30.0; 30], ..stays(30, 0) };
        assert_eq!(advise(&endless).unwrap().advice, Advice::Keep);
    }

    #[test]
    fn nothing_measured_says_nothing_and_little_asks_for_more() {
        assert_eq!(advise(&Stays::default()), None);
        for (wanted, unwanted, more) in [(1, 0, 19), (0, 30, 20), (30, 19, 1), (30, 0, 20)] {
            let found = advise(&stays(wanted, unwanted)).unwrap();
            assert!(matches!(found.advice, Advice::NotEnough { more: wanted, .. } if wanted == more), "{found:?}");
        }
        let broken = Stays { wanted: vec![f64::NAN; 30], unwanted: vec![0.4; 30] };
        assert!(!matches!(advise(&broken).unwrap().advice, Advice::Set { .. }));
    }
}
