//! The repeat lockout: longer than the gap before a repeat, shorter than the client's own repeats.
//!
//! It never passes the 5 % quantile of deliberate gaps. Gaps beyond the longest lockout there is
//! say nothing about it and are left out.

use super::gaps;
use super::hold::WATCH_MIN;
use super::recommendation::{Advice, BEAR_A_TAIL, Named, Recommendation, Remark, Sure};
use super::trains::{self, Trains};
use crate::analysis::evidence::Evidence;
use crate::analysis::words::{decimals, percent, seconds};
use crate::settings::{Id, LockoutFrom, rounding};
use crate::stats::quantile_interval::quantile_interval;
use crate::stats::{Level, Sample};

/// Where the rule comes from.
const SOURCE: &str = "at most the 5 % quantile of deliberate gaps; common practice, no source";
/// A lockout that stops less than this share of repeats is not worth it (common practice, no source).
const WORTH: f64 = 0.5;

/// Advises a repeat lockout.
#[must_use]
pub fn advise(evidence: &Evidence) -> Recommendation {
    let [meant, repeats] = [gaps::deliberate(evidence), gaps::repeats(evidence)];
    let blank = blank(meant.len() + repeats.len());
    match (Sample::new(meant), Sample::new(repeats)) {
        (Ok(meant), _) if meant.len() < BEAR_A_TAIL => few(blank, meant.len(), "deliberate pairs of presses"),
        (Err(_), _) => few(blank, 0, "deliberate pairs of presses"),
        (Ok(meant), Err(_)) => no_repeats(blank, evidence, &meant),
        (Ok(_), Ok(repeats)) if repeats.len() < BEAR_A_TAIL => few_repeats(blank, repeats.len()),
        (Ok(meant), Ok(repeats)) => between(blank, evidence, &meant, &repeats),
    }
}

fn few(blank: Recommendation, seen: usize, of: &'static str) -> Recommendation {
    Recommendation {
        advice: Advice::more(BEAR_A_TAIL, seen, of),
        why: format!("Timed {of} within reach of a lockout: {seen}; {BEAR_A_TAIL} are wanted."),
        ..blank
    }
}

/// They cannot be asked for: only watching longer shows more of them.
fn few_repeats(blank: Recommendation, seen: usize) -> Recommendation {
    Recommendation {
        advice: Advice::NotEnough { more: WATCH_MIN, of: "minutes of quiet watch" },
        why: format!("Timed unwanted repeats: {seen}; {BEAR_A_TAIL} are wanted to place a lockout by."),
        ..blank
    }
}

/// Nothing to stop: only a lockout that is in the client's way has to go down.
fn no_repeats(blank: Recommendation, evidence: &Evidence, meant: &Sample) -> Recommendation {
    let (now, high) = (evidence.settings.lockout().as_seconds(), meant.quantile(0.05));
    let advice = if now > high { set(rounding::down(Id::Lockout, high), Vec::new()) } else { Advice::Keep };
    let why = format!("No unwanted repeat was seen; deliberate presses follow after {} or more.", seconds(high));
    Recommendation { advice, why, ..blank }
}

fn between(blank: Recommendation, evidence: &Evidence, meant: &Sample, repeats: &Sample) -> Recommendation {
    let (low, high) = (repeats.quantile(0.99), meant.quantile(0.05));
    let value = Some(rounding::up(Id::Lockout, low)).filter(|value| *value <= high);
    let value = value.unwrap_or_else(|| rounding::down(Id::Lockout, high));
    let trains = Trains::find(evidence);
    let cautions = trains.iter().flat_map(|trains| train(trains, value, evidence)).collect();
    let stopped = Named::share_below("unwanted repeats stopped", repeats, value);
    let lost = Named::share_below("deliberate repeats lost", meant, value);
    if value == 0.0 || stopped.value < WORTH {
        return Recommendation { cautions, ..overlap(blank, low, high) };
    }
    let why = format!(
        "Locked for {}, {} of unwanted repeats are stopped and {} of deliberate ones lost.",
        seconds(value),
        percent(stopped.value),
        percent(lost.value)
    );
    let interval = quantile_interval(meant, 0.05, Level::NINETY).map(|found| found.interval.ends());
    let mut beside = vec![
        stopped,
        lost,
        Named { name: "99 % quantile of gaps before unwanted repeats", value: low, unit: "s", interval: None },
        Named { name: "5 % quantile of deliberate gaps", value: high, unit: "s", interval },
    ];
    beside.extend(trains.map(|trains| Named {
        name: "frequency of trains",
        value: trains.frequency_hz(),
        unit: "Hz",
        interval: None,
    }));
    let sure = if meant.len().min(repeats.len()) >= 20 { Sure::Fair } else { Sure::Guess };
    Recommendation { advice: set(value, beside), why, sure, cautions, ..blank }
}

fn overlap(blank: Recommendation, low: f64, high: f64) -> Recommendation {
    Recommendation {
        why: format!(
            "Unwanted repeats follow within {} and deliberate ones begin at {}: they overlap too much for any lockout.",
            seconds(low),
            seconds(high)
        ),
        next: "Try a hold time, another site or another mounting.".into(),
        ..blank
    }
}

/// What a train calls for, where the lockout does not outlast it.
fn train(trains: &Trains, value: f64, evidence: &Evidence) -> Option<Remark> {
    let restarts = evidence.settings.lockout_restarts();
    if !trains.outlast(value) || (restarts && trains::restarting_stops(value, trains.period_s)) {
        return None;
    }
    let longer = rounding::up(Id::Lockout, trains.period_s + 1e-3);
    let through = match evidence.settings.lockout_from() {
        LockoutFrom::Press => {
            format!("every {} one comes through", seconds(trains::thinned_to_s(value, trains.period_s)))
        }
        LockoutFrom::Release => "some come through".into(),
    };
    Some(Remark {
        text: format!(
            "Unwanted presses come in trains of up to {} at {} Hz; a lockout of {} only thins them: {through}.",
            seconds(trains.longest_s),
            decimals(trains.frequency_hz(), 1),
            seconds(value)
        ),
        remedy: format!(
            "Only a lockout of {} or more that an ignored press restarts would stop them; it can shut the client out \
             for as long as the train lasts, so try it with the client before it goes home.",
            seconds(longer)
        ),
    })
}

fn set(value: f64, beside: Vec<Named>) -> Advice {
    Advice::Set { setting: Id::Lockout, value, unit: "s", interval: None, beside }
}

fn blank(presses: usize) -> Recommendation {
    Recommendation::keep("repeat lockout", 1, SOURCE, presses)
}

#[cfg(test)]
mod tests {
    use super::super::sample::{evidence, lognormal, press};
    use super::*;
    use crate::analysis::evidence::Aim;

    fn with(meant: impl Iterator<Item = f64>, repeats: impl Iterator<Item = f64>) -> Evidence {
        let mut evidence = evidence();
        press(&mut evidence, Aim::Wanted, 1.0, 0.1);
        meant.for_each(|gap| press(&mut evidence, Aim::Wanted, gap, 0.1));
        for gap in repeats {
            press(&mut evidence, Aim::Wanted, 5.0, 0.1);
            press(&mut evidence, Aim::Unwanted, gap, 0.05);
        }
        evidence
    }

    #[test]
    fn worked_value_of_two_lognormal_laws() {
        // By scipy: unwanted (median 0.080, 0.5) 99 % at 0.256006, deliberate (0.800, 0.35) 1 % at
        // 0.354387; the densities cross at 0.301719 with 0.0039661 and 0.0026678 beyond it.
        let found = advise(&with(lognormal(0.8, 0.35, 4000), lognormal(0.08, 0.5, 4000)));
        let Advice::Set { value, ref beside, .. } = found.advice else { panic!("{found:?}") };
        assert!((0.256006..=0.354387).contains(&value), "{value}");
        assert!((beside[0].value - (1.0 - 0.0039661)).abs() < 5e-4, "{beside:?}");
        assert!((beside[1].value - 0.0026678).abs() < 5e-4, "{beside:?}");
        assert!((beside[2].value - 0.256006).abs() < 1e-3, "{beside:?}");
    }

    #[test]
    fn a_train_asks_for_a_restarting_lockout_and_says_what_it_can_do() {
        let mut evidence = with(lognormal(0.8, 0.2, 30), lognormal(0.1, 0.2, 5));
        (0..20).for_each(|_| press(&mut evidence, Aim::Unwanted, 0.15, 0.05));
        let found = advise(&evidence);
        let [caution] = &found.cautions[..] else { panic!("{found:?}") };
        assert!(caution.text.contains("5.0 Hz") && caution.remedy.contains("0.25 s or more"), "{caution:?}");
        assert!(caution.remedy.contains("shut the client out"));
    }

    #[test]
    fn a_lockout_that_restarts_has_to_outlast_the_period_of_the_train() {
        let mut evidence = evidence();
        evidence.settings = evidence.settings.with(Id::LockoutRestarts, 1);
        (0..20).for_each(|_| press(&mut evidence, Aim::Unwanted, 0.15, 0.05));
        let trains = Trains::find(&evidence).unwrap();
        assert_eq!(train(&trains, 0.25, &evidence), None);
        assert!(train(&trains, 0.15, &evidence).is_some());
    }

    #[test]
    fn without_repeats_only_a_lockout_in_the_way_goes_down() {
        assert_eq!(advise(&with(lognormal(0.8, 0.1, 30), [].into_iter())).advice, Advice::Keep);
        let quick = advise(&with(lognormal(0.3, 0.1, 30), [].into_iter()));
        assert!(matches!(quick.advice, Advice::Set { value: 0.25, .. }), "{quick:?}");
    }

    #[test]
    fn alike_gaps_have_no_lockout_and_say_so() {
        let found = advise(&with(lognormal(0.3, 0.4, 40), lognormal(0.3, 0.4, 40)));
        assert!(found.advice == Advice::Keep && found.why.contains("overlap too much"), "{found:?}");
    }

    #[test]
    fn few_gaps_bear_no_value() {
        for (meant, repeats) in [(0, 0), (0, 20), (19, 0), (20, 3)] {
            let found = advise(&with(lognormal(0.8, 0.3, meant), lognormal(0.08, 0.5, repeats)));
            assert!(matches!(found.advice, Advice::NotEnough { more: 1.., .. }), "{found:?}");
        }
    }
}
