//! Recommendations as plain text for a terminal: what to set first, then why.

use super::confirm::Verdict;
use super::recommendation::{Advice, Named, Recommendation, Remark, Sure};
use crate::analysis::words::{capital, decimals, percent};

/// What to set, a line each: values first, then what is to be known, in one line what is not known yet,
/// and the cautions last.
#[must_use]
pub fn what_to_set(recommendations: &[Recommendation], verdict: &Verdict) -> Vec<String> {
    let (known, unknown): (Vec<_>, Vec<_>) =
        recommendations.iter().partition(|one| !matches!(one.advice, Advice::NotEnough { .. }));
    let (valued, others): (Vec<_>, Vec<_>) =
        known.into_iter().partition(|one| matches!(one.advice, Advice::Set { .. } | Advice::Choose { .. }));
    let mut lines: Vec<String> = valued.into_iter().chain(others).map(|one| headline(one, verdict)).collect();
    lines.extend(not_known(&unknown));
    lines.extend(recommendations.iter().flat_map(|one| &one.cautions).map(caution));
    lines
}

/// "Not known yet: hold time (run 5 more minutes of quiet watch)".
fn not_known(unknown: &[&Recommendation]) -> Option<String> {
    let lack = |one: &&Recommendation| match one.advice {
        Advice::NotEnough { more, of } => format!("{} (run {more} more {of})", one.rule),
        _ => one.rule.to_string(),
    };
    let lacks: Vec<String> = unknown.iter().map(lack).collect();
    (!lacks.is_empty()).then(|| format!("Not known yet: {}", lacks.join("; ")))
}

/// One paragraph a recommendation; the lines carry no line feed.
#[must_use]
pub fn lines(recommendations: &[Recommendation], verdict: &Verdict) -> Vec<String> {
    recommendations.iter().flat_map(|one| paragraph(one, verdict)).collect()
}

fn paragraph(one: &Recommendation, verdict: &Verdict) -> Vec<String> {
    let details = details(one).into_iter().map(|line| format!("   {line}"));
    [String::new(), headline(one, verdict)].into_iter().chain(details).collect()
}

/// Reason, figures, cautions, what to try next and where the rule comes from, a line each.
#[must_use]
pub fn details(one: &Recommendation) -> Vec<String> {
    let mut lines = Vec::new();
    // A note has its reason in its headline.
    lines.extend((one.advice != Advice::Note).then(|| one.why.clone()));
    lines.extend(figures(one));
    lines.extend(one.cautions.iter().map(caution));
    lines.extend((!one.next.is_empty()).then(|| format!("Next: {}", one.next)));
    lines.push(format!("Rule {} v{}: {}.", one.rule, one.version, one.source));
    lines
}

/// The figures that stand beside the value, each in words.
#[must_use]
pub fn figures(one: &Recommendation) -> Vec<String> {
    beside(&one.advice).iter().chain(&one.figures).map(figure).collect()
}

/// A caution with its remedy, in one line.
#[must_use]
pub fn caution(caution: &Remark) -> String {
    format!("Caution: {} {}", caution.text, caution.remedy)
}

/// What to set, in one line, and whether a confirm block has borne it out.
#[must_use]
pub fn headline(one: &Recommendation, verdict: &Verdict) -> String {
    let rule = capital(one.rule);
    let status = status(verdict);
    match &one.advice {
        Advice::Set { value, unit, interval, .. } => {
            let range = interval.map_or_else(String::new, |[low, high]| {
                format!(", 90 %: {} to {}", number(low, unit), number(high, unit))
            });
            let word = sure(one.sure);
            format!("{rule}: {}, {status} ({word}{range}; from {} trials)", number(*value, unit), one.trials)
        }
        Advice::Choose { choice, .. } => format!("{rule}: try `{choice}` ({})", sure(one.sure)),
        Advice::Keep => format!("{rule}: leave as it is"),
        Advice::Note => format!("{rule}: {}", one.why),
        Advice::NotEnough { more, of } => format!("{rule}: not enough data; run {more} more {of}"),
    }
}

/// A verdict in a word or two.
fn status(verdict: &Verdict) -> &'static str {
    match verdict {
        Verdict::Proposed { .. } | Verdict::Begun { .. } => "proposed",
        Verdict::Confirmed { .. } => "confirmed",
        Verdict::NotConfirmed { .. } => "not confirmed",
    }
}

fn beside(advice: &Advice) -> &[Named] {
    match advice {
        Advice::Set { beside, .. } | Advice::Choose { beside, .. } => beside,
        Advice::Keep | Advice::Note | Advice::NotEnough { .. } => &[],
    }
}

fn figure(named: &Named) -> String {
    let range = named.interval.map_or_else(String::new, |[low, high]| {
        format!(" (90 %: {} to {})", number(low, named.unit), number(high, named.unit))
    });
    format!("{}: {}{range}", capital(named.name), number(named.value, named.unit))
}

/// A number with its unit, as exact as it can be set.
#[must_use]
pub fn number(value: f64, unit: &str) -> String {
    match unit {
        "share" => percent(value),
        "" => decimals(value, 0),
        unit => format!("{} {unit}", decimals(value, 2)),
    }
}

/// How sure, in a word whose criterion stands at [`Sure`].
#[must_use]
pub fn sure(sure: Sure) -> &'static str {
    match sure {
        Sure::Guess => "a first guess",
        Sure::Fair => "fairly sure",
        Sure::Good => "sure",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::Id;

    fn recommendation(advice: Advice) -> Recommendation {
        Recommendation {
            rule: "scan rate",
            version: 1,
            source: "a test",
            advice,
            why: "Because.".into(),
            figures: Vec::new(),
            trials: 40,
            sure: Sure::Fair,
            cautions: Vec::new(),
            next: String::new(),
        }
    }

    #[test]
    fn the_first_line_says_what_to_set() {
        let set = Advice::Set {
            setting: Id::ScanInterval,
            value: 1.15,
            unit: "s",
            interval: Some([0.95, 1.2]),
            beside: Vec::new(),
        };
        let proposed = Verdict::Begun { right: 1, selections: 1 };
        let found = headline(&recommendation(set), &proposed);
        assert_eq!(found, "Scan rate: 1.15 s, proposed (fairly sure, 90 %: 0.95 s to 1.20 s; from 40 trials)");
        let few = headline(&recommendation(Advice::NotEnough { more: 4, of: "timed presses" }), &proposed);
        assert_eq!(few, "Scan rate: not enough data; run 4 more timed presses");
    }

    #[test]
    fn values_come_first_and_what_is_missing_in_one_line_last() {
        let choose = Advice::Choose { setting: Id::Pattern, choice: "linear".into(), beside: Vec::new() };
        let few = || Advice::NotEnough { more: 4, of: "timed presses" };
        let mut list = [few(), Advice::Keep, choose, few()].map(recommendation);
        list[0].cautions.push(Remark { text: "It tires.".into(), remedy: "Rest.".into() });
        let found = what_to_set(&list, &Verdict::Begun { right: 1, selections: 1 });
        assert_eq!(found[..2], ["Scan rate: try `linear` (fairly sure)", "Scan rate: leave as it is"]);
        assert!(found[2].starts_with("Not known yet: scan rate (run 4 more timed presses); scan rate"), "{found:?}");
        assert_eq!(found[3..], ["Caution: It tires. Rest."]);
    }

    #[test]
    fn nothing_next_leaves_no_empty_line() {
        let proposed = Verdict::Begun { right: 1, selections: 1 };
        assert!(!lines(&[recommendation(Advice::Keep)], &proposed).iter().any(|line| line.trim() == "Next:"));
    }
}
