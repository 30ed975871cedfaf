//! Changes and comparisons of several sessions as plain text, what a clinician asks first at the top.

use super::change::{Change, Reliable};
use super::compare_text::{self, remark};
use super::overview::{Overview, SetUpOverview};
use crate::analysis::words::{capital, seconds};

/// Change since last time, in one set-up; `began` names a session by its place among all. No line
/// carries a line feed; there is none where only one session measured.
#[must_use]
pub fn change_since_last_time(set_up: &SetUpOverview, began: impl Fn(usize) -> String) -> Vec<String> {
    let Some(last) = set_up.changes.last() else { return Vec::new() };
    let [.., before, after] = set_up.measured[..] else { return Vec::new() };
    let [.., said_before, said_after] = &set_up.said[..] else { return Vec::new() };
    let mut lines = vec!["Change since last time".to_string()];
    if let Some(compared) = &last.compared {
        let (before, after) = (began(before), began(after));
        lines.extend(compare_text::lines(compared, &before, &after));
        lines.push(wavering(last));
        lines.extend(compare_text::ratings([(&before, said_before), (&after, said_after)]));
    }
    lines.extend(last.remarks.iter().map(remark));
    lines
}

fn wavering(change: &Change) -> String {
    let Some(reliable) = &change.reliable else {
        return "Whether that is more than this client wavers by itself can be told from three sessions on.".into();
    };
    let Reliable { change_s, detectable_s, index, sessions } = reliable;
    let verdict = if reliable.beyond() { "more than" } else { "within" };
    format!(
        "The median changed by {}, {verdict} what this client wavers by itself ({} sessions: up to {}, 95 %; reliable \
         change index {index:.1}).",
        seconds(*change_s),
        sessions,
        seconds(*detectable_s)
    )
}

/// Every pair of set-ups, a paragraph each.
#[must_use]
pub fn comparisons(overview: &Overview) -> Vec<String> {
    let mut lines = Vec::new();
    for pair in &overview.comparisons {
        let [first, second] = &pair.names;
        lines.push(format!("{} against {second} ({})", capital(first), pair.differ.join(", ")));
        lines.extend(pair.compared.iter().flat_map(|compared| compare_text::lines(compared, first, second)));
        lines.extend(compare_text::ratings([(first, &pair.ratings[0]), (second, &pair.ratings[1])]));
        lines.extend(pair.remarks.iter().map(remark));
        lines.push(String::new());
    }
    if overview.comparisons.len() > 1 {
        lines.push("With several pairs, about one difference in twenty is chance alone.".into());
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_change_within_the_wavering_is_not_called_real() {
        let told = |change_s| {
            let reliable = Some(Reliable { change_s, detectable_s: 0.06, index: change_s / 0.03, sessions: 3 });
            wavering(&Change { session: 4, compared: None, reliable, remarks: Vec::new() })
        };
        assert!(told(0.05).contains("within what this client wavers by itself (3 sessions: up to 0.06 s"));
        assert!(told(-0.2).contains("changed by -0.20 s, more than"));
        let none = Change { session: 2, compared: None, reliable: None, remarks: Vec::new() };
        assert!(wavering(&none).contains("from three sessions on"));
    }
}
