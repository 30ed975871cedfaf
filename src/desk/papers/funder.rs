//! The report that asks for means: need, goals, what was tried, what was measured, cost.

use super::{facts, page, paragraph, section, table};
use crate::advice::recommendation::Advice;
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
    /// Yearly interest of the cost comparison, such as 0.03.
    pub interest: f64,
    /// The day, as 2026-11-29.
    pub today: &'a str,
    /// A virtual client pressed.
    pub invented: bool,
}

/// The report as HTML.
#[must_use]
pub fn html(told: &Funder) -> String {
    let person = told.person;
    let invented = if told.invented { paragraph("Invented data: a virtual client pressed.") } else { String::new() };
    let body = [
        invented,
        facts(&[("Person", told.code), ("Date", told.today), ("Review", &person.review)]),
        section("In the person's own words", &paragraph(&person.reason)),
        section("Goals", &goals(&person.goals)),
        section("What was tried", &outcome(person.outcome)),
        tried(&told.tried),
        section("Decisions", &decisions(person)),
        section("Cost a year, from the figures given", &costs(&person.costs, told.interest)),
        section("Training, support, risks", &paragraph(SUPPORT)),
        section("Limits of this report", &paragraph(LIMITS)),
        section("Signature", "<p>Name, profession, date:</p>\n"),
    ];
    page("Access to the home by a switch: report and request", &body.concat())
}

const SUPPORT: &str = "Carers need to be shown where the switch goes and what to do when it fails. The skin under the switch \
                       and the position of the body have to be looked at. Needs change: the settings are reviewed on the \
                       date above, sooner when choices go wrong.";

const LIMITS: &str = "Measured in a training program, not on the equipment applied for. The program is not certified as a \
                      medical device; it measures and informs, and a licensed clinician decides. Logs with every press are \
                      kept and can be handed over.";

fn goals(goals: &[Goal]) -> String {
    let level = |level: Option<i8>| level.map_or_else(|| "–".to_string(), |level| format!("{level:+}"));
    let rows: Vec<Vec<String>> = goals
        .iter()
        .map(|goal| vec![goal.text.clone(), goal.today.clone(), level(goal.before), level(goal.reached)])
        .collect();
    let (before, reached) = scores(goals);
    let score = |score: Option<f64>| score.map_or_else(|| "–".to_string(), |score| format!("{score:.1}"));
    let told = match before {
        Some(_) => format!(
            "Goal attainment T score: {} before, {} reached; 50 is as expected (Kiresuk and Sherman 1968).",
            score(before),
            score(reached)
        ),
        None => String::new(),
    };
    table(&["Goal", "Today", "Before", "Reached"], &rows) + &paragraph(&told)
}

fn outcome(outcome: Outcome) -> String {
    paragraph(match outcome {
        Outcome::Scanning => "No direct way (touch, pointer, voice) could be worked; scanning by a switch was tried.",
        Outcome::DirectWay => "A direct way can be worked: scanning is not what this person needs.",
        Outcome::NoReliableSwitch => "No movement could be found today that works a switch reliably.",
    })
}

fn tried(set_ups: &[(&str, Option<&SetUpAdvice>)]) -> String {
    set_ups.iter().map(|(name, advice)| one_tried(name, *advice)).collect()
}

fn one_tried(name: &str, advice: Option<&SetUpAdvice>) -> String {
    let Some(advice) = advice else {
        return section(name, &paragraph("The sessions do not bear a recommendation."));
    };
    let row = |one: &crate::advice::recommendation::Recommendation| match &one.advice {
        Advice::Set { setting, value, unit, interval, .. } => {
            let range = interval.map_or_else(
                || "–".to_string(),
                |[low, high]| format!("{} to {}", text::number(low, unit), text::number(high, unit)),
            );
            let sure = text::sure(one.sure).to_string();
            Some(vec![
                setting.setting().label.to_string(),
                text::number(*value, unit),
                range,
                one.trials.to_string(),
                sure,
            ])
        }
        _ => None,
    };
    let rows: Vec<Vec<String>> = advice.recommendations.iter().filter_map(row).collect();
    let values = table(&["Setting", "Value", "90 % interval", "Trials", "How sure"], &rows);
    section(name, &(values + &paragraph(&advice.status())))
}

fn decisions(person: &Person) -> String {
    let verdict = |one: &crate::desk::person::Decision| match &one.verdict {
        crate::desk::person::Verdict::Accepted => "accepted".to_string(),
        crate::desk::person::Verdict::Adjusted(value) => format!("adjusted to {value}"),
        crate::desk::person::Verdict::Rejected => "rejected".to_string(),
    };
    let label = |name: &str| crate::settings::find(name).map_or(name.to_string(), |id| id.setting().label.to_string());
    let row = |one: &crate::desk::person::Decision| {
        vec![one.on.clone(), label(&one.setting), one.advised.clone(), verdict(one), one.reason.clone()]
    };
    let rows: Vec<Vec<String>> = person.decisions.iter().map(row).collect();
    table(&["Day", "Setting", "Advised", "Decided", "Reason"], &rows)
}

fn costs(ways: &[Way], interest: f64) -> String {
    let row = |way: &Way| match way.yearly(interest) {
        Ok(year) => {
            let figures = [year.equipment, year.upkeep, year.help, year.total()];
            [way.name.clone()].into_iter().chain(figures.map(|figure| format!("{figure:.0}"))).collect()
        }
        Err(why) => vec![way.name.clone(), why, String::new(), String::new(), String::new()],
    };
    let rows: Vec<Vec<String>> = ways.iter().map(row).collect();
    table(&["Way", "Equipment", "Upkeep", "Help", "All"], &rows)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(person: &Person) -> Funder<'_> {
        Funder {
            code: "K7",
            person,
            tried: vec![("touch, right cheek", None)],
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
        let html = html(&told(&person));
        for words in
            ["my own door", "60.0 reached", "<td>1000</td>", "<td>1100</td>", "not on the equipment", "Invented data"]
        {
            assert!(html.contains(words), "{words}: {html}");
        }
    }

    #[test]
    fn nothing_that_was_typed_is_markup() {
        let person = Person { reason: "<script>x</script>".into(), ..Person::default() };
        assert!(!html(&told(&person)).contains("<script"));
    }
}
