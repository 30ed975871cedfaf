//! Sessions over time within a set-up, and set-ups against each other.

use egui::Ui;
use egui_plot::{Line, Plot, PlotPoints, Points, uniform_grid_spacer};

use super::findings::{choose, overview};
use crate::advice::overview::SetUpOverview;
use crate::advice::overview_text::{change_since_last_time, comparisons};
use crate::analysis::evidence::{Evidence, Opportunity};
use crate::app::desk::parts::{aside, heading};
use crate::app::desk::state::{Desk, Seen};
use crate::app::desk::theme::{BLUE, SKY};
use crate::desk::words::Words;
use crate::stats::Sample;

/// Its name.
pub const NAME: &str = "progress";

pub(super) fn show(ui: &mut Ui, desk: &mut Desk) {
    let Some((overview, seen)) = overview(ui, desk) else { return };
    let words = desk.words;
    let Some(visit) = &mut desk.visit else { return };
    heading(ui, &words.progress);
    choose(ui, &overview, visit);
    if let Some(one) = overview.set_ups.get(visit.set_up) {
        medians(ui, words, one, &seen);
        let day = |place: usize| seen[place].day.clone();
        change_since_last_time(one, day).into_iter().for_each(|line| _ = ui.label(line));
    }
    let compared = comparisons(&overview);
    if !compared.is_empty() {
        heading(ui, &words.set_ups);
        compared.into_iter().for_each(|line| _ = ui.label(line));
    }
}

/// The median latency of each session.
fn medians(ui: &mut Ui, words: &Words, one: &SetUpOverview, seen: &[Seen]) {
    let Ok(advice) = &one.advice else { return };
    let each: Vec<(usize, f64)> =
        (0..one.measured.len()).filter_map(|session| Some((session, median(&advice.evidence, session)?))).collect();
    if each.is_empty() {
        return;
    }
    let days: Vec<String> = one.measured.iter().map(|log| seen[*log].day.clone()).collect();
    // One point is no course.
    match each.len() {
        1 => aside(ui, &words.one_session),
        _ => course(ui, words, &each, days.clone()),
    }
    // The same in words, for those who do not see the plot.
    let told = each.iter().map(|(session, median)| format!("{}: {median:.2} s", days[*session]));
    aside(ui, format!("{}: {}", words.median_latency, told.collect::<Vec<_>>().join(" · ")));
}

/// Draws them in the order of the sessions, each over its day.
fn course(ui: &mut Ui, words: &Words, each: &[(usize, f64)], days: Vec<String>) {
    aside(ui, format!("{}, s", words.median_latency));
    let colour = if ui.visuals().dark_mode { SKY } else { BLUE };
    let points: Vec<[f64; 2]> = each.iter().map(|(session, median)| [*session as f64, *median]).collect();
    let day = move |place: f64| (place >= 0.0 && place.fract() == 0.0).then(|| days.get(place as usize).cloned());
    Plot::new("medians")
        .height(220.0)
        .allow_drag(false)
        .allow_zoom(false)
        .allow_scroll(false)
        .include_y(0.0)
        .x_grid_spacer(uniform_grid_spacer(|_| [100.0, 10.0, 1.0]))
        .x_axis_formatter(move |mark, _| day(mark.value).flatten().unwrap_or_default())
        .show(ui, |plot| {
            plot.line(Line::new(&words.median_latency, PlotPoints::from(points.clone())).color(colour));
            plot.points(Points::new(&words.median_latency, PlotPoints::from(points)).color(colour).radius(5.0));
        });
}

fn median(evidence: &Evidence, session: usize) -> Option<f64> {
    let of = evidence.opportunities.iter().filter(|one| one.session as usize == session);
    let latencies: Vec<f64> = of.filter_map(Opportunity::latency_s).collect();
    Some(Sample::new(latencies).ok()?.median())
}
