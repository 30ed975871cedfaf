//! What is wrong with a file, and what to do about it.
//!
//! A problem is data; its words are put together in one place, [`Problem`]'s `Display`. Readers
//! collect every problem they find instead of stopping at the first.

use std::fmt;

/// One thing that is wrong with a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// The file, as the user named it.
    pub file: String,
    /// The line, from 1; `None` where the file as a whole is meant.
    pub line: Option<u32>,
    /// What is wrong, in lower case.
    pub what: String,
    /// What to try next.
    pub remedy: String,
    /// Whether the file can still be used.
    pub severity: Severity,
}

/// How bad a problem is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// The file can be used, but someone should know.
    Warning,
    /// The file cannot be used.
    Error,
}

impl Problem {
    /// An error.
    #[must_use]
    pub fn error(file: &str, line: Option<u32>, what: impl Into<String>, remedy: impl Into<String>) -> Problem {
        Problem { file: file.into(), line, what: what.into(), remedy: remedy.into(), severity: Severity::Error }
    }

    /// A warning.
    #[must_use]
    pub fn warning(file: &str, line: Option<u32>, what: impl Into<String>, remedy: impl Into<String>) -> Problem {
        Problem { severity: Severity::Warning, ..Problem::error(file, line, what, remedy) }
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "`{}`", self.file)?;
        if let Some(line) = self.line {
            write!(f, ", line {line}")?;
        }
        write!(f, ": {}; {}", self.what, self.remedy)
    }
}

/// The problems found in one file so far.
#[derive(Clone, Debug)]
pub struct Findings {
    file: String,
    /// What was found, in the order in which it was found.
    pub problems: Vec<Problem>,
}

impl Findings {
    /// Nothing found yet in this file.
    #[must_use]
    pub fn of(file: &str) -> Findings {
        Findings { file: file.into(), problems: Vec::new() }
    }

    /// Adds an error.
    pub fn error(&mut self, line: u32, what: impl Into<String>, remedy: impl Into<String>) {
        self.problems.push(Problem::error(&self.file, Some(line), what, remedy));
    }

    /// Adds a warning.
    pub fn warning(&mut self, line: u32, what: impl Into<String>, remedy: impl Into<String>) {
        self.problems.push(Problem::warning(&self.file, Some(line), what, remedy));
    }

    /// Whether the file cannot be used.
    #[must_use]
    pub fn fatal(&self) -> bool {
        self.problems.iter().any(|problem| problem.severity == Severity::Error)
    }

    /// The problems in the order of their lines.
    #[must_use]
    pub fn sorted(mut self) -> Vec<Problem> {
        self.problems.sort_by_key(|problem| problem.line);
        self.problems
    }
}

/// "did you mean `lamp`?" where a known word is near, otherwise the known words.
#[must_use]
pub fn did_you_mean<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> String {
    let known: Vec<&str> = known.into_iter().collect();
    match nearest(word, known.iter().copied()) {
        Some(best) => format!("did you mean `{best}`?"),
        None if known.is_empty() => "remove it".into(),
        None => format!("choose one of {}", listed(&known)),
    }
}

/// The known word that is nearest, where one is near.
#[must_use]
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let nearness = |other: &&str| (strsim::jaro_winkler(word, other) * 1e6) as u64;
    known.into_iter().filter(|other| nearness(other) > 800_000).max_by_key(nearness)
}

/// "`a`, `b`, `c`".
#[must_use]
pub fn listed(words: &[&str]) -> String {
    words.iter().map(|word| format!("`{word}`")).collect::<Vec<_>>().join(", ")
}

/// The text cut to a length that a message can carry, with every control character replaced.
#[must_use]
pub fn shortened(text: &str) -> String {
    const MOST: usize = 40;
    let visible = |letter: char| if letter.is_control() { '\u{fffd}' } else { letter };
    let mut short: String = text.chars().take(MOST).map(visible).collect();
    if text.chars().nth(MOST).is_some() {
        short.push('…');
    }
    short
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_problem_names_file_line_cause_and_remedy() {
        let problem = Problem::error("home.json", Some(12), "unknown icon `lmap`", "did you mean `lamp`?");
        assert_eq!(problem.to_string(), "`home.json`, line 12: unknown icon `lmap`; did you mean `lamp`?");
        let whole = Problem::warning("home.json", None, "it is empty", "write a menu");
        assert_eq!(whole.to_string(), "`home.json`: it is empty; write a menu");
    }

    #[test]
    fn a_near_word_is_offered_and_otherwise_all() {
        assert_eq!(did_you_mean("lable", ["label", "icon"]), "did you mean `label`?");
        assert_eq!(did_you_mean("xyz", ["label", "icon"]), "choose one of `label`, `icon`");
    }

    #[test]
    fn long_text_is_cut_and_control_characters_are_replaced() {
        assert_eq!(shortened("a\u{7}b"), "a\u{fffd}b");
        assert_eq!(shortened(&"é".repeat(50)).chars().count(), 41);
    }
}
