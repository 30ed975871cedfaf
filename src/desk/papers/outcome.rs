//! The report of a visit after which no scanning is set up: a direct way was found, or no switch for today.

use super::{Block, Paper, facts, points, section, text};
use crate::desk::person::{Outcome, Person};
use crate::desk::words::Words;
use crate::session::setup::Setup;

/// What the report is made from.
pub struct Visited<'a> {
    /// The client's code.
    pub code: &'a str,
    /// The client's file.
    pub person: &'a Person,
    /// Names of the set-ups that were tried.
    pub tried: Vec<String>,
    /// The day, as 2026-11-29.
    pub today: &'a str,
    /// A virtual client pressed.
    pub invented: bool,
}

/// The report; `None` where scanning is tried, which has its own, and where nobody has said yet what was found.
#[must_use]
pub fn paper(told: &Visited, words: &Words) -> Option<Paper> {
    let person = told.person;
    // What comes next: common practice, no source.
    let (title, found, only_today, next) = match person.outcome {
        Outcome::NotAsked | Outcome::Scanning => return None,
        Outcome::DirectWay => {
            let next = [&words.after_direct_tasks, &words.after_direct_fails, &words.after_direct_back].to_vec();
            (&words.no_scanning, &words.funder_direct, "", next)
        }
        Outcome::NoReliableSwitch => {
            let next =
                [&words.after_none_again, &words.after_none_position, &words.after_none_help, &words.after_none_date];
            (&words.outcome_none, &words.funder_no_switch, words.outcome_only_today.as_str(), next.to_vec())
        }
    };
    let note = |name: &str| person.notes.get(name).map_or("", String::as_str);
    let tried = (!told.tried.is_empty()).then(|| Block::Points(told.tried.clone()));
    let setup = person.set_ups.last();
    let since = |field: fn(&Setup) -> &String| setup.map_or("", |setup| field(setup));
    let circumstances = facts(&[
        (&words.vision, note("vision")),
        (&words.hearing, note("hearing")),
        (&words.communication, note("communication")),
        (&words.breathing, note("breathing")),
        (&words.since_rest, since(|setup| &setup.since_rest)),
        (&words.since_medication, since(|setup| &setup.since_medication)),
    ]);
    let head = facts(&[
        (&words.paper_person, told.code),
        (&words.paper_date, told.today),
        (&words.paper_review, &person.review),
    ]);
    let sections = vec![
        section("", [head, text(if told.invented { &words.paper_invented } else { "" })]),
        section(&words.paper_own_words, [text(&person.reason)]),
        section(&words.outcome_found, [text(found), text(only_today), text(note("direct"))]),
        section(&words.outcome_tried, [tried, text(note("options"))]),
        section(&words.outcome_today, [circumstances]),
        section(&words.outcome_next, [Some(Block::Points(points(&next)))]),
        section(&words.outcome_help, [text(&person.help)]),
        section(&words.paper_limits, [text(&words.paper_measures)]),
        section(&words.paper_signature, [text(&words.paper_sign_here)]),
    ];
    Some(Paper::new(title, &words.paper_language, sections))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::papers::html::html;
    use crate::desk::words::Language;

    fn told(person: &Person) -> Visited<'_> {
        Visited { code: "K7", person, tried: vec!["touch, right cheek".into()], today: "2026-11-29", invented: false }
    }

    #[test]
    fn each_outcome_without_scanning_has_its_report() {
        let english = Words::of(Language::English);
        for outcome in [Outcome::NotAsked, Outcome::Scanning] {
            assert_eq!(paper(&told(&Person { outcome, ..Person::default() }), english), None);
        }
        let mut direct = Person { outcome: Outcome::DirectWay, ..Person::default() };
        direct.notes.insert("direct".into(), "points with the left thumb".into());
        let html_of = |person: &Person| html(&paper(&told(person), english).unwrap());
        let page = html_of(&direct);
        assert!(page.contains("Scanning is not what this client needs") && page.contains("left thumb"), "{page}");
        let none = html_of(&Person { outcome: Outcome::NoReliableSwitch, ..Person::default() });
        assert!(none.contains("No reliable switch today") && none.contains("right cheek"), "{none}");
        assert!(none.contains("another time of day"), "{none}");
        // How much quicker a direct way is, and on how many days it was tried, nobody entered.
        assert!(!page.contains("quicker") && !none.contains("One visit"), "{page}{none}");
    }
}
