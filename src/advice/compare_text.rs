//! A comparison in words: what differs first, the tests behind it last.

use super::compare::{Comparison, Latencies, Misses, Told};
use super::recommendation::Remark;
use crate::analysis::words::{self, decimals, percent, seconds};

/// The comparison of what is called `first` and `second`, a line each; they carry no line feed.
#[must_use]
pub fn lines(compared: &Comparison, first: &str, second: &str) -> Vec<String> {
    let mut lines = vec![latency(compared, first, second), misses(compared, first, second)];
    lines.push(tests(&compared.latency, &compared.misses, second));
    lines.extend(compared.cautions.iter().map(remark));
    lines
}

fn latency(compared: &Comparison, first: &str, second: &str) -> String {
    let Latencies { presses, medians_s, .. } = &compared.latency;
    let told = match compared.slower() {
        Told::More => format!("Presses take longer: {second}"),
        Told::Less => format!("Presses are quicker: {second}"),
        Told::Neither => "No difference in speed can be told".into(),
    };
    format!(
        "{told}. Median {} ({first}, {} presses) and {} ({second}, {} presses); {}, {} trials.",
        seconds(medians_s[0]),
        presses[0],
        seconds(medians_s[1]),
        presses[1],
        shift(compared),
        words::kind(compared.kind)
    )
}

/// "0.20 s longer (95 %: 0.11 s to 0.30 s)".
fn shift(compared: &Comparison) -> String {
    let Latencies { longer_s, longer_interval_s, .. } = compared.latency;
    let (sign, word) = match compared.slower() {
        Told::More => (1.0, "longer"),
        Told::Less => (-1.0, "shorter"),
        Told::Neither => (1.0, "of difference"),
    };
    let range = longer_interval_s.map_or_else(String::new, |[low, high]| {
        let (low, high) = if sign > 0.0 { (low, high) } else { (-high, -low) };
        format!(" (95 %: {} to {})", seconds(low), seconds(high))
    });
    format!("{} {word}{range}", seconds(sign * longer_s))
}

fn misses(compared: &Comparison, first: &str, second: &str) -> String {
    let Misses { missed, of, more, more_interval: [low, high], .. } = &compared.misses;
    let told = match compared.missed_more() {
        Told::More => format!("More is missed: {second}"),
        Told::Less => format!("Less is missed: {second}"),
        Told::Neither => "No difference in misses can be told".into(),
    };
    format!(
        "{told}. {} of {} ({first}) and {} of {} ({second}); {} in 100 (95 %: {} to {}).",
        missed[0],
        of[0],
        missed[1],
        of[1],
        signed(*more),
        signed(*low),
        signed(*high)
    )
}

/// "+12", "-3", "0".
fn signed(share: f64) -> String {
    let text = decimals(share * 100.0, 0);
    if text.starts_with('-') || text == "0" { text } else { format!("+{text}") }
}

fn tests(latency: &Latencies, misses: &Misses, second: &str) -> String {
    let way = |exact: bool| if exact { "exact" } else { "approximate" };
    format!(
        "   Behind it: in {} of all pairs of presses the one from {second} took longer; rank sum p {} ({}), permutation \
         of means p {} ({}), misses p {} (Fisher).",
        percent(latency.second_longer),
        probability(latency.p_rank_sum),
        way(latency.rank_sum_exact),
        probability(latency.p_permutation),
        way(latency.permutation_exact),
        probability(misses.p_fisher)
    )
}

fn probability(p: f64) -> String {
    if p < 0.001 { "below 0.001".into() } else { decimals(p, 3) }
}

/// A remark with its remedy, in one line.
#[must_use]
pub fn remark(remark: &Remark) -> String {
    format!("Note: {} {}", remark.text, remark.remedy)
}

/// What the client said on either side, a line each.
#[must_use]
pub fn ratings(sides: [(&str, &[(String, u8)]); 2]) -> Vec<String> {
    let line = |(name, ratings): (&str, &[(String, u8)])| {
        let said: Vec<String> = ratings.iter().map(|(question, value)| words::rating(question, *value)).collect();
        let said = if said.is_empty() { "was not asked".into() } else { said.join(", ") };
        format!("The client, {name}: {said}.")
    };
    sides.map(line).into()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::event::BlockKind;

    fn compared(longer_s: f64, interval: [f64; 2]) -> Comparison {
        Comparison {
            kind: BlockKind::TimedPress,
            latency: Latencies {
                presses: [14, 12],
                medians_s: [0.71, 0.92],
                longer_s,
                longer_interval_s: Some(interval),
                second_longer: 0.87,
                p_rank_sum: 0.000_4,
                rank_sum_exact: true,
                mean_difference_s: longer_s,
                p_permutation: 0.012,
                permutation_exact: false,
            },
            misses: Misses { missed: [1, 3], of: [15, 15], more: 0.133, more_interval: [-0.11, 0.37], p_fisher: 0.598 },
            cautions: Vec::new(),
        }
    }

    #[test]
    fn what_differs_stands_first_and_no_probability_stands_alone() {
        let told = lines(&compared(0.2, [0.11, 0.3]), "right cheek", "left hand");
        assert_eq!(
            told[0],
            "Presses take longer: left hand. Median 0.71 s (right cheek, 14 presses) and 0.92 s (left hand, 12 \
             presses); 0.20 s longer (95 %: 0.11 s to 0.30 s), timed press trials."
        );
        assert_eq!(
            told[1],
            "No difference in misses can be told. 1 of 15 (right cheek) and 3 of 15 (left hand); +13 in 100 (95 %: \
             -11 to +37)."
        );
        assert!(told[2].contains("rank sum p below 0.001 (exact), permutation of means p 0.012 (approximate)"));
    }

    #[test]
    fn a_shorter_latency_is_told_without_a_minus() {
        let told = lines(&compared(-0.2, [-0.3, -0.11]), "a", "b");
        assert!(
            told[0].starts_with("Presses are quicker: b.")
                && told[0].contains("0.20 s shorter (95 %: 0.11 s to 0.30 s)")
        );
        assert!(
            lines(&compared(0.01, [-0.1, 0.1]), "a", "b")[0].contains("0.01 s of difference (95 %: -0.10 s to 0.10 s)")
        );
    }

    #[test]
    fn what_was_not_asked_is_said() {
        let told = ratings([("right cheek", &[("effort".into(), 4), ("preference".into(), 1)]), ("left hand", &[])]);
        assert_eq!(told[0], "The client, right cheek: effort 4 of 10, prefers this switch or site.");
        assert_eq!(told[1], "The client, left hand: was not asked.");
    }
}
