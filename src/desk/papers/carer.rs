//! The page that hangs by the bed: one set-up, plain words, 14 points.
//!
//! What it says of the client was entered or measured; what nobody entered is not on it.

use super::{Block, Paper, Section, facts, points, section, table, text};
use crate::desk::carry_over::{AtHome, How};
use crate::desk::person::Person;
use crate::desk::words::Words;
use crate::session::setup::Setup;
use crate::settings::{Id, Settings, Technique};

/// What the page is made from.
pub struct Carer<'a> {
    /// The client's code.
    pub code: &'a str,
    /// The client's file.
    pub person: &'a Person,
    /// The set-up that the page is for.
    pub setup: &'a Setup,
    /// The values at home, where they were carried over.
    pub home: Option<&'a AtHome>,
    /// Of these nobody has decided yet.
    pub undecided: Vec<Id>,
    /// The day, as 2026-11-29.
    pub today: &'a str,
}

/// The page.
#[must_use]
pub fn paper(told: &Carer, words: &Words) -> Paper {
    let (person, setup) = (told.person, told.setup);
    let place = [setup.side.as_str(), &setup.site].join(" ");
    let switch = facts(&[
        (&words.switch, &setup.switch),
        (&words.carer_body, place.trim()),
        (&words.carer_held, &setup.mounting),
        (&words.carer_lies, &setup.position),
    ]);
    let signs = &person.signs;
    let signs = facts(&[(&words.yes, &signs.yes), (&words.no, &signs.no), (&words.stop, &signs.stop)]);
    let help = facts(&[(&words.carer_help, &person.help), (&words.carer_questions, &person.contact)]);
    let head =
        facts(&[(&words.paper_for, told.code), (&words.paper_date, told.today), (&words.paper_review, &person.review)]);
    let checks =
        [&words.carer_check_switch, &words.carer_check_plug, &words.carer_check_position, &words.carer_check_well];
    let stop = [&words.carer_stop_wish, &words.carer_stop_skin, &words.carer_stop_cord];
    let measured = told.home.map_or("", |_| &words.carer_measured);
    let sections = vec![
        section("", [head]),
        section(&words.carer_where, [switch]),
        section(&words.carer_settings, settings(told, words)),
        section(&words.carer_works, told.home.map_or([None, None], |home| works(&home.settings, words))),
        section(&words.carer_fails, [Some(Block::Steps(points(&checks)))]),
        Section { warns: true, ..section(&words.carer_stop, [Some(Block::Points(points(&stop)))]) },
        section(&words.carer_says, [signs]),
        section(&words.carer_call, [help]),
        section(&words.carer_about, [text(measured), text(&words.carer_origin)]),
    ];
    Paper::new(&words.carer_title, &words.paper_language, sections)
}

/// How it looks when it works, under the settings at home; nothing for ways that are not described here.
fn works(settings: &Settings, words: &Words) -> [Option<Block>; 2] {
    let hold = settings.raw(Id::Hold);
    match settings.technique() {
        Technique::Automatic if hold > 0 => {
            let held = format!("{} {}.", words.carer_works_held, words.value_of(Id::Hold, hold));
            [text(&words.carer_works_automatic), text(&held)]
        }
        Technique::Automatic => [text(&words.carer_works_automatic), None],
        Technique::Inverse => [text(&words.carer_works_inverse), None],
        _ => [None, None],
    }
}

fn settings(told: &Carer, words: &Words) -> [Option<Block>; 2] {
    let Some(home) = told.home else { return [None, None] };
    let rows = home
        .carried
        .iter()
        .filter(|one| !matches!(one.how, How::Lacking(_)))
        .map(|one| vec![words.label_of(one.id).to_string(), one.values(words).1])
        .collect();
    let open: Vec<&str> = told.undecided.iter().map(|id| words.label_of(*id)).collect();
    let open = if open.is_empty() { String::new() } else { format!("{}: {}.", words.carer_undecided, open.join(", ")) };
    [table(&[&words.setting, &words.carer_value], rows), text(&open)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::carry_over::Controller;
    use crate::desk::choices::Choices;
    use crate::desk::papers::html::html;
    use crate::desk::words::Language;

    fn page(told: &Carer) -> String {
        html(&paper(told, Words::of(Language::English)))
    }

    fn told<'a>(person: &'a Person, setup: &'a Setup) -> Carer<'a> {
        Carer { code: "K7", person, setup, home: None, undecided: Vec::new(), today: "2026-11-29" }
    }

    fn home() -> AtHome {
        let offers = [("scan_interval".to_string(), Choices::Numbers(vec![1.0, 2.0, 3.0]))].into();
        Controller { offers, ..Controller::default() }.carry_over(&Settings::default())
    }

    #[test]
    fn the_page_says_where_the_switch_is_and_whom_to_ask() {
        let setup = Setup { site: "cheek".into(), side: "right".into(), switch: "touch".into(), ..Setup::default() };
        let person = Person { contact: "the clinic".into(), ..Person::default() };
        let html = page(&told(&person, &setup));
        for words in ["right cheek", "the clinic", "2026-11-29", "class=\"stop\""] {
            assert!(html.contains(words), "{words}: {html}");
        }
    }

    #[test]
    fn what_was_not_measured_is_not_said_to_be() {
        let (person, setup, home) = (Person::default(), Setup::default(), home());
        let bare = page(&told(&person, &setup));
        for words in ["Settings of the controller", "Measured", "When it works", "Next review"] {
            assert!(!bare.contains(words), "{words}: {bare}");
        }
        let whole = page(&Carer { home: Some(&home), ..told(&person, &setup) });
        assert!(whole.contains("Measured in a training program") && whole.contains("by itself"), "{whole}");
        assert!(!whole.contains("held for") && !whole.contains("not decided"), "{whole}");
        let held = AtHome { settings: home.settings.with(Id::Hold, 300_000), ..home };
        let held = page(&Carer { home: Some(&held), undecided: vec![Id::Hold], ..told(&person, &setup) });
        assert!(
            held.contains("held for 0.30 s") && held.contains("not decided by the clinician yet: Hold time"),
            "{held}"
        );
    }

    #[test]
    fn settings_that_the_controller_lacks_are_not_on_the_page() {
        let (person, setup, home) = (Person::default(), Setup::default(), home());
        let told = Carer { home: Some(&home), ..told(&person, &setup) };
        let [Some(Block::Table(_, rows)), None] = settings(&told, Words::of(Language::English)) else {
            panic!("a table")
        };
        assert_eq!(rows, [["Scan rate, seconds per item", "2.00 s"]]);
    }

    #[test]
    fn the_page_is_written_in_the_language_of_the_desk() {
        let (person, setup, home) = (Person::default(), Setup::default(), home());
        let told = Carer { home: Some(&home), ..told(&person, &setup) };
        let html = html(&paper(&told, Words::of(Language::German)));
        for words in ["lang=\"de\"", "Den Schalter bedienen", "Scan-Takt, Sekunden je Feld", "Wenn es nicht geht"] {
            assert!(html.contains(words), "{words}: {html}");
        }
        assert!(!html.contains("When") && !html.contains("Date"), "{html}");
    }
}
