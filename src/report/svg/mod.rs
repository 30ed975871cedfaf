//! The plots, one a file, and their list. A plot draws what it is given and computes no statistic.

mod latencies;
mod outcomes;
mod scale;
mod story;
mod suggested;
mod timeline;

use crate::analysis::findings::Findings;
use crate::report::text::escape;
use crate::session::record::Record;

pub(super) use story::Story;
pub(super) use suggested::suggested;

/// What every plot is drawn from.
pub(super) struct Drawn<'a> {
    pub(super) findings: &'a Findings,
    pub(super) story: Story<'a>,
}

impl<'a> Drawn<'a> {
    pub(super) fn new(findings: &'a Findings, records: &'a [Record]) -> Drawn<'a> {
        Drawn { findings, story: Story::told(findings, records) }
    }
}

/// One plot: its heading, how to read it, and how it is drawn; `None` when there is nothing to draw.
struct Plot {
    name: &'static str,
    heading: &'static str,
    reading: &'static str,
    draw: fn(&Drawn) -> Option<Drawing>,
}

/// What a plot came to: its height in the units of its 720 wide view, its description in words for
/// those who do not see it, and its marks.
struct Drawing {
    height: f64,
    description: String,
    marks: String,
}

/// All plots, in the order of the report.
const PLOTS: &[Plot] = &[latencies::PLOT, outcomes::PLOT, timeline::PLOT];

/// Width of every plot's view.
const WIDTH: f64 = 720.0;

/// Every plot with its heading.
pub(super) fn all(drawn: &Drawn) -> String {
    PLOTS.iter().map(|plot| plot.figure(drawn)).collect()
}

impl Plot {
    fn figure(&self, drawn: &Drawn) -> String {
        let Plot { heading, reading, .. } = self;
        let picture = match (self.draw)(drawn) {
            Some(drawing) => self.picture(&drawing),
            None => "<p class=\"none\">Nothing to show: no such data in this session.</p>\n".into(),
        };
        format!("<figure>\n<h3>{heading}</h3>\n<figcaption>{reading}</figcaption>\n{picture}</figure>\n")
    }

    fn picture(&self, drawing: &Drawing) -> String {
        let Plot { name, heading, .. } = self;
        let Drawing { height, description, marks } = drawing;
        let description = escape(description);
        format!(
            "<svg viewBox=\"0 0 {WIDTH} {height}\" role=\"img\" aria-labelledby=\"{name}-title {name}-desc\">\n\
             <title id=\"{name}-title\">{heading}</title>\n<desc id=\"{name}-desc\">{description}</desc>\n{marks}</svg>\n"
        )
    }
}

/// A line.
fn line(class: &str, from: (f64, f64), to: (f64, f64)) -> String {
    format!("<path class=\"{class}\" d=\"M{:.1} {:.1}L{:.1} {:.1}\"/>\n", from.0, from.1, to.0, to.1)
}

/// A rectangle; never thinner than it can be seen.
fn bar(class: &str, at: (f64, f64), size: (f64, f64)) -> String {
    let width = size.0.max(1.0);
    format!(
        "<rect class=\"{class}\" x=\"{:.1}\" y=\"{:.1}\" width=\"{width:.1}\" height=\"{:.1}\"/>\n",
        at.0, at.1, size.1
    )
}

/// Words; escaped here.
fn words(class: &str, at: (f64, f64), text: &str) -> String {
    format!("<text class=\"{class}\" x=\"{:.1}\" y=\"{:.1}\">{}</text>\n", at.0, at.1, escape(text))
}
