//! The report that asks for means: need, goals, what was tried, what was measured, cost.

use super::{Block, Paper, Section, facts, section, table, text as sentence};
use crate::advice::recommendation::{Advice, Recommendation};
use crate::advice::set_up::SetUpAdvice;
use crate::advice::text;
use crate::desk::cost::Way;
use crate::desk::goals::{Goal, scores};
use crate::desk::person::{Outcome, Person};

/// What the report is made from.
pub struct Funder<'a> {
    /// The client's code.
    pub code: &'a str,
    /// The client's file.
    pub person: &'a Person,
    /// Each set-up that was tried: its name, and what was found.
    pub tried: Vec<(&'a str, Option<&'a SetUpAdvice>)>,
    /// How they compare, in sentences.
    pub compared: Vec<String>,
    /// Yearly interest of the cost comparison, such as 0.03.
    pub interest: f64,
    /// The day, as 2026-11-29.
    pub today: &'a str,
    /// A virtual client pressed.
    pub invented: bool,
}

/// The report.
#[must_use]
pub fn paper(told: &Funder) -> Paper {
    let person = told.person;
    let note = |name: &str| person.notes.get(name).map_or("", String::as_str);
    let invented = if told.invented { INVENTED } else { "" };
    let head = facts(&[("Person", told.code), ("Date", told.today), ("Review", &person.review)]);
    let mut sections = vec![
        section("", [head, sentence(invented)]),
        section("In the person's own words", [sentence(&person.reason)]),
        section("Goals, and how they are met today", goals(&person.goals)),
        section(
            "Other ways tried, and why they were not taken",
            [sentence(outcome(person.outcome)), sentence(note("options"))],
        ),
    ];
    sections.extend(told.tried.iter().map(|(name, advice)| one_tried(name, *advice)));
    sections.extend([
        section("Set-ups compared", told.compared.iter().map(|line| sentence(line))),
        section("Decisions", [decisions(person)]),
        section("Cost a year, from the figures given", [costs(&person.costs, told.interest)]),
        section("Training, support, risks", [sentence(SUPPORT), sentence(note("support"))]),
        section("Limits of this report", [sentence(LIMITS)]),
        section("Signature", [sentence("Name, profession, date:")]),
    ]);
    Paper::new("Access to the home by a switch: report and request", sections)
}

/// Stands on papers whose presses nobody made.
pub(super) const INVENTED: &str = "Invented data: a virtual client pressed.";

const SUPPORT: &str = "Carers need to be shown where the switch goes and what to do when it fails. The skin under the switch \
                       and the position of the body have to be looked at. Needs change: the settings are reviewed on the \
                       date above, sooner when choices go wrong.";

const LIMITS: &str = "Measured in a training program, not on the equipment applied for. The program is not certified as a \
                      medical device; it measures and informs, and a licensed clinician decides. Logs with every press are \
                      kept and can be handed over.";

fn goals(goals: &[Goal]) -> [Option<Block>; 2] {
    let level = |level: Option<i8>| level.map_or_else(|| "–".to_string(), |level| format!("{level:+}"));
    let rows = goals
        .iter()
        .map(|goal| vec![goal.text.clone(), goal.today.clone(), level(goal.before), level(goal.reached)])
        .collect();
    let (before, reached) = scores(goals);
    let score = |score: Option<f64>| score.map_or_else(|| "–".to_string(), |score| format!("{score:.1}"));
    let told = before.map_or_else(String::new, |_| {
        format!(
            "Goal attainment T score: {} before, {} reached; 50 is as expected (Kiresuk and Sherman 1968).",
            score(before),
            score(reached)
        )
    });
    [table(&["Goal", "Today", "Before", "Reached"], rows), sentence(&told)]
}

fn outcome(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Scanning => "No direct way (touch, pointer, voice) could be worked; scanning by a switch was tried.",
        Outcome::DirectWay => "A direct way can be worked: scanning is not what this person needs.",
        Outcome::NoReliableSwitch => "No movement could be found today that works a switch reliably.",
    }
}

fn one_tried(name: &str, advice: Option<&SetUpAdvice>) -> Section {
    let title = format!("Measured: {name}");
    let Some(advice) = advice else {
        return section(&title, [sentence("The sessions do not bear a recommendation.")]);
    };
    let rows = advice.recommendations.iter().filter_map(value).collect();
    let values = table(&["Setting", "Value", "90 % interval", "Trials", "How sure"], rows);
    section(&title, [values, sentence(&advice.status())])
}

fn value(one: &Recommendation) -> Option<Vec<String>> {
    let Advice::Set { setting, value, unit, interval, .. } = &one.advice else { return None };
    let range = interval.map_or_else(
        || "–".to_string(),
        |[low, high]| format!("{} to {}", text::number(low, unit), text::number(high, unit)),
    );
    let (value, sure) = (text::number(*value, unit), text::sure(one.sure).to_string());
    Some(vec![setting.setting().label.to_string(), value, range, one.trials.to_string(), sure])
}

fn decisions(person: &Person) -> Option<Block> {
    let verdict = |one: &crate::desk::person::Decision| match &one.verdict {
        crate::desk::person::Verdict::Accepted => "accepted".to_string(),
        crate::desk::person::Verdict::Adjusted(value) => format!("adjusted to {value}"),
        crate::desk::person::Verdict::Rejected => "rejected".to_string(),
    };
    let label = |name: &str| crate::settings::find(name).map_or(name.to_string(), |id| id.setting().label.to_string());
    let row = |one: &crate::desk::person::Decision| {
        vec![one.on.clone(), label(&one.setting), one.advised.clone(), verdict(one), one.reason.clone()]
    };
    table(&["Day", "Setting", "Advised", "Decided", "Reason"], person.decisions.iter().map(row).collect())
}

fn costs(ways: &[Way], interest: f64) -> Option<Block> {
    let row = |way: &Way| match way.yearly(interest) {
        Ok(year) => {
            let figures = [year.equipment, year.upkeep, year.help, year.total()];
            [way.name.clone()].into_iter().chain(figures.map(|figure| format!("{figure:.0}"))).collect()
        }
        Err(why) => vec![way.name.clone(), why, String::new(), String::new(), String::new()],
    };
    table(&["Way", "Equipment", "Upkeep", "Help", "All"], ways.iter().map(row).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::papers::html::html;

    fn told(person: &Person) -> Funder<'_> {
        Funder {
            code: "K7",
            person,
            tried: vec![("touch, right cheek", None)],
            compared: vec!["The cheek is quicker.".into()],
            interest: 0.0,
            today: "2026-11-29",
            invented: true,
        }
    }

    #[test]
    fn need_goals_costs_and_limits_stand_in_it() {
        let way =
            Way { name: "with the equipment".into(), price: 5_000.0, years: 5.0, upkeep: 100.0, ..Way::default() };
        let goal = Goal { text: "my own door".into(), reached: Some(1), ..Goal::fresh() };
        let person = Person { goals: vec![goal], costs: vec![way], ..Person::default() };
        let html = html(&paper(&told(&person)));
        for words in [
            "my own door",
            "60.0 reached",
            "The cheek is quicker.",
            "<td>1000</td>",
            "<td>1100</td>",
            "not on the equipment",
            "Invented data",
        ] {
            assert!(html.contains(words), "{words}: {html}");
        }
    }
}
