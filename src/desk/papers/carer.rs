//! The page that hangs by the bed: one set-up, plain words, 14 points.

use super::{facts, page, paragraph, section, table};
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

/// The page as HTML.
#[must_use]
pub fn html(told: &Carer) -> String {
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
    let body = [
        facts(&[("For", told.code), ("Date", told.today), ("To be looked at again", &person.review)]),
        section("Which switch, exactly where", &switch),
        section("Settings of the controller", &settings(told.home)),
        section("When it works", WORKS),
        section("When it does not work, look at four things", CHECKS),
        format!("<div class=\"stop\">\n{}</div>\n", section("Stop when", STOP)),
        section("How the person says", &signs),
        section("Whom to call", &help),
        paragraph_of_origin(),
    ];
    page("Working the switch", &body.concat())
}

const WORKS: &str = "<p>The light moves from item to item. One press takes the item that is lit, and what was asked for \
                     happens. A miss is no fault: the light comes round again.</p>\n";

const CHECKS: &str = "<ol>\n<li>Is the switch where this page says, and does it touch?</li>\n\
                      <li>Is the plug in, and is the controller on?</li>\n\
                      <li>Is the person lying or sitting as this page says?</li>\n\
                      <li>Is the person tired, in pain or unwell? Then rest, and try again later.</li>\n</ol>\n";

const STOP: &str = "<ul>\n<li>the person wants to stop, is in pain or out of breath, or changes colour;</li>\n\
                    <li>the skin under the switch is red or sore;</li>\n\
                    <li>there is a pounding headache, sweating, flushing or a slow pulse: with an injury of the spinal cord \
                    at or above the chest this is an emergency. Sit the person up, loosen what is tight, call for help as \
                    your policy says.</li>\n</ul>\n";

fn settings(home: Option<&AtHome>) -> String {
    let Some(home) = home else { return String::new() };
    let rows: Vec<Vec<String>> = home
        .carried
        .iter()
        .filter(|one| !matches!(one.how, How::Lacking(_)))
        .map(|one| vec![one.id.setting().label.to_string(), one.values().1])
        .collect();
    table(&["Setting", "Value"], &rows)
}

fn paragraph_of_origin() -> String {
    paragraph(
        "Measured in a training program, not on the equipment itself. Do not change the settings without asking. This page \
         takes the place of no care plan: local policy and the practitioner in charge decide.",
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::carry_over::{Choices, Controller};
    use crate::settings::Settings;

    #[test]
    fn the_page_says_where_the_switch_is_and_hides_no_markup() {
        let setup =
            Setup { site: "<b>cheek</b>".into(), side: "right".into(), switch: "touch".into(), ..Setup::default() };
        let person = Person { contact: "the clinic".into(), ..Person::default() };
        let told = Carer { code: "K7", person: &person, setup: &setup, home: None, today: "2026-11-29" };
        let html = html(&told);
        assert!(html.contains("right &lt;b&gt;cheek&lt;/b&gt;") && !html.contains("<b>"), "{html}");
        assert!(html.contains("the clinic") && html.contains("2026-11-29"));
    }

    #[test]
    fn settings_that_the_controller_lacks_are_not_on_the_page() {
        let offers = [("scan_interval".to_string(), Choices::Numbers(vec![1.0, 2.0, 3.0]))].into();
        let home = Controller { offers, ..Controller::default() }.carry_over(&Settings::default());
        let html = settings(Some(&home));
        assert_eq!(html.matches("<tr>").count(), 2, "{html}");
        assert!(html.contains("2.00 s") || html.contains("2 s"), "{html}");
    }
}
