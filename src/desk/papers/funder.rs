//! The report that asks for means: need, goals, what was tried, what was measured, cost.

use super::{Block, Paper, Section, facts, section, table, text as sentence};
use crate::advice::recommendation::{Advice, Recommendation};
use crate::advice::set_up::SetUpAdvice;
use crate::advice::text;
use crate::desk::cost::Way;
use crate::desk::goals::{Goal, scores};
use crate::desk::person::{Decision, Outcome, Person, Verdict};
use crate::desk::words::Words;

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
pub fn paper(told: &Funder, words: &Words) -> Paper {
    let person = told.person;
    let note = |name: &str| sentence(person.notes.get(name).map_or("", String::as_str));
    let head = facts(&[
        (&words.paper_person, told.code),
        (&words.paper_date, told.today),
        (&words.paper_review, &person.review),
    ]);
    let measured = told.tried.iter().any(|(_, advice)| advice.is_some());
    let said_if = |holds: bool, text| if holds { sentence(text) } else { None };
    let other_ways = [sentence(outcome(person.outcome, words)), note("direct"), note("options")];
    let mut sections = vec![
        section("", [head, said_if(told.invented, &words.paper_invented)]),
        section(&words.paper_own_words, [sentence(&person.reason)]),
        section(&words.funder_goals, goals(&person.goals, words)),
        section(&words.funder_other_ways, other_ways),
    ];
    sections.extend(told.tried.iter().map(|(name, advice)| one_tried(name, *advice, words)));
    let reviewed = said_if(!person.review.trim().is_empty(), &words.funder_reviewed);
    sections.extend([
        section(&words.funder_compared, compared(told, words)),
        section(&words.funder_decisions, [decisions(person, words)]),
        section(&words.funder_costs, costs(&person.costs, told.interest, words)),
        section(&words.funder_support, [sentence(&words.funder_carers), reviewed, note("support")]),
        section(&words.paper_limits, [said_if(measured, &words.funder_not_there), sentence(&words.paper_measures)]),
        section(&words.paper_signature, [sentence(&words.paper_sign_here)]),
    ]);
    Paper::new(&words.funder_title, &words.paper_language, sections)
}

fn goals(goals: &[Goal], words: &Words) -> [Option<Block>; 2] {
    let level = |level: Option<i8>| level.map_or_else(|| "–".to_string(), |level| format!("{level:+}"));
    let rows = goals
        .iter()
        .map(|goal| vec![goal.text.clone(), goal.today.clone(), level(goal.before), level(goal.reached)])
        .collect();
    let (before, reached) = scores(goals);
    let scored = [(&words.before, before), (&words.reached, reached)];
    let scored: Vec<String> =
        scored.into_iter().filter_map(|(name, score)| Some(format!("{name} {:.1}", score?))).collect();
    let told =
        if scored.is_empty() { String::new() } else { format!("{}: {}.", words.funder_t_score, scored.join(", ")) };
    [table(&[&words.goals, &words.funder_today, &words.before, &words.reached], rows), sentence(&told)]
}

/// What was answered, and nothing where nobody answered.
fn outcome(outcome: Outcome, words: &Words) -> &str {
    match outcome {
        Outcome::NotAsked => "",
        Outcome::Scanning => &words.funder_no_direct,
        Outcome::DirectWay => &words.funder_direct,
        Outcome::NoReliableSwitch => &words.funder_no_switch,
    }
}

fn one_tried(name: &str, advice: Option<&SetUpAdvice>, words: &Words) -> Section {
    let title = format!("{}: {name}", words.funder_measured);
    let Some(advice) = advice else {
        return section(&title, [sentence(&words.funder_not_enough)]);
    };
    let rows = advice.recommendations.iter().filter_map(|one| value(one, words)).collect();
    let titles = [&words.setting, &words.carer_value, &words.funder_interval, &words.funder_trials, &words.how_sure];
    section(&title, [table(&titles, rows), sentence(&advice.status()), sentence(words.in_english())])
}

fn value(one: &Recommendation, words: &Words) -> Option<Vec<String>> {
    let Advice::Set { setting, value, unit, interval, .. } = &one.advice else { return None };
    let range = interval.map_or_else(
        || "–".to_string(),
        |[low, high]| format!("{} – {}", text::number(low, unit), text::number(high, unit)),
    );
    let (value, sure) = (text::number(*value, unit), words.sure(one.sure).to_string());
    Some(vec![words.label_of(*setting).to_string(), value, range, one.trials.to_string(), sure])
}

fn compared(told: &Funder, words: &Words) -> Vec<Option<Block>> {
    let said_once = (!told.compared.is_empty()).then(|| words.in_english()).and_then(sentence);
    told.compared.iter().map(|line| sentence(line)).chain([said_once]).collect()
}

fn decisions(person: &Person, words: &Words) -> Option<Block> {
    let verdict = |one: &Decision| match &one.verdict {
        Verdict::Accepted => words.accepted.clone(),
        Verdict::Adjusted(value) => format!("{} {value}", words.adjusted),
        Verdict::Rejected => words.rejected.clone(),
    };
    let label = |name: &str| crate::settings::find(name).map_or(name.to_string(), |id| words.label_of(id).to_string());
    let row = |one: &Decision| {
        vec![one.on.clone(), label(&one.setting), one.advised.clone(), verdict(one), one.reason.clone()]
    };
    let titles = [&words.funder_day, &words.setting, &words.advised, &words.funder_decided, &words.funder_reason];
    table(&titles, person.decisions.iter().map(row).collect())
}

/// Ways of which something was entered, and the interest that they were worked with.
fn costs(ways: &[Way], interest: f64, words: &Words) -> [Option<Block>; 2] {
    let row = |way: &Way| match way.yearly(interest) {
        Ok(year) => {
            let figures = [year.equipment, year.upkeep, year.help, year.total()];
            [way.name.clone()].into_iter().chain(figures.map(|figure| format!("{figure:.0}"))).collect()
        }
        Err(why) => vec![way.name.clone(), why, String::new(), String::new(), String::new()],
    };
    let rows: Vec<Vec<String>> = ways.iter().filter(|way| **way != Way::default()).map(row).collect();
    let interest =
        if rows.is_empty() { String::new() } else { format!("{}: {} %.", words.funder_interest, percent(interest)) };
    let titles =
        [&words.funder_way, &words.funder_equipment, &words.funder_upkeep, &words.funder_help, &words.funder_all];
    [table(&titles, rows), sentence(&interest)]
}

/// In per cent, to a hundredth.
fn percent(share: f64) -> f64 {
    libm::round(share * 1e4) / 1e2
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::papers::html::html;
    use crate::desk::words::Language;

    fn page(told: &Funder) -> String {
        html(&paper(told, Words::of(Language::English)))
    }

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
        let html = page(&told(&person));
        for words in [
            "my own door",
            "Reached 60.0",
            "The cheek is quicker.",
            "<td>1000</td>",
            "<td>1100</td>",
            "yearly interest: 0 %",
            "Invented data",
        ] {
            assert!(html.contains(words), "{words}: {html}");
        }
    }

    #[test]
    fn nothing_is_said_that_nobody_entered_or_measured() {
        let person = Person { costs: vec![Way::default()], goals: vec![Goal::fresh()], ..Person::default() };
        let bare = page(&Funder { tried: Vec::new(), compared: Vec::new(), invented: false, ..told(&person) });
        for words in ["direct way", "Measured", "Logs", "T score", "reviewed", "Cost a year", "Invented", "−1"] {
            assert!(!bare.contains(words), "{words}: {bare}");
        }
        let asked = Person { outcome: Outcome::Scanning, review: "2027-05-01".into(), ..Person::default() };
        let asked = page(&told(&asked));
        assert!(asked.contains("none was found") && asked.contains("reviewed on the date above"), "{asked}");
    }
}
