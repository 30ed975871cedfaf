//! An arrangement in words: what was compared, what is proposed, and the new menu as it is scanned.

use super::judge::Judge;
use super::proposal::compared;
use super::{Arranged, Bound, Proposed};
use crate::advice::expected_time::{Presses, Takes};
use crate::analysis::words::{decimals, seconds};
use crate::menu::Task;

/// What was compared, one a line under a heading.
#[must_use]
pub fn table(arranged: &Arranged) -> Vec<String> {
    let line = |name: &str, takes: &Takes| {
        let [seconds, hits] = [takes.seconds, takes.hits].map(|value| decimals(value, 2));
        format!("  {name:<42}{seconds:>12} s{hits:>13}{:>16}", decimals(100.0 * takes.wrong_items, 1))
    };
    let heading = format!(
        "  {:<42}{:>14}{:>13}{:>16}",
        "expected, errors included", "a selection", "switch hits", "wrong in 100"
    );
    let mut lines = vec![heading, line("as it is", &arranged.today.takes)];
    lines.extend(compared(&arranged.bests).map(|(which, found)| line(which.words(), &found.judged.takes)));
    lines
}

/// What no arrangement can beat.
#[must_use]
pub fn bound(bound: &Bound) -> String {
    let [entropy, huffman] = [bound.entropy, bound.huffman].map(|bits| decimals(bits, 2));
    let limit = bound.seconds.map_or(String::new(), |value| {
        format!(" Without any error no menu for these uses takes less than {} a selection.", seconds(value))
    });
    format!("The uses have an entropy of {entropy} bits (Huffman's code: {huffman} questions with yes or no).{limit}")
}

/// What each household task takes now and then, one a line.
#[must_use]
pub fn tasks<P: Presses>(judge: &Judge<P>, tasks: &[Task], arranged: &Arranged, proposed: &Proposed) -> Vec<String> {
    let line = |task: &Task| {
        let [now, then] = [&arranged.today, &proposed.judged].map(|judged| judge.task(&judged.each, task).seconds);
        format!("  {:<42}{:>12} s now{:>10} s then", task.label, decimals(now, 1), decimals(then, 1))
    };
    tasks.iter().map(line).collect()
}

/// What is proposed, in a sentence.
#[must_use]
pub fn proposal(proposed: &Proposed, items: usize) -> String {
    let (what, saving) = (proposed.which.words(), proposed.saving.words());
    format!("Proposed: {what}: {saving}. {} of {items} items stand elsewhere.", proposed.moved)
}
