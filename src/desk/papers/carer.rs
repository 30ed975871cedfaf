//! The page that hangs by the bed: one set-up, plain words, 14 points.

use super::{Block, Paper, Section, facts, points, section, table, text};
use crate::desk::carry_over::{AtHome, How};
use crate::desk::person::Person;
use crate::session::setup::Setup;

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
    /// The day, as 2026-11-29.
    pub today: &'a str,
}

/// The page.
#[must_use]
pub fn paper(told: &Carer) -> Paper {
    let (person, setup) = (told.person, told.setup);
    let place = [setup.side.as_str(), &setup.site].join(" ");
    let switch = facts(&[
        ("Switch", &setup.switch),
        ("Where on the body", place.trim()),
        ("How it is held", &setup.mounting),
        ("How the person lies or sits", &setup.position),
    ]);
    let signs = facts(&[("Yes", &person.signs.yes), ("No", &person.signs.no), ("Stop", &person.signs.stop)]);
    let help = facts(&[("Calling for help", &person.help), ("Questions about the switch", &person.contact)]);
    let head = facts(&[("For", told.code), ("Date", told.today), ("To be looked at again", &person.review)]);
    let stop = Some(Block::Points(points(&STOP)));
    let sections = vec![
        section("", [head]),
        section("Which switch, exactly where", [switch]),
        section("Settings of the controller", [settings(told.home)]),
        section("When it works", [text(WORKS)]),
        section("When it does not work, look at four things", [Some(Block::Steps(points(&CHECKS)))]),
        Section { warns: true, ..section("Stop when", [stop]) },
        section("How the person says", [signs]),
        section("Whom to call", [help]),
        section("About this page", [text(ORIGIN)]),
    ];
    Paper::new("Working the switch", sections)
}

const WORKS: &str = "The light moves from item to item. One press takes the item that is lit, and what was asked for \
                     happens. A miss is no fault: the light comes round again.";

const CHECKS: [&str; 4] = [
    "Is the switch where this page says, and does it touch?",
    "Is the plug in, and is the controller on?",
    "Is the person lying or sitting as this page says?",
    "Is the person tired, in pain or unwell? Then rest, and try again later.",
];

const STOP: [&str; 3] = [
    "the person wants to stop, is in pain or out of breath, or changes colour;",
    "the skin under the switch is red or sore;",
    "there is a pounding headache, sweating, flushing or a slow pulse: with an injury of the spinal cord at or above \
     the chest this is an emergency. Sit the person up, loosen what is tight, call for help as your policy says.",
];

const ORIGIN: &str = "Measured in a training program, not on the equipment itself. Do not change the settings without \
                      asking. This page takes the place of no care plan: local policy and the practitioner in charge \
                      decide.";

fn settings(home: Option<&AtHome>) -> Option<Block> {
    let rows = home?
        .carried
        .iter()
        .filter(|one| !matches!(one.how, How::Lacking(_)))
        .map(|one| vec![one.id.setting().label.to_string(), one.values().1])
        .collect();
    table(&["Setting", "Value"], rows)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::carry_over::{Choices, Controller};
    use crate::desk::papers::html::html;
    use crate::settings::Settings;

    #[test]
    fn the_page_says_where_the_switch_is_and_whom_to_ask() {
        let setup = Setup { site: "cheek".into(), side: "right".into(), switch: "touch".into(), ..Setup::default() };
        let person = Person { contact: "the clinic".into(), ..Person::default() };
        let told = Carer { code: "K7", person: &person, setup: &setup, home: None, today: "2026-11-29" };
        let html = html(&paper(&told));
        for words in ["right cheek", "the clinic", "2026-11-29", "class=\"stop\""] {
            assert!(html.contains(words), "{words}: {html}");
        }
        assert!(!html.contains("Settings of the controller"));
    }

    #[test]
    fn settings_that_the_controller_lacks_are_not_on_the_page() {
        let offers = [("scan_interval".to_string(), Choices::Numbers(vec![1.0, 2.0, 3.0]))].into();
        let home = Controller { offers, ..Controller::default() }.carry_over(&Settings::default());
        let Some(Block::Table(_, rows)) = settings(Some(&home)) else { panic!("a table") };
        assert_eq!(rows, [["Scan rate, seconds per item", "2 s"]]);
    }
}
