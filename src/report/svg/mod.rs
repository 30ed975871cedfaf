//! The plots, one a file, and their list. A plot draws what it is given and computes no statistic.
//!
//! Every plot keeps a column at its left for names and key, so that no word stands among the marks but
//! those on a line of their own.

mod axis;
mod expected_time;
mod fills;
mod latencies;
mod marks;
mod outcomes;
mod presses;
mod scale;
mod story;
mod sweep;
mod timeline;
mod trend;

use crate::advice::pictures::Pictures;
use crate::advice::recommendation::{Advice, Named, Recommendation};
use crate::analysis::findings::Findings;
use crate::report::text::{escape, glued};
use crate::session::record::Record;
use crate::settings::Id;

pub(super) use story::Story;
pub(crate) use sweep::{Curve, Curves, Place, sweep};

/// What every plot is drawn from.
pub(super) struct Drawn<'a> {
    pub(super) findings: &'a Findings,
    pub(super) pictures: &'a Pictures,
    pub(super) recommendations: &'a [Recommendation],
    pub(super) story: Story<'a>,
}

impl<'a> Drawn<'a> {
    pub(super) fn new(
        findings: &'a Findings,
        records: &'a [Record],
        pictures: &'a Pictures,
        recommendations: &'a [Recommendation],
    ) -> Drawn<'a> {
        Drawn { findings, pictures, recommendations, story: Story::told(findings, records) }
    }

    /// The recommendation that sets this setting.
    fn setting(&self, setting: Id) -> Option<&Recommendation> {
        self.recommendations.iter().find(|one| one.value_of(setting).is_some())
    }

    /// A figure that stands beside the advised scan interval.
    fn beside_scan_rate(&self, name: &str) -> Option<&Named> {
        match &self.setting(Id::ScanInterval)?.advice {
            Advice::Set { beside, .. } => beside.iter().find(|one| one.name == name),
            _ => None,
        }
    }
}

/// One plot: how to read it, how it is drawn, and what is said in its place where there is nothing to draw.
struct Plot {
    name: &'static str,
    reading: &'static str,
    missing: &'static str,
    draw: fn(&Drawn) -> Option<Drawing>,
}

/// What a plot came to: its message as a heading, its height in the units of its 720 wide view, its
/// description in words for those who do not see it, and its marks.
struct Drawing {
    heading: String,
    height: f64,
    description: String,
    marks: String,
}

/// All plots, in the order of the report: first what the scan rate rests on.
const PLOTS: &[Plot] =
    &[expected_time::PLOT, latencies::PLOT, presses::PLOT, trend::PLOT, outcomes::PLOT, timeline::PLOT];

/// Width of every plot's view.
const WIDTH: f64 = 720.0;
/// Where the column of names ends and the marks begin.
const LEFT: f64 = 150.0;
/// Where the marks end.
const RIGHT: f64 = WIDTH - 14.0;

/// Every plot with its heading, and after them a sentence for each that has nothing to draw.
pub(super) fn all(drawn: &Drawn) -> String {
    let drawings = PLOTS.iter().map(|plot| (plot, (plot.draw)(drawn)));
    let (mut figures, mut left_out) = (String::new(), String::new());
    for (plot, drawing) in drawings {
        match drawing {
            Some(drawing) => figures += &plot.figure(&drawing),
            None => left_out += &format!("<li>{}</li>\n", plot.missing),
        }
    }
    let patterns = if figures.contains("url(#fill-") { fills::patterns() } else { String::new() };
    let left_out = if left_out.is_empty() { left_out } else { format!("<ul class=\"none\">\n{left_out}</ul>\n") };
    [patterns, figures, left_out].concat()
}

impl Plot {
    fn figure(&self, drawing: &Drawing) -> String {
        let (reading, heading) = (self.reading, glued(&escape(&drawing.heading)));
        let picture = self.picture(drawing);
        format!("<figure>\n<h3>{heading}</h3>\n<figcaption>{reading}</figcaption>\n{picture}</figure>\n")
    }

    fn picture(&self, drawing: &Drawing) -> String {
        let name = self.name;
        let Drawing { heading, height, description, marks } = drawing;
        let (heading, description) = (escape(heading), escape(description));
        format!(
            "<svg viewBox=\"0 0 {WIDTH} {height}\" role=\"img\" aria-labelledby=\"{name}-title {name}-desc\">\n\
             <title id=\"{name}-title\">{heading}</title>\n<desc id=\"{name}-desc\">{description}</desc>\n{marks}</svg>\n"
        )
    }
}

#[cfg(test)]
mod tests;
