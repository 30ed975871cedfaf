//! The first page: what a carer or a funder reads in a minute.

use super::Material;
use super::markup::{Html, element, list, plain, styled};
use crate::analysis::findings::{Caution, Findings, Involuntary, OutcomeShare, Suggestion};
use crate::analysis::words::{at_most, capital, count, decimals, duration, percent, seconds, watch};

pub(super) fn first_page(material: &Material) -> Html {
    let parts: Vec<Html> = [
        material.header.invented.then(|| styled("p", "invented", "Invented data: a virtual client pressed.")),
        Some(title(material)),
        Some(styled("p", "headline", &headline(material.findings))),
        Some(figures(material.findings)),
        Some(plain("h3", "In plain words")),
        Some(list("plain", sentences(material.findings).iter().map(|sentence| Html::text(sentence)))),
        cautions(material.cautions),
        Some(styled("p", "limits", super::LIMITS)),
    ]
    .into_iter()
    .flatten()
    .collect();
    element("section", &[("class", "first")], &parts)
}

fn title(material: &Material) -> Html {
    let (header, setup) = (material.header, &material.header.setup);
    let day = header.began.get(..10).unwrap_or(&header.began);
    let facts = [day, &header.protocol.name, &setup.side, &setup.site, &setup.switch];
    let facts: Vec<&str> = facts.into_iter().filter(|fact| !fact.is_empty()).collect();
    let whole = if material.findings.complete { "" } else { " (not finished)" };
    let length = format!("{} · {}{whole}", facts.join(" · "), duration(material.findings.seconds));
    [
        styled("p", "kicker", "Switch timing report"),
        plain("h1", &format!("Client {}", header.client)),
        styled("p", "where", &length),
    ]
    .into_iter()
    .collect()
}

fn hits(findings: &Findings) -> Option<&OutcomeShare> {
    findings.total.outcomes.iter().find(|share| share.outcome == "hit")
}

fn headline(findings: &Findings) -> String {
    let Some(hits) = hits(findings) else {
        return "No trial of this session counts, so nothing can be said about timing yet.".into();
    };
    let done = format!("{} of {} came out right.", hits.count, count(findings.total.trials, "trial", "trials"));
    match &findings.suggestion {
        Some(suggestion) => {
            format!("{done} A first scan rate to try is {} per item.", seconds(suggestion.scan_interval_s))
        }
        None => format!("{done} A scan rate cannot be suggested from it."),
    }
}

/// The few numbers that matter, each with how sure it is.
fn figures(findings: &Findings) -> Html {
    let mut cards = Vec::new();
    cards.extend(hits(findings).map(|hits| {
        card("Trials that came out right", &percent(hits.share), &range("95 %", percent(hits.low), percent(hits.high)))
    }));
    cards.extend(findings.total.latency.as_ref().map(|latency| {
        let half = range("half of them", decimals(latency.lower_quartile_s, 2), seconds(latency.upper_quartile_s));
        card("Typical time to press", &seconds(latency.median_s), &half)
    }));
    cards.extend(findings.suggestion.as_ref().map(suggested));
    cards.extend(findings.blocks.iter().filter_map(|block| block.involuntary.as_ref()).map(unasked));
    list("figures", cards)
}

fn card(name: &str, value: &str, range: &str) -> Html {
    [styled("span", "name", name), styled("span", "value", value), styled("span", "range", range)].into_iter().collect()
}

fn range(what: &str, low: String, high: String) -> String {
    format!("{what}: {low} to {high}")
}

fn suggested(suggestion: &Suggestion) -> Html {
    let sure = match (suggestion.low_s, suggestion.high_s) {
        (Some(low), Some(high)) => range("90 %", decimals(low, 2), seconds(high)),
        _ => "from one press: not sure at all".into(),
    };
    card("First scan rate, per item", &seconds(suggestion.scan_interval_s), &sure)
}

fn unasked(watched: &Involuntary) -> Html {
    let name = format!("Unasked presses a minute, {}", watch(watched.watch));
    let sure = if watched.count == 0 {
        format!("95 %: at most {}", at_most(watched.high_per_minute))
    } else {
        range("95 %", decimals(watched.low_per_minute, 1), decimals(watched.high_per_minute, 1))
    };
    card(&name, &decimals(watched.per_minute, usize::from(watched.count > 0)), &sure)
}

fn sentences(findings: &Findings) -> Vec<String> {
    let mut sentences = Vec::new();
    sentences.extend(findings.total.latency.as_ref().map(|latency| {
        format!(
            "From the moment the right tile lit, half of the right presses came within {}; 95 in 100 within {}.",
            seconds(latency.median_s),
            seconds(latency.p95_s)
        )
    }));
    sentences.extend(findings.suggestion.as_ref().map(meaning));
    sentences.extend(findings.total.seconds_per_correct.map(|time| {
        let presses = findings
            .total
            .presses_per_correct
            .map_or_else(String::new, |presses| format!(" and {} presses", decimals(presses, 1)));
        format!("Each correct choice took {}{presses}, failures included.", seconds(time))
    }));
    sentences.extend(findings.blocks.iter().filter_map(|block| block.involuntary.as_ref()).map(quiet));
    sentences.extend(rests(findings));
    sentences
}

fn meaning(suggestion: &Suggestion) -> String {
    let held = if suggestion.held_s > 0.0 {
        format!(", {} of it the hold time", seconds(suggestion.held_s))
    } else {
        String::new()
    };
    format!(
        "The scan rate is the time each tile stays lit. {} is the mean time to press ({}{held}, from {}) divided by \
         0.65, a published rule of thumb. It is where to begin, not where to end.",
        seconds(suggestion.scan_interval_s),
        seconds(suggestion.mean_s),
        count(suggestion.count, "press", "presses")
    )
}

fn quiet(watched: &Involuntary) -> String {
    let (how, length) = (watch(watched.watch), duration(watched.seconds));
    match watched.count {
        0 => format!(
            "{}, the switch stayed quiet for {length}. That is not proof of never: up to {} a minute could still happen.",
            capital(how),
            at_most(watched.high_per_minute)
        ),
        number => format!(
            "{}, the switch was pressed {} in {length} although nothing was asked.",
            capital(how),
            times(number)
        ),
    }
}

fn times(number: u32) -> String {
    count(number, "time", "times")
}

fn rests(findings: &Findings) -> Option<String> {
    let all: u32 = findings.rests.iter().map(|(_, count)| count).sum();
    let asked = findings.rests.iter().filter(|(name, _)| name == "asked" || name == "long-press");
    let asked: u32 = asked.map(|(_, count)| count).sum();
    (all > 0).then(|| format!("Rests: {all}, of which asked for: {asked}. Rest is never an error."))
}

fn cautions(cautions: &[Caution]) -> Option<Html> {
    let shown = || cautions.iter().filter(|caution| **caution != Caution::Invented);
    shown().next()?;
    let items = shown().map(|caution| {
        [Html::text(&caution.to_string()), styled("span", "remedy", caution.remedy())].into_iter().collect::<Html>()
    });
    Some([plain("h3", "Read with care"), list("cautions", items)].into_iter().collect())
}
