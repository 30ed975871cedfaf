//! The report of a visit after which no scanning is set up: a direct way was found, or no switch for today.

use super::funder::INVENTED;
use super::{Block, Paper, facts, points, section, text};
use crate::desk::person::{Outcome, Person};

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

/// The report; `None` where scanning is tried, which has its own.
#[must_use]
pub fn paper(told: &Visited) -> Option<Paper> {
    let person = told.person;
    let (title, found, next) = match person.outcome {
        Outcome::Scanning => return None,
        Outcome::DirectWay => ("Scanning is not what this client needs", DIRECT, &AFTER_DIRECT[..]),
        Outcome::NoReliableSwitch => ("No reliable switch today", NONE, &AFTER_NONE[..]),
    };
    let note = |name: &str| person.notes.get(name).map_or("", String::as_str);
    let tried = (!told.tried.is_empty()).then(|| Block::Points(told.tried.clone()));
    let circumstances = facts(&[
        ("Vision", note("vision")),
        ("Hearing", note("hearing")),
        ("Language and communication", note("communication")),
        ("Breathing support", note("breathing")),
        ("Since rest and medication", note("since")),
    ]);
    let sections = vec![
        section(
            "",
            [
                facts(&[("Person", told.code), ("Date", told.today), ("Review", &person.review)]),
                text(if told.invented { INVENTED } else { "" }),
            ],
        ),
        section("In the person's own words", [text(&person.reason)]),
        section("Found", [text(found), text(note("direct"))]),
        section("Switches tried", [tried, text(note("options"))]),
        section("Today", [circumstances]),
        section("What comes next", [Some(Block::Points(points(next)))]),
        section("Calling for help until then", [text(&person.help)]),
        section("Limits of this report", [text(LIMITS)]),
        section("Signature", [text("Name, profession, date:")]),
    ];
    Some(Paper::new(title, sections))
}

const DIRECT: &str = "The client can work equipment directly. That is quicker and asks for less than scanning does.";

const NONE: &str = "No movement was found today that works a switch reliably. This says something of today only.";

/// Common practice, no source.
const AFTER_DIRECT: [&str; 3] = [
    "Try the direct way on the tasks that matter to the client, in each position of the day.",
    "Agree what to do on days when it fails: fatigue, illness, another position.",
    "Come back to a switch when the direct way becomes unreliable or painful.",
];

/// Common practice, no source.
const AFTER_NONE: [&str; 4] = [
    "Try again at another time of day, rested, and with regard to medication.",
    "Look at position and support first, then at other sites and other kinds of switch.",
    "Keep another way of communicating and of calling for help until then.",
    "Set a date for the next visit.",
];

const LIMITS: &str = "One visit on one day. The program is not certified as a medical device; it measures and informs, \
                      and a licensed clinician decides.";

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::papers::html::html;

    fn told(person: &Person) -> Visited<'_> {
        Visited { code: "K7", person, tried: vec!["touch, right cheek".into()], today: "2026-11-29", invented: false }
    }

    #[test]
    fn each_outcome_without_scanning_has_its_report() {
        assert_eq!(paper(&told(&Person::default())), None);
        let mut direct = Person { outcome: Outcome::DirectWay, ..Person::default() };
        direct.notes.insert("direct".into(), "points with the left thumb".into());
        let html_of = |person: &Person| html(&paper(&told(person)).unwrap());
        let page = html_of(&direct);
        assert!(page.contains("Scanning is not what this client needs") && page.contains("left thumb"), "{page}");
        let none = html_of(&Person { outcome: Outcome::NoReliableSwitch, ..Person::default() });
        assert!(none.contains("No reliable switch today") && none.contains("right cheek"), "{none}");
        assert!(none.contains("another time of day"), "{none}");
    }
}
